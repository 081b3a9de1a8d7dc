"use strict";
screens.show();
if (navigator.storage && navigator.storage.persist) navigator.storage.persist().catch(() => {});

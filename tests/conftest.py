"""The quick run and the thorough one; see `thorough.py`."""

from __future__ import annotations

import pytest

from tests.thorough import THOROUGH


def pytest_addoption(parser):
    parser.addoption("--thorough", action="store_true", help="run what tests/thorough.py lists as well")


def pytest_collection_modifyitems(config, items):
    names = [item.nodeid.removeprefix("tests/") for item in items]
    if len(items) > 2000:  # the whole suite, not a choice of it
        stale = [entry for entry in THOROUGH if not any(name.startswith(entry) for name in names)]
        if stale:
            raise pytest.UsageError("tests/thorough.py lists what is no test: " + ", ".join(stale))
    asked_for = config.getoption("--thorough") or any("::" in word for word in config.args)
    if not asked_for:
        left_out = {name for name in names if name.startswith(tuple(THOROUGH))}
        config.hook.pytest_deselected(items=[i for i, n in zip(items, names, strict=True) if n in left_out])
        items[:] = [item for item, name in zip(items, names, strict=True) if name not in left_out]

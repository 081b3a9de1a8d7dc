"""Is a longer rear bump travel worth more than a softer front bar?"""

import articulate

wagon = articulate.demo("wagon")
longer = wagon.what_if(rear__travel__bump="95 mm")
released = articulate.predict(wagon).found.released
print(articulate.predict(longer))
print(f"releasing the bar instead: {released.score:.0f}")

"""Is a longer rear bump travel worth more than a softer front bar?"""

import articulate

wagon = articulate.demo("wagon")
longer = wagon.what_if(rear__travel__bump="95 mm")
plain = articulate.predict(wagon).found
print(articulate.predict(longer))
print(f"releasing the bar instead: {plain.connected.score + plain.gain:.0f}")

"""No ramp: the same vehicle twisted on blocks under two opposite corners."""

import articulate

print(articulate.blocks(articulate.demo("wagon")).table())

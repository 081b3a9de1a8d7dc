"""A score from a 20 degree ramp, carried to one of 23 degrees."""

import articulate

answer = articulate.carry(articulate.demo("wagon"), to="23 deg", measured="575 ± 4")
print(answer.table())

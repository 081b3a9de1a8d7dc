"""The batch core itself: a thousand wagons that differ in wheelbase, climbed at once."""

from dataclasses import replace

import numpy as np

import articulate
from articulate.climb import climb_to_unload
from articulate.model.ramp_test import ramp_test

wagon = articulate.demo("wagon").arrays()
lanes = wagon.take(np.zeros(1000, dtype=int))
lanes = replace(lanes, wheelbase=np.linspace(2.4, 3.4, 1000))
climbed = climb_to_unload(lanes, ramp_test(1000))
print(f"score from {np.nanmax(climbed.score):.0f} at 2.4 m to {np.nanmin(climbed.score):.0f} at 3.4 m")

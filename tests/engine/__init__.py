"""An independent reference: the same vehicle settling in time in a general rigid-body engine.

mujoco carries the masses, the joints and gravity; `forces` applies springs, stops, bars, frame and tyres
from their definitions. Nothing here is shared with the code under test but the arrays a vehicle is
described by (`Vehicles`, `RampTest`) and the value of gravity.
"""

"""Before the test: bands, wheelspin, roll gradient, and the tests beside the ramp."""

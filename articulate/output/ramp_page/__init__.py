"""The page for the ramp: one file for a phone that turns readings into scores and run sheets, without a network."""

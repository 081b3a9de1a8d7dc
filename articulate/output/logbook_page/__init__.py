"""The page of a logbook: where results stand among all that were kept, in one file without a network."""

"""The logbook as a library: what is noted when a sheet is kept, and where results stand among all that were kept."""

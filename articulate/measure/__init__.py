"""From what is read beside the ramp to a climb, a score and how sure they are."""

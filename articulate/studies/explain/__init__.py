"""Why a score is what it is: what differs, what a step is worth, what happens on the way."""

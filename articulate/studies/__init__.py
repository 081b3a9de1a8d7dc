"""Studies: many climbs put together into an answer; functions of inputs and a seed that return frozen results."""

"""What would change a score: levers, tyres, bodywork."""

"""The day itself: plan, moments and the moving climb, and what the model adds to a run sheet."""

"""What somebody beside the ramp needs to have along: a sample of possible vehicles, and what surprises would mean."""

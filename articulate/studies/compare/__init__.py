"""Vehicles side by side, and scores from one ramp on another."""

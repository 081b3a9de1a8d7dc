"""Possible vehicles of a file: inputs drawn, climbed, weighted, their variance taken apart."""

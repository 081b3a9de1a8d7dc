"""Figures in one hand: each function returns a `Picture`, which becomes SVG or PNG, the same bytes every time."""

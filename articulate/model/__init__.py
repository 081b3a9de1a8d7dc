"""The quasi-static rigid-body model: NumPy arrays in SI, no input or output."""

"""A photograph behind the drawing: known points lay the predicted vehicle over the photographed one, to scale."""

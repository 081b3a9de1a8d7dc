"""Published scores of stock vehicles beside what the tool predicts from a brochure (`scripts/published_scores`)."""

"""A log opened."""

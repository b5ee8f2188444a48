"""The practice bench: simulated parts behind a real port."""

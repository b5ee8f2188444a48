"""Meters and what is known of them."""

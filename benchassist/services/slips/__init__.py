"""The customer's slip."""

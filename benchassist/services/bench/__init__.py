"""A visit on the bench."""

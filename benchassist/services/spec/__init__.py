"""The spec book, changed by the shop."""

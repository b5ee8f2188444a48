"""The spec book: TOML profiles to core values, every fault at once."""

from benchassist.specbook.book import Book
from benchassist.specbook.check import check

__all__ = ["Book", "check"]

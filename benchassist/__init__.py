"""Bench Assistant: from a meter's bytes to a judged, stored, printed visit."""

__version__ = "0.1.0"

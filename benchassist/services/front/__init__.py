"""The counter and the interview."""

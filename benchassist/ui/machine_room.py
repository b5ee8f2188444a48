"""Rooms of the machine file's page."""

from enum import StrEnum


class MachineRoom(StrEnum):
    """What stands on the right of the page."""

    FRONT = "front"
    """All quantities, and the photos."""
    QUANTITY = "quantity"
    """One quantity, looked at closely."""
    RUNS = "runs"
    """The runs of one check laid over each other."""
    PARTS = "parts"
    """Parts fitted, with their dates."""

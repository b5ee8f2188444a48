"""What the bench is at: the steps, or what opens and closes a visit."""

from enum import StrEnum


class Stage(StrEnum):
    """The steps themselves, the leads held together, the known resistor."""

    CHECKS = "checks"
    LEADS = "leads"
    KNOWN_RESISTOR = "known_resistor"

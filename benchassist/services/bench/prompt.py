"""One line of text the bench is waiting for: what it is, how to write it, what was wrong."""

from dataclasses import dataclass
from enum import StrEnum

from benchassist.services.translation import _


class Purpose(StrEnum):
    """What the line will be."""

    READING = "reading"
    NOTE = "note"
    TEMPERATURE = "temperature"
    DID = "did"
    UNMARK = "unmark"
    """Why a part is not known good after all; the memory is the reading's id."""
    LEADS = "leads"
    KNOWN_RESISTOR = "known_resistor"
    DROP_CURRENT = "drop_current"
    DROP_VOLTS = "drop_volts"
    RUN = "run"
    """A figure of a run; the run says what."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Prompt:
    """A line being typed. `memory` carries what an earlier line of the same act said."""

    purpose: Purpose
    text: str = ""
    error: str = ""
    memory: str = ""
    own_label: str = ""
    own_hint: str = ""

    @property
    def label(self) -> str:
        """What to type."""
        return (
            self.own_label
            or {
                Purpose.READING: _("Type the digits exactly as shown"),
                Purpose.NOTE: _("Note"),
                Purpose.TEMPERATURE: _("Part temperature"),
                Purpose.DID: _("What you did here"),
                Purpose.UNMARK: _("Not known good after all: why"),
                Purpose.LEADS: _("Probes together: type what it shows"),
                Purpose.KNOWN_RESISTOR: _("Known resistor: type what it shows"),
                Purpose.DROP_CURRENT: _("Current through the winding"),
                Purpose.DROP_VOLTS: _("Volts across the winding"),
                Purpose.RUN: _("Type what it shows"),
            }[self.purpose]
        )

    @property
    def hint(self) -> str:
        """How to write it; a reading's example depends on what is read."""
        return (
            self.own_hint
            or {
                Purpose.READING: _("Enter takes it"),
                Purpose.NOTE: _("Enter keeps it on the slip"),
                Purpose.TEMPERATURE: _("Enter alone: cold, at shop temperature"),
                Purpose.DID: _("Such as: new cap fitted. Then measure again"),
                Purpose.UNMARK: _("Such as: read through a wet boot. Esc leaves it known good"),
                Purpose.LEADS: _("Such as 0.2 or 0.00 k"),
                Purpose.KNOWN_RESISTOR: _("Such as 9.98 k"),
                Purpose.DROP_CURRENT: _("Such as 98.4 mA. At most 100 mA"),
                Purpose.DROP_VOLTS: _("Such as 91.2 mV. Source at most 1.5 V open"),
                Purpose.RUN: _("Enter keeps it"),
            }[self.purpose]
        )

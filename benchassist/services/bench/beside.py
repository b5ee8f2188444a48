"""What was in band in an earlier visit, beside what is measured now: found once, in a thread."""

from dataclasses import replace

from benchassist.core.band import Band
from benchassist.core.copper import correction
from benchassist.core.entry import Taken
from benchassist.core.procedure import Check
from benchassist.core.ruler import Ruler
from benchassist.core.visit import Visit
from benchassist.errors import BenchError
from benchassist.services.errand import Errand
from benchassist.services.needs import Store
from benchassist.services.record.drift_text import beside_now
from benchassist.services.record.machine_file import quantities_of, replayed
from benchassist.services.record.machine_file_view import LastGood
from benchassist.services.record.machine_quantity import is_another, is_work
from benchassist.services.translation import _
from benchassist.units import UnitChoice, display_unit


class Beside:
    """The last values in band of a machine, for the visit that is on the bench.

    They do not change while it is: nothing waits for them, and nothing shows until they are there.
    What cannot be read shows nothing.
    """

    def __init__(self, visit: Visit, *, store: Store, units: UnitChoice) -> None:
        self._visit, self._units = visit, units
        header = visit.header
        machine_id, visit_id, opened = header.machine.id, header.id, header.opened_at

        def find() -> dict[str, LastGood]:
            visits, _unread = replayed(store.history(machine_id, but=(visit_id,)))
            earlier = [one for one in visits if one.header.opened_at < opened]
            cards = quantities_of(earlier, units)
            return {c.check_key: c.last_good for c in cards if c.last_good is not None}

        self._errand: Errand[dict[str, LastGood]] | None = Errand(find, "last in band")
        self._found: dict[str, LastGood] = {}

    def of(self, check: Check) -> LastGood | None:
        """The last value in band of a check; None for none, and while it is looked for."""
        errand = self._errand
        if errand is not None and errand.done:
            self._errand = None
            try:
                self._found = errand.result()
            except BenchError:
                self._found = {}
        found = self._found.get(check.key)
        return found if found is not None and found.quantity is check.quantity else None

    def ruler(self, ruler: Ruler, check: Check, band: Band) -> Ruler:
        """A check's ruler with a quiet mark where it read then, at the band's temperature."""
        good = self.of(check)
        if good is None or is_another(good.band, band):
            return ruler
        value = good.point.value
        unit = display_unit(value, good.quantity, units=self._units)
        if unit.offset:  # a temperature's ruler is in the shop's unit
            value = unit.from_base(value)
        elif band.copper and good.copper:
            value *= correction(good.reference_celsius, band.reference_celsius)[0]
        return replace(ruler, earlier=(value,), earlier_label=f"{good.day_text}: {good.text}")

    def line(self, check: Check, taken: Taken | None) -> str:
        """What is to be said of it: how far it moved, or before there is a reading what it read.

        Where the part was worked on or renewed since, that; empty where nothing is known.
        """
        good = self.of(check)
        if good is None:
            return ""
        note = good.note
        if not note and any(is_work(entry, check) for entry in self._visit.entries):
            note = _("worked on or renewed since")
        if is_another(good.band, self._visit.band(check)):
            note = _("another marking then")
        if note:
            return _("{then}; {note}").format(then=_in_band(good), note=note)
        if taken is None:
            return _in_band(good)
        return beside_now(good, taken, self._units, k=self._visit.header.k)

    def close(self) -> None:
        """Wait for the thread."""
        if self._errand is not None:
            self._errand.close()


def _in_band(good: LastGood) -> str:
    return _("In band on {day}: {value}").format(day=good.day_text, value=good.text)

"""The machine files that were looked at last: they stay read, and go when the settings change."""

from collections.abc import Callable
from typing import Final

from benchassist.core.visit import Visit
from benchassist.services.bench.side_pen import SidePen
from benchassist.services.metering.meter import Meter
from benchassist.services.needs import Clock, RunStore, Store
from benchassist.services.record.machine_desk import MachineDesk
from benchassist.services.record.own_bands import OwnBands
from benchassist.services.record.photo_view import PhotoDesk
from benchassist.units import UnitChoice

MOST: Final = 3
"""Machines whose files stay read."""


class MachineShelf:
    """Makes the desk of a machine's file, the same one while it is among the last.

    `on_bench` gives a machine's visit under work here, `photos` its photos; None for none.
    """

    def __init__(
        self,
        *,
        store: Store,
        runs: RunStore | None,
        side: SidePen,
        clock: Clock,
        bands: OwnBands,
        meter: Meter,
        on_bench: Callable[[str], Visit | None],
        photos: Callable[[str], PhotoDesk | None],
    ) -> None:
        self._store, self._runs, self._side, self._clock = store, runs, side, clock
        self._bands, self._meter = bands, meter
        self._on_bench, self._photos = on_bench, photos
        self._units = UnitChoice()
        self._kept: dict[str, MachineDesk] = {}

    def speak(self, units: UnitChoice) -> None:
        """Other units from now on: files are made anew."""
        self._units = units
        self._kept.clear()

    def desk(self, machine_id: str) -> MachineDesk:
        """A machine's file."""
        desk = self._kept.pop(machine_id, None) or MachineDesk(
            machine_id,
            store=self._store,
            runs=self._runs,
            side=self._side,
            clock=self._clock,
            units=self._units,
            on_bench=lambda: self._on_bench(machine_id),
            photos=self._photos(machine_id),
            bands=self._bands,
            meter=self._meter,
            may_edit=True,
        )
        self._kept[machine_id] = desk
        while len(self._kept) > MOST:
            del self._kept[next(iter(self._kept))]
        return desk

    def close(self) -> None:
        """Wait for their threads."""
        for desk in self._kept.values():
            desk.close()

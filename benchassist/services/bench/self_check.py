"""The known resistor at the start and the end of a visit: is it on the probes, does it agree."""

from benchassist.core.entry import Entry, Moment, SelfChecked
from benchassist.core.known_resistor import judge_known
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.visit import Visit
from benchassist.services.bench.pen import Pen
from benchassist.services.bench.taker import Taker
from benchassist.services.bench.taking import conditions_of
from benchassist.services.settings import Settings


class SelfCheck:
    """Takes the shop's known resistor in a visit."""

    def __init__(self, visit: Visit, pen: Pen, taker: Taker, settings: Settings) -> None:
        self._visit = visit
        self._pen = pen
        self._taker = taker
        self._settings = settings

    def near_known(self, reading: Reading) -> bool:
        """Whether a reading can only be the known resistor."""
        nominal = self._settings.known_resistor
        return (
            reading.value is not None
            and reading.quantity is Quantity.RESISTANCE
            and abs(reading.value - nominal) <= 0.2 * nominal
        )

    def take(self, reading: Reading, moment: Moment) -> Entry:
        """Write a reading of the known resistor down, with whether the two agree."""
        zeroed = self._taker.leads(reading.channel)
        nominal = self._settings.known_resistor
        tolerance = self._settings.known_tolerance_percent
        judgement = judge_known(
            reading,
            conditions_of(
                reading,
                band=None,
                accuracy=self._taker.setup_of(reading).accuracy_of(reading),
                zero=zeroed.zero if zeroed else None,
                temperature=None,
            ),
            nominal=nominal,
            tolerance_percent=tolerance,
            k=self._visit.header.k,
        )
        return self._pen.write(
            lambda stamp: SelfChecked(
                stamp=stamp,
                moment=moment,
                nominal=nominal,
                tolerance_percent=tolerance,
                reading=reading,
                judgement=judgement,
            )
        )

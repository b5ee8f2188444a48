"""Parts a shop knows to be good: marking them, setting them aside, the bands they make."""

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from benchassist.core.band import Band
from benchassist.core.entry import Entry, PartMarked, Stamp
from benchassist.core.own_band import Coverage, OwnBand
from benchassist.core.own_mark import MarkedReading
from benchassist.core.quantity import Quantity
from benchassist.core.visit import Visit
from benchassist.errors import BenchError, InputError, StepError
from benchassist.services.bench.side_pen import SidePen
from benchassist.services.needs import Clock, SpecBook, Store
from benchassist.services.record.own_parts import learned_band
from benchassist.services.record.part_mark import Marking, Said, marking_of, taken_in
from benchassist.services.settings import Settings
from benchassist.services.slips.line import value_text
from benchassist.services.translation import _
from benchassist.services.wording import verdict_word
from benchassist.units import UnitChoice

MOST_BANDS: Final = 64
KEPT_FOR: Final = 300.0
"""Seconds for which a check's marks are not asked of the store again: other benches mark too."""


class OwnBands:
    """What a shop says of its parts and what it learns from them.

    `pen` writes, on a bench or beside it; `on_bench` finds a visit that is under work, None for any
    other. `speak` puts the shop's settings to work.
    """

    def __init__(
        self,
        *,
        store: Store,
        book: SpecBook,
        pen: SidePen,
        clock: Clock,
        on_bench: Callable[[str], Visit | None],
    ) -> None:
        self._store = store
        self._book = book
        self._pen = pen
        self._clock = clock
        self._on_bench = on_bench
        self.coverage, self.units = Coverage(), UnitChoice()
        self._said: dict[str, PartMarked] = {}
        """The last mark of each reading that was written here: the store may not have it yet."""
        self._asked: dict[str, tuple[float, tuple[MarkedReading, ...]]] = {}
        self._learned: dict[object, tuple[tuple[MarkedReading, ...], OwnBand]] = {}
        """Bands and what they were learned from: the same ones are asked for again and again."""

    def speak(self, settings: Settings) -> None:
        """Put content, confidence and units of a shop's settings to work."""
        self.coverage = Coverage(content=settings.own_content, confidence=settings.own_confidence)
        self.units = settings.units

    def forget(self) -> None:
        """Ask the store anew when next asked."""
        self._asked.clear()

    # --- marks -----------------------------------------------------------------------------------

    def marking(self, visit_id: str, entry_id: str) -> Marking:
        """What stands for a taken reading of a visit. Raises NotFoundError.

        Whoever has the visit at hand asks `part_mark.marking_of` instead.
        """
        return marking_of(self._visit(visit_id), entry_id)

    def mark(self, visit_id: str, entry_id: str) -> str:
        """Mark the part of a taken reading known-good; says what was marked.

        Raises StepError with one line where it cannot be: a look, an overload, a struck reading,
        one that could not tell, or a part that is marked already.
        """
        visit = self._visit(visit_id)
        marking = marking_of(visit, entry_id)
        if marking.refusal:
            raise StepError(marking.refusal)
        if marking.said is Said.GOOD:
            raise StepError(_("this part is marked known good already"))
        self._say(visit, entry_id, good=True)
        return marked_text(visit, entry_id, self.units)

    def set_aside(self, visit_id: str, entry_id: str, reason: str) -> str:
        """Take a mark back, which sets the part aside, with the reason; says so.

        Raises InputError without a reason, StepError where the part is not known good.
        """
        visit = self._visit(visit_id)
        if marking_of(visit, entry_id).said is not Said.GOOD:
            raise StepError(_("this part is not among those known good"))
        if not reason.strip():
            raise InputError(_("say why, such as: read through a wet boot"))
        self._say(visit, entry_id, good=False, reason=reason.strip())
        return _("Set aside: {reason}. It stays on file").format(reason=reason.strip())

    def _say(self, visit: Visit, entry_id: str, *, good: bool, reason: str = "") -> None:
        taken = taken_in(visit, entry_id)
        key = taken.check_key if taken is not None else ""

        def entry(stamp: Stamp) -> Entry:
            return PartMarked(
                stamp=stamp, check_key=key, entry_id=entry_id, good=good, reason=reason
            )

        written = self._pen.write(visit.header.id, entry)
        if isinstance(written, PartMarked):
            self._said[entry_id] = written
        self.forget()

    def _visit(self, visit_id: str) -> Visit:
        visit = self._on_bench(visit_id)
        return visit if visit is not None else self._pen.visit(visit_id)

    # --- bands -----------------------------------------------------------------------------------

    def at(self, visit: Visit) -> OwnBand | None:
        """What the shop's parts make of the check a visit is on, beside the band in force there.

        None for a check of no quantity, and where the shop is out of reach: then nothing stands
        beside.
        """
        check = visit.current
        if check.quantity is None or visit.needs_option(check):
            return None
        option = visit.option(check)
        try:
            return self.band(
                check.key,
                check.quantity,
                engine_class=visit.procedure.engine_class,
                option_key=option.key if option is not None else "",
                beside=visit.band(check),
            )
        except BenchError:
            return None

    def band(
        self,
        check_key: str,
        quantity: Quantity,
        *,
        engine_class: str,
        option_key: str = "",
        beside: Band | None = None,
    ) -> OwnBand:
        """What the shop's known-good parts make of a check, on an engine class and a marking.

        Stands beside `beside`: which of its sides have limits, its temperature and its probe points
        are taken over. An empty class: all that share the library's band. Raises StoreError.
        """
        marks = self.marks(check_key, engine_class=engine_class, option_key=option_key)
        asked = (check_key, engine_class, option_key, beside, self.coverage)
        known = self._learned.pop(asked, None)
        if known is None or known[0] != marks:
            known = marks, learned_band(marks, quantity, beside=beside, coverage=self.coverage)
        self._learned[asked] = known
        while len(self._learned) > MOST_BANDS:
            del self._learned[next(iter(self._learned))]
        return known[1]

    def marks(
        self, check_key: str, *, engine_class: str, option_key: str = ""
    ) -> tuple[MarkedReading, ...]:
        """The marked readings of a check of one marking, on the classes that share its band.

        An empty class stands for all those that say nothing of the check. Raises StoreError.
        """
        classes = self._book.sharing(check_key, engine_class)
        return tuple(
            self._as_said(mark)
            for mark in self._of_check(check_key)
            if mark.engine_class in classes and mark.option_key == option_key
        )

    def _of_check(self, check_key: str) -> tuple[MarkedReading, ...]:
        now = self._clock.monotonic()
        kept = self._asked.get(check_key)
        if kept is not None and now - kept[0] <= KEPT_FOR:
            return kept[1]
        marks = self._store.part_marks(check_key)
        there = {mark.taken.stamp.id: mark.marked_at for mark in marks}
        said = (entry for entry in self._said.values() if entry.check_key == check_key)
        if all(one.entry_id in there and there[one.entry_id] >= one.stamp.at for one in said):
            self._asked[check_key] = now, marks  # else what was said here is on its way to disk
        return marks

    def _as_said(self, mark: MarkedReading) -> MarkedReading:
        """A mark with what was said here of its reading since, on disk or on its way there."""
        said = self._said.get(mark.taken.stamp.id)
        if said is None or said.stamp.at < mark.marked_at:
            return mark
        return replace(mark, good=said.good, reason=said.reason, marked_at=said.stamp.at)


def marked_text(visit: Visit, entry_id: str, units: UnitChoice) -> str:
    """'Known good: Plug cap 4.38 kΩ, In band'."""
    taken = taken_in(visit, entry_id)
    if taken is None:
        return ""
    name = visit.procedure.check(taken.check_key).short
    told = _("Known good: {name} {value}").format(name=name, value=value_text(taken, units)[0])
    word = verdict_word(taken.judgement.verdict, taken.judgement.side)
    return _("{told} ({verdict})").format(told=told, verdict=word) if word else told

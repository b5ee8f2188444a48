"""Parts a shop knows to be good: marking them, setting them aside, the bands they make."""

from collections.abc import Callable

from benchassist.core.entry import Entry, PartMarked, Stamp
from benchassist.core.own_band import Coverage
from benchassist.core.visit import Visit
from benchassist.errors import BenchError, InputError, StepError
from benchassist.services.bench.side_pen import SidePen
from benchassist.services.needs import Clock, SpecBook, Store
from benchassist.services.record.band_look import Look
from benchassist.services.record.learned_bands import LearnedBands
from benchassist.services.record.part_mark import Marking, Said, marking_of, taken_in
from benchassist.services.settings import Settings
from benchassist.services.slips.line import value_text
from benchassist.services.translation import _
from benchassist.services.wording import verdict_word
from benchassist.units import UnitChoice


class OwnBands(LearnedBands):
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
        super().__init__(store, book, clock)
        self._pen = pen
        self._on_bench = on_bench
        self.units = UnitChoice()

    def speak(self, settings: Settings) -> None:
        """Put content, confidence and units of a shop's settings to work."""
        self.coverage = Coverage(content=settings.own_content, confidence=settings.own_confidence)
        self.units = settings.units

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
            self._note(written)

    def _visit(self, visit_id: str) -> Visit:
        visit = self._on_bench(visit_id)
        return visit if visit is not None else self._pen.visit(visit_id)

    # --- bands -----------------------------------------------------------------------------------

    def at(self, visit: Visit) -> Look:
        """What the shop's parts make of the check a visit is on, beside the band in force there.

        Nothing for a check of no quantity, and where the shop is out of reach: then nothing stands
        beside.
        """
        check = visit.current
        if check.quantity is None or visit.needs_option(check):
            return Look()
        option = visit.option(check)
        try:
            return self.look(
                check.key,
                check.quantity,
                engine_class=visit.procedure.engine_class,
                option_key=option.key if option is not None else "",
                beside=visit.band(check),
            )
        except BenchError:
            return Look()


def marked_text(visit: Visit, entry_id: str, units: UnitChoice) -> str:
    """'Known good: Plug cap 4.38 kΩ, In band'."""
    taken = taken_in(visit, entry_id)
    if taken is None:
        return ""
    name = visit.procedure.check(taken.check_key).short
    told = _("Known good: {name} {value}").format(name=name, value=value_text(taken, units)[0])
    word = verdict_word(taken.judgement.verdict, taken.judgement.side)
    return _("{told} ({verdict})").format(told=told, verdict=word) if word else told

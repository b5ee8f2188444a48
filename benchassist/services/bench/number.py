"""The number block: what digits may be shown, how the jaws stand, what the words under it say."""

from benchassist.core.band import Verdict
from benchassist.core.entry import Looked, Taken
from benchassist.core.procedure import CheckKind
from benchassist.core.reading import LinkState, Reading
from benchassist.core.steady import Phase
from benchassist.services.bench.bar_text import bar_text, dial_of
from benchassist.services.bench.prompt import Purpose
from benchassist.services.bench.stage import Stage
from benchassist.services.bench.taker import TYPED
from benchassist.services.bench.taking import bar_of
from benchassist.services.bench.view import Number, NumberState
from benchassist.services.bench.walk import Walk
from benchassist.services.translation import _
from benchassist.units import scaled, shown

ABOVE = "Above range"


def number_of(bench: Walk, taken: Taken | None) -> Number:
    """The number block as it stands."""
    if bench.prompt is not None and bench.prompt.purpose in _NUMBER_LINES:
        return _typing(bench, taken)
    if bench.stage is Stage.CHECKS:
        if isinstance(bench.flash, Looked) or bench.visit.current.kind is CheckKind.LOOK:
            return Number(state=NumberState.NO_METER)
        if taken is not None and taken.stamp.id:
            return _kept(bench, taken)
        if bench.visit.current.kind is CheckKind.GAUGE:
            return Number(
                state=NumberState.NO_METER,
                jaw_word=_("Measure, then type it"),
                jaw_hint=_("M: type it in"),
            )
    if not bench.meter.linked:
        return Number(
            state=NumberState.NO_METER, jaw_word=_("No meter"), jaw_hint=_("M: type it in")
        )
    return _live(bench, taken)


_NUMBER_LINES = frozenset(
    {
        Purpose.READING,
        Purpose.LEADS,
        Purpose.KNOWN_RESISTOR,
        Purpose.DROP_CURRENT,
        Purpose.DROP_VOLTS,
    }
)


def _typing(bench: Walk, taken: Taken | None) -> Number:
    if taken is None or taken.reading.channel != TYPED or taken.stamp.id:
        return Number(state=NumberState.TYPING, jaw_word=_("By hand"), jaw_hint=_("Enter to take"))
    return _with_digits(
        bench,
        taken.reading,
        state=NumberState.TYPED,
        jaw_word=_("Enter to take"),
        jaw_hint=_("by hand: jaws don’t apply"),
    )


def _kept(bench: Walk, taken: Taken) -> Number:
    """A taken reading: pencil while it is on its way, ink after."""
    if taken.stamp.id in bench.pen.pencilled:
        return _with_digits(
            bench,
            taken.reading,
            state=NumberState.WRITING,
            jaws=1.0,
            jaw_word=_("Writing it down"),
            jaw_hint="",
        )
    lift = bench.flash is taken and taken.reading.channel != TYPED
    return _with_digits(
        bench,
        taken.reading,
        state=NumberState.TAKEN,
        jaws=1.0,
        jaw_word=_("Taken"),
        jaw_hint=_("lift the probes") if lift else _("Backspace: redo"),
    )


def _live(bench: Walk, taken: Taken | None) -> Number:
    meter = bench.meter
    reading = meter.live if bench.stage is not Stage.CHECKS else bench.taker.live()
    if reading is None:
        return _without_news(bench)
    bar = bar_of(reading, bench.visit.current) if bench.stage is Stage.CHECKS else None
    if bar is not None:
        return _with_digits(
            bench,
            reading,
            state=NumberState.HELD,
            jaws=0.0,
            jaw_word=_("Not taken"),
            jaw_hint=bar_text(bar, bench.visit.current),
        )
    if reading.overload:
        return _overload(bench, reading)
    steady = meter.now_steady
    if steady.phase is Phase.LIFT:
        return _with_digits(
            bench,
            reading,
            state=NumberState.MOVING,
            jaw_word=_("Lift the probes"),
            jaw_hint=_("then touch the next part"),
        )
    if bench.stage is Stage.CHECKS and bench.proving_leads():
        return _with_digits(
            bench,
            reading,
            state=NumberState.MOVING,
            jaw_word=_("Leads proved"),
            jaw_hint=_("now the part"),
        )
    if taken is not None and taken.judgement.verdict is Verdict.CANNOT_TELL:
        met = steady.phase is Phase.STEADY
        return _with_digits(
            bench,
            reading,
            state=NumberState.HELD if met else NumberState.STEADYING,
            jaws=1.0 if met else steady.fraction,
            jaw_word=_("Steady") if met else _("Steadying. Hold still"),
            jaw_hint=_("not taken: too coarse"),
        )
    if steady.phase is Phase.STEADYING:
        return _with_digits(
            bench,
            reading,
            state=NumberState.STEADYING,
            jaws=steady.fraction,
            jaw_word=_("Steadying. Hold still"),
            jaw_hint=_("takes it by itself") if meter.may_take_by_itself else _("Space takes it"),
        )
    if steady.phase is Phase.STEADY:
        return _with_digits(
            bench,
            reading,
            state=NumberState.STEADYING,
            jaws=1.0,
            jaw_word=_("Steady"),
            jaw_hint=_("Space takes it")
            if meter.may_take_by_itself
            else _("Space takes it: display not matched"),
        )
    return _with_digits(
        bench,
        reading,
        state=NumberState.MOVING,
        jaw_word=_("Moving"),
        jaw_hint=_("touch the part, hold still"),
    )


def _without_news(bench: Walk) -> Number:
    """Linked, and nothing live: an old number struck through, or none."""
    meter = bench.meter
    last = meter.channel.last if meter.channel is not None else None
    if last is not None and meter.age is not None:
        return _with_digits(
            bench,
            last.reading,
            state=NumberState.STALE,
            jaw_word=_("Old: {age:.0f} s ago").format(age=meter.age),
            jaw_hint=_("check the link"),
        )
    words = {
        LinkState.LOST: _("Meter lost"),
        LinkState.WAITING: _("Meter lost"),
        LinkState.GARBAGE: _("Not understood"),
    }.get(meter.link_state, _("Waiting for the meter"))
    wanted = dial_of(bench.wanted)
    return Number(
        state=NumberState.WAITING,
        jaw_word=words,
        jaw_hint=_("M: type it in") if bench.stage is Stage.CHECKS else wanted,
    )


def _overload(bench: Walk, reading: Reading) -> Number:
    proved = bench.meter.leads_proved()
    over = ""
    if reading.full_scale is not None and reading.quantity is not None:
        over = _("over {value}").format(value=scaled(reading.full_scale, reading.quantity))
    if bench.stage is not Stage.CHECKS:
        return Number(
            state=NumberState.OVERLOAD,
            words=_(ABOVE),
            jaw_word=_("Touch the probes together"),
            jaw_hint=over,
        )
    return Number(
        state=NumberState.OVERLOAD,
        words=_(ABOVE),
        jaw_word=_("On the part? Space takes it") if proved else _("Touch the probes first"),
        jaw_hint=over,
    )


def _with_digits(
    bench: Walk,
    reading: Reading,
    *,
    state: NumberState,
    jaws: float = 0.0,
    jaw_word: str = "",
    jaw_hint: str = "",
) -> Number:
    if reading.overload:
        return Number(state=state, words=_(ABOVE), jaws=jaws, jaw_word=jaw_word, jaw_hint=jaw_hint)
    digits, unit = shown(reading, bench.units)
    return Number(
        state=state, digits=digits, unit=unit, jaws=jaws, jaw_word=jaw_word, jaw_hint=jaw_hint
    )

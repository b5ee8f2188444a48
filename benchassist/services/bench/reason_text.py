"""A verdict and why, in words: one sentence, one fact."""

from benchassist.core.accuracy import Part
from benchassist.core.advice import Foresight, Reach
from benchassist.core.band import Band, Judgement, Reason, Side, Verdict
from benchassist.core.reading import Reading
from benchassist.services.bench.advice_text import advice_sentence
from benchassist.services.translation import _
from benchassist.units import Shown, UnitChoice, difference_text, scaled, step_text

SHOP = UnitChoice()

_VERDICT = {
    (Verdict.IN_BAND, None): _("In band"),
    (Verdict.OUT_OF_BAND, None): _("Out of band"),
    (Verdict.OUT_OF_BAND, Side.LOW): _("Out of band, low"),
    (Verdict.OUT_OF_BAND, Side.HIGH): _("Out of band, high"),
    (Verdict.TOO_CLOSE, None): _("Too close to call"),
    (Verdict.CANNOT_TELL, None): _("Meter can’t tell"),
    (Verdict.BY_EYE, None): _("Checked by eye"),
    (Verdict.RECORDED, None): _("Recorded"),
}

_REASON = {
    Reason.CLEAR_OF_EDGES: _("Clear of the edge by {room}."),
    Reason.TOUCHES_EDGE: _("Its doubt of ±{doubt} laps over the edge at {edge}."),
    Reason.OPEN: _("Above {range}: the path is open."),
    Reason.INSULATES: _("Above {range}: nothing conducts here."),
    Reason.RANGE_UNKNOWN: _("Above range, and the range is not known."),
    Reason.LEADS_UNPROVED: _("A broken lead looks the same."),
    Reason.ZERO_AGAIN: _("It reads below zero by more than its doubt."),
}

_MOSTLY = {
    Part.ACCURACY: _("Most of its doubt is the meter’s accuracy."),
    Part.COUNT: _("Most of its doubt is the size of one count."),
    Part.LEAD_ZERO: _("Most of its doubt is the lead zero."),
    Part.SPREAD: _("Most of its doubt is the unsteady contact."),
    Part.TEMPERATURE: _("Most of its doubt is the part’s temperature."),
    Part.CURRENT_ACCURACY: _("Most of its doubt is the current."),
    Part.CURRENT_COUNT: _("Most of its doubt is the current."),
}

_FORESEEN = {
    Reach.OPEN_ONLY: _("The {range} range finds an open only here."),
    Reach.NOTHING: _("The {range} range can’t tell anything here."),
    Reach.CALLS_SOME: _("The {range} range calls only the middle of the band."),
}


def verdict_word(verdict: Verdict, side: Side | None = None) -> str:
    """The verdict as it stands on every screen and slip."""
    return _VERDICT.get((verdict, side)) or _VERDICT[verdict, None]


def reasons(
    judgement: Judgement, band: Band | None, reading: Reading, *, units: UnitChoice = SHOP
) -> tuple[str, ...]:
    """Why, in one or two sentences of one fact each."""
    if band is None or judgement.reason in {Reason.NO_BAND, Reason.LOOKED}:
        return (_("No band to hold it against."),) if judgement.reason is Reason.NO_BAND else ()
    figures = _Figures(judgement, band, reading, units)
    told = {
        Reason.COUNT_UNKNOWN: figures.unknown,
        Reason.BEYOND_EDGE: figures.beyond_edge,
        Reason.TOO_COARSE: figures.too_coarse,
        Reason.GO_UP_A_RANGE: figures.range_too_low,
    }.get(judgement.reason)
    if told is not None:
        return told()
    first = _REASON[judgement.reason].format(
        room=figures.clearance(),
        doubt=figures.doubt(),
        edge=figures.nearest_edge(),
        range=figures.range_end(),
    )
    if judgement.reason is Reason.TOUCHES_EDGE and judgement.dominant is not None:
        return (first, _MOSTLY[judgement.dominant])
    return (first,)


def foresight_lines(
    foresight: Foresight, band: Band | None, *, units: UnitChoice = SHOP
) -> tuple[str, ...]:
    """What the meter on its range cannot do for this step, and what can; said beforehand."""
    if band is None or foresight.reach not in _FORESEEN:
        return ()
    range_ = scaled(foresight.range.full_scale, band.quantity, units=units)
    first = _FORESEEN[foresight.reach].format(range=range_)
    return (first, *(advice_sentence(a, band.quantity, units=units) for a in foresight.advice[:1]))


class _Figures:
    """The figures of one verdict as text, all in the prefix the band is stated in."""

    def __init__(
        self, judgement: Judgement, band: Band, reading: Reading, units: UnitChoice
    ) -> None:
        self.judgement, self.band, self.reading, self.units = judgement, band, reading, units

    def difference(self, value: float) -> Shown:
        return difference_text(value, self.band.quantity, units=self.units)

    def stated(self, value: float) -> Shown:
        return step_text(value, self.band.quantity, units=self.units)

    def clearance(self) -> Shown:
        return self.difference(abs(self.judgement.clearance or 0.0))

    def doubt(self) -> Shown:
        return self.difference(self.judgement.expanded_uncertainty or 0.0)

    def nearest_edge(self) -> Shown:
        y = self.judgement.value or 0.0
        limits = [v for v in (self.band.lower, self.band.high) if v is not None]
        nearest = min(limits, key=lambda limit: abs(limit - y), default=0.0)
        return scaled(nearest, self.band.quantity, units=self.units)

    def range_end(self) -> str:
        full_scale = self.reading.full_scale
        if full_scale is None:
            return _("the range")
        return str(scaled(full_scale, self.band.quantity, units=self.units))

    def unknown(self) -> tuple[str, ...]:
        if self.reading.resolution is None:
            return (_("How far the meter steps is not known."),)
        return (_("The meter’s accuracy depends on its range, which is not known."),)

    def beyond_edge(self) -> tuple[str, ...]:
        text = (
            _("Below the lower edge by {room} at least.")
            if self.judgement.side is Side.LOW
            else _("Above the upper edge by {room} at least.")
        )
        return (text.format(room=self.clearance()),)

    def range_too_low(self) -> tuple[str, ...]:
        text = (
            _("This range ends at {range}: above it may still be in band.")
            if self.reading.overload
            else _("This range ends at {range}, below what the band needs.")
        )
        return (text.format(range=self.range_end()),)

    def too_coarse(self) -> tuple[str, ...]:
        low, high, q = self.band.lower, self.band.high, self.reading.resolution
        width = (high or 0.0) - (low or 0.0) if high is not None else None
        said = []
        if q is not None and (width is None or 2.0 * q >= width):
            said.append(_("This range steps in {step}.").format(step=self.stated(q)))
        else:
            said.append(_("The doubt here is ±{doubt}.").format(doubt=self.doubt()))
        if width is not None and low is not None:
            text = _("The whole band is only {width} wide.")
            said.append(text.format(width=self.stated(width)))
        elif high is not None:
            edge = scaled(high, self.band.quantity, units=self.units)
            said.append(_("The band ends at {edge}.").format(edge=edge))
        return tuple(said)

"""Whether a run may begin with the meter as it is, and what tells the part's temperature."""

from dataclasses import replace

from benchassist.core.accuracy import WORST_CASE, Accuracy
from benchassist.core.quantity import Quantity
from benchassist.core.run import RunHeader, RunKind, RunPlan
from benchassist.errors import StepError
from benchassist.services.metering.meter import Meter
from benchassist.services.metering.switch_off import switch_off_warning
from benchassist.services.needs import Recording
from benchassist.services.runs.feed import refusal
from benchassist.services.runs.keeping import RunKeeping
from benchassist.services.runs.view import Figure, RunView
from benchassist.services.translation import _
from benchassist.units import UnitChoice
from benchassist.units import shown as written


def refuse_start(plan: RunPlan, wanted: Quantity | None, meter: Meter) -> None:
    """Raise StepError where a heat run could not be read; other kinds may be typed."""
    if plan.kind is not RunKind.HEAT:
        return
    if not meter.linked:
        raise StepError(_("a heat run needs a meter: link one on the meters page, then start"))
    live = meter.live
    if live is None:
        raise StepError(_("no live reading: check the meter and its lead, then start"))
    refused = refusal(live, wanted)
    if refused is not None:
        raise StepError(_("set the meter to ohms, with HOLD, REL, MIN and MAX off, then start"))
    if live.overload:
        raise StepError(_("it reads above range: clip onto the part first, then start"))


def warnings_of(wanted: Quantity | None, meter: Meter) -> tuple[str, ...]:
    """What to be told of the meter before a long run: it may switch itself off."""
    if wanted is None or meter.request is None:
        return ()
    warning = switch_off_warning(meter.request.protocol, None)
    return (warning,) if warning else ()


def ready_view(
    shown: RunView,
    wanted: Quantity | None,
    meter: Meter,
    thermometer: Meter | None,
    units: UnitChoice,
) -> RunView:
    """What a run about to start shows, with what the meters read by now and what to be told."""
    figures = list(shown.figures)
    if shown.kind is RunKind.HEAT and figures:
        figures[0] = _live_figure(figures[0], wanted, meter, units)
        if len(figures) > 1 and thermometer is not None:
            figures[1] = _live_figure(figures[1], Quantity.TEMPERATURE, thermometer, units)
    notes = (*shown.notes, *warnings_of(wanted, meter))
    return replace(shown, figures=tuple(figures), notes=notes)


def _live_figure(
    figure: Figure, wanted: Quantity | None, meter: Meter, units: UnitChoice
) -> Figure:
    live = meter.live
    if live is None or live.quantity is not wanted:
        return figure
    if live.overload:
        return replace(figure, digits="", unit="", words=_("Above range"))
    digits, unit = written(live, units)
    return replace(figure, digits=digits, unit=unit)


def begin_recording(
    keeping: RunKeeping, header: RunHeader, *, wanted: Quantity | None, meter: Meter, at: float
) -> Recording | None:
    """Samples go to disk from here on; None where there is nothing to sample.

    Raises StepError for a shop that keeps no runs or has one on, StoreError from the store.
    """
    if wanted is None or not meter.linked:
        return None
    if keeping.store is None or keeping.tap is None:
        raise StepError(_("this shop keeps no runs"))
    if keeping.tap.busy:
        raise StepError(_("another visit has a run on: end that one first"))
    recording = keeping.store.record(header, {"A": 0.0, "B": 0.0})
    keeping.tap.begin(recording, at)
    return recording


def stated_accuracy(meter: Meter) -> Accuracy | None:
    """What is stated of a meter for what it shows now; None where it shows nothing or nothing is.

    The worst case is what nothing stated comes to.
    """
    if meter.channel is None or meter.live is None:
        return None
    accuracy = meter.channel.setup.accuracy_of(meter.live)
    return None if accuracy == WORST_CASE else accuracy


def meter_name(meter: Meter) -> str:
    """What a meter is called: its card's name, else its family's."""
    return meter.channel.setup.name if meter.channel is not None else ""


def thermometer_name(thermometer: Meter | None) -> str:
    """The second meter's name while it shows a temperature, empty otherwise."""
    if thermometer is None or thermometer.live is None:
        return ""
    if thermometer.live.quantity is not Quantity.TEMPERATURE:
        return ""
    return meter_name(thermometer)

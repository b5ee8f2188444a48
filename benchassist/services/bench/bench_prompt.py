"""What a typed line becomes on the bench: a reading, a note, a temperature, work done."""

from dataclasses import replace

from benchassist.core.entry import Did, Noted, Stamp, Taken, TemperatureSet
from benchassist.core.estimate import PartTemperature
from benchassist.core.plain_text import brief
from benchassist.core.procedure import Check
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading, Source
from benchassist.errors import InputError, StepError
from benchassist.services.bench.prompt import Purpose
from benchassist.services.bench.stage import Stage
from benchassist.services.bench.taker import TYPED
from benchassist.services.bench.taking import VOLT_DROP, judge_volt_drop
from benchassist.services.bench.walk import Walk
from benchassist.services.runs import key as run_key
from benchassist.services.translation import _
from benchassist.units import LengthUnit, Typed, read_part_temperature, read_typed


def submit(bench: Walk, text: str) -> None:
    """Enter was pressed on a line. A line that cannot be read stays, with what would be right."""
    prompt = bench.prompt
    if prompt is None:
        raise StepError(_("nothing is being typed: press M to type a reading"))
    bench.prompt = replace(prompt, text=text, error="")
    try:
        done = _HANDLERS[prompt.purpose](bench, text)
    except InputError as error:
        bench.prompt = replace(prompt, text=text, error=str(error))
        return
    except StepError as error:
        bench.prompt = replace(prompt, text=text, error=str(error))
        return
    if done:
        bench.prompt = None
        if prompt.purpose is Purpose.TEMPERATURE:
            bench.begin_stages()


def preview(bench: Walk, text: str) -> None:
    """The line so far; an unfinished line is no fault yet."""
    if bench.prompt is not None:
        bench.prompt = replace(bench.prompt, text=text, error="")


def typed_so_far(bench: Walk) -> Reading | None:
    """What the line so far would be as a reading, None while it is not one."""
    prompt = bench.prompt
    if prompt is None or prompt.purpose is not Purpose.READING or not prompt.text.strip():
        return None
    try:
        return _reading(bench, prompt.text, bench.visit.current)
    except InputError:
        return None


def unit_when_omitted(bench: Walk, check: Check, text: str = "") -> str:
    """The unit a bare number gets: the check's, in the shop's choice.

    In a shop of thousandths, 30 is what a feeler is marked and .030 what a caliper shows.
    """
    inches = bench.units.length is LengthUnit.THOUSANDTH and check.quantity is Quantity.LENGTH
    if inches and text.strip().isdecimal():
        return "thou"
    if check.quantity is Quantity.RESISTANCE:
        typical = check.typical or 1.0
        return "Mohm" if typical >= 1e6 else "kohm" if typical >= 1e3 else "ohm"
    return bench.units.typed_unit(check.quantity) if check.quantity is not None else ""


def _reading(bench: Walk, text: str, check: Check) -> Reading:
    """A typed line as a reading for a check. Raises UnitError saying what would be right."""
    if check.quantity is None:
        raise InputError(_("this step wants no number"))
    unit = unit_when_omitted(bench, check, text)
    written, _sep, range_text = text.strip().partition(" ")
    typed = (
        _overload_with_range(written, range_text, check.quantity, unit)
        if written.upper().replace(".", "") == "OL" and range_text
        else read_typed(text, quantity=check.quantity, default_unit=unit)
    )
    return bench.taker.typed(_as_reading(typed))


def _overload_with_range(
    written: str, range_text: str, quantity: Quantity, unit: str
) -> Reading | Typed:
    """'OL 20k': above range, and the range it was above; `unit` where it says none."""
    full_scale = read_typed(range_text, quantity=quantity, default_unit=unit)
    if full_scale.value is None or full_scale.value <= 0.0:
        raise InputError(
            _("'{text}' is no range: type where it ends, such as OL 20k").format(
                text=brief(range_text)
            )
        )
    overload = _as_reading(read_typed(written, quantity=quantity))
    return replace(overload, full_scale=full_scale.value)


def _as_reading(typed: Typed | Reading) -> Reading:
    if isinstance(typed, Reading):
        return typed
    return Reading(
        t_s=0.0,
        channel=TYPED,
        quantity=typed.quantity,
        value=typed.value,
        resolution=typed.resolution,
        overload=typed.overload,
        exponent=typed.exponent,
        source=Source.TYPED,
    )


def _take_reading(bench: Walk, text: str) -> bool:
    reading = _reading(bench, text, bench.visit.current)
    if reading.overload and not bench.taker.leads_proved(reading):
        raise StepError(
            _("a broken lead looks the same: touch the probes together, press Z and type it first")
        )
    bench.waiting = bench.taker.take(reading, by_key=True)
    return True


def _note(bench: Walk, text: str) -> bool:
    if text.strip():
        key = bench.visit.current.key
        bench.taker.write(lambda stamp: Noted(stamp=stamp, text=text.strip(), check_key=key))
    return True


def _did(bench: Walk, text: str) -> bool:
    if not text.strip():
        raise InputError(_("say what was done, such as: new cap fitted"))
    key = bench.visit.current.key
    bench.taker.write(lambda stamp: Did(stamp=stamp, text=text.strip(), check_key=key))
    bench.flash = None
    return True


def _unmark(bench: Walk, text: str) -> bool:
    prompt, own = bench.prompt, bench.own_bands
    if prompt is not None and own is not None:
        bench.message = own.set_aside(bench.visit.header.id, prompt.memory, text)
    return True


def _temperature(bench: Walk, text: str) -> bool:
    shop = not text.strip()
    if shop:
        celsius = bench.settings.shop_celsius
    else:
        unit = bench.units.typed_unit(Quantity.TEMPERATURE)
        celsius = read_part_temperature(text, default_unit=unit)

    def entry(stamp: Stamp) -> TemperatureSet:
        return TemperatureSet(stamp=stamp, temperature=PartTemperature(celsius=celsius), shop=shop)

    bench.taker.write(entry)
    return True


def _leads(bench: Walk, text: str) -> bool:
    reading = bench.taker.typed(_as_reading(read_typed(text, quantity=Quantity.RESISTANCE)))
    bench.taker.keep_zero(TYPED, bench.meter.judge_zero(reading, bench.meter.setup))
    bench.end_stage(Stage.LEADS)
    return True


def _known_resistor(bench: Walk, text: str) -> bool:
    unit = "kohm" if bench.settings.known_resistor >= 1e3 else "ohm"
    typed = read_typed(text, quantity=Quantity.RESISTANCE, default_unit=unit)
    bench.known.take(bench.taker.typed(_as_reading(typed)), bench.moment)
    bench.end_stage(Stage.KNOWN_RESISTOR)
    return True


def _drop_current(bench: Walk, text: str) -> bool:
    typed = read_typed(text, quantity=Quantity.CURRENT, default_unit="mA")
    if typed.value is None or not 0.0 < typed.value <= 0.1:
        raise InputError(_("'{text}': use more than 0 and at most 100 mA").format(text=brief(text)))
    bench.ask(Purpose.DROP_VOLTS, memory=text)
    return False


def _drop_volts(bench: Walk, text: str) -> bool:
    prompt = bench.prompt
    memory = prompt.memory if prompt is not None else ""
    current = _as_reading(read_typed(memory, quantity=Quantity.CURRENT, default_unit="mA"))
    volts = _as_reading(read_typed(text, quantity=Quantity.VOLTAGE, default_unit="mV"))
    setup, check = bench.meter.setup, bench.visit.current
    volts, current = setup.complete(volts), setup.complete(current)
    band = bench.visit.band(check)
    conditions, judgement = judge_volt_drop(
        volts,
        current,
        band,
        setup=setup,
        temperature=bench.visit.temperature,
        k=bench.visit.header.k,
    )
    replaced = bench.taker.superseded()

    def entry(stamp: Stamp) -> Taken:
        return Taken(
            stamp=stamp,
            check_key=check.key,
            reading=volts,
            second=current,
            method=VOLT_DROP,
            conditions=conditions,
            judgement=judgement,
            band=band,
            supersedes=replaced,
            meter=setup.name,
            accuracy_note=setup.accuracy_note,
            by_key=True,
        )

    bench.waiting = bench.taker.write(entry)
    return True


_HANDLERS = {
    Purpose.READING: _take_reading,
    Purpose.NOTE: _note,
    Purpose.TEMPERATURE: _temperature,
    Purpose.DID: _did,
    Purpose.UNMARK: _unmark,
    Purpose.LEADS: _leads,
    Purpose.KNOWN_RESISTOR: _known_resistor,
    Purpose.DROP_CURRENT: _drop_current,
    Purpose.DROP_VOLTS: _drop_volts,
    Purpose.RUN: run_key.read,
}

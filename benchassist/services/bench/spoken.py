"""What is said aloud when a reading is taken: 'three point eight six kilo-ohms, in band'.

Digits after the point are said one by one, as they stand on the display.
"""

import re

from benchassist.core.band import Judgement, Reason
from benchassist.core.reading import Reading
from benchassist.services.bench.reason_text import verdict_word
from benchassist.services.translation import _
from benchassist.units import UnitChoice, shown

_NUMBER = re.compile(r"-?[0-9]*\.?[0-9]+")
_DIGIT = tuple(_("zero one two three four five six seven eight nine").split())
_TEEN = tuple(
    _("ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen").split()
)
_TEN = tuple(_("twenty thirty forty fifty sixty seventy eighty ninety").split())

_UNIT = {
    "mΩ": _("milli-ohms"),
    "Ω": _("ohms"),
    "kΩ": _("kilo-ohms"),
    "MΩ": _("mega-ohms"),
    "GΩ": _("giga-ohms"),
    "mV": _("millivolts"),
    "V": _("volts"),
    "kV": _("kilovolts"),
    "µA": _("microamperes"),
    "mA": _("milliamperes"),
    "A": _("amperes"),
    "pF": _("picofarads"),
    "nF": _("nanofarads"),
    "µF": _("microfarads"),
    "Hz": _("hertz"),
    "kHz": _("kilohertz"),
    "MHz": _("megahertz"),
    "rpm": _("turns a minute"),
    "°C": _("degrees celsius"),
    "°F": _("degrees fahrenheit"),
    "mm": _("millimetres"),
    "in": _("inches"),
    "kPa": _("kilopascals"),
    "psi": _("p s i"),
    "s": _("seconds"),
    "min": _("minutes"),
}


def spoken_reading(
    reading: Reading, judgement: Judgement, *, units: UnitChoice | None = None
) -> str:
    """The reading as displayed and its verdict, in words for a voice."""
    word = verdict_word(judgement.verdict, judgement.side)
    if reading.overload:
        opened = judgement.reason in {Reason.OPEN, Reason.INSULATES}
        return spoken_value(_("open") if opened else _("above range"), word)
    digits, unit = shown(reading, units or UnitChoice())
    return spoken_value(f"{digits} {unit}", word)


def spoken_value(value: str, verdict: str) -> str:
    """A value as it stands on the slip, '4.38 kΩ' or 'Open', and the word of its verdict."""
    digits, _blank, unit = value.strip().partition(" ")
    if _NUMBER.fullmatch(digits):
        value = f"{spoken_number(digits)} {_UNIT.get(unit, unit)}".strip()
    said = (text[:1].lower() + text[1:] for text in (value.strip(), verdict) if text)
    return _(", ").join(said)


def spoken_number(digits: str) -> str:
    """A displayed number in words: '10.16' is 'ten point one six'."""
    sign, digits = (_("minus"), digits[1:]) if digits.startswith("-") else ("", digits)
    whole, point, decimals = digits.partition(".")
    said = [sign, _whole(whole or "0")]
    if point:
        said += [_("point"), *(_DIGIT[int(d)] for d in decimals)]
    return " ".join(word for word in said if word)


def _whole(digits: str) -> str:
    """A whole number up to 9999 in words, a longer one digit by digit."""
    n = int(digits)
    if n > 9999:
        return " ".join(_DIGIT[int(d)] for d in digits)
    words = []
    if n >= 1000:
        words += [_DIGIT[n // 1000], _("thousand")]
    if n % 1000 >= 100:
        words += [_DIGIT[n % 1000 // 100], _("hundred")]
    rest = n % 100
    if rest >= 20:
        words += [_TEN[rest // 10 - 2], *([_DIGIT[rest % 10]] if rest % 10 else [])]
    elif rest >= 10:
        words.append(_TEEN[rest - 10])
    elif rest or not words:
        words.append(_DIGIT[rest])
    return " ".join(words)

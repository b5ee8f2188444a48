"""Invented values that every test and picture of paint uses."""

from dataclasses import dataclass
from math import sin

from benchassist.core.band import Side, Verdict
from benchassist.core.ruler import Ruler
from benchassist.core.slip import Ink, Line, Pair, Slip

PRACTICE = "common practice"

IN_BAND = Ruler(
    low=3750.0,
    high=6250.0,
    value=4380.0,
    doubt=60.0,
    verdict=Verdict.IN_BAND,
    earlier=(4350.0, 4330.0),
    unit_text="kΩ",
    factor=1000.0,
    band_label="Band: 3.75–6.25 kΩ, marked 5 kΩ",
    reading_label="4.38 ±0.06",
    earlier_label="2024: 4.35 · 2025: 4.33",
    leads_label="Leads 0.2 Ω: too small to matter here",
    doubt_label="as wide as the meter’s doubt",
)
OUT_HIGH = Ruler(
    low=0.7,
    high=0.8,
    value=0.92,
    doubt=0.03,
    verdict=Verdict.OUT_OF_BAND,
    side=Side.HIGH,
    earlier=(0.76, 0.78, 0.81),
    unit_text="mm",
    band_label="Band: 0.7–0.8 mm, common practice",
    reading_label="0.92 ±0.03",
    earlier_label="2023: 0.76 · 2024: 0.78 · 2025: 0.81",
    doubt_label="as wide as the gauge’s doubt",
)
OUT_LOW = Ruler(
    low=5500.0,
    high=13000.0,
    value=3200.0,
    doubt=70.0,
    verdict=Verdict.OUT_OF_BAND,
    side=Side.LOW,
    unit_text="kΩ",
    factor=1000.0,
    band_label="Band: 5.5–13 kΩ, common practice",
    reading_label="3.20 ±0.07",
    leads_label="Leads 0.2 Ω, taken off",
    doubt_label="as wide as the meter’s doubt",
)
TOO_CLOSE = Ruler(
    low=3750.0,
    high=6250.0,
    value=6200.0,
    doubt=80.0,
    verdict=Verdict.TOO_CLOSE,
    unit_text="kΩ",
    factor=1000.0,
    band_label="Band: 3.75–6.25 kΩ, marked 5 kΩ",
    reading_label="6.20 ±0.08",
    doubt_label="as wide as the meter’s doubt",
)
CANNOT_TELL = Ruler(
    low=0.6,
    high=1.3,
    value=0.0,
    doubt=20.0,
    verdict=Verdict.CANNOT_TELL,
    unit_text="Ω",
    band_label="Band: 0.6–1.3 Ω, common practice",
    reading_label="0 ±20",
    doubt_label="as wide as the meter’s doubt",
    leads_label="Leads 0.2 Ω, taken off",
)
INSULATES = Ruler(
    low=10e6,
    high=None,
    overload=True,
    verdict=Verdict.IN_BAND,
    unit_text="MΩ",
    factor=1e6,
    band_label="Band: 10 MΩ and more, common practice",
    reading_label="Above range",
    doubt_label="",
)
UP_TO = Ruler(
    low=None,
    high=0.5,
    value=0.3,
    doubt=0.05,
    verdict=Verdict.IN_BAND,
    unit_text="Ω",
    band_label="Band: up to 0.5 Ω, common practice",
    reading_label="0.30 ±0.05",
    doubt_label="as wide as the meter’s doubt",
    leads_label="Leads 0.2 Ω, taken off",
)
RECORDED = Ruler(
    low=None,
    high=None,
    value=6520.0,
    doubt=70.0,
    unit_text="kΩ",
    factor=1000.0,
    reading_label="6.52 ±0.07",
    doubt_label="as wide as the meter’s doubt",
)
BEFORE_AFTER = Ruler(
    low=0.7,
    high=0.8,
    value=0.75,
    doubt=0.03,
    before=0.92,
    verdict=Verdict.IN_BAND,
    unit_text="mm",
    band_label="Band: 0.7–0.8 mm, common practice",
    reading_label="0.75 ±0.03",
    doubt_label="as wide as the gauge’s doubt",
)
EMPTY = Ruler(
    low=3750.0,
    high=6250.0,
    unit_text="kΩ",
    factor=1000.0,
    band_label="Band: 3.75–6.25 kΩ, marked 5 kΩ",
)
NEGATIVE = Ruler(
    low=-5.0,
    high=5.0,
    value=-6.1,
    doubt=0.8,
    verdict=Verdict.OUT_OF_BAND,
    side=Side.LOW,
    unit_text="V",
    band_label="Band: −5 to 5 V, typed",
    reading_label="−6.1 ±0.8",
    floor_at_zero=False,
    doubt_label="as wide as the meter’s doubt",
)
RULERS = {
    "in_band": IN_BAND,
    "out_high": OUT_HIGH,
    "out_low": OUT_LOW,
    "too_close": TOO_CLOSE,
    "cannot_tell": CANNOT_TELL,
    "insulates": INSULATES,
    "up_to": UP_TO,
    "recorded": RECORDED,
    "before_after": BEFORE_AFTER,
    "empty": EMPTY,
    "negative": NEGATIVE,
}
LABELS = {
    "cap": {"lead_end": "Lead end", "plug_end": "Plug end"},
    "coil_primary": {"core": "Bare core", "tab": "Stop tab"},
    "coil_secondary": {"core": "Bare core", "lead_end": "Lead end, cap off"},
    "path": {"core": "Bare core", "cap_end": "Cap terminal"},
    "plug": {"stud": "Stud", "tip": "Centre tip"},
    "plug_gap": {"gap": "Gap", "gauge": "Wire gauge"},
    "stop_wire": {"wire": "Wire, unplugged", "engine": "Bare engine", "run": "Run"},
    "stop_switch": {"wire": "Stop wire", "ground": "Ground", "off": "Off"},
    "oil_switch": {"wire": "Switch wire", "engine": "Bare engine", "oil": "Oil, full"},
    "leads": {"together": "Tips together"},
    "self_check": {"resistor": "Known resistor"},
    "air_gap": {"card": "Card", "coil": "Coil", "magnet": "Magnet"},
    "spark_tester": {"gap": "Watch the gap", "cap": "Plug cap", "ground": "Clip on bare engine"},
    "tachometer": {"clamp": "Clamp on the plug lead", "rpm": "rpm"},
    "look": {"look": "Look first"},
}


@dataclass(frozen=True, slots=True)
class Strip:
    """Readings of the last minute, as the bench shows them."""

    seconds: tuple[float, ...]
    values: tuple[float | None, ...]
    low: float | None = None
    high: float | None = None
    unit: str = ""


_TIMES = tuple(-55.0 + 0.25 * i for i in range(221))
STRIPS = {
    "steadying": Strip(
        _TIMES,
        tuple(4.38 + (0.6 if t < -30 else 0.004) * sin(3.1 * t) for t in _TIMES),
        3.75,
        6.25,
        "kΩ",
    ),
    "overloads": Strip(
        _TIMES,
        tuple(None if -40 < t < -32 or -9 < t < -8 else 6.5 + 0.01 * sin(t) for t in _TIMES),
        5.9,
        7.1,
        "kΩ",
    ),
    "no_band": Strip(_TIMES[:60], tuple(0.2 + 0.001 * (i % 7) for i in range(60)), None, None, "Ω"),
    "empty": Strip((), (), 3.75, 6.25, "kΩ"),
    "open": Strip(_TIMES, (None,) * len(_TIMES), 10.0, None, "MΩ"),
}

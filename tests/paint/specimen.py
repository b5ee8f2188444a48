"""Invented values that every test and picture of paint uses."""

from dataclasses import dataclass, replace
from math import sin

from benchassist.core.band import Side, Verdict
from benchassist.core.ruler import Ruler
from benchassist.core.slip import Ink, Line, Pair, Slip
from benchassist.paint.slip_panel import Section, Sheet

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
OWN_BESIDE = replace(
    IN_BAND,
    own_low=4550.0,
    own_high=5450.0,
    own_label="This shop: 4.55 to 5.45 kΩ, from 14 good parts",
)
OWN_OPEN = replace(
    INSULATES,
    overload=False,
    own_low=12e6,
    own_label="This shop: at least 12 MΩ, from 11 good parts",
)
RULERS = {
    "own_beside": OWN_BESIDE,
    "own_open": OWN_OPEN,
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
    "stop_wire": {"wire": "Stop wire, off", "engine": "Block", "run": "RUN"},
    "stop_switch": {"wire": "Stop wire, off", "engine": "Block", "off": "STOP"},
    "oil_switch": {"oil_wire": "Switch wire", "engine": "Block", "oil": "Oil switch"},
    "leads": {"together": "Tips together"},
    "self_check": {"resistor": "Known resistor"},
    "air_gap": {"card": "Card", "coil": "Coil", "magnet": "Magnet"},
    "spark_tester": {"gap": "Watch the gap", "cap": "Plug cap", "ground": "Clip on bare engine"},
    "tachometer": {"clamp": "Clamp on the plug lead", "rpm": "rpm"},
    "look": {"look": "Look first"},
}

SECONDARY = Ruler(
    low=5500.0,
    high=8000.0,
    value=6520.0,
    doubt=70.0,
    verdict=Verdict.IN_BAND,
    earlier=(6470.0, 6480.0, 6500.0),
    unit_text="kΩ",
    factor=1000.0,
)
SPEED = Ruler(
    low=3450.0,
    high=3750.0,
    value=3610.0,
    doubt=20.0,
    verdict=Verdict.IN_BAND,
    earlier=(3590.0,),
    unit_text="rpm",
)
NEW_COIL = Ruler(
    low=5500.0,
    high=8000.0,
    value=6310.0,
    doubt=70.0,
    before=6520.0,
    verdict=Verdict.IN_BAND,
    unit_text="kΩ",
    factor=1000.0,
)
VENT = Line(
    number=1,
    name="Fuel cap vent",
    ink=Ink.INK,
    words="breathes freely",
    verdict=Verdict.BY_EYE,
    verdict_text="Checked by eye",
)
GAP = Line(
    number=2,
    name="Plug gap",
    ink=Ink.INK,
    value="0.92 mm",
    doubt="±0.03",
    ruler=OUT_HIGH,
    verdict=Verdict.OUT_OF_BAND,
    side=Side.HIGH,
    verdict_text="Out of band, high",
    typed=True,
    notes=("typed", "worn square"),
)
WIRE = Line(
    number=3,
    name="Stop wire, unplugged",
    ink=Ink.INK,
    value="Open",
    ruler=INSULATES,
    verdict=Verdict.IN_BAND,
    verdict_text="In band",
)
CAP_STRUCK = Line(
    number=4,
    name="Plug cap, end to end",
    ink=Ink.STRUCK,
    value="4.91 kΩ",
    doubt="±0.06",
    verdict=Verdict.IN_BAND,
    verdict_text="In band",
    ruler=IN_BAND,
)
CAP = Line(
    number=4,
    name="Plug cap, end to end",
    ink=Ink.PENCIL,
    value="4.38 kΩ",
    doubt="±0.06",
    ruler=IN_BAND,
    verdict=Verdict.IN_BAND,
    verdict_text="In band so far",
)
PRIMARY = Line(
    number=5,
    name="Coil primary",
    ink=Ink.INK,
    value="0.00 kΩ",
    doubt="±0.02",
    ruler=CANNOT_TELL,
    verdict=Verdict.CANNOT_TELL,
    verdict_text="Meter can’t tell",
)
SECONDARY_LINE = Line(
    number=6,
    name="Coil secondary, without the cap, cold",
    ink=Ink.INK,
    value="6.52 kΩ",
    doubt="±0.07",
    ruler=SECONDARY,
    verdict=Verdict.IN_BAND,
    verdict_text="In band",
)
PATH = Line(
    number=7,
    name="Whole path, cap to core",
    ink=Ink.INK,
    value="6.20 kΩ",
    doubt="±0.08",
    ruler=TOO_CLOSE,
    verdict=Verdict.TOO_CLOSE,
    verdict_text="Too close to call",
)
SKIPPED = Line(number=8, name="Spark tester", ink=Ink.SKIPPED, words="skipped")
TO_DO = Line(number=9, name="Low idle speed")
RUN = Line(
    number=10,
    name="High idle speed",
    ink=Ink.INK,
    value="3610 rpm",
    doubt="±20",
    ruler=SPEED,
    verdict=Verdict.IN_BAND,
    verdict_text="In band",
)
LONG = Line(
    number=11,
    name="Low-oil switch, wire to block, engine level and filled to the mark",
    ink=Ink.INK,
    words="conducts one way only, with either polarity of the probes",
    verdict=Verdict.BY_EYE,
    verdict_text="Checked by eye",
)
MARKED = Line(
    number=12,
    name="Unmarked cap",
    ink=Ink.INK,
    value="7.9 kΩ",
    doubt="±0.1",
    verdict=Verdict.RECORDED,
    verdict_text="Recorded, no band",
)
LINES = (
    VENT,
    GAP,
    WIRE,
    CAP_STRUCK,
    CAP,
    PRIMARY,
    SECONDARY_LINE,
    PATH,
    SKIPPED,
    TO_DO,
    RUN,
    LONG,
    MARKED,
)
PAIRS = (
    Pair(
        name="Fitted new ignition coil, cold",
        before="6.52 kΩ",
        after="6.31 kΩ",
        ruler=NEW_COIL,
        verdict=Verdict.IN_BAND,
        verdict_text="In band",
    ),
    Pair(
        name="Cleaned fuel tap",
        words="not measured before and after",
    ),
    Pair(
        name="Set plug gap",
        before="0.92 mm",
        after="0.75 mm",
        ruler=BEFORE_AFTER,
        verdict=Verdict.IN_BAND,
        verdict_text="In band",
    ),
)
SLIP = Slip(
    title="Job slip 0412",
    subtitle="Hob Lane Engine Shop · 9 Jun 2026 · done by R. Pell",
    date_text="9 Jun 2026",
    customer="Tallow Hill Cider Orchard",
    unit_text="Power-sprayer pump",
    engine_text="Corvane C-210, 208 cc horizontal OHV · visit 4",
    tag="TH-07",
    tag_payload="TH-07",
    tag_hint="Scan at the counter for this machine’s file",
    said_label="You said:",
    said="“Quits after about 25 min, restarts after 10 min cool.”",
    in_short_label="In short:",
    in_short="9 measured; 5 in band; out of band: Plug gap; 2 undecided.",
    found_title="Found",
    found_hint="bar = band it should sit in · tick = what we read · lozenge = the meter’s doubt",
    lines=LINES,
    did_title="Did",
    did_hint="dashed tick = before · solid tick = after",
    pairs=PAIRS,
    proved_title="Proved",
    proved=(
        "Plug gap: out of band, 0.92 mm ±0.03.",
        "In band as measured: stop wire, cap, secondary, high idle.",
        "The meter read a known resistor right at the start.",
    ),
    not_proved_title="Not proved",
    not_proved=(
        "A full day’s spraying under load.",
        "Coil primary: meter can’t tell.",
        "Nothing was measured hot: a fault that shows only hot is not ruled out.",
        "Resistance in band does not clear a coil: it can still break down at high voltage.",
    ),
    care_label="Take care:",
    care="The pump belt guard is cracked: fit a new one before you run it. If it happens again, "
    "note the minutes, let it cool and call us. Bands are common practice unless marked "
    "otherwise; the maker’s manual has the last word.",
    conditions=(
        "Meter A, 2,000-count hand-held, 0.8% + 2 counts on 20 kΩ. Leads 0.2 Ω taken off.",
        "Parts at 21 °C. Capacitor 0.24 µF discharged first.",
        "Known resistor 10.00 kΩ read 10.02 kΩ at the start, 10.01 kΩ at the end.",
    ),
)


def full_slip(lines: int, pairs: int) -> Slip:
    """A slip with that many lines and pairs."""
    many = tuple(
        replace(LINES[i % len(LINES)], number=i + 1, name=f"Check {i + 1} of a long visit")
        for i in range(lines)
    )
    work = tuple(replace(PAIRS[i % len(PAIRS)], name=f"Work {i + 1} done") for i in range(pairs))
    return replace(SLIP, lines=many, pairs=work)


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """The top of the slip beside the bench."""

    title: str = "Job slip 0412"
    date_text: str = "9 Jun 2026 · visit 4"
    customer: str = "Tallow Hill Cider Orchard"
    unit_text: str = "Power-sprayer pump · tag TH-07"
    engine_text: str = "Corvane C-210, 208 cc horizontal OHV"
    said: str = "“Quits after about 25 min, restarts after 10 min cool”"


SHEET = Sheet(
    head=Head(),
    found_title="Found",
    found_hint="writes itself as you test",
    lines=(VENT, GAP, WIRE, CAP, *(Line(number=n, name=f"Check {n}") for n in range(5, 10))),
    current=3,
    sections=(Section(title="Did"), Section(title="Proved"), Section(title="Not proved")),
)
FULL_SHEET = replace(
    SHEET,
    lines=LINES,
    current=4,
    sections=(
        Section(title="Did", texts=("Set plug gap",)),
        Section(title="Proved", texts=SLIP.proved),
        Section(title="Not proved", texts=SLIP.not_proved, solid=False),
    ),
)


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

"""Invented views for every state of every page; no desk behind them."""

from dataclasses import replace

from benchassist.core.band import Side, Verdict
from benchassist.core.ruler import Ruler
from benchassist.core.slip import Ink, Line
from benchassist.services.bench.view import (
    Ask,
    BenchView,
    Choice,
    Fix,
    KeyHint,
    Number,
    NumberState,
    RibbonItem,
    SlipHead,
    Strip,
)
from benchassist.services.desk import (
    CounterView,
    Field,
    FieldChoice,
    FieldKind,
    LastLine,
    MachineCard,
    MatchRow,
    MatchView,
    MetersView,
    PortRow,
    ProposalRow,
    ProtocolRow,
    RangeRow,
    SlipCard,
)

CAP_RULER = Ruler(
    low=3750.0,
    high=6250.0,
    value=4380.0,
    doubt=60.0,
    verdict=Verdict.IN_BAND,
    so_far=True,
    earlier=(4350.0, 4330.0),
    unit_text="kΩ",
    factor=1000.0,
    band_label="Band: 3.75 to 6.25 kΩ, marked 5 kΩ",
    reading_label="4.38 ±0.06",
    earlier_label="2024: 4.35 · 2025: 4.33",
    leads_label="Leads 0.2 Ω: too small to matter here",
    doubt_label="as wide as the meter’s doubt",
)
GAP_RULER = Ruler(
    low=0.7e-3,
    high=0.8e-3,
    value=0.92e-3,
    doubt=0.03e-3,
    verdict=Verdict.OUT_OF_BAND,
    side=Side.HIGH,
    earlier=(0.76e-3, 0.78e-3),
    unit_text="mm",
    factor=1e-3,
)
STOP_RULER = Ruler(
    low=1e6, high=None, overload=True, verdict=Verdict.IN_BAND, unit_text="MΩ", factor=1e6
)
PRIMARY_RULER = Ruler(
    low=0.6,
    high=1.3,
    value=0.0,
    doubt=20.0,
    verdict=Verdict.CANNOT_TELL,
    unit_text="Ω",
    factor=1.0,
    band_label="Band: 0.6 to 1.3 Ω, common practice",
)
SHORTS = (
    "Vent",
    "Plug gap",
    "Stop wire",
    "Plug cap",
    "Primary",
    "Secondary",
    "Path",
    "Heat run",
    "Engine run",
)
NAMES = (
    "Fuel cap vent",
    "Plug gap",
    "Stop wire, unplugged",
    "Plug cap, end to end",
    "Coil primary",
    "Coil secondary, cold",
    "Whole path, cap to core",
    "Heat run",
    "Engine run",
)
DONE = (
    (Verdict.BY_EYE, None),
    (Verdict.OUT_OF_BAND, Side.HIGH),
    (Verdict.IN_BAND, None),
)
STEP_KEYS = (
    KeyHint(press="Space", text="Take", action="take", main=True, pedal=True),
    KeyHint(press="Backspace", text="Redo", action="redo"),
    KeyHint(press="N", text="Note", action="note"),
    KeyHint(press="D", text="Did work", action="did"),
    KeyHint(press="Z", text="Zero leads", action="zero"),
    KeyHint(press="Right", text="Skip", action="skip"),
)
TEXT_KEYS = (
    KeyHint(press="Enter", text="Keep it", action="submit", main=True),
    KeyHint(press="Esc", text="Leave it", action="cancel"),
)
STEADY = Number(
    state=NumberState.STEADYING,
    digits="4.38",
    unit="kΩ",
    jaws=0.81,
    jaw_word="Steadying. Hold still",
    jaw_hint="takes it by itself",
)


def _line(number: int, **given: object) -> Line:
    return Line(number=number, name=NAMES[number - 1], **given)  # type: ignore[arg-type]


def lines(upto: int, current: Line | None = None) -> tuple[Line, ...]:
    """The slip: steps before `upto` in ink, the current one as given, the rest to do."""
    done = [
        _line(
            1,
            ink=Ink.INK,
            words="breathes freely",
            verdict=Verdict.BY_EYE,
            verdict_text="Checked by eye",
        ),
        _line(
            2,
            ink=Ink.INK,
            value="0.92 mm",
            doubt="±0.03",
            ruler=GAP_RULER,
            verdict=Verdict.OUT_OF_BAND,
            side=Side.HIGH,
            verdict_text="Out of band",
            typed=True,
        ),
        _line(
            3,
            ink=Ink.INK,
            words="Open",
            ruler=STOP_RULER,
            verdict=Verdict.IN_BAND,
            verdict_text="In band",
        ),
        _line(
            4,
            ink=Ink.INK,
            value="4.38 kΩ",
            doubt="±0.06",
            ruler=CAP_RULER,
            verdict=Verdict.IN_BAND,
            verdict_text="In band",
        ),
    ][: upto - 1]
    if current is not None:
        done.append(current)
    return (*done, *(_line(n) for n in range(len(done) + 1, 10)))


def ribbon(current: int, count: int = 9) -> tuple[RibbonItem, ...]:
    """Steps with the first three answered."""
    items = []
    for number in range(1, count + 1):
        verdict, side = DONE[number - 1] if number <= min(3, current - 1) else (None, None)
        if number == 4 and current > 4:
            verdict = Verdict.IN_BAND
        items.append(
            RibbonItem(
                key=f"check_{number}",
                number=number,
                short=SHORTS[(number - 1) % 9],
                current=number == current,
                ink=Ink.INK if number < current else Ink.TO_DO,
                verdict=verdict,
                side=side,
            )
        )
    return tuple(items)


PENCIL = _line(
    4,
    ink=Ink.PENCIL,
    value="4.38 kΩ",
    doubt="±0.06",
    ruler=CAP_RULER,
    verdict=Verdict.IN_BAND,
    verdict_text="In band so far",
)

STEADYING = BenchView(
    head=SlipHead(
        title="Job slip 0412",
        date_text="9 Jun 2026 · visit 4",
        customer="Tallow Hill Cider Orchard",
        unit_text="Power-sprayer pump · tag TH-07",
        engine_text="Corvane C-210, 208 cc horizontal OHV",
        said="“Quits after about 25 min, restarts after 10 min cool”",
    ),
    lines=lines(4, PENCIL),
    current_line=3,
    did=(),
    proved=(),
    not_proved=(),
    place_text="Quits hot · 9 steps",
    meter_text="Meter A linked",
    meter_live=True,
    leads_text="Leads 0.2 Ω, taken off",
    ribbon=ribbon(4),
    title="Plug cap, end to end",
    step_text="Step 4 of 9",
    setting_label="Set the meter:",
    setting="ohms, 20 kΩ range (steps of 10 Ω)",
    touch_label="Touch:",
    touch="one probe on each end of the cap",
    cautions=(),
    sketch="cap",
    number=STEADY,
    ruler=CAP_RULER,
    verdict=Verdict.IN_BAND,
    verdict_text="In band",
    so_far_text="so far",
    reasons=("0.57 kΩ clear of the edge.", "No real change since 2024."),
    keys=STEP_KEYS,
    keys_note="Pedal takes too",
    strip=Strip(
        seconds=tuple(-60.0 + 0.5 * i for i in range(121)),
        values=tuple(
            None if 30 <= i < 36 else 4.38 + 0.01 * ((i * 7) % 5 - 2) - (0.4 if i < 30 else 0.0)
            for i in range(121)
        ),
        low=3.75,
        high=6.25,
        unit="kΩ",
        summary="Last minute: 3.96 to 4.40 kΩ, one break",
    ),
)

STILL = (
    "Engine stopped and flywheel still while the probes are on: a moving magnet puts high voltage"
    " on this wire. Probes off before anyone pulls the rope. The maker’s manual comes first."
)
STOP_OFF = (
    "With the stop wire off, the stop switch and every seat, blade, drive or low-oil protection on"
    " it are dead. Never run the engine so: a hand pull on a grounded tester, nothing more."
    " Reconnect it and tick it off. The maker’s manual comes first."
)
INSULATION = (
    "Use the meter’s own ohms. The voltage of an insulation tester destroys electronics: only with"
    " every module disconnected, and only where the maker’s manual allows it."
)


def bare(view: BenchView, number: Number, **given: object) -> BenchView:
    """A view before anything was read: no ruler, no verdict, the line to do."""
    return replace(
        view,
        lines=lines(4),
        number=number,
        ruler=None,
        verdict=None,
        verdict_text="",
        so_far_text="",
        reasons=(),
        **given,  # type: ignore[arg-type]
    )


NO_METER = bare(
    STEADYING,
    Number(state=NumberState.NO_METER, jaw_word="No meter", jaw_hint="M: type it in"),
    meter_text="No meter",
    meter_live=False,
    keys=(
        KeyHint(press="M", text="Type it in", action="type", main=True),
        *STEP_KEYS[1:],
    ),
    keys_note="",
)
WAITING = bare(
    STEADYING,
    Number(state=NumberState.WAITING, jaw_word="Touch the part", jaw_hint="hold still"),
)
CAUTIONED = replace(WAITING, cautions=(STILL,))
CAUTIONED_THRICE = replace(WAITING, cautions=(STILL, STOP_OFF, INSULATION))
CAUTIONED_READING = replace(
    STEADYING,
    cautions=(STILL, STOP_OFF),
    caution_shorts=("Flywheel still, no pulling", "Stop switch dead: do not run it"),
)
MOVING = replace(
    STEADYING,
    number=replace(
        STEADY, state=NumberState.MOVING, digits="3.97", jaws=0.1, jaw_word="Moving", jaw_hint=""
    ),
)
WRITING = replace(
    STEADYING,
    number=replace(
        STEADY, state=NumberState.WRITING, jaws=1.0, jaw_word="Writing it down", jaw_hint=""
    ),
)
TAKEN = replace(
    STEADYING,
    lines=lines(5),
    number=replace(
        STEADY, state=NumberState.TAKEN, jaws=1.0, jaw_word="Taken", jaw_hint="lift the probes"
    ),
    so_far_text="",
)
STALE = replace(
    STEADYING,
    number=replace(
        STEADY,
        state=NumberState.STALE,
        jaws=0.0,
        jaw_word="Old: 6 s ago",
        jaw_hint="check the link",
    ),
    meter_live=False,
    meter_text="Meter A: silent",
)
OVERLOAD = replace(
    STEADYING,
    number=Number(
        state=NumberState.OVERLOAD,
        words="Above range",
        jaws=0.4,
        jaw_word="Touch the probes first",
        jaw_hint="over 20 kΩ",
    ),
    ruler=replace(
        CAP_RULER,
        value=None,
        doubt=0.0,
        overload=True,
        verdict=Verdict.CANNOT_TELL,
        reading_label="above range",
    ),
    verdict=Verdict.CANNOT_TELL,
    verdict_text="Meter can’t tell",
    reasons=("A broken lead looks the same.", "Touch the probes together first."),
)
TYPING = replace(
    NO_METER,
    number=Number(state=NumberState.TYPING, digits="4.38", unit="kΩ"),
    ask=Ask.TEXT,
    text_label="Type the digits exactly as shown",
    text_hint="3.86k, 0.00 k, .8 or OL. Enter takes it",
    ruler=CAP_RULER,
    verdict=Verdict.IN_BAND,
    verdict_text="In band",
    so_far_text="so far",
    keys=TEXT_KEYS,
)
TYPING_WRONG = replace(
    TYPING,
    number=Number(state=NumberState.TYPING),
    ruler=None,
    verdict=None,
    verdict_text="",
    so_far_text="",
    text_error="'10,160': write 10.160 for ten point one six, or 10160 for ten thousand",
)
NOTING = replace(
    STEADYING,
    ask=Ask.TEXT,
    text_label="Note",
    text_hint="Enter keeps it on the slip",
    keys=TEXT_KEYS,
)
TEMPERATURE = replace(
    WAITING,
    ask=Ask.TEXT,
    text_label="Part temperature",
    text_hint="Enter alone: cold, at shop temperature",
    keys=TEXT_KEYS,
)
TYPED = replace(
    STEADYING,
    number=Number(
        state=NumberState.TYPED,
        digits="4.38",
        unit="kΩ",
        jaw_word="Typed",
        jaw_hint="Backspace: type again",
    ),
    so_far_text="",
    meter_live=False,
    meter_text="No meter",
)
CANNOT_TELL = replace(
    STEADYING,
    ribbon=ribbon(5),
    lines=lines(
        5,
        _line(
            5,
            ink=Ink.PENCIL,
            value="0.00 kΩ",
            doubt="±0.02",
            ruler=PRIMARY_RULER,
            verdict=Verdict.CANNOT_TELL,
            verdict_text="Meter can’t tell",
        ),
    ),
    current_line=4,
    title="Coil primary",
    step_text="Step 5 of 9",
    setting_label="Meter is on:",
    touch="one probe on the stop tab, one on bare core",
    sketch="coil_primary",
    number=Number(
        state=NumberState.HELD,
        digits="0.00",
        unit="kΩ",
        jaws=1.0,
        jaw_word="Steady",
        jaw_hint="not taken: too coarse",
    ),
    ruler=PRIMARY_RULER,
    verdict=Verdict.CANNOT_TELL,
    verdict_text="Meter can’t tell",
    so_far_text="",
    reasons=("This range steps in 10 Ω.", "The whole band is only 0.7 Ω wide."),
    fixes=(
        Fix(
            press="1",
            title="200 Ω range, zero the leads",
            text="Good to ±0.3 Ω. Finds an open only",
            ruler=replace(PRIMARY_RULER, value=0.9, doubt=0.3),
        ),
        Fix(
            press="2",
            title="Volt-drop method",
            text="Good to ±0.02 Ω. Calls it",
            best=True,
            ruler=replace(PRIMARY_RULER, value=0.9, doubt=0.02, verdict=Verdict.IN_BAND),
        ),
    ),
    keys=(
        KeyHint(press="1", text="200 Ω range", action="fix:1"),
        KeyHint(press="2", text="Volt-drop", action="fix:2", main=True),
        *STEP_KEYS[1:],
    ),
    keys_note="",
)
CANNOT_TELL_CAUTIONED = replace(
    CANNOT_TELL, cautions=(STILL, STOP_OFF), caution_shorts=CAUTIONED_READING.caution_shorts
)
LOOK = replace(
    bare(STEADYING, Number(state=NumberState.WAITING)),
    ribbon=ribbon(1),
    lines=tuple(_line(n) for n in range(1, 10)),
    current_line=0,
    title="Fuel cap vent",
    step_text="Step 1 of 9",
    setting_label="",
    setting="",
    touch_label="Look:",
    touch="loosen the cap when it dies; listen for air going in",
    sketch="look",
    ask=Ask.LOOK,
    choices=(
        Choice(key="free", press="1", text="breathes freely"),
        Choice(key="stuck", press="2", text="stuck, or draws air when loosened"),
        Choice(key="none", press="3", text="no vent on this cap"),
    ),
    keys=(
        KeyHint(press="1-3", text="Answer", action="choose", main=True),
        *STEP_KEYS[1:],
    ),
    keys_note="",
)
LOOKED = replace(
    LOOK,
    choices=(replace(LOOK.choices[0], chosen=True), *LOOK.choices[1:]),
    verdict=Verdict.BY_EYE,
    verdict_text="Checked by eye",
)
LOOK_CAUTIONED = replace(LOOK, cautions=(STILL, STOP_OFF, INSULATION, STILL, STOP_OFF))
OPTION = replace(
    bare(STEADYING, Number(state=NumberState.WAITING)),
    ask=Ask.OPTION,
    question="What is the cap marked?",
    choices=(
        Choice(key="marked_5k", press="1", text="5 kΩ"),
        Choice(key="marked_10k", press="2", text="10 kΩ"),
        Choice(key="plain", press="3", text="plain, no resistor"),
        Choice(key="unmarked", press="4", text="no marking"),
    ),
    keys=(
        KeyHint(press="1-4", text="Marking", action="choose", main=True),
        KeyHint(press="Right", text="Skip", action="skip"),
    ),
    keys_note="",
)
CLOSED = replace(
    TAKEN,
    closed=True,
    step_text="Closed",
    did=("New plug fitted, gap set to 0.75 mm",),
    proved=("Cap reads in band, 4.38 kΩ.",),
    not_proved=("Coil primary. This meter range can’t see it.",),
    keys=(
        KeyHint(press="P", text="Print slip", action="print", main=True),
        KeyHint(press="O", text="Open again", action="reopen"),
        KeyHint(press="Esc", text="Counter", action="counter"),
    ),
    keys_note="",
)
BANNER = replace(
    WRITING,
    banner="Not saved yet: the disk is full. What was taken is still in hand; trying again",
)
MANY_STEPS = replace(STEADYING, ribbon=ribbon(4, 22))
LONG_WORDS = replace(
    STEADYING,
    title="Coil secondary, through the cap, winding at shop temperature",
    touch="cap refitted; one probe in its plug end, the other on bare core metal, scraped clean",
    reasons=(
        "The doubt of the thermometer is what is too wide here: let the part cool to shop heat.",
        "Then measure again.",
    ),
)

BENCH_STATES: dict[str, BenchView] = {
    "steadying": STEADYING,
    "no_meter": NO_METER,
    "waiting": WAITING,
    "cautioned": CAUTIONED,
    "cautioned_thrice": CAUTIONED_THRICE,
    "cautioned_reading": CAUTIONED_READING,
    "moving": MOVING,
    "writing": WRITING,
    "taken": TAKEN,
    "stale": STALE,
    "overload": OVERLOAD,
    "typing": TYPING,
    "typing_wrong": TYPING_WRONG,
    "noting": NOTING,
    "temperature": TEMPERATURE,
    "typed": TYPED,
    "cannot_tell": CANNOT_TELL,
    "cannot_tell_cautioned": CANNOT_TELL_CAUTIONED,
    "look": LOOK,
    "looked": LOOKED,
    "look_cautioned": LOOK_CAUTIONED,
    "option": OPTION,
    "closed": CLOSED,
    "banner": BANNER,
    "many_steps": MANY_STEPS,
    "long_words": LONG_WORDS,
}

SLIPS = (
    SlipCard(
        visit_id="v1",
        slip_text="slip 0411",
        customer="M. Harrow",
        unit_text="Rotary tiller, Corvane C-160",
        said="“hard to start when cold”",
        done=4,
        steps=6,
        place_text="step 5 of 6",
    ),
    SlipCard(
        visit_id="v2",
        slip_text="slip 0409",
        customer="Parish Allotments",
        unit_text="Hedge cutter, two-stroke",
        said="“no spark”",
        done=7,
        steps=7,
        place_text="waiting on part",
    ),
    SlipCard(
        visit_id="v3",
        slip_text="slip 0406",
        customer="Quarry Lane Stables",
        unit_text="Log splitter, Corvane C-270",
        said="“surges at full speed”",
        done=9,
        steps=9,
        place_text="ready to print",
    ),
)
TALLOW = MachineCard(
    machine_id="m1",
    customer="Tallow Hill Cider Orchard",
    tag_text="tag TH-07",
    unit_text="Power-sprayer pump · Corvane C-210, 208 cc horizontal OHV",
    visits_text="3 visits on file since 2023",
    parts_text="4 parts fitted, 5 photos",
    last_title="Last visit, 6 May 2025: carb clean, new fuel tap",
    last_lines=(
        LastLine(
            name="Plug cap",
            value="4.33 kΩ",
            ruler=replace(CAP_RULER, value=4330.0, earlier=()),
            verdict=Verdict.IN_BAND,
            verdict_text="In band",
        ),
        LastLine(
            name="Plug gap",
            value="0.81 mm",
            ruler=replace(GAP_RULER, value=0.81e-3, verdict=Verdict.TOO_CLOSE, earlier=()),
            verdict=Verdict.TOO_CLOSE,
            verdict_text="Too close to call",
        ),
        LastLine(
            name="Valve gap, exhaust",
            value="0.92 mm",
            ruler=replace(GAP_RULER, earlier=()),
            verdict=Verdict.OUT_OF_BAND,
            side=Side.HIGH,
            verdict_text="Out of band",
        ),
    ),
)
COUNTER = CounterView(
    slips=SLIPS, closed_text="Closed this week: 6", meter_text="Meter A: off. Turn it on"
)
COUNTER_FOUND = replace(COUNTER, query="tallow", machines=(TALLOW,), found_text="1 machine found")
COUNTER_THREE = replace(
    COUNTER_FOUND,
    machines=(
        TALLOW,
        replace(
            TALLOW,
            machine_id="m2",
            customer="Tallow Mill Nursery",
            tag_text="tag TM-02",
            unit_text="Generator, two-stroke",
            open_visit_id="v1",
            open_visit_text="slip 0411 is open",
        ),
        replace(TALLOW, machine_id="m3", customer="A. Tallowfield", tag_text="tag AT-11"),
    ),
    found_text="3 machines found",
)
COUNTER_MORE = replace(
    COUNTER_THREE, found_text="At least 274 machines found. Type on to narrow it"
)
COUNTER_CLOSE = replace(
    COUNTER_THREE, close=True, found_text="No machine has exactly these words. Close to them: 3"
)
COUNTER_FULL = replace(
    COUNTER,
    slips=tuple(replace(SLIPS[i % 3], visit_id=f"v{i}") for i in range(9)),
    banner="Machine TH-09 is not saved: the disk is full",
)

FORM = (
    Field(key="tag", label="Tag", value="M-012", open_ended=False),
    Field(key="customer", label="Customer", hint="who brought it"),
    Field(key="phone", label="Phone", hint="last digits find it again"),
    Field(key="unit", label="Machine", hint="such as power-sprayer pump"),
    Field(key="engine", label="Engine", hint="model from its plate"),
    Field(key="serial", label="Serial number"),
    Field(
        key="engine_class",
        label="Ignition",
        kind=FieldKind.CHOICE,
        value="unknown",
        open_ended=False,
        choices=(
            FieldChoice(key="a", text="Horizontal OHV, flywheel magneto"),
            FieldChoice(key="b", text="Vertical-shaft mower, one-piece module"),
            FieldChoice(key="c", text="Points and condenser magneto"),
            FieldChoice(key="d", text="Two-stroke, hand-held"),
            FieldChoice(key="e", text="Capacitor discharge, exciter and trigger"),
            FieldChoice(key="f", text="Battery ignition"),
            FieldChoice(key="unknown", text="Not known yet"),
        ),
    ),
)
QUESTIONS = (
    Field(
        key="complaint",
        label="What does it do?",
        kind=FieldKind.CHOICE,
        open_ended=False,
        choices=(
            FieldChoice(key="quits_hot", text="Quits hot, restarts cold"),
            FieldChoice(key="no_start", text="Does not start"),
            FieldChoice(key="hard_start", text="Hard to start"),
            FieldChoice(key="surges", text="Surges"),
            FieldChoice(key="no_idle", text="Does not come down to idle"),
            FieldChoice(key="backfires", text="Backfires"),
            FieldChoice(key="no_stop", text="Does not shut off"),
            FieldChoice(key="misfires", text="Misfires under load"),
            FieldChoice(key="service", text="Service"),
        ),
    ),
    Field(
        key="words",
        label="In the customer’s words",
        hint="such as: quits after about 25 min, restarts when cool",
    ),
    Field(key="minutes", label="Minutes until it quits?", kind=FieldKind.MINUTES),
    Field(
        key="how",
        label="Sudden, or fading?",
        kind=FieldKind.CHOICE,
        choices=(
            FieldChoice(key="sudden", text="as if switched off"),
            FieldChoice(key="fading", text="fading, or surging, then dying"),
            FieldChoice(key="unknown", text="nobody knows"),
        ),
    ),
)

METERS_OFF = MetersView(
    number=Number(state=NumberState.NO_METER, jaw_word="No meter", jaw_hint="choose, then Enter"),
    ports=(
        PortRow(port="/dev/ttyUSB0", text="Serial lead", note="/dev/ttyUSB0"),
        PortRow(port="/dev/ttyS0", text="Built-in port", note="/dev/ttyS0"),
    ),
    protocols=(
        ProtocolRow(name="scpi", text="scpi", line="9600-8N1"),
        ProtocolRow(name="text-line", text="text-line", line="19200-8N1"),
        ProtocolRow(name="nibble-14", text="nibble-14", line="19200-7O1"),
    ),
    meter_text="No meter",
    link_text="Not linked",
    link_hint="Choose the port and how the meter speaks, then Enter.",
    cards=(
        FieldChoice(key="handheld_2000", text="Hand-held, 2,000 counts"),
        FieldChoice(key="bench_6", text="Bench, 6½ digits"),
    ),
)
METERS_LIVE = replace(
    METERS_OFF,
    connected=True,
    meter_text="Meter A linked",
    meter_live=True,
    link_text="Linked, 2 readings a second",
    link_hint="",
    ports=(replace(METERS_OFF.ports[0], linked=True), METERS_OFF.ports[1]),
    protocols=(*METERS_OFF.protocols[:2], replace(METERS_OFF.protocols[2], linked=True)),
    number=Number(
        state=NumberState.STEADYING,
        digits="0.2",
        unit="Ω",
        jaws=0.6,
        jaw_word="ohms, 200 Ω range",
        jaw_hint="2 readings a second",
    ),
    card_title="Meter A, hand-held, 2,000 counts",
    card_source="Figures of its class, common practice",
    card_key="handheld_2000",
    ranges=tuple(
        RangeRow(range_text=r, steps_text=s, doubt_text=d, example_text=e)
        for r, s, d, e in (
            ("200 Ω", "0.1 Ω", "0.8% + 3", "0.9 is ±0.3 Ω"),
            ("2 kΩ", "1 Ω", "0.8% + 2", "618 is ±7 Ω"),
            ("20 kΩ", "10 Ω", "0.8% + 2", "4.38 is ±0.06 kΩ"),
            ("200 kΩ", "100 Ω", "0.8% + 2", "47.0 is ±0.6 kΩ"),
            ("20 MΩ", "10 kΩ", "2% + 5", "1.00 is ±0.07 MΩ"),
            ("2 V", "1 mV", "0.5% + 2", "0.090 is ±0.003"),
            ("20 V", "10 mV", "0.5% + 2", "12.47 is ±0.08"),
        )
    ),
    leads_value="0.2",
    leads_unit="Ω",
    leads_when="today 8:04",
    leads_note="Taken off every ohms reading",
    accuracy_text="0.8% + 3",
)
METERS_WRONG = replace(
    METERS_OFF,
    link_text="Not linked",
    link_error="/dev/ttyUSB0: busy. Another program holds it: close that, then Enter",
    leads_error="Nothing steady near zero: touch the probes together, hold, then Z",
)

TYPING_CAUTIONED = replace(TYPING, cautions=(STILL,), caution_shorts=("Flywheel still",))
TYPING_WRONG_CAUTIONED = replace(TYPING_WRONG, cautions=(STILL, STOP_OFF, INSULATION))
BENCH_STATES["typing_cautioned"] = TYPING_CAUTIONED
BENCH_STATES["typing_wrong_cautioned"] = TYPING_WRONG_CAUTIONED

OPTION_CAUTIONED = replace(
    OPTION,
    cautions=(STILL, STOP_OFF, INSULATION, STILL, STOP_OFF),
    question="What does it drive? The maker’s plate overrides.",
    choices=(
        Choice(key="general", press="1", text="general purpose"),
        Choice(key="compressor", press="2", text="compressor"),
        Choice(key="washer", press="3", text="washer or pump"),
        Choice(key="generator", press="4", text="generator: plate or manual"),
        Choice(key="other", press="5", text="other: plate or manual"),
    ),
)
RECORDED = replace(
    OVERLOAD,
    cautions=(STILL, STOP_OFF),
    caution_shorts=CAUTIONED_READING.caution_shorts,
    ruler=None,
    verdict=Verdict.RECORDED,
    verdict_text="Recorded",
    so_far_text="so far",
    reasons=("No band to hold it against.",),
)
BENCH_STATES["option_cautioned"] = OPTION_CAUTIONED
BENCH_STATES["recorded"] = RECORDED

THERMOMETER = replace(
    METERS_OFF,
    connected=True,
    meter_text="Meter linked",
    meter_live=True,
    link_text="Live, 1.0 readings a second",
    link_hint="",
    ports=(METERS_OFF.ports[0], replace(METERS_OFF.ports[1], linked=True)),
    protocols=(replace(METERS_OFF.protocols[0], linked=True), *METERS_OFF.protocols[1:]),
    number=Number(state=NumberState.MOVING, digits="84.2", unit="°C", jaws=0.0, jaw_word="Moving"),
    card_title="No meter card",
    card_source="Choose the nearest class",
)

MATCH_NOTE = "One dot wrong is ten times out. Use a different reading each time."
MATCH_EMPTY = MatchView(
    count_text="0 of 3 matched",
    unit="kΩ",
    meter_text="Meter linked",
    meter_live=True,
    note=MATCH_NOTE,
)
MATCH_ROWS = tuple(
    MatchRow(number=i, typed=d, typed_unit=u, link=d, link_unit=u, same=True, text="Same")
    for i, (d, u) in enumerate((("12.47", "V"), ("618", "Ω"), ("4.70", "kΩ")), start=1)
)
MATCH_TWO = replace(MATCH_EMPTY, rows=MATCH_ROWS[:2], number=3, count_text="2 of 3 matched")
MATCH_MISS = replace(
    MATCH_EMPTY,
    rows=(
        MATCH_ROWS[0],
        replace(
            MATCH_ROWS[1],
            link="61.8",
            same=False,
            text="The point is elsewhere: the wrong table for this meter",
        ),
    ),
    number=3,
)
MATCH_SILENT = replace(
    MATCH_EMPTY,
    rows=(
        replace(
            MATCH_ROWS[0],
            link="",
            link_unit="",
            same=False,
            text="Nothing came: check the lead, the family and the line",
        ),
        replace(
            MATCH_ROWS[1],
            number=2,
            link="Above range",
            link_unit="",
            same=False,
            text="One is above range: hold the probes on and try again",
        ),
    ),
    number=3,
    meter_live=False,
    meter_text="No meter",
    note="Matched before, on 9 Jun 2026.",
)
MATCH_WRONG = replace(MATCH_TWO, error="that value was matched already: take a different reading")
MATCH_DONE = replace(
    MATCH_EMPTY,
    rows=MATCH_ROWS,
    number=4,
    count_text="3 of 3 matched",
    done=True,
    note="Matched. Readings are taken hands-free from now on.",
)
MATCHES = {
    "empty": (MATCH_EMPTY, ""),
    "typing": (MATCH_TWO, "4.7"),
    "long": (MATCH_TWO, "-1234.56 mV"),
    "miss": (MATCH_MISS, "61.8"),
    "silent": (MATCH_SILENT, ""),
    "wrong": (MATCH_WRONG, "618"),
    "done": (MATCH_DONE, ""),
}
"""Views of the display match with what stands in the line."""

UNMATCHED = replace(
    STEADYING,
    number=replace(
        STEADYING.number,
        jaws=1.0,
        jaw_word="Steady",
        jaw_hint="Space takes it: display not matched",
    ),
    keys=(
        STEADYING.keys[0],
        KeyHint(press="F5", text="Match display", action="match"),
        *STEADYING.keys[1:],
    ),
)
BENCH_STATES["unmatched"] = UNMATCHED

SETTINGS = (
    Field(key="shop_name", label="Shop", hint="on every slip", value="Hob Lane Engine Shop"),
    Field(key="bench_name", label="Bench", value="Bench 2"),
    Field(key="done_by", label="Done by", hint="on every slip", value="R. Pell"),
    Field(key="shop_celsius", label="Shop temperature", hint="what 'cold' means", value="20"),
    Field(key="known_resistor", label="Known resistor", value="10 kΩ"),
    Field(key="known_tolerance_percent", label="Its tolerance, %", value="1"),
    Field(key="zero_lasts_h", label="Zero the leads every, hours", value="8"),
    Field(key="k", label="Doubt is k times u, k", value="2"),
    *(
        Field(
            key=key,
            label=label,
            kind=FieldKind.CHOICE,
            value=choices[0][0],
            choices=tuple(FieldChoice(key=k, text=text) for k, text in choices),
            open_ended=False,
        )
        for key, label, choices in (
            ("temperature_unit", "Temperature", (("celsius", "°C"), ("fahrenheit", "°F"))),
            ("length_unit", "Gaps", (("mm", "mm"), ("thousandths", "thousandths of an inch"))),
            ("pressure_unit", "Pressure", (("kpa", "kPa"), ("psi", "psi"))),
            ("paper", "Paper", (("a4", "A4"), ("letter", "Letter"))),
        )
    ),
)
METERS_LISTENING = replace(
    METERS_OFF,
    listening=True,
    listening_text="Listening on /dev/ttyUSB0: 19200-7O1, line 3 of 7",
)
PROPOSALS = tuple(
    ProposalRow(
        key=f"/dev/ttyUSB0 {family} {line}",
        port="/dev/ttyUSB0",
        protocol=family,
        line="" if family == "nibble-14" else line,
        text=f"{family} at {line} on /dev/ttyUSB0",
        sure_text=sure,
    )
    for family, line, sure in (
        ("nibble-14", "19200-7O1", "Used before, display matched 9 Jun 2026; heard now"),
        ("text-line", "9600-8N1", "Likely: 3 blocks fit; its lead is fed by RTS"),
        ("scpi", "9600-8N1", "Possible: 1 block fits"),
    )
)
METERS_FOUND = replace(
    METERS_OFF,
    listening_text="Choose what fits your meter, link it, then match the display",
    proposals=PROPOSALS,
)
MANY_FAMILIES = tuple(
    ProtocolRow(name=name, text=name, line=line)
    for name, line in (
        ("scpi", "9600-8N1"),
        ("text-line", "19200-8N1"),
        ("nibble-14", "19200-7O1"),
        ("nibble-11", "19200-7O1"),
        ("segment-14", "2400-8N1"),
        ("ascii-14", "2400-8N1"),
        ("stx-16", "9600-8N1"),
    )
)
METERS_FOUND_MANY = replace(
    METERS_FOUND,
    ports=(
        *METERS_OFF.ports,
        PortRow(port="/dev/ttyUSB1", text="/dev/ttyUSB1", note="looks like /dev/ttyUSB0"),
    ),
    protocols=MANY_FAMILIES,
    proposals=(
        *PROPOSALS,
        *(
            replace(PROPOSALS[2], key=f"/dev/ttyUSB1 {p.key}", port="/dev/ttyUSB1")
            for p in PROPOSALS[:2]
        ),
    ),
)
STRANGER = "Another meter came back: BX-12, before it was BX-7. Go on with it?"
METERS_STRANGER = replace(
    METERS_LIVE,
    link_error=STRANGER,
    question=STRANGER,
    answers=(
        FieldChoice(key="yes", text="Yes, go on with it"),
        FieldChoice(key="no", text="No, unlink it"),
    ),
)
METERS_TWINS = replace(
    METERS_LIVE,
    question="Leads that look the same: which meter hangs on /dev/ttyUSB0?",
    answers=(
        FieldChoice(
            key="lead:1",
            text="nibble-14, 19200-7O1, Hand-held, 2,000 counts, display matched 9 Jun 2026",
        ),
        FieldChoice(key="lead:2", text="nibble-14, 0.5 % + 2"),
        FieldChoice(key="new", text="Another one"),
    ),
)
METERS_MATCHED = replace(METERS_LIVE, matched=True)
MATCHES["again"] = (
    replace(MATCH_EMPTY, matched=True, note="Matched before, on 9 Jun 2026."),
    "4.7",
)

THEN_RULER = replace(
    CAP_RULER,
    earlier=(4330.0,),
    earlier_label="29 Sep 2025: 4.33 ±0.08 kΩ",
)
THEN_BARE = replace(THEN_RULER, value=None, doubt=0.0, reading_label="", doubt_label="")
THEN_NOW = replace(
    STEADYING,
    ruler=THEN_RULER,
    reasons=("0.57 kΩ clear of the edge.", "Up 0.05 kΩ ±0.11 kΩ since 29 Sep 2025"),
)
THEN_WAITING = replace(
    STEADYING,
    number=Number(state=NumberState.WAITING, jaw_word="Touch the part"),
    ruler=replace(THEN_BARE, leads_label=""),
    verdict=None,
    verdict_text="",
    so_far_text="",
    reasons=("In band on 29 Sep 2025: 4.33 ±0.08 kΩ",),
)
BENCH_STATES["then_now"] = THEN_NOW
BENCH_STATES["then_waiting"] = THEN_WAITING
BENCH_STATES["then_cautioned"] = replace(
    THEN_WAITING,
    cautions=(STILL, STOP_OFF, INSULATION),
    caution_shorts=("Flywheel still", "Stop wire off"),
    reasons=("In band on 29 Sep 2025: 4.33 ±0.08 kΩ; worked on or renewed since",),
)

OWN_BESIDE = replace(
    TAKEN,
    ruler=replace(
        CAP_RULER,
        own_low=4550.0,
        own_high=5450.0,
        own_label="This shop: 4.55 to 5.45 kΩ, from 14 good parts",
    ),
    banner="Known good: Plug cap 4.38 kΩ (In band)",
    keys=(
        *STEP_KEYS[:3],
        KeyHint(press="G", text="Unmark", action="mark"),
        *STEP_KEYS[3:],
    ),
)
BENCH_STATES["own_beside"] = OWN_BESIDE
BENCH_STATES["own_empty"] = replace(
    NO_METER,
    ruler=replace(
        CAP_RULER,
        value=None,
        doubt=0.0,
        reading_label="",
        earlier=(),
        earlier_label="",
        leads_label="",
        doubt_label="",
        own_low=4550.0,
        own_high=5450.0,
        own_label="This shop: 4.55 to 5.45 kΩ, from 14 good parts",
    ),
)

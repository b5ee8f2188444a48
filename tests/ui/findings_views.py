"""Invented views of the findings in every room, form and state; no desk behind them."""

from dataclasses import replace

from benchassist.core.band import Verdict
from benchassist.core.claim import Claim
from benchassist.core.path import Closure
from benchassist.core.ruler import Ruler
from benchassist.core.slip import Ink, Line
from benchassist.core.strength import Strength
from benchassist.core.swap import SwapResult
from benchassist.services.bench.view import KeyHint
from benchassist.services.findings.view import (
    CauseRow,
    CauseSheet,
    ClaimRow,
    EvidenceChoice,
    EvidenceRow,
    FindingsView,
    FormView,
    Mark,
    MarkKind,
    MootRow,
    ProofRow,
    RepairCard,
    Room,
    SeriesCard,
    SeriesPart,
    StakeCard,
    SwapCard,
    SwapRow,
    SwingRow,
    TestCard,
    TestOutcome,
)
from benchassist.services.front.counter_view import Field, FieldChoice, FieldKind
from tests.ui.views import STEADYING, lines

KEYS = (
    KeyHint(press="Enter", text="Start next test", action="start_test", main=True),
    KeyHint(press="1–9", text="Open a cause", action="open_cause"),
    KeyHint(press="E", text="Evidence", action="open_evidence"),
    KeyHint(press="W", text="Swap test", action="open_swap"),
    KeyHint(press="R", text="Replace or keep", action="open_stake"),
    KeyHint(press="F", text="Repair", action="open_repair"),
    KeyHint(press="N", text="Note", action="note"),
)
BACK = KeyHint(press="Esc", text="Back", action="back")


def mark(
    text: str,
    sentence: str,
    *,
    against: bool = False,
    weight: float = 0.5,
    contradicted: bool = False,
) -> Mark:
    """A piece of evidence; a number is a step."""
    kinds = {"C": MarkKind.COMPLAINT, "S": MarkKind.SWAP, "H": MarkKind.HAND}
    return Mark(
        text=text,
        kind=kinds.get(text, MarkKind.STEP),
        speaks_for=not against,
        sentence=sentence,
        evidence=f"evidence_{text}",
        step=f"check_{text}" if text.isdecimal() else "",
        weight=weight,
        contradicted=contradicted,
    )


HEAT = mark("8", "For, much: Step 8, Heat run: opens at 76 °C and 81 °C", weight=1.0)
SAID = mark("C", "For: Complaint, how it dies: at once, restarts after 10 min", weight=0.4)
COLD = mark(
    "6", "Against, a little: Step 6, Coil secondary, cold: in band", against=True, weight=0.2
)
VENT = mark("1", "Against: Step 1, Fuel cap vent: breathes freely", against=True, weight=0.6)
NO_FADE = mark("8", "Against, much: Step 8, Heat run: the coil opens", against=True, weight=0.8)
WIRE = mark("3", "Against: Step 3, Stop wire, unplugged: open", against=True, weight=0.5)
GAP = mark("2", "For: Step 2, Plug gap: out of band, high", weight=0.6)


def cause(place: int, name: str, strength: Strength, **given: object) -> CauseRow:
    """A row of the ranking."""
    texts = {
        Strength.STRONG: "Strong",
        Strength.FAIR: "Fair",
        Strength.WEAK: "Weak",
        Strength.NOT_TESTED: "Not tested",
        Strength.ADDS: "Adds to it",
    }
    row = CauseRow(
        key=f"cause_{place}",
        place=place,
        name=name,
        speaks_for=(),
        speaks_against=(),
        strength=strength,
        strength_text=texts[strength],
    )
    return replace(row, **given)  # type: ignore[arg-type]


ROWS = (
    cause(
        1,
        "Coil opens or shorts when hot",
        Strength.STRONG,
        speaks_for=(HEAT, SAID),
        speaks_against=(COLD,),
        named=True,
    ),
    cause(
        2, "Tank vent blocked", Strength.WEAK, speaks_for=(SAID,), speaks_against=(NO_FADE, VENT)
    ),
    cause(3, "Stop wire chafed", Strength.WEAK, speaks_for=(SAID,), speaks_against=(WIRE,)),
    cause(4, "Plug gap too wide", Strength.ADDS, speaks_for=(GAP,), speaks_against=(COLD,)),
    cause(5, "Exhaust valve tight when hot", Strength.NOT_TESTED, speaks_for=(SAID,)),
    cause(6, "Fuel restriction, dirty jet or float", Strength.WEAK, speaks_against=(NO_FADE,)),
    cause(7, "Low oil: level, tilt or switch", Strength.NOT_TESTED, speaks_for=(SAID,)),
    cause(8, "Plug cap, lead or plug", Strength.WEAK, speaks_for=(GAP,), speaks_against=(WIRE,)),
    cause(9, "Vapour lock, fuel too hot", Strength.NOT_TESTED),
    cause(10, "Heat spacer or gasket missing", Strength.NOT_TESTED),
    cause(11, "Fins blocked, lean or overloaded", Strength.NOT_TESTED),
    cause(12, "Compressor fails to unload", Strength.NOT_TESTED),
    cause(13, "Exhaust screen blocked", Strength.NOT_TESTED),
    cause(14, "Crank seal or air leak", Strength.NOT_TESTED),
)

STILL_HOT = (
    "The engine and its exhaust burn for a quarter of an hour after it stops: gloves, and stand"
    " clear of the belt. The maker’s manual comes first."
)
NO_FUEL = (
    "Spark and open fuel never together: tank cap shut, tester on a cleaned earth, nobody smokes."
)
SPARK_TEST = TestCard(
    evidence="spark_at_death",
    label="Next best test",
    title="Spark tester in line, run till it quits",
    minutes="30",
    minutes_unit="min",
    outcomes=(
        TestOutcome(text="Spark gone:", effect="‘Tank vent blocked’ falls."),
        TestOutcome(text="Spark stays:", effect="‘Tank vent blocked’ comes first; ‘Coil’ falls."),
    ),
    start_text="Start this test",
    on_bench=True,
    step_text="step 10",
    why="Expected to settle 0.62 of the 1.9 bits still open.",
    cautions=(STILL_HOT, NO_FUEL),
)
CAP_SWAP = TestCard(
    evidence="swap_cap",
    label="Then",
    title="Another plug cap, known to be sound",
    minutes="10",
    minutes_unit="min",
    outcomes=(TestOutcome(text="Fault gone:", effect="‘Plug cap, lead or plug’ rises."),),
    start_text="Start this test",
    on_bench=False,
)
DRILL_TEST = replace(
    SPARK_TEST,
    evidence="drill",
    title="Quit drill: what is missing in the ninety seconds after it dies",
    minutes="35",
    outcomes=(
        TestOutcome(
            text="No spark:",
            effect="‘Coil opens or shorts when hot’ could be named first; ‘Tank vent blocked’"
            " falls.",
        ),
        TestOutcome(
            text="Spark only with the stop wire off:",
            effect="‘Stop wire chafed’ comes first; ‘Tank vent blocked’ falls.",
        ),
        TestOutcome(
            text="Spark there:",
            effect="‘Tank vent blocked’ rises; ‘Coil opens or shorts when hot’ falls.",
        ),
    ),
    cautions=(NO_FUEL,),
    why="Expected to settle 0.94 of the 3.1 bits still open.",
)
OIL_TEST = replace(
    SPARK_TEST,
    title="Oil level and tilt",
    minutes="1",
    outcomes=(
        TestOutcome(
            text="Between the marks:",
            effect="‘Fuel cap or tank vent blocked’ comes first; ‘Low oil: level, tilt, foam or its"
            " switch’ falls.",
        ),
        TestOutcome(
            text="Low, or it works tilted:",
            effect="‘Low oil: level, tilt, foam or its switch’ could be named first; ‘Fuel cap or"
            " tank vent blocked’ falls.",
        ),
        TestOutcome(
            text="Foamy, thin or smells of fuel:",
            effect="‘Low oil: level, tilt, foam or its switch’ could be named first; ‘Fuel cap or"
            " tank vent blocked’ falls.",
        ),
        TestOutcome(
            text="Too high:",
            effect="‘Fuel cap or tank vent blocked’ comes first; ‘Low oil: level, tilt, foam or its"
            " switch’ falls.",
        ),
    ),
    cautions=(STILL_HOT,),
    why="Expected to settle 0.34 of the 3.3 bits still open.",
)
SERIES = SeriesCard(
    label="Series check",
    title="Coil + cap = path",
    closure=Closure.CLOSES,
    head="Adds up.",
    sentence="10.90 and 10.93 kΩ are 0.03 apart, within 0.33. No joint hides in the lead.",
    conditions="All at 21 °C. Leads taken off.",
    parts=(
        SeriesPart(name="coil", value=6.52, text="coil 6.52"),
        SeriesPart(name="cap", value=4.38, text="cap 4.38"),
    ),
    path=10.93,
    doubt=0.14,
    path_text="path 10.93 ±0.11",
    unit="kΩ",
    top=12.0,
    ticks=(0.0, 4.0, 8.0, 12.0),
)
HIDDEN = replace(
    SERIES,
    closure=Closure.HIDDEN_JOINT,
    head="The path has more.",
    sentence="14.62 kΩ is 3.72 more than coil and cap. A joint in the lead or at the cap has it.",
    path=14.62,
    doubt=0.16,
    path_text="path 14.62 ±0.13",
    top=16.1,
    ticks=(0.0, 4.0, 8.0, 12.0, 16.0),
)
PARALLEL = replace(
    SERIES,
    closure=Closure.PARALLEL_PATH,
    head="The path has less.",
    sentence="9.10 kΩ is 1.80 less than coil and cap. Something runs beside it, or hands did.",
    path=9.1,
    path_text="path 9.10 ±0.10",
    parts=(*SERIES.parts, SeriesPart(name="lead", value=0.2, text="lead 0.20")),
)
UNSURE = replace(
    SERIES,
    closure=Closure.UNDECIDED,
    head="Cannot tell.",
    sentence="10.90 and 11.20 kΩ are 0.30 apart; the doubt of 0.52 is wider than the limit.",
    path=11.2,
    doubt=0.52,
    path_text="path 11.20 ±0.40",
)
VOID = SeriesCard(
    label="Series check",
    title="Coil + cap = path",
    closure=Closure.VOID,
    head="Void.",
    sentence="Electronics are in the path: ohms do not add up. The spark decides.",
)
AWAITING = replace(VOID, closure=None, head="", sentence="Still to take: Whole path, cap to core.")
STAKE = StakeCard(
    label="Replace or keep: ignition coil",
    title="Replace it",
    part="coil",
    entered=True,
    head="Pays if the chance of a comeback is above 38 %.",
    sentence="Replacing $74.00, a comeback $195.00.",
    break_even=0.38,
    break_even_text="38 %",
    chance=0.82,
    chance_low=0.69,
    chance_high=0.9,
    chance_text="Chance 82 % by the shop’s weights, not statistics; 69 % to 90 % with them half or"
    " twice as large.",
    keep_text="keep",
    replace_text="replace",
    figures=(
        ("Part", "$38.00"),
        ("Labour", "20 min at $84.00 an hour"),
        ("Downtime of a comeback", "$90.00"),
        ("Return visit", "$85.00"),
        ("Goodwill", "$20.00"),
        ("Risk of a poor part", "4 %"),
    ),
    swings=(
        SwingRow(name="Part", low=0.28, high=0.48, text="Part half to half more: 28 % to 48 %"),
        SwingRow(name="Labour", low=0.31, high=0.45, text="Labour half to half more: 31 % to 45 %"),
        SwingRow(
            name="Downtime",
            low=0.48,
            high=0.32,
            text="Downtime of a comeback half to half more: 48 % to 32 %",
        ),
        SwingRow(
            name="Return visit",
            low=None,
            high=0.3,
            text="Return visit half to half more: never pays to 30 %",
        ),
        SwingRow(
            name="Risk of a poor part",
            low=0.36,
            high=0.4,
            text="Risk of a poor part half to half more: 36 % to 40 %",
        ),
    ),
)
NO_FIGURES = StakeCard(
    label="Replace or keep: ignition coil",
    title="Enter the figures",
    part="coil",
    entered=False,
    head="No figures yet",
    sentence="Part, labour and what a comeback costs: then the break-even shows.",
    chance=0.82,
    chance_low=0.69,
    chance_high=0.9,
    chance_text=STAKE.chance_text,
)
NEVER_PAYS = replace(
    STAKE,
    title="Keep it",
    head="Replacing costs more than any comeback: it never pays.",
    sentence="Replacing $274.00, a comeback $195.00.",
    break_even=None,
    break_even_text="",
    swings=(),
    wear="Replace at 640 h: Weibull shape 2.4, scale 900 h, as stated.",
    choice="Keep it, the customer’s choice: sold at season’s end.",
)
EDGE_STAKE = replace(
    STAKE,
    title="Either may pay",
    head="Pays if the chance of a comeback is above 4 %.",
    break_even=0.04,
    break_even_text="4 %",
    swings=(
        SwingRow(name="Part", low=0.02, high=0.06, text="Part half to half more: 2 % to 6 %"),
        SwingRow(
            name="Downtime",
            low=0.08,
            high=0.03,
            text="Downtime of a comeback half to half more: 8 % to 3 %",
        ),
    ),
    chance=0.05,
    chance_low=0.02,
    chance_high=0.1,
    sentence="Replacing $8.00, a comeback $195.00. The weights do not settle it.",
    chance_text="Chance 5 % by the shop’s weights, not statistics; 2 % to 10 % with them half or"
    " twice as large.",
    choice="Replace it, the shop’s choice.",
)
SWAP_EMPTY = SwapCard(
    label="Swap test: old, new, old",
    title="ignition coil",
    part="coil",
    result=SwapResult.OPEN,
    head="Not enough runs yet",
    proves="Nothing is proved yet.",
    next_text="Old ignition coil in, run it hot till it quits; then the new one.",
)
RUNS = (
    SwapRow(part_text="Old part", result_text="fault", cycles_text="1 hot run", fault=True),
    SwapRow(part_text="New part", result_text="clean", cycles_text="3 hot runs", fault=False),
)
SWAP_LIKELY = replace(
    SWAP_EMPTY,
    result=SwapResult.LIKELY,
    head="Likely the ignition coil",
    proves="Fault with the old, none with the new. A joint re-seated does the same: not proved.",
    next_text="Old ignition coil back, run it hot till it quits.",
    rows=RUNS,
    not_separated="Cause not separated: plug cap, plug changed with it.",
    odds="A fault on 60 of 100 hot runs (as stated) would hide through 3 hot runs 6 times in 100.",
    cycles_needed="4 hot runs clean in a row bring that to the shop’s 5 in 100 or below.",
)
SWAP_PROVED = replace(
    SWAP_LIKELY,
    result=SwapResult.PROVED,
    head="It is the ignition coil",
    proves="Fault with the old, none with the new, fault again with the old.",
    next_text="",
    rows=(*RUNS, replace(RUNS[0], cycles_text="2 hot runs")),
    not_separated="",
)
SWAP_NOT = replace(
    SWAP_EMPTY,
    result=SwapResult.NOT_THIS_PART,
    head="Not the ignition coil alone",
    proves="The fault showed with the new part as well.",
    next_text="",
    rows=(*RUNS, *(replace(r, part_text="New part", fault=True, result_text="fault") for r in RUNS))
    * 3,
    odds="How often a hot run shows the fault was not stated: no odds that it hid.",
)
CLAIMS = (
    ClaimRow(
        claim=Claim.CONFIRMED,
        claim_text="Confirmed",
        name="Ignition coil",
        grounds="Step 8, Heat run: opens at 76 °C, closes at 71 °C, twice.",
    ),
    ClaimRow(
        claim=Claim.PROBABLE,
        claim_text="Probable",
        name="Plug gap too wide",
        grounds="Step 2, Plug gap: 0.92 mm ±0.03, out of band, high.",
        limit="No stronger word: the fault was not seen to go and to come back with it.",
    ),
    ClaimRow(
        claim=Claim.PRECAUTIONARY,
        claim_text="Precautionary",
        name="Plug cap",
        grounds="Step 4, Plug cap, end to end: 4.38 kΩ ±0.06, in band.",
        limit="Nothing measured speaks for it.",
    ),
)
REPAIR = RepairCard(
    fitted=(
        "Ignition coil, no. 30-7714-C, lot 24-07, $74.00; old part kept, labelled",
        "Spark plug, no. KR-5, $6.50; old part not kept",
    ),
    serviced=("Engine oil: SAE 30, 0.6 L", "Pump oil: ISO VG 100, 0.35 L", "Linkage lubricated"),
    pairs=("Plug gap: 0.92 mm before, 0.75 mm after", "Heat run: 2 breaks before, none after"),
    set_up=("Coil gap: 0.30 mm ±0.02, in band", "High speed: 3610 rpm ±20, in band"),
    proof_title="Acceptance run: three times the time to quit, two soak restarts",
    proof=(
        ProofRow(
            name="Clean run under load", have="40 min", need="75 min", share=0.533, done=False
        ),
        ProofRow(name="Restarts after a soak", have="2", need="2", share=1.0, done=True),
    ),
    missing=(
        "Longest clean run 40 min of 75 min.",
        "Whole path, cap to core: not measured again after the work.",
    ),
)
REPAIR_NONE = RepairCard(
    proof_title=REPAIR.proof_title,
    proof=(
        replace(REPAIR.proof[0], have="0 min", share=0.0),
        replace(REPAIR.proof[1], have="0", share=0.0, done=False),
    ),
    missing=("No part fitted and no work recorded yet.",),
)


def _done() -> tuple[Line, ...]:
    """A slip with every step answered."""
    last = lines(5)[:4]
    cannot = Ruler(
        low=0.6,
        high=1.3,
        value=0.0,
        doubt=20.0,
        verdict=Verdict.CANNOT_TELL,
        unit_text="Ω",
        factor=1.0,
    )
    return (
        *last,
        Line(
            number=5,
            name="Coil primary",
            ink=Ink.INK,
            value="0.00 kΩ",
            doubt="±0.02",
            ruler=cannot,
            verdict=Verdict.CANNOT_TELL,
            verdict_text="Meter can’t tell",
        ),
        Line(
            number=6,
            name="Coil secondary, cold",
            ink=Ink.INK,
            value="6.52 kΩ",
            doubt="±0.07",
            ruler=replace(last[3].ruler, low=5.5e3, high=13e3, value=6520.0, doubt=70.0, earlier=())
            if last[3].ruler is not None
            else None,
            verdict=Verdict.IN_BAND,
            verdict_text="In band",
        ),
        Line(
            number=7,
            name="Whole path, cap to core",
            ink=Ink.INK,
            value="10.93 kΩ",
            doubt="±0.11",
            verdict=Verdict.RECORDED,
            verdict_text="Recorded",
        ),
        Line(
            number=8,
            name="Heat run, coil secondary",
            ink=Ink.INK,
            words="2 breaks",
            verdict=Verdict.OUT_OF_BAND,
            verdict_text="Opens hot",
            notes=("open at 76 °C and 81 °C",),
        ),
        Line(number=9, name="Engine run"),
    )


NAMED = FindingsView(
    head=STEADYING.head,
    lines=_done(),
    done_text="8 of 9 done",
    place_text="Quits hot · findings",
    meter_text="Meter A linked",
    meter_live=True,
    leads_text="Leads 0.2 Ω, taken off",
    title="What the readings say",
    legend="number = step, C = complaint, S = swap, H = by hand",
    cause_label="Likely cause",
    against_label="against",
    for_label="for",
    strength_label="Weight",
    rows=ROWS,
    other_text="Something else: stays possible.",
    named=True,
    named_text="First: Coil opens or shorts when hot.",
    weights_text="Weights, shares and strengths: shop judgement, not statistics",
    test=SPARK_TEST,
    other_tests=(CAP_SWAP,),
    series=SERIES,
    swap=SWAP_EMPTY,
    stake=STAKE,
    repair=REPAIR_NONE,
    keys=KEYS,
)
FIVE = replace(NAMED, rows=ROWS[:5])
UNNAMED = replace(
    NAMED,
    rows=tuple(
        replace(
            row,
            named=False,
            speaks_against=(),
            speaks_for=(SAID,),
            strength=Strength.NOT_TESTED,
            strength_text="Not tested",
        )
        for row in ROWS
    ),
    named=False,
    named_text="Too little speaks for any cause: none is named first.",
    other_text="Something else: well possible.",
    test=DRILL_TEST,
    series=AWAITING,
    stake=NO_FIGURES,
    lines=lines(2),
    done_text="1 of 9 done",
)
BOTH_WAYS = (
    "‘Coil opens or shorts when hot’: 8 (Heat run: opens hot) speaks for it, 6 (Coil secondary,"
    " cold: in band) against."
)
CLOSE = replace(
    UNNAMED,
    named_text="‘Coil opens or shorts when hot’ and ‘Fuel restriction, dirty jet or float’ stand"
    " close: neither is named first.",
    rows=(
        replace(ROWS[0], named=False, strength=Strength.FAIR, strength_text="Fair"),
        replace(
            ROWS[5], place=2, speaks_for=(SAID, GAP), strength=Strength.FAIR, strength_text="Fair"
        ),
        *ROWS[2:5],
    ),
    said_aloud=(
        "Complaint: fades slowly; yet step 8, heat run: opens hot: the bench counts.",
        BOTH_WAYS,
    ),
)
CROWDED = replace(
    NAMED,
    rows=(
        replace(
            ROWS[0],
            speaks_for=(
                HEAT,
                replace(GAP, text="12", contradicted=True),
                SAID,
                replace(SAID, text="S", weight=0.3),
                replace(SAID, text="H", weight=0.2),
                replace(SAID, text="10", weight=0.1),
            ),
            speaks_against=(VENT, replace(COLD, contradicted=True), replace(COLD, text="11")),
        ),
        *ROWS[1:],
    ),
    said_aloud=CLOSE.said_aloud[:1],
    swap=SWAP_LIKELY,
    claims=CLAIMS,
    repair=REPAIR,
    series=HIDDEN,
    stake=EDGE_STAKE,
    message="Kept: ignition coil, no. 30-7714-C.",
)
NOTHING = replace(
    NAMED,
    rows=(),
    named=False,
    named_text="",
    other_text="",
    weights_text="",
    empty_text="The spec book has no causes for this complaint.",
    test=None,
    no_test_text="No cause to test for.",
    series=None,
    stake=None,
    swap=None,
    keys=KEYS[2:],
)
TROUBLE = replace(
    FIVE,
    banner="Not on disk yet: the disk is full. Free some space; nothing is lost meanwhile.",
    series=VOID,
    stake=NEVER_PAYS,
    test=None,
    no_test_text="Nothing left to test that would tell the causes apart.",
)
SHEET = CauseSheet(
    key="cause_1",
    name="Coil opens or shorts when hot",
    strength_text="Strong",
    share_text="About 82 in 100 by the shop’s own weights; judgement, not statistics.",
    marks=(HEAT, SAID, replace(COLD, contradicted=True)),
    prior_text="Before anything was known: about 11 in 100.",
    test_text="Quickest test: Spark within a minute of the quit, stop wire off, 2 min",
    fix_text="Renew the coil, set the gap on the flywheel. $25 to $100.",
    claim_text="Probable. Step 8, Heat run: opens at 76 °C. No stronger word: the break was not"
    " seen to close again, and no swap was made.",
    cautions=(STILL_HOT, NO_FUEL),
)
CAUSE = replace(
    NAMED,
    room=Room.CAUSE,
    cause=SHEET,
    keys=(KEYS[1], BACK),
    rows=(replace(ROWS[0], selected=True), *ROWS[1:]),
)
CAUSE_BARE = replace(
    CAUSE,
    cause=replace(
        SHEET,
        name="Vapour lock, fuel too hot",
        strength_text="Not tested",
        marks=(),
        claim_text="Precautionary. Nothing measured speaks for it.",
        cautions=(),
    ),
)
CAUSE_MANY = replace(
    CAUSE,
    cause=replace(SHEET, marks=(HEAT, GAP, VENT, SAID, WIRE, NO_FADE, COLD, GAP, SAID, WIRE, COLD)),
)


def evidence(key: str, name: str, outcome: str, **given: object) -> EvidenceRow:
    """A row of the evidence; known where it has a mark."""
    row = EvidenceRow(
        key=key,
        name=name,
        mark="",
        outcome_text=outcome,
        choices=(
            EvidenceChoice(key="yes", text="there"),
            EvidenceChoice(key="no", text="not there"),
            EvidenceChoice(key="weak", text="weak or thin"),
        ),
    )
    made = replace(row, **given)  # type: ignore[arg-type]
    return replace(made, known=bool(made.mark))


EVIDENCE_ROWS = (
    evidence(
        "heat", "Heat run of the coil", "Step 8: opens hot", mark="8", step="check_8",
        minutes_text="25 min",
    ),
    evidence(
        "dies", "How it dies", "Complaint: at once", mark="C",
        said_aloud="Complaint: fades slowly; yet step 8, heat run: opens hot: the bench counts.",
        reason="The owner said so on the phone.", overruled=True,
    ),
    evidence(
        "vent", "Fuel cap vent", "By hand: breathes freely", mark="H", step="check_1",
        overruled=True, reason="Blown through again with the tank warm.", minutes_text="2 min",
    ),
    evidence("gap", "Plug gap", "Step 2: out of band, high", mark="2", step="check_2"),
    evidence("stop", "Stop wire, unplugged", "Step 3: open", mark="3", step="check_3"),
    evidence(
        "spark", "Spark within a minute of the quit", "step 10: not taken", step="check_10",
        minutes_text="30 min", cautions=(NO_FUEL,),
    ),
    evidence("choke", "Part choke smooths it", "no step of this visit; answered here",
        minutes_text="1 min"),
    evidence("bowl", "Bowl drain flow, one minute", "step 11: not taken", step="check_11",
        minutes_text="3 min", cautions=(NO_FUEL, STILL_HOT)),
    evidence("rope", "How the rope pulls when hot", "not answered, or not known"),
    evidence("oil", "Oil level and tilt", "not answered, or not known", minutes_text="5 min"),
    evidence("swap", "Another plug cap", "not swapped yet", minutes_text="10 min"),
    evidence("fins", "Fins and shroud", "no step of this visit; answered here",
        minutes_text="15 min"),
    evidence("spacer", "Heat spacer and gaskets", "no step of this visit; answered here",
        minutes_text="5 min"),
)  # fmt: skip
MOOT = (
    MootRow(
        step="check_5",
        number=5,
        name="Coil primary",
        reason="Whatever it shows, no cause moves by more than 2 in 100.",
    ),
    MootRow(
        step="check_9",
        number=9,
        name="Valve lash, cold",
        reason="Whatever it shows, no cause moves by more than 2 in 100.",
    ),
)
EVIDENCE = replace(
    NAMED,
    room=Room.EVIDENCE,
    evidence=EVIDENCE_ROWS,
    moot=MOOT,
    moot_text="May be passed over; it can always be done:",
    keys=(KEYS[1], BACK),
)
SWAP_KEYS = (
    KeyHint(press="1", text="Old part, fault", action="old_fault"),
    KeyHint(press="2", text="New part, clean", action="new_clean"),
    KeyHint(press="3", text="New part, fault", action="new_fault"),
    KeyHint(press="4", text="Old part, clean", action="old_clean"),
    KeyHint(press="S", text="Set up", action="swap_setup"),
    BACK,
)
SWAP = replace(NAMED, room=Room.SWAP, swap=SWAP_EMPTY, keys=SWAP_KEYS)
STAKE_KEYS = (
    KeyHint(press="Enter", text="Figures", action="stake_figures", main=True),
    KeyHint(press="D", text="Record the choice", action="decide"),
    BACK,
)
STAKE_ROOM = replace(NAMED, room=Room.STAKE, keys=STAKE_KEYS)
REPAIR_KEYS = (
    KeyHint(press="P", text="Part fitted", action="fit_part"),
    KeyHint(press="S", text="Service done", action="service"),
    KeyHint(press="A", text="Acceptance run", action="prove"),
    KeyHint(press="N", text="Note", action="note"),
    BACK,
)
REPAIR_ROOM = replace(NAMED, room=Room.REPAIR, repair=REPAIR, claims=CLAIMS, keys=REPAIR_KEYS)

# --- forms ----------------------------------------------------------------------------------------

YES_NO = (FieldChoice(key="yes", text="Yes"), FieldChoice(key="no", text="No"))
PARTS = (
    *("ignition coil", "fuel cap", "carburettor", "low-oil switch", "plug cap", "stop wire"),
    *("valves", "heat spacer", "shroud", "unloader", "exhaust screen", "crank seal", "plug"),
    *("fuel line", "stop circuit", "governor", "oil"),
)
ANSWER_FORM = FormView(
    key="answer",
    title="Spark within a minute of the quit",
    fields=(
        Field(
            key="outcome",
            label="Spark within a minute of the quit",
            kind=FieldKind.CHOICE,
            choices=(
                FieldChoice(key="none", text="no spark at all"),
                FieldChoice(key="isolated", text="spark only with the stop wire off"),
                FieldChoice(key="there", text="spark as when cold"),
                FieldChoice(key="set_aside", text="Does not count"),
            ),
            open_ended=False,
        ),
        Field(key="reason", label="Why", hint="needed where it differs from what was found"),
    ),
    submit_text="Count it so",
    hint="Your word counts in place of what was found; the slip says so.",
    cautions=(NO_FUEL, STILL_HOT),
)
STAKE_FORM = FormView(
    key="stake",
    title="Replace or keep: the figures",
    fields=(
        Field(key="part", label="Part", hint="in the shop’s currency", open_ended=False),
        Field(key="labour_minutes", label="Minutes of labour", kind=FieldKind.MINUTES),
        Field(key="rate", label="Labour an hour", value="84.00"),
        Field(key="downtime", label="Downtime of a comeback", hint="what a day without it costs"),
        Field(key="return_visit", label="Return visit"),
        Field(key="goodwill", label="Goodwill"),
        Field(key="poor_part", label="Risk of a poor part", hint="out of 100 new parts"),
        Field(key="chance", label="Chance of a comeback", hint="out of 100; empty: by the weights"),
        Field(key="wear_shape", label="Weibull shape", hint="only where the shop knows it"),
        Field(key="wear_scale", label="Weibull scale", hint="hours"),
    ),
    submit_text="Work it out",
)
PART_FORM = FormView(
    key="part",
    title="Part fitted",
    fields=(
        Field(
            key="part",
            label="Part",
            kind=FieldKind.CHOICE,
            value="ignition coil",
            choices=tuple(FieldChoice(key=one, text=one) for one in PARTS),
            open_ended=False,
        ),
        Field(key="name", label="Name", hint="as it stands on the bill"),
        Field(key="number", label="Part number"),
        Field(key="lot", label="Lot"),
        Field(key="cost", label="Cost", hint="$"),
        Field(
            key="old_kept",
            label="Old part kept, labelled",
            kind=FieldKind.CHOICE,
            value="yes",
            choices=YES_NO,
            open_ended=False,
        ),
    ),
    submit_text="Fitted",
)
SWAP_FORM = FormView(
    key="swap",
    title="Swap test",
    fields=(
        PART_FORM.fields[0],
        Field(
            key="bundled", label="Changed with it", hint="with commas between; empty: nothing else"
        ),
        Field(
            key="share",
            label="The fault shows on … of 100 hot runs",
            hint="as the customer says; empty: not stated",
        ),
    ),
    submit_text="Set up",
    hint="Change one part only: what is changed with it is not separated.",
)
NOTE_FORM = FormView(
    key="note",
    title="Note",
    fields=(Field(key="text", label="Note", open_ended=False),),
    submit_text="Keep it",
    hint="It stands on the slip.",
)
PROVE_FORM = FormView(
    key="prove",
    title="Acceptance run",
    fields=(
        Field(
            key="minutes", label="Minutes run under load", kind=FieldKind.MINUTES, open_ended=False
        ),
        Field(
            key="fault",
            label="Did the fault show?",
            kind=FieldKind.CHOICE,
            value="no",
            choices=YES_NO,
            open_ended=False,
        ),
        Field(
            key="soak",
            label="Restart after a soak",
            kind=FieldKind.CHOICE,
            value="not_tried",
            choices=(
                FieldChoice(key="not_tried", text="Not tried"),
                FieldChoice(key="yes", text="It restarted"),
                FieldChoice(key="no", text="It did not"),
            ),
            open_ended=False,
        ),
    ),
    submit_text="Keep it",
    hint="Under load, hot, with everything back on.",
)

FINDINGS_STATES = {
    "named": FIVE,
    "many": NAMED,
    "unnamed": UNNAMED,
    "close": CLOSE,
    "crowded": CROWDED,
    "long": replace(
        UNNAMED, test=OIL_TEST, stake=EDGE_STAKE, swap=SWAP_LIKELY, claims=CLAIMS, repair=REPAIR
    ),
    "longest": replace(
        CROWDED, test=OIL_TEST, message="", banner="Not on disk yet: the disk is full."
    ),
    "nothing": NOTHING,
    "trouble": TROUBLE,
    "parallel": replace(FIVE, series=PARALLEL, test=DRILL_TEST, stake=NO_FIGURES),
    "unsure": replace(FIVE, series=UNSURE, stake=None, test=CAP_SWAP, other_tests=()),
    "alone": replace(FIVE, series=None, stake=None, rows=ROWS[:2]),
    "cause": CAUSE,
    "cause-bare": CAUSE_BARE,
    "cause-many": CAUSE_MANY,
    "evidence": EVIDENCE,
    "swap": SWAP,
    "swap-likely": replace(SWAP, swap=SWAP_LIKELY),
    "swap-proved": replace(SWAP, swap=SWAP_PROVED),
    "swap-not": replace(SWAP, swap=SWAP_NOT),
    "stake": STAKE_ROOM,
    "stake-none": replace(STAKE_ROOM, stake=NO_FIGURES),
    "stake-never": replace(STAKE_ROOM, stake=NEVER_PAYS),
    "stake-edge": replace(STAKE_ROOM, stake=EDGE_STAKE),
    "repair": REPAIR_ROOM,
    "repair-none": replace(REPAIR_ROOM, repair=REPAIR_NONE, claims=()),
    "form-answer": replace(EVIDENCE, form=ANSWER_FORM),
    "form-stake": replace(STAKE_ROOM, form=STAKE_FORM),
    "form-part": replace(REPAIR_ROOM, form=PART_FORM),
    "form-prove": replace(REPAIR_ROOM, form=PROVE_FORM),
    "form-swap": replace(SWAP, form=SWAP_FORM),
    "form-note": replace(NAMED, form=NOTE_FORM),
}

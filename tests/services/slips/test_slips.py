"""The slip: it says what a reading carries, and where none does it says that."""

import re
from dataclasses import fields, is_dataclass, replace

import pytest
from hypothesis import given, settings

from benchassist.core.band import BandSource, Side, Verdict
from benchassist.core.entry import Did, Looked, Moment, Taken
from benchassist.core.procedure import Leaning
from benchassist.core.slip import Slip
from benchassist.core.visit import Standing
from benchassist.services.slips.slips import closing_lists, in_short, slip_of
from benchassist.services.slips.text import text_of_slip
from benchassist.units import UnitChoice
from tests.services.story import ZERO, Story, looked, measured, stories, verdicts

FORBIDDEN = re.compile(
    r"\b(good|bad|pass|passed|fail|failed|failure|ok|okay|fine)\b", re.IGNORECASE
)
WITHIN = "In band as measured: "
NOT_TAKEN = "Not taken: "
SHOP = UnitChoice()


def texts_of(value: object) -> list[str]:
    """Every text in a slip, however deep."""
    if isinstance(value, str):
        return [value]
    if isinstance(value, tuple):
        return [text for item in value for text in texts_of(item)]
    if is_dataclass(value):
        return [text for f in fields(value) for text in texts_of(getattr(value, f.name))]
    return []


def named(lines: tuple[str, ...], beginning: str) -> list[str]:
    """The names listed in the sentence that begins so."""
    found = [line for line in lines if line.startswith(beginning)]
    assert len(found) <= 1
    return found[0].removeprefix(beginning).removesuffix(".").split(", ") if found else []


# --- one verdict at a time ------------------------------------------------------------------------


def test_in_band_is_proved_as_measured_and_no_more() -> None:
    """By name, with what it does not clear said under Not proved."""
    story = Story(measured("cap", low=3750.0, high=6250.0))
    story.take("cap", 4900.0)
    assert story.proved == ("In band as measured: cap.",)
    assert story.not_proved == (
        "Nothing was measured hot: a fault that shows only hot is not ruled out.",
        "Resistance in band does not clear a coil: it can still break down at high voltage.",
        "The meter was not checked on a known resistor.",
    )


@pytest.mark.parametrize(("value", "figure"), [(11_400.0, "11.40 kΩ ±0.14"), (1000.0, "1.00 kΩ")])
def test_out_of_band_is_proved_with_its_figure(value: float, figure: str) -> None:
    """Value and doubt as on its line."""
    story = Story(measured("cap", low=3750.0, high=6250.0))
    story.take("cap", value)
    line = slip_of(story.visit, SHOP).lines[0]
    assert story.proved == (f"Cap: out of band, {line.value} {line.doubt}.",)
    assert story.proved[0].startswith(f"Cap: out of band, {figure}")
    assert named(story.not_proved, NOT_TAKEN) == []


def test_open_is_proved_in_a_word_without_a_number() -> None:
    """Above range where a path should be: out of band, open."""
    story = Story(measured("coil", low=5500.0, high=13e3))
    story.take("coil", None)
    assert story.proved == ("Coil: out of band, Open.",)
    line = slip_of(story.visit, SHOP).lines[0]
    assert (line.value, line.doubt, line.verdict, line.side) == (
        "Open",
        "",
        Verdict.OUT_OF_BAND,
        Side.HIGH,
    )


def test_too_close_and_cannot_tell_are_not_proved() -> None:
    """By title and in the words of the verdict; nothing is proved by them."""
    story = Story(measured("cap", low=3750.0, high=6250.0), measured("primary", low=0.6, high=1.3))
    story.take("cap", 6240.0)
    story.take("primary", 0.0)
    assert story.proved == ()
    assert story.not_proved[:2] == ("Cap: too close to call.", "Primary: meter can’t tell.")


def test_an_overload_that_proves_nothing_is_not_proved() -> None:
    """Leads not seen together, or a range that ends too early."""
    story = Story(measured("coil", low=5500.0, high=13e3), measured("wire", low=10e6))
    story.take("coil", None, proved=False)
    story.take("wire", None)
    assert story.proved == ()
    assert story.not_proved[:2] == ("Coil: meter can’t tell.", "Wire: meter can’t tell.")
    assert [line.value for line in slip_of(story.visit, SHOP).lines] == ["Above range"] * 2


def test_a_reading_without_a_band_is_recorded() -> None:
    """No verdict, and that is said."""
    story = Story(measured("sensor"))
    story.take("sensor", 4900.0)
    assert story.proved == ()
    assert story.not_proved[0] == "Sensor: recorded, no band to judge it by."
    assert slip_of(story.visit, SHOP).lines[0].verdict_text == "Recorded"


@pytest.mark.parametrize("leaning", list(Leaning))
def test_a_look_proves_only_what_is_suspect_and_says_by_eye(leaning: Leaning) -> None:
    """Looking sound clears nothing."""
    story = Story(looked("lead_end"))
    story.look("lead_end", leaning.value)
    expected = ("Lead end: green and loose, seen by eye.",) if leaning is Leaning.SUSPECT else ()
    assert story.proved == expected
    assert story.not_proved == ("Nothing left open.",)
    assert slip_of(story.visit, SHOP).lines[0].verdict is Verdict.BY_EYE


# --- the whole visit ------------------------------------------------------------------------------


def test_an_empty_visit_claims_nothing() -> None:
    """All steps to do, an obligation none, conditions without a single figure."""
    story = Story()
    slip = slip_of(story.visit, SHOP)
    assert slip.proved == ()
    assert slip.not_proved == ("Not taken: Secondary, Plug cap, Stop wire, Wire back.",)
    assert slip.in_short == "nothing measured yet."
    assert slip.pairs == ()
    assert slip.conditions == ("Doubt is ±U with k = 2.",)
    assert slip.draft_text == "Not closed yet"
    assert all(line.value == line.doubt == line.verdict_text == "" for line in slip.lines)


def test_skipped_steps_are_not_taken() -> None:
    """Passed over is listed beside what was never reached."""
    story = Story()
    story.skip("coil_secondary")
    story.take("cap", 4900.0)
    assert named(story.not_proved, NOT_TAKEN) == ["Secondary", "Stop wire", "Wire back"]
    assert slip_of(story.visit, SHOP).lines[0].words == "skipped"


def test_an_open_obligation_is_on_the_slip_until_it_is_answered() -> None:
    """The wire that was unplugged: open, with a caution, and gone once it is back."""
    story = Story()
    story.take("stop_insulation", 15e6, count=10e3, full_scale=20e6)
    assert "Still open: Stop wire plugged back." in story.not_proved
    care = slip_of(story.visit, SHOP).care
    assert care.startswith("Stop wire plugged back is not done: do not run it before that.")
    story.look("stop_wire_back", "no")
    assert "Still open: Stop wire plugged back." in story.not_proved
    story.look("stop_wire_back", "yes")
    assert "Still open: Stop wire plugged back." not in story.not_proved
    assert "do not run it" not in slip_of(story.visit, SHOP).care
    story.close()
    assert slip_of(story.visit, SHOP).draft_text == ""


def test_before_and_after_stand_as_a_pair() -> None:
    """Old value, new value, the new one's verdict and both ticks on one ruler."""
    story = Story(measured("cap", low=3750.0, high=6250.0))
    story.take("cap", 11_400.0)
    story.did("new cap fitted", "cap")
    assert "Cap: not measured again after the work." in story.not_proved
    waiting = slip_of(story.visit, SHOP).pairs[0]
    assert (waiting.name, waiting.words) == ("new cap fitted", "not measured before and after")
    story.take("cap", 4900.0)
    pair = slip_of(story.visit, SHOP).pairs[0]
    assert (pair.name, pair.before, pair.after) == ("new cap fitted", "11.40 kΩ", "4.90 kΩ")
    assert (pair.verdict, pair.verdict_text) == (Verdict.IN_BAND, "In band")
    assert pair.ruler is not None
    assert (pair.ruler.before, pair.ruler.value) == (11_400.0, 4900.0)
    assert story.proved == ("In band as measured: cap.",)
    assert not any("not measured again" in text for text in story.not_proved)


def test_what_was_in_band_before_the_work_is_not_proved_of_what_is_fitted_now() -> None:
    """A new part that nobody measured is not in band."""
    story = Story(measured("cap", low=3750.0, high=6250.0))
    story.take("cap", 4900.0)
    story.did("new cap fitted", "cap")
    assert story.proved == ()
    assert "Cap: not measured again after the work." in story.not_proved


def test_work_on_nothing_measured_has_no_figures() -> None:
    """Done at no step in particular."""
    story = Story()
    story.did("cleaned the tank")
    slip = slip_of(story.visit, SHOP)
    assert [(p.name, p.before, p.after, p.words) for p in slip.pairs] == [
        ("cleaned the tank", "", "", "not measured before and after")
    ]
    assert closing_lists(story.visit, SHOP)[0] == ("cleaned the tank",)


def test_both_ways_round_are_proved_together() -> None:
    """In band only where both readings are; one way alone is said to be that."""
    story = Story(measured("oil", low=1000.0, polarities=2))
    story.take("oil", 5000.0)
    assert "Oil: read one way round only." in story.not_proved
    story.take("oil", 6000.0)
    assert story.proved == ("In band as measured: oil.",)
    assert not any("one way round" in text for text in story.not_proved)


@pytest.mark.parametrize("order", [(500.0, 5000.0), (5000.0, 500.0)])
def test_one_way_out_of_band_is_never_hidden_by_the_other(order: tuple[float, float]) -> None:
    """Whichever came last."""
    story = Story(measured("oil", low=1000.0, polarities=2))
    for value in order:
        story.take("oil", value)
    assert story.proved == ("Oil: out of band, 0.50 kΩ ±0.04.",)


def test_one_way_undecided_leaves_the_step_open() -> None:
    """An open that proves nothing, then a value in band."""
    story = Story(measured("oil", low=1000.0, polarities=2))
    story.take("oil", None, proved=False)
    story.take("oil", 5000.0)
    assert story.proved == ()
    assert "Oil: meter can’t tell." in story.not_proved


def test_what_was_struck_proves_nothing() -> None:
    """It stays on the slip, struck, and leaves every sum."""
    story = Story(measured("cap", low=3750.0, high=6250.0))
    story.strike(story.take("cap", 11_400.0))
    assert story.proved == ()
    assert in_short(story.visit) == "nothing measured yet."
    story.take("cap", 4900.0)
    assert story.proved == ("In band as measured: cap.",)
    assert in_short(story.visit) == "1 measured; 1 in band."


def test_in_short_counts_and_names_without_a_cause() -> None:
    """Measured, in band, out of band by name, undecided."""
    story = Story(
        *(measured(name, low=3750.0, high=6250.0) for name in ("cap", "spare_cap", "third_cap"))
    )
    story.take("cap", 4900.0)
    story.take("spare_cap", 11_400.0)
    story.take("third_cap", 6240.0)
    assert in_short(story.visit) == "3 measured; 1 in band; out of band: Spare cap; 1 undecided."


def test_measured_hot_is_said_of_what_was_hot_only() -> None:
    """'Nothing was measured hot' would be untrue; the rest is named as not covered."""
    story = Story(*(measured(name, low=3750.0, high=6250.0) for name in ("cap", "spare")))
    story.take("cap", 4900.0, celsius=21.0)
    assert "Nothing was measured hot" in story.not_proved[1]
    story.take("spare", 4900.0, celsius=70.0)
    told = [text for text in story.not_proved if "hot" in text]
    assert told == [
        "Measured hot: spare only. Elsewhere a fault that shows only hot is not ruled out."
    ]


# --- the meter itself -----------------------------------------------------------------------------


def test_a_known_resistor_that_agrees_is_proved_with_its_moment() -> None:
    """Start and end, each by itself."""
    story = Story()
    story.known(10_010.0)
    assert story.proved == ("The meter read a known resistor right at the start.",)
    story.known(9_990.0, Moment.END)
    assert story.proved == (
        "The meter read a known resistor right at the start.",
        "The meter read a known resistor right at the end.",
    )


def test_a_known_resistor_that_does_not_agree_is_a_warning_once() -> None:
    """Wrong at both ends is still one sentence; the figures are under the conditions."""
    story = Story()
    story.known(9_000.0)
    story.known(8_900.0, Moment.END)
    warning = "The meter did not read a known resistor right: treat its figures with care."
    assert story.not_proved.count(warning) == 1
    assert story.proved == ()
    assert [text for text in story.conditions if text.startswith("Known")] == [
        "Known 10 kΩ ±1 % at the start: 9.00 kΩ, does not agree.",
        "Known 10 kΩ ±1 % at the end: 8.90 kΩ, does not agree.",
    ]


def test_a_known_resistor_above_range_accuses_nobody() -> None:
    """The meter could not tell; that it reads wrong is not known."""
    story = Story()
    story.known(None)
    assert "A known resistor was touched and the meter could not tell whether it agrees." in (
        story.not_proved
    )
    assert not any("did not read" in text for text in story.not_proved)


def test_the_last_self_check_of_a_moment_counts() -> None:
    """Touched again after a slip of the probe."""
    story = Story()
    story.known(9_000.0)
    story.known(10_010.0)
    assert story.proved == ("The meter read a known resistor right at the start.",)


def test_a_known_resistor_in_mid_visit_says_nothing_of_the_start() -> None:
    """What was read before it was read by a meter that nobody had looked at."""
    story = Story(measured("cap", low=3750.0, high=6250.0))
    story.take("cap", 4900.0)
    story.known(10_010.0)
    assert "The meter read a known resistor right between the steps." in story.proved
    assert not any("at the start" in text for text in (*story.proved, *story.conditions))
    assert "Known 10 kΩ ±1 % between the steps: 10.01 kΩ, agrees." in story.conditions


# --- conditions -----------------------------------------------------------------------------------


def test_each_meter_stands_with_its_statements() -> None:
    """What was typed by hand is said to be; a statement that was assumed too."""
    story = Story(*(measured(name, low=3750.0, high=6250.0) for name in ("cap", "spare")))
    story.take("cap", 4900.0)
    story.take("spare", 4900.0, typed=True)
    assert story.conditions[:2] == (
        "Hand-held: 0.8 % + 3 counts.",
        "Typed by hand: 0.8 % + 3 counts.",
    )


def test_leads_are_said_where_they_were_not_the_same_throughout() -> None:
    """One line while all readings share it; else each with its steps."""
    story = Story(*(measured(name, low=3750.0, high=6250.0) for name in ("cap", "spare", "third")))
    story.take("cap", 4900.0, zero=ZERO)
    story.take("spare", 4900.0, zero=ZERO)
    assert [text for text in story.conditions if "eads" in text] == [
        "Leads 0.2 Ω taken off ohms readings."
    ]
    story.take("third", 4900.0)
    assert [text for text in story.conditions if "eads" in text] == [
        "cap, spare: Leads 0.2 Ω taken off ohms readings.",
        "third: Leads not zeroed: what they add is in the ohms.",
    ]


def test_leads_of_a_struck_reading_are_not_mentioned() -> None:
    """Nor where nothing in ohms was taken at all."""
    story = Story(measured("cap", low=3750.0, high=6250.0))
    story.zero(ZERO)
    story.strike(story.take("cap", 4900.0, zero=ZERO))
    assert not any("eads" in text for text in story.conditions)


def test_the_temperature_that_was_stated_is_there() -> None:
    """With how well it is known."""
    story = Story(measured("cap", low=3750.0, high=6250.0))
    story.warm(21.0)
    story.take("cap", 4900.0, celsius=21.0)
    assert "Part at 21.0 °C ±4.0." in story.conditions


def test_twenty_lines_stand_in_order() -> None:
    """Every step by its number, whatever was found."""
    story = Story(*(measured(f"cap_{i}", low=3750.0, high=6250.0) for i in range(1, 21)))
    for i in range(1, 21):
        story.take(f"cap_{i}", 4000.0 + 100.0 * i)
    slip = slip_of(story.visit, SHOP)
    assert [line.number for line in slip.lines] == list(range(1, 21))
    assert len(named(slip.proved, WITHIN)) == sum(
        line.verdict is Verdict.IN_BAND for line in slip.lines
    )


def test_customers_words_stand_as_they_were_said() -> None:
    """Quoted; the complaint where nothing was said."""
    story = Story()
    assert slip_of(story.visit, SHOP).said == "“quits after 25 min”"
    header = story.visit.header
    story.visit.header = replace(header, interview=replace(header.interview, words=""))
    assert slip_of(story.visit, SHOP).said == "Quits hot, restarts cold"


# --- any visit at all -----------------------------------------------------------------------------


@given(stories())
@settings(max_examples=100)
def test_nothing_is_claimed_that_no_reading_carries(story: Story) -> None:
    """In band: every way round at that step says so. Out of band: a reading there says so."""
    visit, slip = story.visit, slip_of(story.visit, SHOP)
    stands = verdicts(story)
    titles = {check.title: check.key for check in visit.procedure.checks}
    shorts = {check.short: check.key for check in visit.procedure.checks}
    for short in named(slip.proved, WITHIN):
        latest = visit.latest(shorts[short])
        assert isinstance(latest, Taken)
        assert latest.judgement.verdict is Verdict.IN_BAND
        assert not visit.awaits_after(shorts[short])
        if visit.procedure.check(shorts[short]).polarities == 2:
            key = shorts[short]
            done = [e.stamp.seq for e in visit.entries if isinstance(e, Did) and e.check_key == key]
            work = max((seq for seq in done if seq < latest.stamp.seq), default=0)
            since = [t for t in visit.taken(key) if t.stamp.seq > work][-2:]
            assert {t.judgement.verdict for t in since} <= {Verdict.IN_BAND, Verdict.OUT_OF_BAND}
    for text in slip.proved:
        title, _colon, rest = text.partition(": ")
        if rest.startswith("out of band"):
            assert Verdict.OUT_OF_BAND in stands[titles[title]]
        elif rest.endswith("seen by eye."):
            assert isinstance(visit.latest(titles[title]), Looked)
        else:
            assert text.startswith((WITHIN, "The meter read a known resistor"))


@given(stories())
@settings(max_examples=100)
def test_every_step_is_accounted_for(story: Story) -> None:
    """Each measured step is proved, or open with its verdict, or not taken; never in silence."""
    visit, slip = story.visit, slip_of(story.visit, SHOP)
    within, left = named(slip.proved, WITHIN), named(slip.not_proved, NOT_TAKEN)
    for check in visit.procedure.checks:
        latest, said = visit.latest(check.key), (*slip.proved, *slip.not_proved)
        by_title = any(text.startswith(f"{check.title}: ") for text in said)
        match visit.standing(check.key):
            case Standing.TO_DO | Standing.SKIPPED:
                assert check.short in left
                assert check.short not in within
            case Standing.TAKEN:
                assert check.short not in left
                assert isinstance(latest, Taken)
                if latest.judgement.verdict is Verdict.IN_BAND and check.polarities == 1:
                    assert (check.short in within) is not visit.awaits_after(check.key)
                assert by_title or check.short in within
            case Standing.LOOKED:
                assert check.short not in left


@given(stories())
@settings(max_examples=100)
def test_no_text_calls_a_reading_good_or_bad(story: Story) -> None:
    """Nor pass, nor fail: the verdicts have their own words, on paper and in the terminal."""
    slip: Slip = slip_of(story.visit, SHOP)
    for text in (*texts_of(slip), text_of_slip(slip)):
        assert not FORBIDDEN.search(text), text


@given(stories())
@settings(max_examples=100)
def test_a_hot_claim_needs_a_hot_reading(story: Story) -> None:
    """'Nothing was measured hot' and 'Measured hot' never both, and each only where it is true."""
    visit, told = story.visit, story.not_proved
    standing = [t for c in visit.procedure.checks for t in visit.taken(c.key)]
    hot = [
        t
        for t in standing
        if t.conditions.part_temperature is not None and t.conditions.part_temperature.celsius >= 50
    ]
    says_hot = [text for text in told if text.startswith("Measured hot")]
    says_cold = [text for text in told if text.startswith("Nothing was measured hot")]
    assert len(says_hot) + len(says_cold) == (1 if any(standing_checks(story)) else 0)
    assert not says_hot or hot
    if says_cold:
        latest = [visit.latest(c.key) for c in visit.procedure.checks]
        assert not any(t in latest for t in hot)


def standing_checks(story: Story) -> list[bool]:
    """Whether each check has a reading standing."""
    visit = story.visit
    return [isinstance(visit.latest(c.key), Taken) for c in visit.procedure.checks]


def test_a_band_of_another_source_is_named_with_its_steps() -> None:
    """The shop's own, a maker's, a marking's: each once, with the steps it judged."""
    own = {"source": BandSource.OWN_PARTS, "source_note": "14 of them by 9 Jun 2026"}
    marked = {"source": BandSource.MARKING, "source_note": "5 kΩ"}
    cap, coil, path = (measured(key, low=3750.0, high=6250.0) for key in ("cap", "coil", "path"))
    assert cap.band is not None
    story = Story(
        replace(cap, band=replace(cap.band, **marked)),  # type: ignore[arg-type]
        replace(coil, band=replace(cap.band, **own)),  # type: ignore[arg-type]
        path,
        measured("free"),
    )
    for key in ("path", "free"):
        story.take(key, 4900.0)
    common = "Bands are common practice unless marked otherwise."
    assert common in slip_of(story.visit, SHOP).care
    story.take("coil", 4900.0)
    story.take("cap", 4900.0)
    assert (
        "Bands are common practice, except cap: marked 5 kΩ;"
        " coil: this shop’s own good parts, 14 of them by 9 Jun 2026."
    ) in slip_of(story.visit, SHOP).care

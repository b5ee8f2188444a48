"""The bench as one view: what to do now, what stands, what is in the way."""

from dataclasses import replace

import pytest

from benchassist.core.band import Verdict
from benchassist.core.entry import SelfChecked
from benchassist.core.procedure import Caution
from benchassist.core.reading import LinkState
from benchassist.core.slip import Ink
from benchassist.services.bench.view import Ask
from benchassist.services.settings import Settings
from tests.services.fakes import PLAIN
from tests.services.rig import BOTH_WAYS, CARD, PRIMARY, BenchRig


@pytest.fixture
def rig() -> BenchRig:
    """A linked meter at the coil secondary."""
    made = BenchRig()
    made.past_the_start()
    return made


def test_an_unchanged_bench_is_an_equal_view(rig: BenchRig) -> None:
    """Two equal views need no repaint."""
    rig.lift()
    assert rig.bench.view() == rig.bench.view()


def test_the_step_says_what_to_set_and_touch(rig: BenchRig) -> None:
    """Instructions of the procedure; what the meter is on once it speaks."""
    view = rig.view
    assert (view.title, view.step_text) == ("Coil secondary", "Step 1 of 4")
    assert view.setting_label == "Set the meter:"
    rig.touch(9100.0, seconds=0.25)
    assert rig.view.setting_label == "Meter is on:"
    assert rig.view.setting == "ohms, 22 kΩ range (steps of 1 Ω)"


def test_the_opening_has_titles_of_its_own() -> None:
    """Temperature, leads, known resistor: before the first step."""
    rig = BenchRig()
    titles = [rig.view.title]
    rig.say("")
    titles.append(rig.view.title)
    assert rig.view.touch == "the two probe tips together, and hold"
    rig.bench.act("skip")
    titles.append(rig.view.title)
    assert rig.view.touch == "the two ends of the known 10 kΩ"
    assert rig.view.step_text == "Before the first step"
    assert titles == ["How warm is the part?", "Zero the leads", "Known resistor"]


def test_the_known_resistor_between_two_steps_is_not_before_the_first(rig: BenchRig) -> None:
    """Asked for once a step is answered."""
    rig.bench.act("self_check")
    assert rig.view.step_text == "Before the first step"
    rig.bench.act("skip")
    rig.touch(9100.0)
    rig.lift()
    assert rig.view.step_text == "Step 2 of 4"
    rig.bench.act("self_check")
    assert (rig.view.title, rig.view.step_text) == ("Known resistor", "Between the steps")


def test_what_the_probes_are_on_is_not_the_known_resistor(rig: BenchRig) -> None:
    """A coil of 9.15 kΩ could be one of 10 kΩ that does not agree: it is lifted off first."""

    def known() -> list[float | None]:
        written = rig.bench.visit.entries
        return [e.reading.value for e in written if isinstance(e, SelfChecked)]

    rig.touch(9150.0, seconds=0.25)
    rig.bench.act("self_check")
    rig.touch(9150.0)
    assert rig.view.title == "Known resistor"
    assert known() == []
    rig.lift()
    rig.touch(10_010.0)
    assert known() == [10_010.0]
    rig.lift()
    rig.bench.act("self_check")
    rig.touch(9990.0)
    assert known() == [10_010.0, 9990.0]


def test_cautions_stand_at_the_step_and_not_before_it() -> None:
    """Where the hazard is; in full and in a few words."""
    caution = Caution(key="hot", text="The fins burn: wait.", short="Hot fins")
    rig = BenchRig(replace(PRIMARY, cautions=(caution,)))
    assert rig.view.cautions == ()
    rig.past_the_start()
    assert rig.view.cautions == ("The fins burn: wait.",)
    assert rig.view.caution_shorts == ("Hot fins",)


def test_the_live_line_stands_in_pencil_with_so_far(rig: BenchRig) -> None:
    """Line, verdict and ruler follow the reading, corrected to 20 °C; the digits stay its own."""
    rig.touch(9100.0, seconds=0.75)
    view = rig.view
    line = view.lines[view.current_line]
    assert (line.ink, line.value, line.verdict_text) == (
        Ink.PENCIL,
        "9.06 kΩ",
        "In band so far",
    )
    assert view.number.digits == "9.100"
    assert (view.verdict, view.so_far_text) == (Verdict.IN_BAND, "so far")
    assert view.ruler is not None
    assert view.ruler.value == pytest.approx(9100.0, rel=0.05)
    rig.touch(9100.0)
    assert rig.view.so_far_text == ""
    assert rig.view.lines[0].ink is Ink.INK


def test_the_ribbon_shows_where_each_step_stands(rig: BenchRig) -> None:
    """Taken with its verdict, skipped, to do; one is current."""
    rig.touch(9100.0)
    rig.lift()
    rig.bench.act("skip")
    ribbon = rig.view.ribbon
    assert [item.ink for item in ribbon] == [Ink.INK, Ink.SKIPPED, Ink.TO_DO, Ink.TO_DO]
    assert [item.verdict for item in ribbon] == [Verdict.IN_BAND, None, None, None]
    assert [item.current for item in ribbon] == [False, False, True, False]


def test_a_verdict_in_pencil_is_not_on_the_ribbon(rig: BenchRig) -> None:
    """Only what is on disk."""
    rig.store.at_once = False
    rig.touch(9100.0)
    assert (rig.view.ribbon[0].ink, rig.view.ribbon[0].verdict) == (Ink.PENCIL, None)


def test_a_marking_and_a_look_are_asked_by_number_keys(rig: BenchRig) -> None:
    """What is asked comes with its answers; the one given is marked."""
    rig.bench.act("goto", "cap")
    view = rig.view
    assert (view.ask, view.question) == (Ask.OPTION, "What is the cap marked?")
    assert [(c.press, c.text) for c in view.choices] == [("1", "5 kΩ"), ("2", "No marking")]
    rig.bench.act("goto", "stop_wire_back")
    assert rig.view.ask is Ask.LOOK
    rig.bench.act("choose", "2")
    rig.bench.tick()
    rig.bench.act("goto", "stop_wire_back")
    assert [c.chosen for c in rig.view.choices] == [False, True]
    assert rig.view.verdict is Verdict.BY_EYE


def test_what_cannot_be_told_comes_with_offers() -> None:
    """Two at most, computed from the meter's ranges, the best one marked."""
    rig = BenchRig(PRIMARY, card=CARD)
    rig.past_the_start()
    rig.feed(replace(PLAIN, value=0.0, resolution=10.0, full_scale=20e3))
    view = rig.view
    assert view.verdict is Verdict.CANNOT_TELL
    assert [fix.press for fix in view.fixes] == ["1", "2"]
    assert sum(fix.best for fix in view.fixes) == 1
    assert any("Volt-drop" in fix.title for fix in view.fixes)
    assert view.reasons == ("This range steps in 10 Ω.", "The whole band is only 0.7 Ω wide.")


def test_what_the_meter_cannot_do_is_said_before_the_probes_touch() -> None:
    """On the range it is on, with what could."""
    rig = BenchRig(PRIMARY, card=CARD)
    rig.past_the_start()
    assert rig.view.verdict is None
    assert rig.view.reasons
    assert "200 Ω range" in rig.view.reasons[0]


def test_the_other_way_round_is_asked_for() -> None:
    """A step that is read both ways wants the probes swapped."""
    rig = BenchRig(BOTH_WAYS)
    rig.past_the_start()
    rig.touch(5000.0)
    rig.lift()
    assert rig.view.title == "Low-oil switch"
    assert rig.view.touch == "swap the two probes: the other way round"
    rig.touch(6000.0)
    rig.lift()
    assert rig.view.title == "Coil secondary"


def test_the_leads_are_said_in_the_bar(rig: BenchRig) -> None:
    """Not zeroed, then with their value."""
    assert rig.view.leads_text == "Leads not zeroed"
    rig.touch(0.2, resolution=0.1)
    rig.bench.act("zero")
    assert rig.view.leads_text == "Leads 0.2 Ω, taken off"


def test_the_banner_says_what_is_urgent_first(rig: BenchRig) -> None:
    """What is not saved, before what the link says."""
    assert rig.view.banner == ""
    rig.state(LinkState.LOST, "device gone")
    assert rig.view.banner.startswith("Meter lost")
    rig.store.why = "the disk is full"
    rig.bench.act("note")
    rig.say("lead end green")
    assert rig.view.banner == "Not saved yet: the disk is full. Trying again"


def test_the_strip_is_the_last_minute_of_this_meter(rig: BenchRig) -> None:
    """Values in the unit of the band, overloads left open."""
    rig.touch(9100.0, seconds=0.5)
    rig.lift(seconds=0.5)
    strip = rig.view.strip
    assert strip.unit == "kΩ"
    assert [None if v is None else round(v, 1) for v in strip.values] == [9.1, 9.1, None, None]
    assert (strip.low, strip.high) == (5.5, 13.0)
    assert strip.seconds[-1] == 0.0
    bare = BenchRig(meter=False)
    bare.past_the_start()
    assert bare.view.strip.values == ()


def test_keys_name_what_they_do_now(rig: BenchRig) -> None:
    """One yellow key, and the pedal where it was learned."""
    assert [hint.text for hint in rig.view.keys if hint.main] == ["Take"]
    assert rig.view.keys_note == ""
    pedalled = BenchRig(settings=Settings(pedal_key="F13"))
    assert pedalled.view.keys_note == "Pedal takes too"
    rig.bench.act("goto", "stop_wire_back")
    assert [hint.text for hint in rig.view.keys if hint.main] == ["Answer"]


def test_a_closed_visit_says_so() -> None:
    """It prints, or is opened again."""
    rig = BenchRig(meter=False)
    rig.past_the_start()
    rig.bench.act("close_visit")
    rig.bench.tick()
    view = rig.view
    assert view.closed
    assert view.step_text == "Closed"
    assert [hint.text for hint in view.keys if hint.main] == ["Print slip"]
    rig.bench.act("reopen")
    assert not rig.view.closed


def test_a_step_that_tells_nothing_more_says_that_it_may_be_passed_over(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """It stands where the reasons stand, makes no sound, and the step can be done anyway."""
    rig = BenchRig()
    monkeypatch.setattr(
        "benchassist.services.bench.walk.moot_text", lambda *_: "May be passed over"
    )
    key = rig.bench.visit.procedure.checks[-1].key
    rig.bench.act("goto", key)
    view = rig.bench.view()
    assert view.reasons[:1] == ("May be passed over",)
    assert view.banner == ""

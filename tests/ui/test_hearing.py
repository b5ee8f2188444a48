from dataclasses import replace

import pytest

from benchassist.core.band import Side, Verdict
from benchassist.services.bench.view import BenchView, NumberState, Told
from benchassist.ui.cue import Cue, Heard
from benchassist.ui.hearing import cue_name, heard_of, verdict_cue
from tests.services.rig import BenchRig
from tests.ui.test_bench_page import in_ink, in_pencil
from tests.ui.views import CANNOT_TELL, NO_METER, STALE, STEADYING, TAKEN, WRITING

VERDICTS = (
    (Verdict.IN_BAND, None, Cue.IN_BAND),
    (Verdict.OUT_OF_BAND, Side.LOW, Cue.OUT_LOW),
    (Verdict.OUT_OF_BAND, Side.HIGH, Cue.OUT_HIGH),
    (Verdict.TOO_CLOSE, Side.LOW, Cue.TOO_CLOSE),
    (Verdict.CANNOT_TELL, None, Cue.CANNOT_TELL),
    (Verdict.BY_EYE, None, Cue.LOOKED),
    (Verdict.RECORDED, None, Cue.TAKEN),
)


@pytest.mark.parametrize(("verdict", "side", "cue"), VERDICTS)
def test_every_verdict_in_ink_has_its_cue(verdict: Verdict, side: Side | None, cue: Cue) -> None:
    """Once on disk, and by the step's own verdict, whatever step shows by then."""
    view = in_ink(replace(TAKEN, verdict=verdict, side=side))
    heard = heard_of(in_pencil(WRITING), view)
    assert heard is not None
    assert heard.cue is cue
    gone_on = replace(STEADYING, ribbon=view.ribbon, lines=view.lines, verdict=None)
    assert heard_of(in_pencil(WRITING), gone_on) == heard


def test_each_verdict_sounds_apart() -> None:
    """No two share a cue."""
    assert len({cue for _v, _s, cue in VERDICTS}) == len(VERDICTS)
    assert len({cue_name(cue) for cue in Cue}) == len(Cue)
    assert verdict_cue(None, None) is Cue.TAKEN


def with_line(view: BenchView, **given: object) -> BenchView:
    """The view with the slip's line of its current step changed."""
    number = next(i.number for i in view.ribbon if i.current)
    lines = tuple(
        replace(line, **given) if line.number == number else line  # type: ignore[arg-type]
        for line in view.lines
    )
    return replace(view, lines=lines)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (
            {"value": "0.92 mm", "verdict_text": "Out of band, high"},
            "zero point nine two millimetres, out of band, high",
        ),
        ({"words": "Open", "verdict_text": "In band"}, "open, in band"),
        ({"words": "breathes freely", "verdict_text": ""}, "breathes freely"),
    ],
)
def test_the_sentence_is_the_line_of_the_slip(given: dict[str, str], said: str) -> None:
    """Value and verdict as they stand there, digits said one by one."""
    heard = heard_of(in_pencil(WRITING), with_line(in_ink(TAKEN), **given))
    assert heard is not None
    assert heard.text == said


def test_what_the_meter_cannot_tell_is_heard_when_it_is_steady() -> None:
    """It is never taken by itself, so steady is when to say so: once, and not while it moves."""
    moving = replace(CANNOT_TELL, number=replace(CANNOT_TELL.number, state=NumberState.STEADYING))
    held = replace(CANNOT_TELL, number=replace(CANNOT_TELL.number, state=NumberState.HELD))
    heard = heard_of(moving, held)
    assert heard is not None
    assert heard.cue is Cue.CANNOT_TELL
    assert heard.text.endswith("meter can’t tell")
    assert heard_of(held, held) is None
    assert heard_of(held, moving) is None
    barred = replace(held, verdict=None)
    assert heard_of(replace(moving, verdict=None), barred) is None


def test_a_lost_link_is_heard_once() -> None:
    """When it goes, with what to do; not again while it stays away."""
    away = replace(STALE, meter_live=False, banner="Meter lost: push its lead in again.")
    assert heard_of(STEADYING, away) == Heard(Cue.LINK_LOST, away.banner)
    assert heard_of(away, replace(away, banner="Meter lost: still away.")) is None
    assert heard_of(away, STEADYING) is None


def test_trouble_with_the_disk_is_no_lost_link() -> None:
    """A banner while the link is live, or without any meter, is a refusal."""
    full = "Not saved yet: the disk is full. Trying again"
    assert heard_of(STEADYING, replace(STEADYING, banner=full)) == Heard(Cue.REFUSED, full)
    bare = replace(NO_METER, meter_live=False)
    assert heard_of(bare, replace(bare, banner=full)) == Heard(Cue.REFUSED, full)


@pytest.mark.parametrize(
    ("told", "cue"),
    [
        (Told(text="Leads zeroed: zero point two ohms"), Cue.TAKEN),
        (Told(text="Known resistor: in band", verdict=Verdict.IN_BAND), Cue.IN_BAND),
        (
            Told(text="Known resistor: low", verdict=Verdict.OUT_OF_BAND, side=Side.LOW),
            Cue.OUT_LOW,
        ),
    ],
)
def test_what_has_no_line_on_the_slip_is_told(told: Told, cue: Cue) -> None:
    """A lead zero and the known resistor sound once, whoever took them."""
    view = replace(STEADYING, heard=told)
    assert heard_of(STEADYING, view) == Heard(cue, told.text)
    assert heard_of(view, view) is None
    assert heard_of(view, STEADYING) is None


def heard_while(rig: BenchRig, ohm: float, *, resolution: float) -> list[Heard]:
    """What is heard of a bench, view by view, with the probes held on something for 4 s."""
    heard: list[Heard | None] = []
    was = rig.bench.view()
    for _ in range(16):
        rig.touch(ohm, seconds=0.25, resolution=resolution)
        view = rig.bench.view()
        heard.append(heard_of(was, view))
        was = view
    return [said for said in heard if said is not None]


def test_what_opens_a_visit_is_heard_as_it_takes_itself() -> None:
    """The leads, then the known resistor: each once, as soon as it is on disk; a wrong one too."""
    rig = BenchRig()
    rig.bench.act("submit", "")
    assert heard_while(rig, 0.2, resolution=0.1) == [
        Heard(Cue.TAKEN, "Leads zeroed: zero point two ohms")
    ]
    rig.lift()
    (known,) = heard_while(rig, 10_000.0, resolution=10.0)
    assert known.cue is Cue.IN_BAND
    assert known.text == "Known resistor: ten point zero zero kilo-ohms, in band"
    rig.bench.act("self_check")
    rig.lift()
    (off,) = heard_while(rig, 11_500.0, resolution=10.0)
    assert off.cue is Cue.OUT_HIGH


def test_a_zero_of_the_same_value_is_heard_again() -> None:
    """Zeroing twice is told twice, though the words are the same."""
    rig = BenchRig()
    rig.bench.act("submit", "")
    assert len(heard_while(rig, 0.2, resolution=0.1)) == 1
    rig.bench.act("zero")
    assert len(heard_while(rig, 0.2, resolution=0.1)) == 1

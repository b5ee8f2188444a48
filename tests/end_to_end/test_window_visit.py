"""The real window, the real shop, a real port: a visit from the counter to the printed slip."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from benchassist.assembly import Place
from benchassist.core.entry import (
    Closed,
    LeadsZeroed,
    Noted,
    RunEnded,
    SelfChecked,
    Taken,
    TemperatureSet,
)
from benchassist.core.procedure import CheckKind
from benchassist.core.reading import LinkState
from benchassist.core.visit import Standing, Visit
from benchassist.practice.bench import PracticeBench
from benchassist.services.bench.stage import Stage
from benchassist.services.bench.view import NumberState
from tests.end_to_end.paper import pages_of, text_of
from tests.end_to_end.technician import Technician, at_work, bench_only

CARD = {
    "customer": "Amberley Nursery",
    "phone": "0555 0129",
    "unit": "Yard washer",
    "engine": "Tarnbeck TB200",
    "serial": "TB200-00733",
}
CLASS_A = "1"
SAID = {
    "complaint": "quits_hot",
    "words": "quits after about 25 min",
    "minutes_to_quit": "25",
    "how_it_quits": "sudden",
}
RATE_HZ = 10.0


@pytest.fixture
def place(tmp_path: Path, qapp: QApplication) -> Place:
    """Return a shop of its own, which works the bench only; the application outlives the test."""
    assert qapp is QApplication.instance()
    bench_only(tmp_path / "home")
    return Place(str(tmp_path / "shop.sqlite"), tmp_path / "home")


@pytest.fixture
def meter() -> Iterator[PracticeBench]:
    """Return the practice meter in its own process, on its own pty."""
    with PracticeBench(rate_hz=RATE_HZ) as bench:
        yield bench


def test_a_visit_by_keys_and_hands(place: Place, meter: PracticeBench, tmp_path: Path) -> None:
    """Hands-free readings, a lost meter, nonsense, a redo and a note; closed midway and come back.

    After the program is closed in the middle it opens at the same check with nothing missing, and
    the slip is printed from there.
    """
    with at_work(place) as technician:
        _open_the_visit(technician, meter)
        _look_and_measure(technician, meter)
        before = technician.visit
        assert before.current.key == "stop_switch"
    with at_work(place) as technician:
        assert [slip.visit_id for slip in technician.shop.counter.view("").slips] == [
            before.header.id
        ]
        technician.press("Return")
        assert technician.page == "bench"
        assert technician.visit.header == before.header
        assert technician.visit.entries == before.entries
        assert technician.visit.current.key == "stop_switch"
        assert technician.view.title == "Stop switch at STOP"
        technician.pdf(tmp_path / "slip.pdf")
    assert pages_of(tmp_path / "slip.pdf") == 1
    text = text_of(tmp_path / "slip.pdf")
    for words in ("0001", "Amberley Nursery", "terminal is loose", "kΩ ±", "In band", "Not taken"):
        assert words in text, words


def _open_the_visit(technician: Technician, meter: PracticeBench) -> None:
    """Link the meter, make the card, answer; then temperature, leads and known resistor."""
    technician.link(meter.port, meter.protocol)
    technician.match(meter, "cap", "plug_resistor", "coil_secondary")
    technician.new_machine(CARD, CLASS_A)
    technician.interview(SAID)
    assert technician.visit.header.machine.engine_class == "A"
    assert dict(technician.visit.header.interview.answers)["minutes_to_quit"] == "1500"
    technician.type("24")
    assert technician.bench.stage is Stage.LEADS
    meter.short()
    technician.until("zeroed leads", lambda: technician.bench.stage is Stage.KNOWN_RESISTOR)
    meter.lift()
    technician.lifted()
    meter.touch("self_check")
    technician.until("the known resistor", lambda: technician.bench.stage is Stage.CHECKS)
    meter.lift()
    technician.ink()
    temperature, zero, known = technician.visit.entries
    assert isinstance(temperature, TemperatureSet)
    assert temperature.temperature.celsius == 24.0
    assert isinstance(zero, LeadsZeroed)
    assert zero.zero.value == pytest.approx(0.12, abs=0.11)  # the practice leads, 10 counts
    assert isinstance(known, SelfChecked)
    assert known.reading.value == pytest.approx(10_000.0, rel=0.005)


def _look_and_measure(technician: Technician, meter: PracticeBench) -> None:
    technician.answer("1")
    technician.answer("1")
    _type_nonsense_then_the_gap(technician)
    _measure_the_plug_and_redo(technician, meter)
    _pull_the_lead_then_measure_the_stop_wire(technician, meter)


def _type_nonsense_then_the_gap(technician: Technician) -> None:
    """A unit that does not fit stays on its line, with what would be right."""
    assert technician.visit.current.key == "plug_gap"
    entries = technician.visit.entries
    technician.press("M")
    technician.type("4.7 V")
    assert "volts" in technician.view.text_error
    technician.press("Esc")
    technician.press("T")
    technician.type("900")
    assert "900" in technician.view.text_error
    technician.press("Esc")
    assert technician.visit.entries == entries
    technician.reading("0.75")
    technician.at("plug_resistor")


def _measure_the_plug_and_redo(technician: Technician, meter: PracticeBench) -> None:
    """The probes alone take it; Backspace strikes it, and the next touch takes it again."""
    technician.press("1")
    meter.touch("plug_resistor")
    technician.until("a taken reading", lambda: technician.view.number.state is NumberState.TAKEN)
    technician.press("Backspace")
    assert technician.visit.standing("plug_resistor") is Standing.TO_DO
    meter.lift()
    technician.press("N")
    technician.type("terminal is loose")
    technician.lifted()
    meter.touch("plug_resistor")
    technician.until("a taken reading", lambda: technician.view.number.state is NumberState.TAKEN)
    meter.lift()
    technician.at("stop_insulation")
    first, second = (e for e in technician.visit.entries if isinstance(e, Taken) and not e.by_key)
    assert technician.visit.is_struck(first)
    assert not technician.visit.is_struck(second)
    assert second.reading.value == pytest.approx(5_100.0, rel=0.005)
    assert [e.text for e in technician.visit.entries if isinstance(e, Noted)] == [
        "terminal is loose"
    ]


def _pull_the_lead_then_measure_the_stop_wire(technician: Technician, meter: PracticeBench) -> None:
    """The lost meter is said; an open is taken by key only, once the leads are proved."""
    link = technician.shop.meter
    meter.unplug()
    technician.until("the lost link", lambda: link.link_state is not LinkState.LIVE)
    assert technician.view.banner
    meter.plug()
    technician.until("the link", lambda: link.live is not None)
    meter.touch("stop_insulation")
    technician.until("an open", lambda: technician.view.number.state is NumberState.OVERLOAD)
    technician.press("Space")
    assert "probes" in technician.problem
    assert technician.visit.standing("stop_insulation") is Standing.TO_DO
    meter.short()
    technician.until("proved leads", link.leads_proved)
    meter.touch("stop_insulation")
    technician.until("an open", lambda: technician.view.number.state is NumberState.OVERLOAD)
    technician.press("Space")
    assert technician.problem == ""
    technician.at("stop_switch")
    technician.ink()
    taken = technician.visit.latest("stop_insulation")
    assert isinstance(taken, Taken)
    assert taken.by_key
    assert taken.reading.overload


def test_a_visit_closed_before_its_first_step(place: Place) -> None:
    """It opens again where it was: temperature, then leads, then the known resistor."""
    with at_work(place) as technician:
        technician.new_machine(CARD, CLASS_A)
        technician.interview(SAID)
        technician.ink()
    with at_work(place) as technician:
        technician.press("Return")
        assert technician.view.text_label == "Part temperature"
        technician.type("24")
        technician.ink()
    with at_work(place) as technician:
        technician.press("Return")
        assert technician.bench.prompt is None
        assert technician.bench.stage is Stage.LEADS
        technician.reading("0.2")
        technician.ink()
    with at_work(place) as technician:
        technician.press("Return")
        assert technician.bench.stage is Stage.KNOWN_RESISTOR
        technician.reading("9.98")
        technician.ink()
    with at_work(place) as technician:
        technician.press("Return")
        assert technician.bench.stage is Stage.CHECKS
        assert technician.visit.current.key == "lead_off"
        assert len(technician.visit.entries) == 3


TYPED = {
    "stop_insulation": "OL 60M",
    "cap": "4.97k",
    "coil_secondary": "9.21k",
    "path": "14.19k",
    "air_gap": "0.32",
}
SPEEDS = ("1750", "3520")
TAKES_A_METER = "heat_run"


def test_a_visit_without_a_meter(place: Place, tmp_path: Path) -> None:
    """The shipped procedure, all typed: the drill, an engine run, the heat run passed over."""
    (place.home / "profiles" / "complaints" / "quits_hot.toml").unlink()
    with at_work(place) as technician:
        technician.new_machine(CARD, CLASS_A)
        technician.interview(SAID)
        technician.press("Return")  # cold, at shop temperature
        technician.reading("0.2")
        technician.reading("9.98")
        while technician.visit.next_to_do() is not None:
            _typed_answer(technician)
        technician.press("C")
        technician.until("the closed visit", lambda: technician.visit.closed)
        technician.ink()
        technician.pdf(tmp_path / "slip.pdf")
        closed = technician.visit
        verdicts = {
            e.check_key: e.judgement.verdict for e in closed.entries if isinstance(e, Taken)
        }
        assert set(verdicts) == set(TYPED)
        assert closed.standing(TAKES_A_METER) is Standing.SKIPPED
        drill, engine = (e for e in closed.entries if isinstance(e, RunEnded))
        assert drill.drill is not None
        assert [a.answer for a in drill.drill.answers]
        assert engine.engine is not None
        assert engine.engine.high is not None
        assert engine.engine.high.rpm == pytest.approx(3520.0)
    text = text_of(tmp_path / "slip.pdf")
    for words in ("4.97 kΩ ±", "9.21 kΩ ±", "3520 rpm", "0.32 mm", "Open", "Quit drill"):
        assert words in text, words
    with at_work(place) as technician:
        assert technician.shop.counter.view("").slips == ()
        again = Visit(*technician.shop.store.visit(closed.header.id))
        assert again.entries == closed.entries
        assert isinstance(again.entries[-1], Closed)
        technician.stage.type("amber")
        (card,) = technician.shop.counter.view("amber").machines
        assert card.visits_text == "1 visit on file"


def _typed_answer(technician: Technician) -> None:
    visit = technician.visit
    key = visit.current.key
    if technician.bench.asking_option():
        technician.press("1")
    if key == TAKES_A_METER:
        technician.press("Right")
    elif visit.current.kind is CheckKind.RUN:
        _typed_run(technician)
    elif key in TYPED:
        technician.reading(TYPED[key])
    else:
        technician.press("1")
    technician.until(
        "the next step",
        lambda: technician.visit.current.key != key or technician.visit.next_to_do() is None,
    )


def _typed_run(technician: Technician) -> None:
    """Start, answer what is asked or type two speeds, end, go on."""
    technician.press("Space")
    run = technician.bench.run
    assert run.on
    if technician.visit.current.key == "quit_drill":
        while run.on and technician.view.run is not None and technician.view.run.drill is not None:
            if not technician.view.run.drill.choices:
                break
            technician.press("1")
    else:
        for speed in SPEEDS:
            technician.press("M")
            technician.type(speed)
    if run.on:
        technician.press("E")
    technician.until("the run on disk", lambda: technician.bench.pen.all_in_ink)
    technician.press("Right")

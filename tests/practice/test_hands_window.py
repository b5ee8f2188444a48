"""The window of the practice hands: every deed by key and by click, what the probes hold now."""

import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import cast

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from benchassist.core.procedure import Check, CheckKind
from benchassist.core.run import DrillStep, RunKind, RunPlan
from benchassist.errors import LinkError
from benchassist.paint.palette import DARK, LIGHT
from benchassist.practice import parts
from benchassist.practice.bench import PracticeBench, Sight
from benchassist.practice.deed import (
    CASES,
    ENGINE_CASES,
    HOT_CASES,
    PLACES,
    TABS,
    TOUCHED_BY,
    Bay,
)
from benchassist.practice.desk import HandsDesk
from benchassist.practice.engine import ENGINES
from benchassist.practice.hand import LIFT, SHORT, Hand
from benchassist.practice.window import HandsWindow, open_hands
from benchassist.units import TemperatureUnit, UnitChoice


class Asked:
    """A practice bench that writes down what it is asked for, and may refuse."""

    def __init__(self) -> None:
        self.deeds: list[tuple[object, ...]] = []
        self.refuses = ""
        self.sight = Sight()

    def _note(self, *deed: object) -> None:
        if self.refuses:
            raise LinkError(self.refuses)
        self.deeds.append(deed)

    def touch(self, check_key: str) -> None:
        self._note("touch", check_key)

    def lift(self) -> None:
        self._note("lift")

    def short(self) -> None:
        self._note("short")

    def temperature(self, celsius: float, *, over_s: float = 0.0) -> None:
        self._note("temperature", celsius, over_s)

    def change_case(self, case: str) -> None:
        self._note("case", case)

    def change_engine(self, case: str) -> None:
        self._note("engine", case)

    def heat(self, *, on: bool = True) -> None:
        self._note("heat", on)
        self.sight = replace(self.sight, on_heat=on)

    def hurry(self, pace: float) -> None:
        self._note("pace", pace)
        self.sight = replace(self.sight, pace=pace)

    def start(self) -> None:
        self._note("start")
        self.sight = replace(self.sight, runs=True, rpm=3540.0, volts=121.0)

    def stop(self) -> None:
        self._note("stop")
        self.sight = replace(self.sight, runs=False, rpm=0.0)

    def throttle(self, place: str) -> None:
        self._note("throttle", place)
        self.sight = replace(self.sight, throttle=place)

    def load(self, share: str) -> None:
        self._note("load", share)
        self.sight = replace(self.sight, load=share)

    def bleed(self, *, on: bool = True) -> None:
        self._note("bleed", on)
        self.sight = replace(self.sight, bleeds=on)

    def unplug_thermometer(self) -> None:
        self._note("unplug_thermometer")

    def plug_thermometer(self) -> None:
        self._note("plug_thermometer")

    def unplug(self) -> None:
        self._note("unplug")

    def plug(self) -> None:
        self._note("plug")

    def hold(self, *, on: bool = True) -> None:
        self._note("hold", on)

    def low_battery(self, *, on: bool = True) -> None:
        self._note("low_battery", on)


class Rig:
    """A window of hands over a practice bench that only writes down."""

    def __init__(self, units: UnitChoice | None = None) -> None:
        self.asked = Asked()
        practice = cast("PracticeBench", self.asked)
        self.hand = Hand(practice)
        self.units = units or UnitChoice()
        self.desk = HandsDesk(self.hand, practice, units=lambda: self.units, case="sound")

    def at(self, bay: Bay) -> "Rig":
        """With the window turned to one of its sides."""
        self.desk.act(next(press for press, (there, _text) in TABS.items() if there is bay))
        return self

    def note_of(self, title: str) -> str:
        """What stands beside the heading of a group."""
        return next(group.note for group in self.desk.view().groups if group.title == title)

    def standing(self) -> set[str]:
        """The keys of all that stands now."""
        view = self.desk.view()
        return {d.press for group in view.groups for d in group.deeds if d.stands}


@pytest.fixture
def rig() -> Rig:
    """A sound engine, cold, probes following the step."""
    return Rig()


@pytest.fixture
def window(rig: Rig, qtbot: QtBot) -> Iterator[HandsWindow]:
    """The window, shown and active."""
    made = HandsWindow(rig.desk, theme="light")
    qtbot.addWidget(made)
    made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    yield made
    made.close()


def test_every_part_and_every_case_has_a_key_and_a_name() -> None:
    """What the practice bench simulates can be chosen, each by a plain name of its own."""
    assert set(TOUCHED_BY.values()) | {"leads"} == {*parts.CIRCUITS, *parts.SPEEDS}
    chosen = {case for case, _text in (*CASES.values(), *HOT_CASES.values())}
    assert chosen == set(parts.CASES)
    assert {case for case, _text in ENGINE_CASES.values()} == set(ENGINES)
    named = [PLACES[key] for key in (*TOUCHED_BY.values(), LIFT, SHORT)]
    assert len(set(named)) == len(named)
    assert all("_" not in name for name in named)


@pytest.mark.parametrize("bay", Bay)
def test_every_key_is_one_deed(rig: Rig, qtbot: QtBot, bay: Bay) -> None:
    """No two deeds of a side share a key, every key is obeyed, none is one that a run needs."""
    window = HandsWindow(rig.at(bay).desk, theme="light")
    qtbot.addWidget(window)
    view = window.view
    deeds = [deed for group in (view.tabs, *view.groups) for deed in group.deeds]
    presses = [deed.press for deed in deeds]
    assert len(set(presses)) == len(deeds) == len(window.tiles)
    assert all(rig.at(bay).desk.act(press) for press in presses)
    assert not any(rig.at(bay).desk.act(press) for press in ("M", "N", "D", "E", ""))
    if bay is not Bay.PROBES:
        assert not {"C", "T", "E", "M", "Q"} & set(presses)


PROBES, HEAT, ENGINE = Bay
DEEDS = [
    (PROBES, "T", ("short",)),
    *[(PROBES, press, ("touch", key)) for press, key in TOUCHED_BY.items()],
    *[(PROBES, press, ("case", case)) for press, (case, _text) in CASES.items()],
    (PROBES, "P", ("unplug",)),
    (PROBES, "H", ("hold", True)),
    (PROBES, "Y", ("low_battery", True)),
    (HEAT, "2", ("touch", "coil_secondary")),
    (HEAT, "A", ("heat", True)),
    (HEAT, "S", ("heat", False)),
    (HEAT, "W", ("temperature", 21.0, 0.0)),
    (HEAT, "R", ("temperature", 45.0, 0.0)),
    (HEAT, "G", ("temperature", 70.0, 0.0)),
    (HEAT, "V", ("temperature", 90.0, 0.0)),
    (HEAT, "0", ("pace", 20.0)),
    *[(HEAT, press, ("case", case)) for press, (case, _text) in HOT_CASES.items()],
    (HEAT, "1", ("unplug_thermometer",)),
    (ENGINE, "O", ("touch", "clamp")),
    (ENGINE, "A", ("start",)),
    (ENGINE, "S", ("stop",)),
    (ENGINE, "V", ("bleed", True)),
    (ENGINE, "G", ("throttle", "low")),
    (ENGINE, "H", ("throttle", "high")),
    (ENGINE, "B", ("throttle", "tank")),
    (ENGINE, "R", ("load", "half")),
    (ENGINE, "9", ("pace", 10.0)),
    *[(ENGINE, press, ("engine", case)) for press, (case, _text) in ENGINE_CASES.items()],
]


@pytest.mark.parametrize("deed", DEEDS, ids=lambda deed: f"{deed[0]}-{deed[1]}")
def test_a_key_and_a_click_do_the_same(
    window: HandsWindow, rig: Rig, qtbot: QtBot, deed: tuple[Bay, str, tuple[object, ...]]
) -> None:
    """The key asks the practice bench for it; a click on its tile asks for the same."""
    bay, press, asked = deed
    rig.at(bay)
    qtbot.keyClicks(window, press.lower())
    assert rig.asked.deeds == [asked]
    other = Rig().at(bay)
    clicked = HandsWindow(other.desk, theme="light")
    qtbot.addWidget(clicked)
    clicked.show()
    qtbot.mouseClick(clicked.tiles[press], Qt.MouseButton.LeftButton)
    assert other.asked.deeds == [asked]
    assert other.standing() == rig.standing()


def test_it_shows_what_the_probes_hold_now(window: HandsWindow, rig: Rig, qtbot: QtBot) -> None:
    """By hand at once; following the step as soon as the hand has gone there by itself."""
    assert (window.view.holds, window.view.manner) == ("Nothing", "follows the step")
    qtbot.keyClicks(window, "3")
    assert (window.view.holds, window.view.manner) == ("Plug cap", "by hand")
    assert not rig.hand.by_itself
    assert "Plug cap" in window.accessibleDescription()
    qtbot.keyClicks(window, "f")
    assert rig.hand.by_itself
    assert window.view.manner == "follows the step"
    rig.hand._hold(SHORT)
    qtbot.waitUntil(lambda: window.view.holds == "Each other")


def test_a_deed_stands_checked_and_a_click_alone_checks_nothing(
    window: HandsWindow, rig: Rig, qtbot: QtBot
) -> None:
    """A refused deed leaves its tile as it was, with the reason in the bar."""
    rig.asked.refuses = "The practice meter has ended: open the practice bench anew"
    qtbot.mouseClick(window.tiles["H"], Qt.MouseButton.LeftButton)
    assert not window.tiles["H"].isChecked()
    assert window.view.trouble == rig.asked.refuses
    rig.asked.refuses = ""
    qtbot.mouseClick(window.tiles["H"], Qt.MouseButton.LeftButton)
    assert window.tiles["H"].isChecked()
    assert window.view.trouble == ""
    qtbot.mouseClick(window.tiles["H"], Qt.MouseButton.LeftButton)
    assert not window.tiles["H"].isChecked()
    assert rig.asked.deeds == [("hold", True), ("hold", False)]


def test_the_lead_is_pulled_and_pushed_in_again(
    window: HandsWindow, qtbot: QtBot, rig: Rig
) -> None:
    """One key both ways; the tile says which comes next, the heading how it stands."""
    qtbot.keyClicks(window, "p")
    assert window.tiles["P"].deed.text == "Push lead in"
    assert rig.note_of("The meter") == "Its lead is out"
    qtbot.keyClicks(window, "p")
    assert window.tiles["P"].deed.text == "Pull the lead"
    assert rig.note_of("The meter") == ""
    assert rig.asked.deeds == [("unplug",), ("plug",)]


def test_heat_stands_as_it_is(rig: Rig) -> None:
    """On heat or cooling; a part that was put at a temperature stands there alone."""
    rig.at(Bay.HEAT)
    assert rig.standing() == {"F", "W", "8", "Z"}
    rig.desk.act("A")
    assert rig.standing() == {"F", "A", "8", "Z"}
    assert rig.desk.view().reads == ("Thermometer on the part", "21.0 °C, on heat")
    rig.desk.act("S")
    assert rig.standing() == {"F", "S", "8", "Z"}
    rig.desk.act("R")
    assert rig.standing() == {"F", "R", "8", "Z"}


def test_temperatures_follow_the_shops_unit() -> None:
    """Tiles and thermometer change with the shop's settings at once; the parts get celsius."""
    rig = Rig().at(Bay.HEAT)

    def texts() -> list[str]:
        return [deed.text for group in rig.desk.view().groups for deed in group.deeds]

    assert "45 °C" in texts()
    rig.units = UnitChoice(temperature=TemperatureUnit.FAHRENHEIT)
    assert "113 °F" in texts()
    assert rig.desk.view().reads[1] == "69.8 °F"
    rig.desk.act("R")
    assert rig.asked.deeds == [("temperature", 45.0, 0.0)]


def test_the_engine_is_read_off(rig: Rig) -> None:
    """Standing, running with its speed, tank and outlet, or dead until it has cooled."""
    rig.at(Bay.ENGINE)
    assert rig.desk.view().reads == (
        "Engine, its tank holds 60 L",
        "It stands, tank 0 kPa",
    )
    rig.asked.sight = replace(rig.asked.sight, pascal=655_000.0)
    rig.desk.act("A")
    assert rig.desk.view().reads[1] == "3540 rpm, tank 655 kPa, outlet 121.0 V"
    assert rig.standing() == {"F", "A", "H", "W", "8", "Z"}
    rig.asked.sight = replace(rig.asked.sight, runs=False, rpm=0.0, has_died=True)
    assert "no start before it cools" in rig.desk.view().reads[1]


def test_the_window_turns_to_what_a_step_needs(window: HandsWindow, rig: Rig, qtbot: QtBot) -> None:
    """A heat run brings the heat, an engine run the engine; what is turned to by hand stays."""

    def step(key: str, plan: RunPlan | None = None) -> Check:
        kind = CheckKind.MEASURE if plan is None else CheckKind.RUN
        return Check(key=key, title=key, short=key, kind=kind, run=plan)

    rig.hand.check = step("heat_run", RunPlan(kind=RunKind.HEAT))
    qtbot.waitUntil(lambda: window.view.bay is Bay.HEAT)
    assert window.tiles["A"].deed.text == "Heat on"
    assert "T" not in window.tiles
    qtbot.keyClicks(window, "j")
    assert window.view.bay is Bay.PROBES
    rig.hand.check = step("engine_run", RunPlan(kind=RunKind.ENGINE))
    qtbot.waitUntil(lambda: window.view.bay is Bay.ENGINE)
    rig.hand.check = step("cap")
    qtbot.waitUntil(lambda: window.view.bay is Bay.PROBES)
    qtbot.keyClicks(window, "4")
    rig.hand.check = step("heat_run", RunPlan(kind=RunKind.HEAT))
    assert rig.desk.view().bay is Bay.PROBES


def test_what_is_to_be_seen_is_said(rig: Rig) -> None:
    """At a look, at a gauge and at each question of the drill: the answer that fits the case."""
    steps = (DrillStep(key="spark", question="Spark?", answers=(("yes", "spark"), ("none", "no"))),)
    drill = RunPlan(kind=RunKind.DRILL, drill=steps)
    rig.hand.check = Check(key="d", title="d", short="d", kind=CheckKind.RUN, run=drill)
    assert (rig.desk.view().label, rig.desk.view().holds) == ("The probes hold", "Nothing")
    rig.hand.asked = steps[0]
    assert (rig.desk.view().label, rig.desk.view().holds) == ("You see", "spark")
    rig.desk.act("X")
    rig.at(Bay.PROBES).desk.act("X")
    assert rig.desk.view().holds == "no"
    gap = Check(key="air_gap", title="Gap", short="Gap", kind=CheckKind.GAUGE)
    rig.hand.check = gap
    assert rig.desk.view().holds == "0.45 mm"


def test_closing_leaves_the_bench_in_order(window: HandsWindow, rig: Rig, qtbot: QtBot) -> None:
    """Closed in the middle of anything: the probes follow, the lead is in, no sign shows."""
    qtbot.keyClicks(window, "4phy")
    rig.at(Bay.HEAT).desk.act("1")
    rig.asked.deeds.clear()
    window.close()
    assert rig.hand.by_itself
    assert rig.asked.deeds == [
        *(("plug",), ("plug_thermometer",)),
        *(("hold", False), ("low_battery", False)),
    ]
    window.bring()
    assert window.isVisible()
    assert rig.at(Bay.PROBES).standing() == {"F", "Z"}


def test_a_key_that_is_none_of_ours_goes_to_the_bench(rig: Rig, qtbot: QtBot) -> None:
    """Space and what is typed reach the bench's window, whichever of the two is in front."""
    bench = QWidget()
    line = QLineEdit(bench)
    qtbot.addWidget(bench)
    bench.show()
    line.setFocus()
    window = HandsWindow(rig.desk, theme="light", beside=bench)
    qtbot.addWidget(window)
    window.bring()
    qtbot.keyClicks(window, " m")
    assert line.text() == " m"
    qtbot.keyClick(window, "c", Qt.KeyboardModifier.ControlModifier)
    assert rig.asked.deeds == []
    window.close()


@pytest.mark.parametrize("bay", Bay)
@pytest.mark.parametrize("size", [(376, 690), (376, 900), (600, 690), (560, 1000)])
def test_targets_are_large_and_apart(
    window: HandsWindow, rig: Rig, bay: Bay, size: tuple[int, int]
) -> None:
    """At every size each target is at least 44 pixels high, inside the window, beside no other."""
    rig.at(bay)
    window.refresh()
    window.resize(*size)
    places = [tile.geometry() for tile in window.tiles.values()]
    assert min(place.height() for place in places) >= 44
    assert min(place.width() for place in places) >= 44
    assert all(window.rect().contains(place) for place in places)
    for i, one in enumerate(places):
        assert not any(one.intersects(other) for other in places[i + 1 :])


def test_a_small_window_is_not_smaller_than_its_targets(window: HandsWindow) -> None:
    """It cannot be made so small that a target falls below 44 pixels."""
    window.resize(100, 100)
    assert min(tile.height() for tile in window.tiles.values()) >= 44


def test_each_tile_says_key_and_words_to_who_does_not_see_it(window: HandsWindow) -> None:
    """Accessible names carry both; what stands is checked."""
    assert window.tiles["3"].accessibleName() == "3. Plug cap"
    assert window.tiles["F"].isChecked()
    assert [tile.accessibleName() for tile in window.tiles.values() if tile.isChecked()] == [
        "J. Probes",
        "F. Follow the step",
        "Z. Sound",
    ]


def test_enter_presses_the_tile_that_has_the_focus(
    window: HandsWindow, rig: Rig, qtbot: QtBot
) -> None:
    """Reached by Tab, pressed by Enter; any other key on it is still the window's."""
    window.tiles["5"].setFocus()
    qtbot.keyClick(window.tiles["5"], Qt.Key.Key_Return)
    qtbot.keyClicks(window.tiles["5"], "l")
    assert rig.asked.deeds == [("touch", "plug_resistor"), ("lift",)]


def colour_at(picture: QImage, at: QPoint) -> str:
    """The colour of a pixel as the palette writes it."""
    return picture.pixelColor(at).name().upper()


def test_light_and_dark(window: HandsWindow) -> None:
    """It takes the theme of the bench's window; what stands is inverted in both."""
    for theme, palette in (("light", LIGHT), ("dark", DARK)):
        window.dress(theme)
        picture = window.grab().toImage()
        lift, follow = window.tiles["L"].geometry(), window.tiles["F"].geometry()
        inside = QPoint(-6, 6)
        assert colour_at(picture, QPoint(2, 300)) == QColor(palette.bench).name().upper()
        assert colour_at(picture, QPoint(2, 2)) == QColor(palette.bar).name().upper()
        assert colour_at(picture, lift.topRight() + inside) == QColor(palette.panel).name().upper()
        assert colour_at(picture, follow.topRight() + inside) == QColor(palette.ink).name().upper()


def test_it_opens_beside_the_bench_or_over_its_slip(rig: Rig, qtbot: QtBot) -> None:
    """Never over the number: beside the bench where there is room, else at the slip's edge."""
    screen = QApplication.primaryScreen().availableGeometry()
    bench = QWidget()
    qtbot.addWidget(bench)
    bench.setGeometry(screen)
    bench.show()
    window = open_hands(rig.desk, theme="light")
    qtbot.addWidget(window)
    assert window.isVisible()
    assert 0 <= window.pos().x() - screen.left() <= 24
    assert screen.contains(window.geometry())
    narrow = screen.width() - window.width() - 40
    for left in (screen.left(), screen.right() - narrow):
        window.close()
        bench.setGeometry(left, screen.top(), narrow, 500)
        window.bring()
        assert not window.frameGeometry().intersects(bench.frameGeometry())
        assert screen.contains(window.geometry())
    window.close()


OPENED_AND_CLOSED = """
import sys
from pathlib import Path
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from benchassist.assembly import Place
from benchassist.assembly.opening import open_practice
from benchassist.practice.window import HandsWindow
from benchassist.ui.window import application

home = Path(sys.argv[1])
app = application()

def look():
    shown = [w for w in app.topLevelWidgets() if w.isVisible()]
    hands = [w for w in shown if isinstance(w, HandsWindow)]
    bench = [w for w in shown if not isinstance(w, HandsWindow)]
    if hands and bench and hands[0].act("3"):
        timer.stop()
        bench[0].close()

timer = QTimer(interval=50)
timer.timeout.connect(look)
timer.start()
code = open_practice(Place(str(home / "shop.sqlite"), home))
print(code, [type(w).__name__ for w in app.topLevelWidgets() if w.isVisible()])
"""


def test_the_practice_ends_with_the_benchs_window(tmp_path: Path) -> None:
    """Both open together; hands left open in mid-deed do not keep the program running."""
    done = subprocess.run(
        [sys.executable, "-c", OPENED_AND_CLOSED, str(tmp_path)],
        check=False,
        capture_output=True,
        text=True,
        timeout=100,
        env=os.environ | {"QT_QPA_PLATFORM": "offscreen"},
    )
    assert (done.returncode, done.stdout.split("\n")[-2]) == (0, "0 []"), done.stderr

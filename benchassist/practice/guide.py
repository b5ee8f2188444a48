"""The guided visit: walks the practice bench through the window, on real bytes, and looks about.

It does what a technician does, by keys and by the hands that hold the probes; it pulls the meter's
lead once, types nonsense once or twice, redoes one reading and sets one gap.
"""

from functools import partial
from pathlib import Path
from types import MappingProxyType
from typing import Final

from benchassist.core.band import Verdict
from benchassist.core.entry import Taken
from benchassist.core.procedure import Check, CheckKind
from benchassist.core.visit import Standing
from benchassist.practice.guide_play import Play, Window
from benchassist.practice.guide_run import RunPlayer
from benchassist.practice.seen import gauged, look
from benchassist.practice.session import PracticeSession
from benchassist.services.bench.bench import Bench
from benchassist.services.bench.view import NumberState
from benchassist.services.translation import _

FLASH_S: Final = 0.2
"""The number flashes for less than that when it is taken."""
SET: Final = MappingProxyType(
    {"plug_gap": (_("plug gap set"), "0.75 mm"), "air_gap": (_("air gap set"), "0.33 mm")}
)
"""Gaps that are set and measured again: what is said of it, and what the gauge shows then."""
REDONE: Final = frozenset({"plug_resistor", "coil_secondary"})
"""Where a reading is struck and taken again, once."""
OPEN_S: Final = 0.5
"""Seconds for which an open is looked at before a key takes it."""
DONE: Final = frozenset({Standing.TAKEN, Standing.LOOKED, Standing.RUN, Standing.SKIPPED})


class Guide:
    """Plays one visit from opening to closing, its pictures in the folder `screens`.

    Raises BenchError where a step does not come.
    """

    def __init__(self, session: PracticeSession, window: Window, screens: Path) -> None:
        self._session = session
        self._window = window
        self._play = Play(session, window, screens)
        self._runs = RunPlayer(self._play)
        self._wait, self._shot = self._play.wait, self._play.shot
        self._open_since: float | None = None
        self._has_redone = self._has_mistyped = False

    @property
    def bench(self) -> Bench:
        """The bench of the visit."""
        return self._play.bench

    def play(self) -> str:
        """Walk the visit; returns its id."""
        shop, visit_id = self._session.shop, self._play.visit_id
        self._window.go("counter")
        self._shot("counter")
        self._window.go("meters")
        self._wait("the meter's first reading", lambda: shop.meter.live is not None)
        self._shot("meters")
        self._window.go("bench", visit_id)
        self._wait("the thermometer's first", lambda: shop.thermometer.live is not None)
        self._shot("opening")
        self._window.press("Return")
        self._wait("leads and known resistor", lambda: self.bench.stage == "checks")
        while (check := self.bench.visit.current) is not None:
            self._check(check)
            if self.bench.visit.next_to_do() is None:
                break
            self._wait(f"the step after {check.key}", partial(self._left, check.key))
        self._shot("all-taken")
        self._close()
        return visit_id

    def _left(self, key: str) -> bool:
        return self.bench.visit.current.key != key

    def _check(self, check: Check) -> None:
        key = check.key
        if self.bench.asking_option():
            self._shot(f"{key}-asks")
            self._window.press("1")
        match check.kind:
            case CheckKind.LOOK:
                self._shot(key)
                self._window.press(str((look(check, self._session.hands.case) or 0) + 1))
            case CheckKind.GAUGE:
                self._gauge(check)
            case CheckKind.MEASURE:
                self._measure(key)
            case CheckKind.RUN:
                self._run(check)
                return
        self._wait(f"an answer at {key}", lambda: self.bench.visit.standing(key) in DONE)

    def _run(self, check: Check) -> None:
        """Make the run and go on; one that it has no hands for is passed over."""
        if check.run is None or not self._runs.play(check, check.run):
            self._shot(f"{check.key}-skipped")
        if self.bench.visit.next_to_do() is not None:
            self._window.press("Right")

    def _measure(self, key: str) -> None:
        self._open_since = None
        while not self._done(key):
            self._wait(
                f"{key} taken, open or held",
                lambda: self._done(key) or self._open() or self._held(),
            )
            if self._done(key):
                break
            self._shot(f"{key}-open" if self._open() else f"{key}-cannot-tell")
            self._take_by_key(key)
        self._window.pump(FLASH_S)
        self._shot(f"{key}-taken")
        if key in REDONE and not self._has_redone:
            self._has_redone = True
            self._window.press("Backspace")
            self._shot(f"{key}-redo")
            self._measure(key)

    def _take_by_key(self, key: str) -> None:
        before = self._taken_at(key)
        self._window.press("Space", " ")
        self._wait(f"{key} taken by key", lambda: self._taken_at(key) > before)

    def _taken_at(self, key: str) -> int:
        """Readings taken at a check, struck ones too."""
        return sum(isinstance(e, Taken) and e.check_key == key for e in self.bench.visit.entries)

    def _done(self, key: str) -> bool:
        return self.bench.visit.standing(key) in DONE and not self.bench.taker.needs_other_way()

    def _open(self) -> bool:
        """Above range on the part for a while, with the leads proved: a key may take it."""
        bench = self.bench
        shown = bench.view().number.state is NumberState.OVERLOAD
        touching = self._session.hand.holds == bench.visit.current.key
        if not (shown and touching and bench.meter.leads_proved()):
            self._open_since = None
            return False
        now = bench.clock.monotonic()
        self._open_since = self._open_since or now
        return now - self._open_since >= OPEN_S

    def _held(self) -> bool:
        view = self.bench.view()
        return view.verdict is Verdict.CANNOT_TELL and view.number.state is NumberState.HELD

    def _gauge(self, check: Check) -> None:
        key = check.key
        if not self._has_mistyped:
            self._has_mistyped = True
            self._play.submit("M", "4.7 V")
            self._shot(f"{key}-nonsense")
            self._window.press("Esc")
        self._type(gauged(check) or "1")
        if key in SET:
            said, shown = SET[key]
            self._wait("the gap taken", lambda: self._left(key))
            self._window.press("Up")
            self._wait("the gap again", lambda: not self._left(key))
            self._play.submit("D", said)
            self._type(shown)
            self._wait("the gap set", lambda: not self.bench.visit.awaits_after(key))

    def _type(self, text: str) -> None:
        self._window.press("M")
        self._window.type(text)
        self._shot(f"{self.bench.visit.current.key}-typing")
        self._window.press("Return")

    def _close(self) -> None:
        self._window.press("C")
        self._wait("the visit to close", lambda: self.bench.visit.closed)
        self._wait("all of it on disk", lambda: self.bench.pen.all_in_ink)
        self._shot("closed")
        self._window.press("P")
        self._shot("slip")
        self._look_into_file()

    def _look_into_file(self) -> None:
        """The machine's file with this visit in it, and its heat run."""
        file = self._session.shop.machine_file(self.bench.visit.header.machine.id)
        self._window.press("H")
        self._wait("the machine's file", lambda: file.view().file is not None and not file.busy)
        self._shot("machine-file")
        shown = file.view().file
        if shown is not None and shown.runs:
            self._window.press("R")
            self._wait("its runs", lambda: file.view().runs is not None and not file.busy)
            self._shot("machine-runs")
            self._window.press("Esc")

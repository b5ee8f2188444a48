"""The guided visit: walks the practice bench through the window, on real bytes, and looks about.

It does what a technician does, by keys and by the hands that hold the probes; it pulls the meter's
lead once, types nonsense once, redoes one reading and sets one gap.
"""

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Final, Protocol

from benchassist.core.band import Verdict
from benchassist.core.entry import Taken
from benchassist.core.procedure import CheckKind
from benchassist.core.reading import LinkState
from benchassist.core.visit import Standing
from benchassist.errors import BenchError
from benchassist.practice.session import PracticeSession
from benchassist.services.bench import Bench
from benchassist.services.bench_view import NumberState

FLASH_S: Final = 0.2
"""The number flashes for less than that when it is taken."""
PATIENCE_S: Final = 30.0
TYPED: Final = {"air_gap": "0.33", "plug_gap": "0.92"}
"""What the gauges show on the practice engine, in millimetres."""
GAP_SET: Final = "0.75"
REDONE: Final = "plug_resistor"
"""Where a reading is struck and taken again."""
OPEN_S: Final = 0.5
"""Seconds for which an open is looked at before a key takes it."""
DONE: Final = frozenset({Standing.TAKEN, Standing.LOOKED})


class Window(Protocol):
    """A window that can be driven and photographed."""

    def pump(self, seconds: float, until: Callable[[], bool] = ...) -> bool:
        """Let it run until something holds, at most so long."""
        ...

    def press(self, key: str, text: str = "") -> None:
        """Press a key by its name."""
        ...

    def type(self, text: str) -> None:
        """Type a text."""
        ...

    def go(self, page: str, visit_id: str = "") -> None:
        """Bring a page to the front."""
        ...

    def shot(self, path: Path) -> None:
        """A picture of the window."""
        ...


class Guide:
    """Plays one visit from opening to closing, its pictures in the folder `screens`.

    Raises BenchError where a step does not come.
    """

    def __init__(self, session: PracticeSession, window: Window, screens: Path) -> None:
        self._session = session
        self._window = window
        self._screens = screens
        self._shots = 0
        self._visit_id = ""
        self._open_since: float | None = None

    @property
    def bench(self) -> Bench:
        """The bench of the visit."""
        return self._session.shop.bench(self._visit_id)

    def play(self) -> str:
        """Walk the visit; returns its id."""
        self._visit_id = self._session.visit_id
        self._window.go("counter")
        self._shot("counter")
        self._window.go("meters")
        self._wait("the meter's first reading", lambda: self._session.shop.meter.live is not None)
        self._shot("meters")
        self._window.go("bench", self._visit_id)
        self._shot("opening")
        self._window.press("Return")
        self._wait("leads and known resistor", lambda: self.bench.stage == "checks")
        while (check := self.bench.visit.current) is not None:
            self._check(check.key)
            if self.bench.visit.next_to_do() is None:
                break
            self._wait(f"the step after {check.key}", partial(self._left, check.key))
        self._shot("all-taken")
        self._close()
        return self._visit_id

    def _left(self, key: str) -> bool:
        return self.bench.visit.current.key != key

    def _check(self, key: str) -> None:
        check = self.bench.visit.current
        if self.bench.asking_option():
            self._shot(f"{key}-asks")
            self._window.press("1")
        match check.kind:
            case CheckKind.LOOK:
                self._shot(key)
                self._window.press("1")
            case CheckKind.GAUGE:
                self._gauge(key)
            case CheckKind.MEASURE:
                self._measure(key)
        self._wait(f"an answer at {key}", lambda: self.bench.visit.standing(key) in DONE)

    def _measure(self, key: str) -> None:
        if key == "cap":
            self._pull_the_lead()
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
        if key == REDONE and self._taken_at(key) == 1:
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

    def _pull_the_lead(self) -> None:
        practice, meter = self._session.practice, self._session.shop.meter
        practice.unplug()
        self._wait("the link to be missed", lambda: meter.link_state is not LinkState.LIVE)
        self._shot("meter-lost")
        practice.plug()
        self._wait("the link to come back", lambda: meter.live is not None)

    def _gauge(self, key: str) -> None:
        self._window.press("M")
        self._window.type("4.7 V")
        self._window.press("Return")
        self._shot(f"{key}-nonsense")
        self._window.press("Esc")
        self._type(TYPED.get(key, "1"))
        if key == "plug_gap":
            self._wait("the gap taken", lambda: self._left(key))
            self._window.press("Up")
            self._wait("the gap again", lambda: not self._left(key))
            self._window.press("D")
            self._window.type("plug gap set")
            self._window.press("Return")
            self._type(GAP_SET)
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

    def _wait(self, what: str, until: Callable[[], bool]) -> None:
        if not self._window.pump(PATIENCE_S, until):
            view = self.bench.view()
            raise BenchError(
                f"the guided visit waited {PATIENCE_S:.0f} s for {what} at '{view.title}': "
                f"{view.number.state}, {view.banner or view.number.jaw_word}"
            )

    def _shot(self, name: str) -> None:
        self._shots += 1
        self._window.shot(self._screens / f"{self._shots:02d}-{name}.png")

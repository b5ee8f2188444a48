"""The real window on a real shop, worked by keys."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from benchassist.assembly import Place, open_shop
from benchassist.core.steady import Phase
from benchassist.core.visit import Visit
from benchassist.practice.bench import PracticeBench
from benchassist.services.bench.bench import Bench
from benchassist.services.bench.view import BenchView
from benchassist.services.desk import Desks, FieldKind, MatchView
from benchassist.services.shop import Shop
from benchassist.ui.driver import Stage
from benchassist.ui.interview_page import InterviewPage
from benchassist.ui.shell import Shell
from benchassist.ui.window import offscreen_window
from benchassist.units import shown

PATIENCE_S = 30.0
BENCH_ONLY = """key = "quits_hot"
name = "Quits hot, restarts cold"
procedure = "ignition_bench"
questions = ["minutes_to_quit", "how_it_quits", "wait_to_restart"]
"""
"""A shop's own way with a complaint: the ignition on the bench, and no runs."""
MOST_UNITS = 12


def bench_only(home: Path) -> None:
    """Put the shop's own complaint into its folder."""
    folder = home / "profiles" / "complaints"
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "quits_hot.toml").write_text(BENCH_ONLY, encoding="utf-8")


class Technician:
    """Presses keys, and waits until what they should bring is there."""

    def __init__(self, stage: Stage, shop: Shop) -> None:
        self.stage = stage
        self.shop = shop

    @property
    def shell(self) -> Shell:
        """The window."""
        return self.stage.shell

    @property
    def page(self) -> str:
        """The name of the page in front."""
        return next(n for n, page in self.shell.pages.items() if page is self.shell.page)

    @property
    def bench(self) -> Bench:
        """The bench of the visit in the window."""
        return self.shop.bench(self.shell.visit_id)

    @property
    def visit(self) -> Visit:
        """The visit on the bench."""
        return self.bench.visit

    @property
    def view(self) -> BenchView:
        """What the bench shows."""
        return self.bench.view()

    @property
    def problem(self) -> str:
        """What the page in front says is wrong."""
        return self.shell.page.problem

    def press(self, *keys: str) -> None:
        """Press keys one after the other."""
        for key in keys:
            self.stage.press(key, " " if key == "Space" else "")

    def type(self, text: str) -> None:
        """Type a line and enter it."""
        self.stage.type(text)
        self.press("Return")

    def until(self, what: str, holds: Callable[[], bool]) -> None:
        """Let the window run until something holds."""
        assert self.stage.pump(PATIENCE_S, holds), self._stuck(what)

    def _stuck(self, what: str) -> str:
        if self.page != "bench":
            return f"waited for {what} on {self.page}: {self.problem}"
        view = self.view
        return f"waited for {what} at {view.title}: {view.number} {view.banner} {self.problem}"

    def ink(self) -> None:
        """Wait until everything is on disk."""
        self.until("ink", lambda: self.bench.pen.all_in_ink)

    def lifted(self) -> None:
        """Wait until the bench has seen the probes off."""
        self.until("lifted probes", lambda: self.shop.meter.now_steady.phase is not Phase.LIFT)

    def at(self, key: str) -> None:
        """Wait until the bench stands at a check."""
        self.until(f"step {key}", lambda: self.visit.current.key == key)

    # --- what a technician does ------------------------------------------------------------------

    def new_machine(self, card: Mapping[str, str], choice: str) -> None:
        """Make a card from the counter; a field that is not named stays as suggested."""
        self.press("F2")
        assert self.page == "new_machine"
        for key in ("tag", "customer", "phone", "unit", "engine", "serial"):
            self.type(card[key]) if key in card else self.press("Return")
        self.press(choice, "Return")
        assert self.page == "interview", self.problem

    def interview(self, answers: Mapping[str, str]) -> None:
        """Answer by question; what is not named is passed over. The visit opens."""
        page = self.shell.page
        assert isinstance(page, InterviewPage)
        while self.page == "interview":
            question = page.question
            said = answers.get(question.key, "")
            if question.kind is FieldKind.CHOICE:
                keys = [choice.key for choice in question.choices]
                self.press(str(1 + keys.index(said)) if said else "Down")
            else:
                self.type(said)
            assert page.question is not question or self.page != "interview", page.problem
        assert self.page == "bench", self.problem

    def link(self, port: str, protocol: str) -> None:
        """Link a meter from the counter, and come back."""
        self.press("F4")
        assert self.page == "meters"
        names = [row.name for row in self.shop.meters.view().protocols]
        self.press("ABCDEFGH"[names.index(protocol)], "P")
        self.type(port)
        self.until("a live meter", lambda: self.shop.meter.live is not None)
        self.press("Esc")
        assert self.page == "counter"

    def match(self, hands: PracticeBench, *touches: str) -> None:
        """Type what the display shows at each touch, until the display counts as matched.

        From the counter and back, by the keys of the meters page and of the match.
        """
        self.press("F4", "M")
        assert self.page == "match", self.problem
        for touch in touches:
            hands.touch(touch)
            self.until("a steady reading", lambda: self.shop.meter.now_steady.phase is Phase.STEADY)
            assert self.shop.meter.live is not None
            digits, unit = shown(self.shop.meter.live, self.shop.units)
            self._give_bare_numbers(unit)
            self.type(digits)
            assert not self.problem
            assert not self._matching.error
            hands.lift()
            self.until("an open", lambda: self.shop.meter.now_steady.phase is Phase.OVERLOAD)
        assert self._matching.done, self._matching
        self.press("Return")
        assert self.page == "meters"
        assert self.shop.meters.view().matched
        self.press("Esc")
        assert self.page == "counter"

    @property
    def _matching(self) -> MatchView:
        """What the match shows."""
        desks = self.shell.desks
        assert desks is not None
        assert desks.match is not None
        return desks.match.view()

    def _give_bare_numbers(self, unit: str) -> None:
        """Press U until a bare number is read in that unit."""
        for _press in range(MOST_UNITS):
            if self._matching.unit == unit:
                return
            self.press("U")
        assert self._matching.unit == unit

    def answer(self, press: str) -> None:
        """Press a number key at a check that is looked at, and go on with the bench."""
        here = self.visit.current.key
        self.press(press)
        self.until("the next step", lambda: self.visit.current.key != here)

    def reading(self, text: str) -> None:
        """Type a reading at a check."""
        self.press("M")
        self.type(text)
        assert self.bench.prompt is None, self.bench.prompt

    def pdf(self, path: Path) -> None:
        """Keep the slip as a PDF, and come back to the bench."""
        self.press("P")
        assert self.page == "print"
        self.press("F")
        self.type(str(path))
        assert not self.problem
        self.press("Esc")
        assert self.page == "bench"


@contextmanager
def at_work(place: Place) -> Iterator[Technician]:
    """The window on a shop, closed before the shop is."""
    shops: list[Shop] = []

    def load() -> Desks:
        shops.append(open_shop(place))
        return shops[0].desks()

    try:
        with offscreen_window(load) as stage:
            yield Technician(stage, shops[0])
    finally:
        for shop in shops:
            shop.close()

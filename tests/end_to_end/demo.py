"""The invented shop of demo_data: three machines, four visits, all of it typed.

    python -m tests.end_to_end.demo [visits.json]

writes it anew. The visits are worked on the real bench and in a real shop file, without a window
and without a meter, on a clock of their own.
"""

import sys
import tempfile
import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

from benchassist.assembly import Place, open_store, spec_book
from benchassist.assembly.record import write_export
from benchassist.core.procedure import CheckKind
from benchassist.core.slip import Paper, Slip
from benchassist.meters.room import Room
from benchassist.services.bench.bench import Bench
from benchassist.services.desk import Action
from benchassist.services.settings import SettingsFile
from benchassist.services.shop import Shop

OUT = Path(__file__).resolve().parents[2] / "demo_data" / "visits.json"
PATIENCE_S = 10.0
CARD = "handheld_6000"
SETTINGS = '{"shop_name": "Hollow Lane Small Engines", "bench_name": "2", "done_by": "Wren"}'
OWNER = {"customer": "Pennick & Daughter", "phone": "0555 0117"}
WASHER = OWNER | {
    "tag": "M-001",
    "unit": "Yard washer",
    "engine": "Tarnbeck TB200, horizontal shaft",
    "serial": "TB200-00418",
    "engine_class": "A",
}
MOWER = {
    "tag": "M-002",
    "customer": "Ottoline Brask",
    "phone": "0555 0163",
    "unit": "Walk mower",
    "engine": "Quarrow V140",
    "serial": "QV-14-2207",
    "engine_class": "B",
}
SAW = {
    "tag": "M-003",
    "customer": "Fennimore Orchards",
    "phone": "0555 0188",
    "unit": "Chain saw",
    "engine": "Lindrake 45",
    "serial": "L45-9031",
    "engine_class": "D",
}
OPEN = ("OL 60M", "OL 60M")
SOUND = {
    "plug_gap": ("0.75",),
    "plug_resistor": ("5.08k",),
    "stop_insulation": OPEN[:1],
    "stop_switch": ("0.3",),
    "low_oil": OPEN,
    "cap": ("4.97k",),
    "coil_primary": ("1.1",),
    "coil_secondary": ("9.21k",),
    "path": ("14.19k",),
    "air_gap": ("0.32",),
    "idle_low": ("1750",),
    "idle_high": ("3520",),
    "points_gap": ("0.43",),
    "lash_intake": ("0.10",),
    "lash_exhaust": ("0.15",),
    "compression": ("105 psi",),
    "engine_run": ("1750", "3520"),
}
"""What is typed at each check; a look that is not named gets its first answer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Story:
    """One visit: when, of what, and what differs from a sound machine."""

    day: int
    machine: Mapping[str, str]
    interview: Mapping[str, str]
    options: Mapping[str, str] = field(default_factory=dict)
    readings: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    repairs: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    """By check: what was done, and the reading after it."""
    stops_before: str = ""
    """The check at which the visit is left open; none: it is closed."""


STORIES = (
    Story(
        day=0,
        machine=WASHER,
        interview={"complaint": "service", "words": "season’s service"},
        options={"application": "washer_pump"},
    ),
    Story(
        day=12,
        machine=MOWER,
        interview={"complaint": "hard_start", "words": "ten pulls when cold"},
        options={"cap_marking": "unmarked", "application": "walk_mower", "module_family": "low"},
        readings={
            "plug_gap": ("1.10",),
            "cap": ("4.9k",),
        },
        repairs={"plug_gap": ("plug gap set", "0.76")},
    ),
    Story(
        day=118,
        machine=WASHER,
        interview={
            "complaint": "quits_hot",
            "words": "quits after about 25 min, restarts when it has cooled",
            "minutes_to_quit": "25",
            "how_it_quits": "sudden",
            "wait_to_restart": "15",
        },
        options={"application": "washer_pump"},
        readings={"cap": ("8.61k",), "path": ("17.90k",)},
        repairs={"cap": ("new 5 kΩ cap fitted", "4.99k"), "path": ("measured again", "14.22k")},
    ),
    Story(
        day=119,
        machine=SAW,
        interview={"complaint": "no_start", "words": "stood since autumn"},
        options={"application": "handheld"},
        readings={"coil_primary": OPEN},
        stops_before="coil_secondary",
    ),
)


class DemoClock:
    """The computer's seconds, on a made-up day."""

    def __init__(self) -> None:
        self._start = time.monotonic()
        self.day = 0

    def monotonic(self) -> float:
        """Seconds, never going back."""
        return time.monotonic()

    def now(self) -> datetime:
        """Half past eight on the made-up day, and what has passed since."""
        passed = timedelta(days=self.day, seconds=time.monotonic() - self._start)
        return datetime(2026, 3, 2, 8, 30, tzinfo=UTC) + passed


class NoPrinter:
    """The demo prints nothing."""

    def write_pdf(self, slip: Slip, path: Path, *, paper: Paper = Paper.A4) -> None:
        """Refuse."""
        raise NotImplementedError

    def print_on(self, printer: object, slip: Slip) -> None:
        """Refuse."""
        raise NotImplementedError


def play(
    location: Path | str, stories: tuple[Story, ...] = STORIES, *, home: Path | None = None
) -> list[str]:
    """Work the visits in a shop; return their ids in order. The home stands beside a shop file."""
    place = Place(str(location), home or Path(location).parent / "home")
    place.home.mkdir(parents=True, exist_ok=True)
    settings = place.home / "settings.json"
    settings.write_text(SETTINGS, encoding="utf-8")
    clock = DemoClock()
    shop = Shop(
        store=open_store(place),
        book=spec_book(place),
        room=Room(),
        printer=NoPrinter(),
        clock=clock,
        settings_file=SettingsFile(settings),
    )
    try:
        shop.meters.choose_card(CARD)
        return [_play(shop, clock, story) for story in stories]
    finally:
        shop.close()


def _play(shop: Shop, clock: DemoClock, story: Story) -> str:
    clock.day = story.day
    known = shop.store.machines_of_tag(story.machine["tag"])
    machine = known[0].id if known else shop.counter.new_machine(story.machine)
    visit_id = shop.counter.open_visit(machine, story.interview)
    bench = shop.bench(visit_id)
    for line in ("", "0.2", "9.98"):  # shop temperature, leads, known resistor
        if bench.prompt is None:
            bench.act(Action.TYPE)
        bench.act(Action.SUBMIT, line)
    _ink(bench)
    for check in bench.visit.procedure.checks:
        if check.key == story.stops_before:
            return visit_id
        _answer(bench, story, check.key)
    bench.act(Action.CLOSE_VISIT)
    _ink(bench)
    if not bench.visit.closed:
        raise RuntimeError(f"{visit_id} did not close at {bench.visit.current.key}")
    return visit_id


def _answer(bench: Bench, story: Story, key: str) -> None:
    bench.act(Action.GOTO, key)
    check = bench.visit.current
    if bench.asking_option():
        keys = [option.key for option in check.options]
        chosen = story.options.get(check.option_group, keys[0])
        bench.act(Action.CHOOSE, str(1 + keys.index(chosen)))
    lines = story.readings.get(key, SOUND.get(key, ("1",)))
    match check.kind:
        case CheckKind.LOOK:
            bench.act(Action.CHOOSE, lines[0])
        case CheckKind.RUN:
            _run(bench, lines if key in SOUND else ())
        case _:
            for line in lines:
                _type(bench, line)
    if key in story.repairs:
        did, after = story.repairs[key]
        bench.act(Action.GOTO, key)
        bench.act(Action.DID)
        bench.act(Action.SUBMIT, did)
        _type(bench, after)
    _ink(bench)


def _run(bench: Bench, lines: tuple[str, ...]) -> None:
    """A run typed off a tachometer; one that takes a meter is passed over."""
    if not lines:
        bench.act(Action.SKIP)
        return
    bench.act(Action.RUN_START)
    for line in lines:
        bench.act(Action.RUN_TYPE)
        bench.act(Action.SUBMIT, line)
        bench.tick()
    bench.act(Action.RUN_END)


def _type(bench: Bench, line: str) -> None:
    bench.act(Action.TYPE)
    bench.act(Action.SUBMIT, line)
    if bench.prompt is not None:
        raise RuntimeError(f"{bench.visit.current.key}: {bench.prompt.error}")
    _ink(bench)


def _ink(bench: Bench) -> None:
    """Tick until all of it is on disk and the bench has gone on."""
    end = time.monotonic() + PATIENCE_S
    while not bench.pen.all_in_ink or bench.flash is not None:
        if time.monotonic() > end:
            raise RuntimeError(f"not on disk after {PATIENCE_S} s: {bench.pen.trouble}")
        bench.tick()
        time.sleep(0.001)


def main(out: Path) -> int:
    """Play the visits and write them down; the number of visits written."""
    with tempfile.TemporaryDirectory(prefix="demo-shop-") as folder:
        location = Path(folder) / "shop.sqlite"
        visits = play(location)
        write_export(Place(str(location), Path(folder)), visits, out)
    return len(visits)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else OUT)

"""Machines with a past, told visit by visit: every shape their file has to take."""

from dataclasses import replace

from PySide6.QtCore import QBuffer
from PySide6.QtGui import QColor, QImage, QPainter, QPen

from benchassist.core.band import Band, BandSource, Side, Verdict
from benchassist.core.entry import Interview, Machine, PartMarked
from benchassist.core.procedure import Check
from benchassist.core.quantity import Quantity
from benchassist.core.run_plot import RunPlot
from benchassist.errors import BenchError
from benchassist.services.record.machine_file import file_of
from benchassist.services.record.machine_file_view import (
    LaidRun,
    MachinePageView,
    RunsView,
)
from benchassist.services.record.photo_view import PhotoDesk, PhotoStrip, PhotoTile
from benchassist.units import LengthUnit, PressureUnit, TemperatureUnit, UnitChoice
from tests.paint import run_specimen
from tests.services.season import RUN, Season
from tests.services.story import OHMS, measured

LENGTH, PRESSURE, SPEED = Quantity.LENGTH, Quantity.PRESSURE, Quantity.SPEED
SPRAYER = Machine(
    id="m1",
    tag="TH-07",
    customer="Tallow Hill",
    unit="sprayer pump",
    engine="Corvane C-210, 208 cc horizontal OHV",
)
LONG = Machine(
    id="m1",
    tag="GLD-2019-000417-B",
    customer="Great Longhedge & Lower Thistledown Agricultural Contractors’ Cooperative",
    unit="trailed four-row potato-ridge sprayer pump with reel",
    engine="Fenwick-Orme FO-390-HX-Industrial, 389 cc horizontal shaft OHV with low-oil switch",
)
RIGHT_TO_LEFT = replace(SPRAYER, customer="בית מלאכה ארנון", unit="מרססת", engine="Corvane C-210")


def _check(key: str, title: str, quantity: Quantity, band: Band | None) -> Check:
    return replace(measured(key), title=title, short=title, quantity=quantity, band=band)


CAP = _check("cap", "Plug cap", OHMS, Band(quantity=OHMS, low=3750.0, high=6250.0))
COIL = replace(
    _check(
        "coil",
        "Coil secondary, cold",
        OHMS,
        Band(quantity=OHMS, low=5900.0, high=7100.0, copper=True),
    ),
    part="coil",
)
GAP = _check("gap", "Plug gap", LENGTH, Band(quantity=LENGTH, low=0.7e-3, high=0.8e-3))
LASH = _check("lash", "Valve gap, exhaust", LENGTH, Band(quantity=LENGTH, low=1e-4, high=1.5e-4))
HIGH = _check("high", "High speed, no load", SPEED, Band(quantity=SPEED, low=3450.0, high=3750.0))
SQUEEZE = _check("squeeze", "Compression", PRESSURE, Band(quantity=PRESSURE, low=620e3))
WIRE = _check("wire", "Stop wire, unplugged", OHMS, Band(quantity=OHMS, low=10e6))
BARE = _check("bare", "Plug resistor, unmarked", OHMS, None)
CHECKS = (CAP, COIL, GAP, LASH, HIGH, SQUEEZE)


def _season(year: int, slip: str, said: str, *checks: Check, **given: object) -> Season:
    header = {"machine": SPRAYER, "slip_number": slip, "id": f"v{year}-{slip}", **given}
    interview = Interview(complaint=said, words=said)
    return Season(year, *(*(checks or CHECKS), RUN), interview=interview, **header)  # type: ignore[arg-type]


def _figures(season: Season, **given: float | None) -> Season:
    counts = {"cap": (10.0, 3), "coil": (10.0, 3), "gap": (1e-5, -3), "lash": (1e-5, -3)}
    counts |= {"high": (10.0, 0), "squeeze": (1e4, 3), "wire": (1e4, 6), "bare": (10.0, 3)}
    for key, value in given.items():
        name = key.rstrip("_0123456789")
        if name in {"cap", "coil", "bare", "wire"}:
            season.take(key, value)
        else:
            season.gauge(key, value, *counts[name])
    return season


def sprayer(machine: Machine = SPRAYER) -> list[Season]:
    """The returning machine of the picture: four years, drifts, a part fitted, an open visit."""
    first = _season(2023, "0020", "spring service", machine=machine)
    _figures(first, coil=6470.0, gap=0.76e-3, lash=0.12e-3, high=3560.0, squeeze=790e3)
    first.did("oil, filter, base readings taken")
    first.fit("air_filter", "air filter")
    first.note("Pump belt guard cracked. Owner knows.")
    second = _season(2024, "0131", "spring service", machine=machine)
    _figures(second, cap=4350.0, coil=6480.0, gap=0.78e-3, lash=0.13e-3, high=3580.0, squeeze=780e3)
    second.did("plug gap set 0.78, valves set")
    second.fit("plug", "spark plug")
    third = _season(2025, "0288", "starves on the top row", machine=machine)
    _figures(third, cap=4330.0, coil=6500.0, gap=0.81e-3, lash=0.15e-3, high=3590.0, squeeze=770e3)
    third.run()
    third.did("carb clean")
    third.fit("fuel_tap", "fuel tap, bowl gasket")
    third.note("Told owner: drain it for winter.")
    now = _season(
        2026, "0412", "Quits after about 25 min, restarts after 10 min cool", machine=machine
    )
    _figures(now, cap=4380.0, coil=6520.0, gap=0.92e-3, high=3610.0)
    now.run()
    return [first.close(), second.close(), third.close(), now]


def _many(checks: int, visits: int) -> list[Season]:
    bank = [replace(CHECKS[i % 6], key=f"{CHECKS[i % 6].key}_{i}") for i in range(checks)]
    seasons = []
    for i in range(visits):
        season = _season(1987 + i, f"{100 + i:04d}", "comes every spring", *bank)
        for check in bank:
            low, high = check.band.low, check.band.high  # type: ignore[union-attr]
            top = high if high is not None else 1.6 * (low or 0.0)
            value = (low or 0.0) + (top - (low or 0.0)) * (0.3 + 0.4 * ((i * 7) % 10) / 10.0)
            _figures(season, **{check.key: value})
        season.did("serviced")
        seasons.append(season.close())
    return seasons


def page(
    seasons: list[Season],
    machine: Machine = SPRAYER,
    units: UnitChoice | None = None,
    **more: object,
) -> MachinePageView:
    """The page of a machine with these visits."""
    file = file_of(machine, [s.visit for s in seasons], units or UnitChoice())
    given = {"enter_text": "Open today’s slip", "note_text": "Note, on the visit of 9 Jun 2026"}
    if not file.open_visit_id:
        given["enter_text"] = "New visit"
    return MachinePageView(
        file=file,
        enter_visit_id=file.open_visit_id,
        may_mark=True,
        may_edit=True,
        **{**given, **more},  # type: ignore[arg-type]
    )


def _odd() -> MachinePageView:
    """A renewed part, work, an open, no band, another band, unknown temperature, a mark."""
    checks = (COIL, WIRE, BARE, CAP, GAP)
    first = _season(2023, "0020", "spring service", *checks)
    _figures(first, coil=6470.0, wire=None, bare=5120.0, cap=9900.0, gap=0.76e-3)
    assert CAP.band is not None
    ten = replace(CAP, band=replace(CAP.band, low=7500.0, high=12500.0, source=BandSource.MARKING))
    second = _season(2024, "0131", "coil gave up", COIL, WIRE, BARE, ten, GAP)
    _figures(second, coil=8900.0)
    second.fit("coil", "ignition coil 30-118-A, with the screws")
    _figures(second, coil=6200.0, wire=None, bare=5090.0, cap=9950.0)
    second.gauge("gap", 0.95e-3, 1e-5, -3)
    second.did("plug gap set", "gap")
    second.gauge("gap", 0.75e-3, 1e-5, -3)
    third = _season(2025, "0288", "misfires under load", *checks)
    third.take("coil", 6900.0, celsius=None)
    _figures(third, wire=12.3e6, bare=None, cap=4330.0, gap=3.2e-3)
    last = next(e for e in second.visit.entries if getattr(e, "check_key", "") == "wire")
    assert last is not None
    coil = [e for e in second.visit.entries if getattr(e, "check_key", "") == "coil"][-1]
    second.add(PartMarked(stamp=second.stamp(), check_key="coil", entry_id=coil.stamp.id))
    view = page([first.close(), second.close(), third])
    file = view.file
    assert file is not None
    return replace(
        view,
        file=replace(file, unread_text="Not readable: slip 0131, 0144"),
        said="Known good: Coil secondary, cold 6.20 kΩ",
    )


def _picture(width: int, height: int, shade: str) -> bytes:
    """A picture of one shade with a cross in it."""
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(QColor(shade))
    painter = QPainter(image)
    painter.setPen(QPen(QColor("#14191D"), 6.0))
    painter.drawLine(0, 0, width, height)
    painter.drawLine(0, height, width, 0)
    painter.end()
    kept = QBuffer()
    image.save(kept, "JPG")  # type: ignore[call-overload]
    return bytes(kept.data().data())


def photos(count: int) -> PhotoStrip:
    """So many photos of the machine, newest first."""
    told = ("Today: coil, crack by tab", "Today: plug, gap 0.92", "2024: cap and lead")
    return PhotoStrip(
        title="Photos",
        goes_to="today’s visit",
        tiles=tuple(
            PhotoTile(
                entry_id=f"p{i}",
                visit_id="v2026-0412",
                text=told[i] if i < len(told) else "2023: as it came in",
                thumbnail=_picture(*((320, 180) if i % 3 else (200, 320)), "#B7C7D1"),
            )
            for i in range(count)
        ),
        empty_text="No photo yet. Drop one here, paste it with Ctrl+V, or press P",
    )


RUNS = RunsView(
    check_key="heat_run",
    title="Heat run: 3 runs",
    place_text="1 of 2",
    rows=(
        LaidRun(
            run_id="r1",
            visit_id="v2023-0020",
            day_text="9 Jun 2023",
            words="not reproduced",
            doubt="up to 84 °C, 2 cycles",
        ),
        LaidRun(
            run_id="r2",
            visit_id="v2025-0288",
            day_text="9 Jun 2025",
            words="2 breaks found: at 67 °C, at 66 °C, reclosed at 56 °C",
            verdict=Verdict.OUT_OF_BAND,
            side=Side.HIGH,
            verdict_text="2 breaks found: at 67 °C, at 66 °C",
            dash=1,
        ),
        LaidRun(
            run_id="r3",
            visit_id="v2026-0412",
            day_text="9 Jun 2026",
            words="not reproduced",
            doubt="up to 88 °C",
            dash=2,
            selected=True,
        ),
    ),
    plot=replace(
        run_specimen.heat(opens=False),
        now_s=None,
        overlay=tuple(
            replace(track, dash=dash, low=track.low * share, high=track.high * share)
            for dash, (seed, share) in enumerate(((7, 0.97), (9, 1.04)))
            for track in run_specimen.heat(seed=seed, opens=seed > 7).tracks
        ),
    ),
)
SPRAYER_PAGE = page(sprayer())
THOUSANDTHS = UnitChoice(
    temperature=TemperatureUnit.FAHRENHEIT,
    length=LengthUnit.THOUSANDTH,
    pressure=PressureUnit.PSI,
)
MACHINE_STATES: dict[str, MachinePageView] = {
    "four": SPRAYER_PAGE,
    "reading": MachinePageView(busy_text="Reading the file"),
    "trouble": MachinePageView(
        trouble="the shop’s database shop on bench-2 cannot be reached: check the server"
    ),
    "new": page([]),
    "one": page([sprayer()[0]]),
    "single": page(
        [_figures(_season(2024 + i, f"{i:04d}", "spring", CAP), cap=4300.0) for i in range(2)]
    ),
    "forty": page(_many(6, 40)),
    "thirty": page(_many(30, 6)),
    "long": page(sprayer(LONG), LONG),
    "right-to-left": page(sprayer(RIGHT_TO_LEFT), RIGHT_TO_LEFT),
    "odd": _odd(),
    "units": page(sprayer(), units=THOUSANDTHS),
    "runs": replace(SPRAYER_PAGE, runs=RUNS),
    "photos": replace(SPRAYER_PAGE, photos=photos(7)),
    "photos-none": replace(SPRAYER_PAGE, photos=photos(0)),
    "photos-forty": replace(page(_many(6, 40)), photos=photos(2)),
    "runs-empty": replace(
        SPRAYER_PAGE,
        runs=replace(
            RUNS, plot=None, empty_text="These runs left no samples: there is no line to draw."
        ),
    ),
}


class FakeMachine:
    """A machine's file that stands still; what is asked of it is written down."""

    def __init__(self, view: MachinePageView | None = None) -> None:
        self.shown = view if view is not None else SPRAYER_PAGE
        self.machine_id = "m1"
        self.photos: PhotoDesk | None = None
        self.calls: list[tuple[str, ...]] = []
        self.refuses: BenchError | None = None
        self.ticks = 0

    def __call__(self, machine_id: str) -> "FakeMachine":
        """This desk, whatever machine is asked for."""
        self.machine_id = machine_id
        return self

    def tick(self) -> None:
        """Count it."""
        self.ticks += 1

    def view(self) -> MachinePageView:
        """What is set to show."""
        return self.shown

    def _called(self, *call: str) -> None:
        self.calls.append(call)
        refusal, self.refuses = self.refuses, None
        if refusal is not None:
            raise refusal

    def note(self, text: str) -> None:
        """Write it down; refuse once if told to."""
        self._called("note", text)

    def mark(self, check_key: str, visit_id: str) -> None:
        """Write it down; refuse once if told to."""
        self._called("mark", check_key, visit_id)

    def set_aside(self, check_key: str, visit_id: str, reason: str) -> None:
        """Write it down; refuse once if told to."""
        self._called("aside", check_key, visit_id, reason)

    def lay_over(self, check_key: str, run_id: str = "") -> None:
        """Show the invented runs, or none."""
        self._called("runs", check_key, run_id)
        runs = self.shown.runs or RUNS
        self.shown = replace(self.shown, runs=runs if check_key else None)

    def run_window(self, start_s: float, end_s: float, buckets: int) -> RunPlot:
        """The plot it shows, whatever stretch is asked for."""
        assert start_s < end_s
        assert buckets
        assert self.shown.runs is not None
        assert self.shown.runs.plot is not None
        return self.shown.runs.plot

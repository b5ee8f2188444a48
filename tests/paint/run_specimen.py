"""Plots of runs that were never made: every shape a plot has to take."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

import numpy as np

from benchassist.core.run_plot import PlotFlag, PlotGap, Ribbon, RunPlot, Shelf, Track
from benchassist.core.samples import Column

MINUTE = 60.0


def _track(title: str, unit: str, t_s: Column, value: Column, **more: object) -> Track:
    return Track(title=title, unit=unit, t_s=t_s, low=value, high=value, **more)  # type: ignore[arg-type]


def _copper(celsius: Column) -> Column:
    return 6.5 * (1.0 + 0.00393 * (celsius - 20.0))


def heat(*, opens: bool = True, seed: int = 4) -> RunPlot:
    """A coil's secondary on the way up to 84 °C, twice open."""
    random = np.random.default_rng(seed)
    t_s = np.arange(0.0, 1420.0, 0.4)
    celsius = 21.0 + 66.0 * (1.0 - np.exp(-t_s / 560.0))
    value = _copper(celsius) + random.normal(0.0, 0.012, len(t_s)).round(2)
    if opens:
        for start, end in ((1062.0, 1064.1), (1265.0, 1268.4)):
            value[(t_s >= start) & (t_s < end)] = np.inf
    ribbon = Ribbon(
        t_s=t_s[::50], low=_copper(celsius[::50]) - 0.13, high=_copper(celsius[::50]) + 0.13
    )
    flags = (
        PlotFlag(t_s=1062.0, text="Open 2.1 s", number=1, end_s=1064.1, severe=True),
        PlotFlag(t_s=1265.0, text="Open 3.4 s", number=2, end_s=1268.4, severe=True),
    )
    return RunPlot(
        tracks=(
            _track(
                "Resistance",
                "kΩ",
                t_s,
                value,
                ribbon=ribbon,
                weight=3.0,
                overload_text="open",
                floor=0.0,
                decimals=2,
            ),
            _track("Temperature", "°C", t_s, celsius, decimals=0),
        ),
        start_s=0.0,
        end_s=1800.0,
        now_s=float(t_s[-1]),
        flags=flags if opens else (),
        summary="Resistance from 6.52 to 8.11 kΩ in 23:40, open twice.",
    )


def speed() -> RunPlot:
    """An engine at two speeds, the last minute and a half."""
    random = np.random.default_rng(2)
    t_s = np.arange(0.0, 200.0, 0.2)
    corners = np.array([0.0, 110, 113, 119, 120.5, 136, 139, 146, 147.5, 162, 165, 172, 174.5, 200])
    levels = np.array(
        [3600.0, 3600, 1520, 1520, 3650, 3600, 1490, 1490, 3650, 3600, 1310, 1400, 3650, 3600]
    )
    value = np.interp(t_s, corners, levels) + random.normal(0.0, 16.0, len(t_s))
    shelves = (
        Shelf(low=3450.0, high=3750.0, text="High band"),
        Shelf(low=1350.0, high=1650.0, text="Low band"),
    )
    flags = (
        PlotFlag(t_s=110.0, text="Idle-down", number=1, end_s=120.5),
        PlotFlag(t_s=136.0, text="Idle-down", number=2, end_s=147.5),
        PlotFlag(t_s=162.0, text="Idle-down", number=3, end_s=174.5, severe=True),
    )
    return RunPlot(
        tracks=(_track("Speed", "rpm", t_s, value, shelves=shelves, floor=0.0, decimals=0),),
        start_s=109.8,
        end_s=199.8,
        now_s=199.8,
        ago=True,
        flags=flags,
        summary="Three idle-downs.",
    )


def crowded() -> RunPlot:
    """Events on top of each other, marks among them, gaps, an earlier run, a long open."""
    base = heat(opens=False)
    resistance, temperature = base.tracks
    value = resistance.high.copy()
    t_s = resistance.t_s
    for start, end in ((300.0, 300.8), (302.0, 302.8), (700.0, 760.0), (1300.0, 1500.0)):
        value[(t_s >= start) & (t_s < end)] = np.inf
    for start, end in ((420.0, 424.0), (850.0, 950.0), (960.0, 961.0)):
        value[(t_s >= start) & (t_s < end)] = np.nan
    value[t_s > 1402.0] = 8.1
    resistance = _track(
        "Resistance",
        "kΩ",
        t_s,
        value,
        ribbon=resistance.ribbon,
        weight=3.0,
        overload_text="open",
        floor=0.0,
    )
    earlier = heat(opens=True, seed=9).tracks[0]
    slower = _track("Resistance", "kΩ", earlier.t_s * 1.2, earlier.high * 0.97)
    flags = (
        PlotFlag(t_s=300.0, text="Open", number=1, end_s=300.8, severe=True),
        PlotFlag(t_s=302.0, text="Open", number=2, end_s=302.8, severe=True),
        PlotFlag(t_s=310.0, text="Step up", number=3),
        PlotFlag(t_s=330.0, text="Step up", number=4),
        PlotFlag(t_s=430.0, text="Mark"),
        PlotFlag(t_s=440.0, text="Mark"),
        PlotFlag(t_s=700.0, text="Open 60 s", number=5, end_s=760.0, severe=True),
        PlotFlag(t_s=715.0, text="Spike", number=6),
        PlotFlag(t_s=1300.0, text="Open", number=7, end_s=1402.0, severe=True),
        PlotFlag(t_s=1795.0, text="Step", number=12),
    )
    gaps = (
        PlotGap(start_s=420.0, end_s=424.0, text="meter lost"),
        PlotGap(start_s=850.0, end_s=950.0, text="meter changed range"),
        PlotGap(start_s=960.0, end_s=961.0, text="meter lost"),
    )
    return RunPlot(
        tracks=(resistance, temperature),
        start_s=0.0,
        end_s=1800.0,
        now_s=float(t_s[-1]),
        flags=flags,
        gaps=gaps,
        overlay=(slower,),
        overlay_text="Visit 3, 9 Jun 2025",
    )


def typed() -> RunPlot:
    """A heat run whose temperature is typed, and a meter with steps between levels."""
    base = heat(opens=False)
    t_s = np.array([0.0, 190.0, 402.0, 660.0, 905.0, 1240.0])
    celsius = np.array([21.0, 36.0, 52.0, 66.0, 74.0, 82.0])
    marks = _track("Temperature", "°C", t_s, celsius, typed=True)
    return RunPlot(tracks=(base.tracks[0], marks), start_s=0.0, end_s=1800.0, now_s=1419.6)


def day() -> RunPlot:
    """Twenty-four hours in buckets, a spike in one of them."""
    random = np.random.default_rng(7)
    t_s = np.linspace(0.0, 86_400.0, 3000)
    middle = 55.0 + 30.0 * np.sin(t_s / 9000.0)
    low, high = middle - random.uniform(0.2, 1.5, 3000), middle + random.uniform(0.2, 1.5, 3000)
    high[1700] = 140.0
    track = Track(title="Pressure", unit="psi", t_s=t_s, low=low, high=high)
    return RunPlot(tracks=(track,), start_s=0.0, end_s=86_400.0)


def opening() -> RunPlot:
    """Only overloads, and nothing before them."""
    t_s = np.arange(0.0, 20.0, 0.5)
    track = _track(
        "Resistance", "Ω", t_s, np.full(len(t_s), np.inf), overload_text="open", floor=0.0
    )
    return RunPlot(tracks=(track,), start_s=0.0, end_s=30.0, now_s=19.5)


def begun() -> RunPlot:
    """Nothing yet."""
    none = np.empty(0)
    shelves = (Shelf(low=3450.0, high=None, text="High band, common practice"),)
    return RunPlot(
        tracks=(
            _track("Resistance", "kΩ", none, none, overload_text="open"),
            _track("Speed", "rpm", none, none, shelves=shelves),
        ),
        start_s=0.0,
        end_s=60.0,
        now_s=0.0,
    )


PLOTS: Final[Mapping[str, RunPlot]] = MappingProxyType(
    {
        "heat": heat(),
        "speed": speed(),
        "crowded": crowded(),
        "typed": typed(),
        "day": day(),
        "opening": opening(),
        "begun": begun(),
    }
)

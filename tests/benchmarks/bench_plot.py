"""A run of ten million samples, panned and zoomed, against pyqtgraph's own down-sampling.

Both show the same samples through the same views, in time and in value, at 1000 x 500 pixels,
offscreen, in turns: from the whole run by steps into a thousandth of it, panned at each step. No
view comes twice running, so neither can show what it kept from the frame before; ours reads its
pyramid at every frame.

A live run's plot is held in memory by `Envelope`: its bytes after a long run are measured too.
"""

import os
from collections.abc import Callable, Iterator
from functools import partial

import numpy as np

from benchassist.core.envelope import Envelope
from benchassist.core.pyramid import Pyramid
from benchassist.core.run_plot import RunPlot, Track
from benchassist.core.samples import Column
from tests.benchmarks.figure import Aim, Figure, SideBySide, median_time, side_by_side

SAMPLES = 10_000_000
HZ = 1000.0
WIDTH, HEIGHT = 1000, 500
SPANS = (1.0, 0.3, 0.1, 0.03, 0.01, 0.003, 0.001)
"""Of the run, in view."""
PANS = 8
"""Frames at each span, each moved on by a twentieth of what is in view."""
PAN = 0.05
ROUNDS = 5
View = tuple[float, float, float, float]
"""Start and end in time, lowest and highest in value."""
Frame = Callable[[View], object]


def run() -> tuple[Column, Column]:
    """Times and values: a slow swing, noise, and a spike now and then."""
    random = np.random.default_rng(20)
    t_s = np.arange(SAMPLES) / HZ
    value = 50.0 + 30.0 * np.sin(t_s / 800.0) + random.normal(0.0, 1.0, SAMPLES)
    value[random.integers(0, SAMPLES, 50)] += 40.0
    return t_s, value


def views(share: float, t_s: Column, value: Column) -> list[View]:
    """Views of a share of the run, each as high as what it shows."""
    length = float(t_s[-1])
    span = share * length
    made: list[View] = []
    for place in range(PANS):
        start = 0.3 * (length - span) + place * PAN * span
        seen = value[np.searchsorted(t_s, start) : np.searchsorted(t_s, start + span)]
        made.append((start, start + span, float(seen.min()), float(seen.max())))
    return made


def figures() -> Iterator[Figure]:
    """Frames a second of both, and what an envelope keeps."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from PySide6.QtWidgets import QApplication

    app = QApplication.instance() or QApplication(["bench"])
    t_s, value = run()
    ours, baseline = our_plot(t_s, value), their_plot(t_s, value)
    frames_s: dict[float, SideBySide] = {}
    for share in SPANS:
        path = views(share, t_s, value)
        both = side_by_side(partial(along, ours, path), partial(along, baseline, path), ROUNDS)
        frames_s[share] = SideBySide(both.ours / PANS, both.baseline / PANS)
    mine = sum(both.ours for both in frames_s.values()) / len(SPANS)
    theirs = sum(both.baseline for both in frames_s.values()) / len(SPANS)
    yield Figure(
        "pan and zoom, 10 M samples",
        1.0 / mine,
        1.0 / theirs,
        theirs / mine,
        Aim(3.0, at_least=True),
        "frames/s",
        "to pyqtgraph with autoDownsample (peak) and clipToView, the same views",
    )
    yield Figure(
        "pan and zoom, slowest span",
        1.0 / max(both.ours for both in frames_s.values()),
        aim=Aim(30.0, on="ours", at_least=True),
        unit="frames/s",
        note=f"{WIDTH} x {HEIGHT} pixels, offscreen",
    )
    for share, both in frames_s.items():
        yield Figure(
            f"view of {share:g} of the run",
            1.0 / both.ours,
            1.0 / both.baseline,
            1.0 / both.ratio,
            unit="frames/s",
        )
    yield from kept()
    del app


def along(frame: Frame, path: list[View]) -> None:
    """One frame at each view."""
    for view in path:
        frame(view)


def our_plot(t_s: Column, value: Column) -> Frame:
    """A frame of `LivePlot` at a view: detail from the pyramid, then a picture of the widget."""
    from benchassist.ui.live_plot import LivePlot

    pyramid = Pyramid(t_s, value)

    def detail(start_s: float, end_s: float, buckets: int) -> RunPlot:
        times, low, high = pyramid.window(start_s, end_s, buckets)
        track = Track(title="Pressure", unit="psi", t_s=times, low=low, high=high)
        return RunPlot(tracks=(track,), start_s=start_s, end_s=end_s)

    end_s = float(t_s[-1])
    plot = LivePlot()
    plot.resize(WIDTH, HEIGHT)
    plot.show_plot(detail(0.0, end_s, WIDTH), detail)

    def frame(view: View) -> object:
        plot.show_view(*view[:2])
        return plot.grab()

    return frame


def their_plot(t_s: Column, value: Column) -> Frame:
    """A frame of pyqtgraph's plot at a view."""
    import pyqtgraph

    widget = pyqtgraph.PlotWidget()
    widget.resize(WIDTH, HEIGHT)
    item = widget.plot([0.0, 1.0], [0.0, 1.0], skipFiniteCheck=True)
    widget.setXRange(0.0, 1.0, padding=0.0)
    widget.setYRange(0.0, 1.0, padding=0.0)
    item.setDownsampling(auto=True, method="peak")
    item.setClipToView(True)
    item.setData(t_s, value, skipFiniteCheck=True)

    def frame(view: View) -> object:
        widget.setXRange(*view[:2], padding=0.0)
        widget.setYRange(*view[2:], padding=0.03)
        return widget.grab()

    return frame


def kept() -> Iterator[Figure]:
    """What an envelope takes a sample, and its bytes after an hour and after a day."""
    envelope = Envelope()
    place = iter(range(10**9))

    def append() -> None:
        envelope.append(next(place) * 0.1, 6.52)

    append_s = median_time(append, 9, inner=20_000)
    yield Figure("envelope, one sample", append_s * 1e6, aim=Aim(2.0, on="ours"), unit="µs")
    for name, hz, hours in (("24 h at 10 Hz", 10.0, 24.0), ("1 h at 1 kHz", 1000.0, 1.0)):
        envelope = Envelope()
        count = round(hz * hours * 3600.0)
        t_s = np.arange(count) / hz
        value = np.random.default_rng(1).normal(6.5, 0.01, count)
        quarter = count // 4
        envelope.extend(t_s[:quarter], value[:quarter])
        before = envelope.nbytes
        envelope.extend(t_s[quarter:], value[quarter:])
        yield Figure(
            f"envelope, {name}",
            envelope.nbytes / 1e6,
            16.0 * count / 1e6,
            aim=Aim(2.0, on="ours"),
            unit="MB",
            note=f"after a quarter of it {before / 1e6:.2f}; baseline: every sample",
        )

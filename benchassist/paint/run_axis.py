"""The two axes of a run's plot: round steps, their labels, and where a moment or a value lies."""

from dataclasses import dataclass
from math import ceil, floor, isfinite, log10

from benchassist.core.run_plot import PlotWords

MINUTE, HOUR = 60.0, 3600.0
_TIME_STEPS = (
    *(m * 10.0**e for e in range(-4, 0) for m in (1.0, 2.0, 5.0)),
    *(1.0, 2.0, 5.0, 10.0, 15.0, 30.0),
    *(m * MINUTE for m in (1.0, 2.0, 5.0, 10.0, 15.0, 30.0)),
    *(m * HOUR for m in (1.0, 2.0, 3.0, 6.0, 12.0, 24.0, 48.0, 96.0, 240.0, 480.0, 960.0)),
)
_SECONDS_UP_TO = 180.0
"""A view up to so long says '120 s ago', a longer one '2 min ago'."""
_LEAST_SPAN = 0.02
"""Of the value: a steady reading is not magnified without end."""
_ROOM = 0.53
"""Half the span and a little room beyond the lowest and the highest."""


@dataclass(frozen=True, slots=True)
class ValueAxis:
    """Ends and ticks, from the lowest to the highest; `decimals` for the labels."""

    start: float
    end: float
    ticks: tuple[float, ...]
    decimals: int

    def place(self, value: float) -> float:
        """Where a value lies: 0 at the start and 1 at the end, beyond that outside."""
        return (value - self.start) / (self.end - self.start)

    def label(self, value: float, *, more: int = 0) -> str:
        """A value with the axis's decimals, or with some more."""
        return number(value, self.decimals + more)


def number(value: float, decimals: int) -> str:
    """Digits with a real minus sign, and no minus before zero."""
    return f"{round(value, decimals) + 0.0:.{decimals}f}".replace("-", "−")


def value_axis(
    low: float, high: float, *, steps: float, floor_at: float | None = None
) -> ValueAxis:
    """An axis about low to high with round ticks, at least 1 / `steps` of it apart.

    Its ends are fifths of a step, so that they rarely move while values come in; they are the ticks
    where fewer than two round ones fit. Never below the floor. Anything not finite, or nothing at
    all, gives 0 to 1.
    """
    if not (isfinite(low) and isfinite(high)) or low > high:
        low, high = 0.0, 1.0
    span = max(high - low, _LEAST_SPAN * max(abs(low), abs(high)), 1e-12)
    middle = (low + high) / 2.0
    low, high = middle - _ROOM * span, middle + _ROOM * span
    if floor_at is not None and low < floor_at:
        low = floor_at
        high = max(high, low + span)
    step = _round_step((high - low) / steps)
    while True:
        fifth = step / 5.0
        start, end = floor(low / fifth + 1e-6) * fifth, ceil(high / fifth - 1e-6) * fifth
        if end - start <= steps * step:
            break
        step = _round_step(1.01 * step)
    first, last = ceil(start / step - 1e-6), floor(end / step + 1e-6)
    if last <= first:
        return ValueAxis(start, end, (start, end), _decimals(fifth))
    return ValueAxis(start, end, tuple(i * step for i in range(first, last + 1)), _decimals(step))


def _decimals(step: float) -> int:
    return max(0, -floor(log10(step) + 1e-9))


@dataclass(frozen=True, slots=True)
class TimeTick:
    """A moment on the axis and what stands below it."""

    t_s: float
    text: str


def time_ticks(
    start_s: float, end_s: float, *, most: int, words: PlotWords, now_s: float | None = None
) -> tuple[TimeTick, ...]:
    """At most `most` round moments from start to end, the unit on the last.

    With `now_s` they count backwards from it: '30 s ago', 'now'.
    """
    span = end_s - start_s
    step = next((s for s in _TIME_STEPS if span / s <= max(1, most - 1) + 1e-6), _TIME_STEPS[-1])
    origin = 0.0 if now_s is None else now_s
    first, last = ceil((start_s - origin) / step - 1e-6), floor((end_s - origin) / step + 1e-6)
    places = [(origin + i * step, i * step) for i in range(first, last + 1)]
    if now_s is None:
        name = ""
        if step >= MINUTE:
            name = words.hours if end_s >= 2.0 * HOUR else words.minutes
        texts = [_rounded(t_s, step, hours=name == words.hours) for t_s, _ in places]
        if texts and name:
            texts[-1] = f"{texts[-1]} {name}"
    else:
        unit_s = 1.0 if step < MINUTE or span <= _SECONDS_UP_TO else step
        texts = [
            _ago(-away, unit_s if unit_s > 1.0 else min(step, 1.0), words) for _, away in places
        ]
    return tuple(TimeTick(t_s, text) for (t_s, _), text in zip(places, texts, strict=True))


def _rounded(t_s: float, step: float, *, hours: bool) -> str:
    """'25' minutes, '3' hours, '3:20' hours, else the clock."""
    if step < MINUTE:
        return clock(t_s, step)
    minutes = round(t_s / MINUTE)
    if not hours:
        return number(minutes, 0)
    return number(minutes / 60, 0) if step >= HOUR else clock(minutes, 1.0)


def clock(t_s: float, step: float) -> str:
    """A moment of the run, as exact as a `step` under a minute asks: '17:42', '0:02.25'."""
    sign, t_s = ("−", -t_s) if t_s < -step / 2.0 else ("", abs(t_s))
    decimals = _decimals(step)
    ticks = round(t_s * 10**decimals)
    whole, part = divmod(ticks, 10**decimals)
    minutes, seconds = divmod(whole, 60)
    hours, rest = divmod(minutes, 60)
    text = f"{hours}:{rest:02d}:{seconds:02d}" if hours else f"{minutes}:{seconds:02d}"
    return f"{sign}{text}.{part:0{decimals}d}" if decimals else f"{sign}{text}"


def _ago(away: float, step: float, words: PlotWords) -> str:
    if abs(away) < step / 2.0:
        return words.now
    if step >= HOUR:
        return words.hours_ago.format(number(away / HOUR, 0))
    if step >= MINUTE:
        return words.minutes_ago.format(number(away / MINUTE, 0))
    return words.seconds_ago.format(number(away, _decimals(step)))


def _round_step(rough: float) -> float:
    """The smallest of 1, 2, 5 times a power of ten that is at least `rough`."""
    power: float = 10.0 ** floor(log10(rough))
    for m in (1.0, 2.0, 5.0):
        if m * power >= rough * (1.0 - 1e-9):
            return m * power
    return 10.0 * power

"""What comes from the meters while a run is on, as its work may take it.

Readings that are none of the run's (HOLD, another function, an old minimum) stay on disk and are
not told to the work; the stretch is a gap, and one line says what to press. What the window was too
late to see is read back from disk.
"""

from collections.abc import Sequence
from dataclasses import replace

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Gap, LinkItem, Mode, Reading
from benchassist.core.run import RunGap
from benchassist.core.samples import Samples
from benchassist.errors import NotFoundError
from benchassist.services.needs import Recording, RunStore
from benchassist.services.runs.playback import CHANNELS, between, holes
from benchassist.services.runs.work import RunWork
from benchassist.services.translation import _

BARRED = frozenset({Flag.HOLD, Flag.REL, Flag.MIN, Flag.MAX})
THERMOMETER = "B"
FLUSH_WAIT = 2.0
"""Seconds to wait for the disk before what was overrun counts as missing."""
TAIL = 5.0
"""Seconds without a reading at a run's end that are a gap."""


def refusal(reading: Reading, wanted: Quantity | None) -> tuple[str, str] | None:
    """Why a run does not take a reading: the gap's reason and one line; None where it does."""
    plain = reading.mode is Mode.PLAIN or wanted is Quantity.FREQUENCY
    same = reading.quantity is wanted or (
        wanted is Quantity.FREQUENCY and reading.quantity is Quantity.SPEED
    )
    if not plain or not same:
        return "function", _("{dial}: readings are not used meanwhile").format(dial=_dial(wanted))
    if Flag.HOLD in reading.flags:
        return "hold", _("The meter shows HOLD: switch it off, readings are not used meanwhile")
    if reading.flags & BARRED:
        return "hold", _(
            "The meter shows REL, MIN or MAX: switch it off, readings are not used meanwhile"
        )
    return None


def _dial(wanted: Quantity | None) -> str:
    return {
        Quantity.RESISTANCE: _("Set the meter back to ohms"),
        Quantity.FREQUENCY: _("Set the meter back to hertz"),
        Quantity.TEMPERATURE: _("Set the second meter back to temperature"),
        Quantity.VOLTAGE: _("Set the meter back to volts"),
    }.get(wanted or Quantity.RESISTANCE, _("Set the meter back to what the run reads"))


OVERFLOW = "overflow"


def _place(told: tuple[float, LinkItem]) -> tuple[float, bool]:
    """By time; at one moment the temperature before what it is the temperature of."""
    opened_at, item = told
    moment = item.end_s if isinstance(item, Gap) else item.t_s
    return opened_at + moment, item.channel != THERMOMETER


class RunFeed:
    """One run's readings, in seconds of the run. All calls in the window's thread."""

    def __init__(
        self,
        work: RunWork,
        *,
        recording: Recording | None,
        store: RunStore | None,
        run_id: str,
        at: float,
    ) -> None:
        self._work = work
        self._recording = recording
        self._store = store
        self._run_id = run_id
        self._at = at
        self._opened: dict[str, float] = {}
        self._last: dict[str, float] = {}
        self._read_back_to: dict[str, float] = {}
        self._barred: dict[str, tuple[float, str]] = {}
        self._lines: dict[str, str] = {}

    @property
    def trouble(self) -> str:
        """Why readings are not used now, in one line; empty while they are."""
        return next(iter(self._lines.values()), "")

    @property
    def recorded(self) -> bool:
        """Whether what comes goes to disk as well."""
        return self._recording is not None

    @property
    def disk_trouble(self) -> str:
        """Why samples are not on disk yet, in one line; empty while all is well."""
        return self._recording.trouble if self._recording is not None else ""

    def take_in(self, heard: Sequence[tuple[float, LinkItem]]) -> None:
        """What links said, each with the clock's moment its seconds count from.

        What two meters said is told in the order in which it happened, a window's delay or not.
        """
        for opened_at, item in sorted(heard, key=_place):
            match item:
                case Reading():
                    self._reading(item, opened_at)
                case Gap():
                    self._gap(item, opened_at - self._at)

    def _reading(self, given: Reading, opened_at: float) -> None:
        channel, t_s = given.channel, given.t_s + opened_at - self._at
        if t_s < 0.0 or t_s <= self._read_back_to.get(channel, -1.0):
            return
        if self._opened.setdefault(channel, opened_at) != opened_at:
            self._opened[channel] = opened_at
            self._missing(channel, t_s, "closed")
        wanted = Quantity.TEMPERATURE if channel == THERMOMETER else self._work.wanted
        if wanted is None:  # a drill takes no readings, whatever the meter is set to
            return
        refused = refusal(given, wanted)
        if refused is not None:
            reason, self._lines[channel] = refused
            self._barred.setdefault(channel, (self._last.get(channel, t_s), reason))
            return
        self._allow(channel, t_s)
        self._last[channel] = t_s
        self._work.take(replace(given, t_s=t_s))

    def _allow(self, channel: str, t_s: float) -> None:
        """A stretch that was not used ends here, if there was one."""
        self._lines.pop(channel, None)
        barred = self._barred.pop(channel, None)
        if barred is not None:
            since, reason = barred
            # The recording tells by itself what stood beside the digits.
            self._work.gap(RunGap(channel=channel, start_s=since, end_s=t_s, reason=reason))

    def _gap(self, gap: Gap, shift: float) -> None:
        start_s, end_s = max(0.0, gap.start_s + shift), gap.end_s + shift
        if end_s <= self._read_back_to.get(gap.channel, 0.0):
            return
        found = RunGap(channel=gap.channel, start_s=start_s, end_s=end_s, reason=gap.reason)
        if gap.reason == OVERFLOW:
            self._read_back(found)
        else:
            self._tell(found)

    def _missing(self, channel: str, until_s: float, reason: str) -> None:
        since = self._last.get(channel)
        if since is not None and until_s > since:
            self._tell(RunGap(channel=channel, start_s=since, end_s=until_s, reason=reason))

    def _tell(self, gap: RunGap) -> None:
        if self._recording is not None:
            self._recording.gap(gap)
        self._work.gap(gap)

    def _read_back(self, lost: RunGap) -> None:
        """The window was late: what an inbox could not hold is on disk all the same.

        Both channels are read back, so that temperatures stand beside their resistances.
        """
        recording, store = self._recording, self._store
        if recording is None or store is None or not recording.flushed(FLUSH_WAIT):
            self._tell(lost)
            return
        for channel in CHANNELS:
            try:
                samples = store.run_samples(
                    self._run_id,
                    channel,
                    start_s=self._last.get(channel, 0.0),
                    end_s=lost.end_s,
                )
            except NotFoundError:
                samples = Samples.none()
            self._read_back_to[channel] = lost.end_s
            self._take_back(channel, between(samples, self._last.get(channel, -1.0), lost.end_s))

    def _take_back(self, channel: str, samples: Samples) -> None:
        """A stretch from disk, with the holes that are in it."""
        since = float("-inf")
        for hole in [*holes(channel, samples), None]:
            part = between(samples, since, hole.start_s if hole else float("inf"))
            if len(part):
                self._allow(channel, float(part.t_s[0]))
                self._work.take_block(channel, part)
                self._last[channel] = float(part.t_s[-1])
            if hole is not None:
                self._tell(hole)
                since = hole.start_s

    def finish(self, end_s: float) -> None:
        """The run ends: what was not used, or did not come, up to here is a gap."""
        for channel in list(self._barred):
            self._allow(channel, end_s)
            self._last[channel] = end_s
        for channel, last in self._last.items():
            if end_s - last > TAIL:
                self._missing(channel, end_s, "lost")

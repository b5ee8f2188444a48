"""Logging meters without a window: one line a reading, flushed, until told to end.

{"t_s", "channel", "function", "value", "unit", "resolution", "range", "overload", "flags"}
"""

import csv
import json
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from threading import Event
from typing import Final, TextIO

from benchassist.core.quantity import BASE_UNIT, Quantity
from benchassist.core.reading import Flag, LinkChange, LinkState, Mode, Reading
from benchassist.errors import InputError
from benchassist.services.metering.switch_off import switch_off_warning
from benchassist.services.needs import Clock, Link, LinkRequest, MeterRoom
from benchassist.services.translation import _

LOOK_S: Final = 0.02
LOST_S: Final = 10.0
TEMPERATURE_AGE_S: Final = 5.0
"""Beyond this a temperature no longer belongs to a reading."""
DONE: Final = 0
NOT_DONE: Final = 1
BACK: Final = frozenset({LinkState.IDENTIFYING, LinkState.LIVE, LinkState.WAITING})
SAME_FUNCTION: Final = frozenset({Mode.PLAIN, Mode.AC})
Say = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class LogRequest:
    """What to log: a meter, perhaps a thermometer beside it, how much, and into which file."""

    meter: LinkRequest
    thermometer: LinkRequest | None = None
    count: int | None = None
    seconds: float | None = None
    out: Path | None = None

    @property
    def warning(self) -> str:
        """What to be told as it begins; a log of so many readings is taken for a short one."""
        if self.count is not None:
            return ""
        return switch_off_warning(self.meter.protocol, self.seconds)

    def __post_init__(self) -> None:
        """Raise InputError for a count or a time that cannot be."""
        if self.count is not None and self.count < 1:
            raise InputError(_("Count {count}: 1 or more would be right").format(count=self.count))
        if self.seconds is not None and not 0.0 < self.seconds < float("inf"):
            raise InputError(
                _("Seconds {seconds}: more than 0 would be right").format(seconds=self.seconds)
            )


def log(
    room: MeterRoom,
    request: LogRequest,
    *,
    write: Say,
    tell: Say,
    clock: Clock,
    stop: Event | None = None,
) -> int:
    """Log until count, seconds, `stop` or an interrupt. Returns the exit code.

    `write` takes each line for standard output and flushes it, `tell` lines for the person.
    0 if a reading came and any count was reached, else 1; 1 at once if the port does not open, and
    when a lost port is not back within ten seconds. Raises InputError for what cannot be opened.
    """
    with ExitStack() as stack:
        file = _LogFile(request, stack) if request.out is not None else None
        requests = (request.meter, *((request.thermometer,) if request.thermometer else ()))
        watches = []
        for one in requests:
            link = room.open(one)
            stack.callback(link.close)
            watches.append(_Watch(link, one.port))
        run = _Run(request, write=write, tell=tell, file=file)
        return run.until_done(watches, clock=clock, stop=stop or Event())


def line(reading: Reading) -> str:
    """A reading as one line of JSON, values in base units; diode and continuity have no function.

    A function is what the meter was set to measure, and those two measure something else.
    """
    quantity = reading.quantity
    return json.dumps(
        {
            "t_s": round(reading.t_s, 6),
            "channel": reading.channel,
            "function": quantity if reading.mode in SAME_FUNCTION else None,
            "value": reading.value,
            "unit": None if quantity is None else BASE_UNIT[quantity],
            "resolution": reading.resolution,
            "range": reading.full_scale,
            "overload": reading.overload,
            "flags": [flag for flag in Flag if flag in reading.flags],
        }
    )


class _Watch:
    """A link and since when it has been lost."""

    def __init__(self, link: Link, port: str) -> None:
        self.link = link
        self.port = port
        self.was_open = False
        self._lost_s: float | None = None

    def see(self, change: LinkChange, now_s: float) -> None:
        """Take in what the link says of itself."""
        if change.state in BACK:
            self.was_open, self._lost_s = True, None
        elif change.state is LinkState.LOST:
            self._lost_s = now_s if self._lost_s is None else self._lost_s

    def is_given_up(self, now_s: float) -> bool:
        """Whether it never opened, or has been lost for too long."""
        return self._lost_s is not None and (not self.was_open or now_s - self._lost_s >= LOST_S)


class _Run:
    """What has been logged so far."""

    def __init__(
        self, request: LogRequest, *, write: Say, tell: Say, file: "_LogFile | None"
    ) -> None:
        self._request = request
        self._write = write
        self._tell = tell
        self._file = file
        self._kept = 0

    def until_done(self, watches: list[_Watch], *, clock: Clock, stop: Event) -> int:
        """Take in readings until it is enough. Returns the exit code."""
        start_s = clock.monotonic()
        try:
            while not self._is_enough() and not stop.is_set():
                now_s = clock.monotonic()
                self._take_all(watches, now_s)
                if given_up := [watch for watch in watches if watch.is_given_up(now_s)]:
                    if given_up[0].was_open:
                        self._tell(_("Port {port} did not come back").format(port=given_up[0].port))
                    return NOT_DONE
                seconds = self._request.seconds
                if seconds is not None and now_s - start_s >= seconds:
                    break
                stop.wait(LOOK_S)
        except KeyboardInterrupt:
            pass
        except BrokenPipeError:  # whoever read our lines has seen enough
            return self._code()
        for watch in watches:
            watch.link.close()
        self._take_all(watches, clock.monotonic())
        if self._kept == 0:
            self._tell(
                _("No reading came from {port}: check that the meter sends").format(
                    port=watches[0].port
                )
            )
        return self._code()

    def _take_all(self, watches: list[_Watch], now_s: float) -> None:
        for watch in reversed(watches):  # the thermometer first: its reading goes with the others
            for item in watch.link.drain():
                match item:
                    case LinkChange():
                        watch.see(item, now_s)
                        if item.detail:
                            self._tell(item.detail)
                    case Reading() if not self._is_enough():
                        self._keep(item)

    def _keep(self, reading: Reading) -> None:
        text = line(reading)
        if self._file is not None:
            self._file.keep(reading, text)
        self._write(text)
        is_counted = reading.channel == self._request.meter.channel
        self._kept += is_counted
        if is_counted and self._kept == 1 and (warning := self._request.warning):
            self._tell(warning)

    def _is_enough(self) -> bool:
        return self._request.count is not None and self._kept >= self._request.count

    def _code(self) -> int:
        enough = self._request.count is None or self._is_enough()
        return DONE if self._kept and enough else NOT_DONE


class _LogFile:
    """The file of a log: CSV by its name, JSON lines else; every line flushed."""

    def __init__(self, request: LogRequest, stack: ExitStack) -> None:
        path = request.out or Path()
        try:
            self._file: TextIO = stack.enter_context(path.open("w", encoding="utf-8", newline=""))
        except OSError as error:
            raise InputError(
                _("File {path} cannot be written: {why}").format(path=path, why=error.strerror)
            ) from error
        self._is_csv = path.suffix.lower() == ".csv"
        self._channel = request.meter.channel
        self._with_temperature = request.thermometer is not None
        self._temperature: Reading | None = None
        if self._is_csv:
            extra = ("temperature_c",) if self._with_temperature else ()
            self._put(_row("t_s", "value", "unit", *extra, "resolution"))

    def keep(self, reading: Reading, text: str) -> None:
        """Add a reading; in a CSV a temperature goes beside the reading that follows it."""
        if not self._is_csv:
            self._put(f"{text}\n")
        elif reading.channel != self._channel:
            self._temperature = reading
        else:
            unit = "" if reading.quantity is None else BASE_UNIT[reading.quantity]
            value = "OL" if reading.value is None else repr(reading.value)
            count = "" if reading.resolution is None else repr(reading.resolution)
            extra = (self._beside(reading),) if self._with_temperature else ()
            self._put(_row(f"{reading.t_s:.6f}", value, unit, *extra, count))

    def _beside(self, reading: Reading) -> str:
        warm = self._temperature
        if warm is None or warm.value is None or warm.quantity is not Quantity.TEMPERATURE:
            return ""
        return repr(warm.value) if reading.t_s - warm.t_s <= TEMPERATURE_AGE_S else ""

    def _put(self, text: str) -> None:
        self._file.write(text)
        self._file.flush()


def _row(*cells: str) -> str:
    buffer = StringIO()
    csv.writer(buffer, lineterminator="\n").writerow(cells)
    return buffer.getvalue()

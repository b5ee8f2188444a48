"""One simulated meter behind its port: what it touches, how it is set, what it sends."""

import math
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Mode
from benchassist.errors import InputError
from benchassist.practice.frame import FRAMES
from benchassist.practice.instrument import Instrument
from benchassist.practice.meter import RANGES, Face, SimulatedMeter
from benchassist.practice.parts import TOUCHES, PartBench

READ_TAKES_S: Final = 0.1
LONGEST_COMMAND: Final = 256
FLAGS: Final[Mapping[str, Flag]] = MappingProxyType({flag.value: flag for flag in Flag})
Say = Callable[[bytes], None]


class Stand:
    """One meter on the parts of a bench. `say` sends bytes; time comes in as seconds."""

    def __init__(
        self, protocol: str, parts: PartBench, *, seed: int, rate_hz: float, say: Say
    ) -> None:
        if protocol not in RANGES:
            raise InputError(f"Protocol {protocol}: there are {', '.join(RANGES)}")
        if not 0.1 <= rate_hz <= 1000.0:
            raise InputError(f"Rate {rate_hz} Hz: 0.1 to 1000 would be right")
        self.period_s = 1.0 / rate_hz
        self._say = say
        self._parts = parts
        self._meter = SimulatedMeter(protocol, seed)
        self._frame = FRAMES.get(protocol)
        self._instrument = Instrument(
            face=lambda: self._face_now, measure=self._measure, turn=self._turn
        )
        self._now_s = 0.0
        self._touched: str | None = None
        self._stalled = False
        self._asked = b""
        self._answers: deque[tuple[float, bytes]] = deque()
        self._face_now = self._face(0.0)

    # --- hands ----------------------------------------------------------------------------------

    def touch(self, what: str, t_s: float) -> None:
        """Put the probes there; a hand-held is turned to the function this needs."""
        if what not in TOUCHES:
            raise InputError(f"Touch {what}: there are {', '.join(TOUCHES)}")
        wanted = self._parts.quantity(what)
        if wanted not in self._meter.quantities:
            raise InputError(f"Touch {what}: this meter does not measure {wanted.value}")
        self._touched = what
        self._turn(wanted)
        self._meter.touch(t_s)

    def lift(self) -> None:
        """Take the probes away."""
        self._touched = None

    def set_flag(self, name: str, *, on: bool) -> None:
        """Show or hide a flag of the display."""
        (self._meter.flags.add if on else self._meter.flags.discard)(FLAGS[name])

    def set_mode(self, name: str) -> None:
        """Plain, diode or continuity."""
        self._meter.mode = Mode(name)

    def set_range(self, full_scale: float | None) -> None:
        """Fix the range that holds this value; None ranges by itself."""
        self._meter.fixed_full_scale = full_scale

    def set_stalled(self, *, on: bool) -> None:
        """Say nothing more, the lead still plugged in."""
        self._stalled = on

    # --- time -----------------------------------------------------------------------------------

    def beat(self, t_s: float) -> None:
        """One conversion; a meter that sends by itself sends it."""
        self._parts.advance(t_s)
        fresh = self._face(t_s)
        held = Flag.HOLD in self._meter.flags
        self._face_now = replace(self._face_now, flags=fresh.flags) if held else fresh
        if self._frame is not None and not self._stalled:
            self._say(self._frame(self._face_now))

    def take(self, data: bytes, t_s: float) -> None:
        """Bytes for the meter: commands of an instrument; a hand-held hears none."""
        if self._frame is not None:
            return
        *lines, rest = (self._asked + data).replace(b"\r", b"\n").split(b"\n")
        self._asked = rest[-LONGEST_COMMAND:]
        for line in lines:
            text = line.decode("latin-1")
            due = t_s + (READ_TAKES_S if "READ?" in text.upper() else 0.0)
            self._answers.append((due, line))

    def answer(self, t_s: float) -> float | None:
        """Give the answers that are due, in order. Returns when the next is, None if none is."""
        self._now_s = t_s
        while self._answers and self._answers[0][0] <= t_s:
            line = self._answers.popleft()[1].decode("latin-1")
            reply = self._instrument.answer(line)
            if reply is not None and not self._stalled:
                self._say(reply.encode("ascii") + b"\n")
        return self._answers[0][0] if self._answers else None

    def _measure(self) -> Face:
        self._face_now = self._face(self._now_s)
        return self._face_now

    def _turn(self, quantity: Quantity) -> None:
        self._meter.quantity = quantity

    def _face(self, t_s: float) -> Face:
        """What shows now: a touch meant for another function shows as nothing connected."""
        set_to = self._meter.quantity
        nothing = math.inf if set_to is Quantity.RESISTANCE else 0.0
        touched = self._touched
        if touched is None or self._parts.quantity(touched) is not set_to:
            return self._meter.read(nothing, t_s)
        return self._meter.read(self._parts.value(touched), t_s)

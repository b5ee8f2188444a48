"""Listening on a port, line by line, and asking where that is allowed.

Every opening is closed before the next one, and none is left open at the end.
"""

import threading
from collections.abc import Callable
from typing import Final

from benchassist.core.link import ListeningOn, Proposal, Surety
from benchassist.meters import scpi
from benchassist.meters.family import Family, Poll
from benchassist.meters.framing import LineSplitter
from benchassist.meters.listener import ENOUGH_BLOCKS
from benchassist.meters.port import LineSetting, Port, open_port
from benchassist.meters.proposal import Ear, Step, asking_steps, listening_steps, proposals, ranked
from benchassist.meters.roster import FAMILIES
from benchassist.meters.session import Stopped, SystemTime, Time, Wire

HEAR_S: Final = 3.0
"""On each line: three blocks of a meter that sends one a second."""
SETTLE_S: Final = 0.3
"""A lead that draws its power from the port needs it to start."""
ANSWER_S: Final = 2.0
QUESTION: Final = b"*IDN?\n"
QUESTIONS: Final = 2
SILENT_LINES: Final = 2
"""A meter that sends is heard on any line, if only as junk: silence on two is silence on all."""

Opener = Callable[..., Port]
Tell = Callable[[ListeningOn], None]


class Search:
    """Listens on one port, once. `heard` counts the bytes that came.

    A meter is spoken to only where `asks` allows it: somebody asked for this port.
    """

    def __init__(
        self,
        port: str,
        stop: threading.Event,
        *,
        asks: bool = False,
        families: tuple[Family, ...] = FAMILIES,
        opener: Opener = open_port,
        time: Time | None = None,
        tell: Tell = lambda _step: None,
    ) -> None:
        self.heard = 0
        self._port = port
        self._stop = stop
        self._opener = opener
        self._time = time or SystemTime()
        self._tell = tell
        self._found: list[Proposal] = []
        is_network = port.startswith("socket:")
        self._supplies = (False,) if is_network else (False, True)
        self._listening = listening_steps(families, is_network=is_network)
        self._asking = asking_steps(families, is_network=is_network) if asks else ()

    def run(self) -> tuple[Proposal, ...]:
        """What fits, the surest first; what was found so far where `stop` is set meanwhile.

        Raises PortError where the port does not open or goes away.
        """
        try:
            self._listen()
            for number, step in enumerate(self._asking, start=1):
                if self._found:
                    break
                self._open(step, number, len(self._asking), self._ask)
        except Stopped:
            pass
        return ranked(self._found)

    def _listen(self) -> None:
        """Every line under the usual supply; under the other one where nothing came at all."""
        of = len(self._listening)
        for swapped in self._supplies:
            for number, step in enumerate(self._listening, start=1):
                self._open(step.swapped() if swapped else step, number, of, self._hear)
                if self._is_sure() or (number >= SILENT_LINES and not self.heard):
                    break
            if self.heard:
                return

    def _open(self, step: Step, number: int, of: int, then: Callable[[Wire, Step], None]) -> None:
        """Open the port for a step and close it again, whatever happens meanwhile."""
        self._go_on()
        self._tell(
            ListeningOn(port=self._port, line=step.line, number=number, of=of, asks=step.asks)
        )
        setting = LineSetting.read(step.line)
        port = self._opener(self._port, setting, dtr=step.dtr, rts=step.rts)
        try:
            wire = Wire(port, now=self._time.monotonic, pause=self._pause, tick=self._go_on)
            wire.drain(SETTLE_S)
            then(wire, step)
        finally:
            port.close()

    def _hear(self, wire: Wire, step: Step) -> None:
        ears = [Ear(family) for family in step.families]
        try:
            end = wire.now() + HEAR_S
            while wire.now() < end and not any(ear.is_sure for ear in ears):
                self._feed(wire, ears)
        finally:
            self._found += proposals(self._port, step, ears)

    def _ask(self, wire: Wire, step: Step) -> None:
        (known,) = step.families
        if known.poll is None:
            self._identify(wire, step, known)
        else:
            self._ask_displays(wire, step, known, known.poll)

    def _identify(self, wire: Wire, step: Step, known: Family) -> None:
        lines = LineSplitter(b"\r\n")
        for _question in range(QUESTIONS):
            wire.write(QUESTION)
            end = wire.now() + ANSWER_S
            while wire.now() < end:
                data = wire.read()
                self.heard += len(data)
                for block in lines.feed(data, wire.now()):
                    text = block.data.decode("latin-1").strip(" \r\n\0\xff")
                    if (identity := scpi.identity(text)) is not None:
                        self._found.append(
                            step.proposal(
                                self._port, known, Surety.LIKELY, frames=1, identity=identity
                            )
                        )
                        return

    def _ask_displays(self, wire: Wire, step: Step, known: Family, poll: Poll) -> None:
        """Ask for as many displays as are enough; for no more where one stays away."""
        ear = Ear(known)
        try:
            for _question in range(ENOUGH_BLOCKS):
                before = self.heard
                wire.write(poll.ask)
                end = wire.now() + max(poll.every_s, poll.patience_s)
                while wire.now() < end:
                    self._feed(wire, [ear])
                if self.heard == before:
                    return
        finally:
            self._found += proposals(self._port, step, [ear])

    def _feed(self, wire: Wire, ears: list[Ear]) -> None:
        data = wire.read()
        self.heard += len(data)
        for ear in ears if data else ():
            ear.feed(data, wire.now())

    def _is_sure(self) -> bool:
        return any(found.surety is Surety.LIKELY for found in self._found)

    def _pause(self, seconds: float) -> None:
        self._time.wait(self._stop, seconds)
        self._go_on()

    def _go_on(self) -> None:
        if self._stop.is_set():
            raise Stopped

"""The practice bench as its user sees it: two ports to open, hands to move, eyes to look."""

import contextlib
import json
import queue
import subprocess
import sys
import threading
from dataclasses import dataclass
from types import TracebackType
from typing import Final, Self

from benchassist.errors import LinkError
from benchassist.practice.engine import Load, Throttle
from benchassist.practice.oven import SHOP_CELSIUS
from benchassist.practice.parts import CIRCUITS, CLAMP, SPEEDS
from benchassist.services.translation import _

ANSWER_S: Final = 10.0
TELL_S: Final = 0.2
DEFAULT_CASE: Final = "coil-opens-hot"


def probes_for(check_key: str) -> str | None:
    """What the probes touch at a check; None where a check needs no probes."""
    known = check_key in CIRCUITS or check_key in SPEEDS or check_key == CLAMP
    return check_key if known else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """What eyes see on the practice bench; celsius, rpm, pascal of gauge pressure, volts.

    `celsius` is what the thermometer on the part shows, `pace` how much faster than life things go.
    """

    celsius: float = SHOP_CELSIUS
    on_heat: bool = False
    pace: float = 1.0
    runs: bool = False
    has_died: bool = False
    rpm: float = 0.0
    engine_celsius: float = SHOP_CELSIUS
    pascal: float = 0.0
    volts: float = 0.0
    throttle: str = Throttle.HIGH
    load: str = Load.NONE
    bleeds: bool = False


class PracticeBench:
    """Starts the practice meters in a process of their own and moves its probes. Close it to end.

    Every call returns once they have obeyed. Raises LinkError where they do not.
    """

    def __init__(
        self,
        *,
        protocol: str = "nibble-14",
        case: str = DEFAULT_CASE,
        engine: str = "sound",
        seed: int = 1,
        rate_hz: float = 4.0,
        pace: float = 1.0,
        tcp: bool = False,
    ) -> None:
        command = [sys.executable, "-m", "benchassist.practice.server", "--protocol", protocol]
        command += ["--case", case, "--engine", engine, "--seed", str(seed)]
        command += ["--rate", str(rate_hz), "--pace", str(pace), "--tell", str(TELL_S)]
        self._process = subprocess.Popen(
            command + ["--tcp"] * tcp,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            encoding="utf-8",
        )
        self._answers: queue.SimpleQueue[dict[str, object]] = queue.SimpleQueue()
        self.sight = Sight(pace=pace)
        """What is to be seen now."""
        self._reader = threading.Thread(target=self._read, name="practice bench", daemon=True)
        self._reader.start()
        try:
            about = self._answer()
        except LinkError:
            self.close()
            raise
        second = about["thermometer"]
        if not isinstance(second, dict):
            raise LinkError(_("The practice meter has no thermometer beside it"))
        self.port = str(about["port"])
        self.protocol = str(about["protocol"])
        self.thermometer_port = str(second["port"])
        self.thermometer_protocol = str(second["protocol"])
        self.tcp: str | None = None if about["tcp"] is None else str(about["tcp"])

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def touch(self, check_key: str) -> None:
        """Put the probes where a check wants them; lift them at a check without probes."""
        what = probes_for(check_key)
        self.send(**({"lift": True} if what is None else {"touch": what}))

    def lift(self) -> None:
        """Take the probes away."""
        self.send(lift=True)

    def short(self) -> None:
        """Hold the probes together."""
        self.send(short=True)

    def temperature(self, celsius: float, *, over_s: float = 0.0) -> None:
        """Warm or cool the parts to there, at once or evenly over some seconds."""
        self.send(temperature=celsius, over_s=over_s)

    def heat(self, *, on: bool = True) -> None:
        """Put the heat on the part, or take it away and let it cool."""
        self.send(heat=on)

    def hurry(self, pace: float) -> None:
        """Let warming, cooling and pumping go so many times faster than life."""
        self.send(pace=pace)

    def change_engine(self, case: str) -> None:
        """Let the engine behave otherwise. Raises LinkError for a case that is none."""
        self.send(engine=case)

    def start(self) -> None:
        """Pull the engine's rope; one that died hot does not start before it has cooled."""
        self.send(start=True)

    def stop(self) -> None:
        """Switch the engine off."""
        self.send(stop=True)

    def throttle(self, place: Throttle) -> None:
        """Put the throttle at low or high, or leave it to the tank's pilot."""
        self.send(throttle=place)

    def load(self, share: Load) -> None:
        """Ask so much of the engine."""
        self.send(load=share)

    def bleed(self, *, on: bool = True) -> None:
        """Open the tank's drain, or shut it."""
        self.send(bleed=on)

    def hold(self, *, on: bool = True) -> None:
        """Press the meter's HOLD."""
        self.send(hold=on)

    def low_battery(self, *, on: bool = True) -> None:
        """Show or hide the meter's low battery sign."""
        self.send(low_battery=on)

    def change_case(self, case: str) -> None:
        """Put another case's parts on the bench. Raises LinkError for one that is not."""
        self.send(case=case)

    def unplug(self) -> None:
        """Pull the meter's lead."""
        self.send(unplug=True)

    def plug(self) -> None:
        """Push it in again: the same port path, a new terminal."""
        self.send(plug=True)

    def unplug_thermometer(self) -> None:
        """Pull the thermometer's lead."""
        self.send(unplug_thermometer=True)

    def plug_thermometer(self) -> None:
        """Push it in again."""
        self.send(plug_thermometer=True)

    def send(self, **wanted: object) -> None:
        """Anything the server's module lists, as keywords. Raises LinkError if it refuses."""
        if self._process.stdin is None or self._process.stdin.closed:
            raise LinkError(_("The practice meter has ended: open the practice bench anew"))
        try:
            self._process.stdin.write(json.dumps(wanted) + "\n")
            self._process.stdin.flush()
        except OSError as error:
            raise LinkError(
                _("The practice meter has ended: open the practice bench anew")
            ) from error
        self._answer()

    def close(self) -> None:
        """End the process and wait for it."""
        if self._process.stdin is not None:
            with contextlib.suppress(OSError):
                self._process.stdin.close()
        try:
            self._process.wait(ANSWER_S)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        self._reader.join()
        if self._process.stdout is not None:
            self._process.stdout.close()

    def _read(self) -> None:
        for line in self._process.stdout or ():
            told: dict[str, object] = json.loads(line)
            state = told.get("state")
            if isinstance(state, dict):
                self.sight = Sight(**state)
            else:
                self._answers.put(told)
        self._answers.put({})

    def _answer(self) -> dict[str, object]:
        try:
            answer = self._answers.get(timeout=ANSWER_S)
        except queue.Empty:
            answer = {}
        if not answer:
            raise LinkError(_("The practice meter does not answer: open the practice bench anew"))
        if "error" in answer:
            raise LinkError(_("The practice meter refuses: {why}").format(why=answer["error"]))
        return answer

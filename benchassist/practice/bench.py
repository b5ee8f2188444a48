"""The practice bench as its user sees it: a port to open, and hands to move."""

import contextlib
import json
import queue
import subprocess
import sys
import threading
from types import TracebackType
from typing import Final, Self

from benchassist.errors import LinkError
from benchassist.practice.parts import CIRCUITS, SPEEDS
from benchassist.services.translation import _

ANSWER_S: Final = 10.0
DEFAULT_CASE: Final = "coil-opens-hot"


def probes_for(check_key: str) -> str | None:
    """What the probes touch at a check; None where a check needs no probes."""
    return check_key if check_key in CIRCUITS or check_key in SPEEDS else None


class PracticeBench:
    """Starts the practice meter in a process of its own and moves its probes. Close it to end it.

    Every call returns once the meter has obeyed. Raises LinkError where it does not.
    """

    def __init__(
        self,
        *,
        protocol: str = "nibble-14",
        case: str = DEFAULT_CASE,
        seed: int = 1,
        rate_hz: float = 4.0,
        tcp: bool = False,
    ) -> None:
        command = [sys.executable, "-m", "benchassist.practice.server", "--protocol", protocol]
        command += ["--case", case, "--seed", str(seed), "--rate", str(rate_hz)]
        self._process = subprocess.Popen(
            command + ["--tcp"] * tcp,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            encoding="utf-8",
        )
        self._answers: queue.SimpleQueue[str] = queue.SimpleQueue()
        self._reader = threading.Thread(target=self._read, name="practice bench", daemon=True)
        self._reader.start()
        try:
            about = self._answer()
        except LinkError:
            self.close()
            raise
        self.port = str(about["port"])
        self.protocol = str(about["protocol"])
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
            self._answers.put(line)
        self._answers.put("")

    def _answer(self) -> dict[str, object]:
        try:
            line = self._answers.get(timeout=ANSWER_S)
        except queue.Empty:
            line = ""
        if not line:
            raise LinkError(_("The practice meter does not answer: open the practice bench anew"))
        answer: dict[str, object] = json.loads(line)
        if "error" in answer:
            raise LinkError(_("The practice meter refuses: {why}").format(why=answer["error"]))
        return answer

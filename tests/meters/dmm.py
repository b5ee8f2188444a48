"""A meter for the third-party instrument simulator, loaded by it in a process of its own.

It shares nothing with the program: framing and transport are the simulator's. `script` in its
configuration is a list of READ? answers with seconds of delay, the last one repeated.
"""

import gevent  # type: ignore[import-untyped]
from sinstruments.simulator import BaseDevice

QUEUE = 20


class Dmm(BaseDevice):  # type: ignore[misc]  # the simulator ships no types
    """Resistance in autorange, an error queue, slow answers by script."""

    newline = b"\n"

    def __init__(self, name: str, **options: object) -> None:
        super().__init__(name, **options)
        script = self.props.get("script") or [["+3.86000000E+03", 0.0]]
        assert isinstance(script, list)
        self._script = list(script)
        self._errors: list[str] = ['-113,"Undefined header"', '-410,"Query INTERRUPTED"']
        self._asked = False

    def handle_message(self, message: bytes) -> bytes | None:
        """Answer one line."""
        command = message.strip().decode("latin-1").upper()
        if command == "READ?":
            text, delay_s = self._script[0]
            if len(self._script) > 1:
                self._script.pop(0)
            gevent.sleep(float(delay_s))
            return self._line(str(text))
        if command == "SYST:ERR?":
            return self._line(self._errors.pop(0) if self._errors else '+0,"No error"')
        if command == "*CLS":
            return None
        answers = {
            "*IDN?": "GENERIC,DMM,1,1",
            "CONF?": '"RES +1.000000E+04,+3.000000E-03"',
            "SENS:RES:RANG?": "+1.00000000E+04",
        }
        if command in answers:
            return self._line(answers[command])
        self._errors = [*self._errors, '-113,"Undefined header"'][:QUEUE]
        return None

    def _line(self, text: str) -> bytes:
        return text.encode("ascii") + b"\n"

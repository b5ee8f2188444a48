"""The simulated bench instrument's side of a SCPI conversation."""

from collections import deque
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

from benchassist.core.quantity import Quantity
from benchassist.practice.meter import Face

IDENTITY: Final = "PRACTICE,BENCH METER,1,1.0"
HEADERS: Final[Mapping[str, Quantity]] = MappingProxyType(
    {
        "RES": Quantity.RESISTANCE,
        "FREQ": Quantity.FREQUENCY,
        "TEMP": Quantity.TEMPERATURE,
        "VOLT:DC": Quantity.VOLTAGE,
        "VOLT": Quantity.VOLTAGE,
    }
)
QUEUE: Final = 20
OVER: Final = "+9.90000000E+37"


class Instrument:
    """Answers commands. `face` shows the display now, `turn` sets the function."""

    def __init__(self, face: Callable[[], Face], turn: Callable[[Quantity], None]) -> None:
        self._face = face
        self._turn = turn
        self._errors: deque[str] = deque(maxlen=QUEUE)

    def answer(self, line: str) -> str | None:
        """The answer to one line, None where it has none."""
        command = line.strip().upper()
        match command:
            case "":
                return None
            case "*IDN?":
                return IDENTITY
            case "*CLS":
                self._errors.clear()
                return None
            case "SYST:ERR?":
                return self._errors.popleft() if self._errors else '+0,"No error"'
            case "READ?":
                face = self._face()
                return OVER if face.over else f"{face.value:+.8E}"
            case "FUNC?":
                return f'"{self._header()}"'
            case "CONF?":
                spanned = self._face().spanned
                return f'"{self._header()} {spanned.full_scale:+.6E},{spanned.count:+.6E}"'
        return self._of_function(command)

    def _of_function(self, command: str) -> str | None:
        if command.startswith("CONF:"):
            wanted = HEADERS.get(command.removeprefix("CONF:").split()[0])
            if wanted is not None:
                self._turn(wanted)
                return None
        spanned = self._face().spanned
        header = self._header()
        if header in {"RES", "VOLT"}:
            if command == f"SENS:{header}:RANG?":
                return f"{spanned.full_scale:+.8E}"
            if command == f"SENS:{header}:RES?":
                return f"{spanned.count:+.8E}"
            if command == f"SENS:{header}:RANG:AUTO?":
                return "1"
        self._errors.append('-113,"Undefined header"')
        return None

    def _header(self) -> str:
        shown = self._face().quantity
        return next(h for h, q in reversed(HEADERS.items()) if q is shown)

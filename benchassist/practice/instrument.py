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
        "VOLT": Quantity.VOLTAGE,
        "VOLT:DC": Quantity.VOLTAGE,
    }
)
RANGED: Final = frozenset({"RES", "VOLT"})
QUEUE: Final = 20
OVER: Final = "+9.90000000E+37"


class Instrument:
    """Answers commands.

    `face` is the display now, `measure` measures anew, `turn` sets the function.
    """

    def __init__(
        self,
        *,
        face: Callable[[], Face],
        measure: Callable[[], Face],
        turn: Callable[[Quantity], None],
    ) -> None:
        self._face = face
        self._turn = turn
        self._errors: deque[str] = deque(maxlen=QUEUE)
        self._queries: Mapping[str, Callable[[], str]] = MappingProxyType(
            {
                "*IDN?": lambda: IDENTITY,
                "SYST:ERR?": self._error,
                "READ?": lambda: _number(measure()),
                "FUNC?": lambda: f'"{self._header()}"',
                "CONF?": self._configuration,
            }
        )

    def answer(self, line: str) -> str | None:
        """The answer to one line, None where it has none."""
        command = line.strip().upper()
        if command in self._queries:
            return self._queries[command]()
        if command == "*CLS":
            self._errors.clear()
            return None
        wanted = HEADERS.get(command.removeprefix("CONF:").partition(" ")[0])
        if command.startswith("CONF:") and wanted is not None:
            self._turn(wanted)
            return None
        return self._of_function(command) if command else None

    def _of_function(self, command: str) -> str | None:
        spanned, header = self._face().spanned, self._header()
        if header in RANGED:
            known = {
                f"SENS:{header}:RANG?": f"{spanned.full_scale:+.8E}",
                f"SENS:{header}:RES?": f"{spanned.count:+.8E}",
                f"SENS:{header}:RANG:AUTO?": "1",
            }
            if command in known:
                return known[command]
        self._errors.append('-113,"Undefined header"')
        return None

    def _error(self) -> str:
        return self._errors.popleft() if self._errors else '+0,"No error"'

    def _configuration(self) -> str:
        spanned = self._face().spanned
        return f'"{self._header()} {spanned.full_scale:+.6E},{spanned.count:+.6E}"'

    def _header(self) -> str:
        shown = self._face().quantity
        return next(header for header, quantity in HEADERS.items() if quantity is shown)


def _number(face: Face) -> str:
    return OVER if face.over else f"{face.value:+.8E}"

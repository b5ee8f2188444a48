"""Talking SCPI: one question at a time, and no answer ever taken for the next question's.

After a time-out nothing is asked again until *IDN? was answered: answers come in order, so when
that one comes every older one is behind us. A meter is not reconfigured unless a quantity is asked
for, and only what it answers about itself is believed: a resolution it does not tell is unknown.
"""

from collections import deque
from decimal import Decimal
from typing import Final

from benchassist.core.plain_text import brief
from benchassist.core.quantity import Quantity
from benchassist.core.reading import LinkState, Reading
from benchassist.meters import scpi
from benchassist.meters.framing import LineSplitter
from benchassist.meters.session import Found, Heard, Missed, Wire
from benchassist.meters.translation import _

TRIES: Final = 3
IDENTIFY_S: Final = 2.0
OPTIONAL_S: Final = 1.0
READ_S: Final = 2.0
LONGEST_READ_S: Final = 20.0
CONFIGURE_S: Final = 10.0
SILENCE_S: Final = 0.2
NOISE_LIMIT_S: Final = 2.0
LEAST_PERIOD_S: Final = 0.02
ERRORS_READ: Final = 50
NOT_REMOTE: Final = 550
"""What the oldest instruments answer on a serial line until they are told SYST:REM."""
STRAY: Final = bytes((0x00, 0xFF))
CLEAR: Final = b"\x03\n"


class ScpiSession:
    """One conversation with one instrument."""

    listens = False

    def __init__(self, wire: Wire, *, channel: str, quantity: Quantity | None = None) -> None:
        self._wire = wire
        self._channel = channel
        self._quantity = quantity
        self._lines = LineSplitter(b"\r\n")
        self._pending: deque[str] = deque()
        self._identity = ""
        self._unknown: set[str] = set()
        self._set = scpi.Set()
        self._trusted: scpi.Function | None = None
        self._patience_s = READ_S
        self._asked_s: float | None = None
        self._is_remote = False

    # --- what a link calls ----------------------------------------------------------------------

    def identify(self) -> Found | Missed:
        """Ask who it is; on a new instrument learn how it is set, setting it first if asked to."""
        answer = self._fence()
        if answer is None:
            return Missed(
                LinkState.WAITING,
                _("No answer to *IDN?: switch the instrument on, check its line and address"),
            )
        is_new = answer != self._identity
        if is_new:
            self._identity = answer
            self._unknown.clear()
            self._set, self._trusted = scpi.Set(), None
            self._command("*CLS")
        if any(code == NOT_REMOTE for code, _words in self._errors()):
            self._command("SYST:REM")
            self._is_remote = True
        notice = self._configure() if is_new else ""
        self._set = self._asked_set()
        return Found(identity=answer, notice=notice)

    def step(self) -> Heard | Missed:
        """One READ?, with what the instrument says of its range before and after."""
        self._pace()
        text = self._ask("READ?", self._patience_s)
        t_s = self._wire.now()
        if text is None:
            self._patience_s = min(2.0 * self._patience_s, LONGEST_READ_S)
            return Missed(LinkState.RESYNC)
        if scpi.is_no_number(text):
            return Heard(alive=True)
        before, after = self._set, self._asked_set()
        self._set = after
        if before.function != after.function:
            return Heard(alive=True)  # someone turned it meanwhile: of which function was that?
        shown = scpi.shown(text, after if before == after else scpi.Set(function=after.function))
        if shown is None:
            return self._puzzled(text)
        return Heard((shown.reading(t_s=t_s, channel=self._channel),), alive=True)

    def leftover(self) -> tuple[Reading, ...]:
        """Nothing is held back."""
        return ()

    def leave(self) -> None:
        """Give the front panel back where it had to be taken."""
        if self._is_remote:
            self._wire.part(b"SYST:LOC\n")

    # --- what it asks ---------------------------------------------------------------------------

    def _configure(self) -> str:
        """Set the function asked for. Returns what the instrument has against it, or nothing."""
        if self._quantity is None:
            return ""
        wanted = scpi.function_for(self._quantity)
        if wanted is None:
            return _("This program does not set an instrument to measure {what}").format(
                what=self._quantity.value
            )
        command = f"CONF:{wanted.header}"
        self._command(command)
        refused = self._errors(CONFIGURE_S)
        if not refused:
            self._trusted = wanted
            return ""
        code, words = refused[0]
        return _("The instrument refuses {command}: {code} {words}").format(
            command=command, code=code, words=words
        )

    def _asked_set(self) -> scpi.Set:
        """How the instrument says it is set; what it does not answer once is not asked again."""
        if (text := self._optional("CONF?")) is not None:
            found = scpi.configuration(text)
        elif (text := self._optional("FUNC?")) is not None:
            found = scpi.Set(function=scpi.function(text))
        else:
            found = scpi.Set(function=self._trusted)
        what = found.function
        if what is None or not what.has_range:
            return scpi.Set(function=what)
        full_scale = self._number(f"SENS:{what.header}:RANG?") or found.full_scale
        if full_scale and (what, full_scale) == (self._set.function, self._set.full_scale):
            return self._set
        resolution = self._number(f"SENS:{what.header}:RES?") or found.resolution
        return scpi.Set(function=what, full_scale=full_scale, resolution=resolution)

    def _errors(self, patience_s: float = OPTIONAL_S) -> list[tuple[int, str]]:
        """Empty the error queue, for at most `ERRORS_READ` entries: some never say it is empty."""
        found: list[tuple[int, str]] = []
        for _entry in range(ERRORS_READ):
            text = self._optional("SYST:ERR?", patience_s)
            entry = None if text is None else scpi.error(text)
            if entry is None or entry[0] == 0:
                break
            found.append(entry)
        return found

    def _number(self, query: str) -> Decimal | None:
        text = self._optional(query)
        value = None if text is None else scpi.number(text)
        return None if value is None or not 0 < value < scpi.OVER_RANGE else value

    def _optional(self, query: str, patience_s: float = OPTIONAL_S) -> str | None:
        """Ask what not every instrument knows; one that stays silent is not asked again."""
        if query in self._unknown:
            return None
        text = self._ask(query, patience_s)
        if text is None:
            self._unknown.add(query)
            self._fence()
        return text

    def _puzzled(self, text: str) -> Heard | Missed:
        """An answer that is no value may have pushed the next ones back by one."""
        if self._fence() is None:
            return Missed(LinkState.RESYNC)
        return Heard(
            notice=_("The instrument answers '{text}', not one number with a point").format(
                text=brief(text)
            )
        )

    def _fence(self) -> str | None:
        """Leave every late answer behind: silence, then *IDN? until its own answer comes."""
        for attempt in range(TRIES):
            if attempt:
                self._wire.write(CLEAR)
            self._wire.drain_to_silence(SILENCE_S, NOISE_LIMIT_S)
            self._lines.reset()
            self._pending.clear()
            self._command("*IDN?")
            end = self._wire.now() + max(IDENTIFY_S, self._patience_s)
            while (text := self._line(end)) is not None:
                if (answer := scpi.identity(text)) is not None:
                    if attempt:  # an answer to an earlier try may follow
                        self._wire.drain_to_silence(SILENCE_S, NOISE_LIMIT_S)
                    return answer
        return None

    # --- bytes ----------------------------------------------------------------------------------

    def _pace(self) -> None:
        """Keep a very fast instrument from taking a whole core."""
        if self._asked_s is not None:
            early = LEAST_PERIOD_S - (self._wire.now() - self._asked_s)
            if early > 0.0:
                self._wire.pause(early)
        self._asked_s = self._wire.now()

    def _command(self, text: str) -> None:
        self._wire.write(text.encode("ascii") + b"\n")

    def _ask(self, query: str, patience_s: float) -> str | None:
        self._pending.clear()
        self._command(query)
        return self._line(self._wire.now() + patience_s)

    def _line(self, end_s: float) -> str | None:
        """The next line that is not empty, until `end_s`; LF, CR LF and CR end it alike."""
        while not self._pending:
            if self._wire.now() >= end_s:
                return None
            data = self._wire.read()
            for block in self._lines.feed(data, self._wire.now()):
                text = block.data.translate(None, STRAY).decode("latin-1").strip()
                if text:
                    self._pending.append(text)
        return self._pending.popleft()

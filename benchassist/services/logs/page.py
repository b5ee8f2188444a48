"""Open a log: a file from elsewhere, read beside everything else, shown as a run is."""

from collections.abc import Mapping
from typing import Final

from benchassist.core.plain_text import brief
from benchassist.core.quantity import Quantity
from benchassist.core.run import HeatedPart
from benchassist.core.run_plot import RunPlot
from benchassist.errors import BenchError, InputError, NotFoundError
from benchassist.services.front.counter_view import Field, FieldChoice, FieldKind
from benchassist.services.logs.plot import log_plot, log_tracks
from benchassist.services.logs.reader import LogFound, LogReader, LogRequest
from benchassist.services.logs.text import (
    PARTS,
    events_of,
    fault_rows,
    notes_of,
    pairs_of,
    rows_text,
    verdict_line,
    words_of,
)
from benchassist.services.logs.view import LogStage, LogView
from benchassist.services.runs.analysis import SpeedRequest
from benchassist.services.translation import _
from benchassist.services.typed_line import path_of
from benchassist.units import UnitChoice, read_typed

HEAT, SPEED = "heat", "speed"
USUAL: Final = {"kind": HEAT, "part": str(HeatedPart.WINDING), "pulses": "1"}
"""What stands in the form at first."""


class LogPage:
    """One log at a time; satisfies `desk.LogDesk`."""

    def __init__(self, units: UnitChoice) -> None:
        self._units = units
        self._answers: Mapping[str, str] = USUAL
        self._reader: LogReader | None = None
        self._found: LogFound | None = None
        self._error = ""
        self._opened = 0
        self._shown: LogView | None = None

    # --- asking -----------------------------------------------------------------------------------

    def form(self, answers: Mapping[str, str]) -> tuple[Field, ...]:
        """The file and how to read it, as it stood last; the kind decides what follows."""
        given = {**self._answers, **answers}
        kind = given.get("kind", HEAT)
        fields = [
            Field(
                key="path",
                label=_("Log file"),
                hint=_("Ctrl+O picks one, or drop it here"),
                value=given.get("path", ""),
                open_ended=False,
            ),
            _choice("kind", _("What it holds"), kind, _KINDS),
        ]
        if kind == HEAT:
            fields.append(_choice("part", _("Part"), given.get("part", ""), _PARTS))
            return tuple(fields)
        for key, label, hint in (
            ("pulses", _("Pulses per revolution"), _("generator: pole pairs")),
            ("low", _("Low speed"), _("rpm, may be empty")),
            ("high", _("High speed"), _("rpm, may be empty")),
        ):
            fields.append(Field(key=key, label=label, hint=hint, value=given.get(key, "")))
        return tuple(fields)

    def open(self, answers: Mapping[str, str]) -> None:
        """Begin to read; a log that was open makes room. Raises InputError naming the field."""
        request = _request(answers)
        self.stop()
        self._answers = {**self._answers, **answers}
        self._error, self._shown, self._found = "", None, None
        self._opened += 1
        self._reader = LogReader(request)

    def stop(self) -> None:
        """Read no more; nothing is kept of what was read so far."""
        if self._reader is not None:
            self._reader.stop()
            self._reader = None

    def leave(self) -> None:
        """Put the log away: the form comes again."""
        self.stop()
        self._found, self._shown, self._error = None, None, ""

    def close(self) -> None:
        """Stop, and wait for the thread that reads."""
        if self._reader is not None:
            self._reader.close()
            self._reader = None

    # --- showing ----------------------------------------------------------------------------------

    def tick(self) -> None:
        """Fetch what the reading came to. Raises what went wrong in it, if that is no bad log."""
        reader = self._reader
        if reader is None or not reader.done:
            return
        self._reader = None
        try:
            self._found = reader.result()
        except BenchError as error:
            self._error = str(error)

    def view(self) -> LogView:
        """What the page shows now."""
        if self._reader is not None:
            return self._reading(self._reader)
        if self._found is None:
            return LogView(error=self._error)
        if self._shown is None:
            self._shown = self._view_of(self._found)
        return self._shown

    def speak(self, units: UnitChoice) -> None:
        """Other units from now on."""
        if units != self._units:
            self._units, self._shown = units, None

    def window(self, log_id: str, start_s: float, end_s: float, buckets: int) -> RunPlot:
        """The plot between two moments, at most about so many rows a track.

        Raises NotFoundError for a log that is not the one in view.
        """
        if self._found is None or log_id != str(self._opened):
            raise NotFoundError(_("that log is closed: open it again"))
        tracks = log_tracks(self._found, self._units, start_s, end_s, buckets=buckets)
        return RunPlot(tracks=tracks, start_s=start_s, end_s=end_s)

    @staticmethod
    def _reading(reader: LogReader) -> LogView:
        done = reader.progress
        if done.looking:
            text = _("Looking through it")
        else:
            text = _("Reading, {share:.0%}").format(share=done.share)
        return LogView(
            stage=LogStage.READING,
            share=done.share,
            progress=text,
            name=reader.request.path.name,
            rows_text=rows_text(done.used, done.rejected),
        )

    def _view_of(self, found: LogFound) -> LogView:
        units, log = self._units, found.log
        words = words_of(found, units)
        verdict = verdict_line(words)
        summary = _("{name}: {verdict}.").format(name=log.name, verdict=verdict)
        return LogView(
            stage=LogStage.SHOWN,
            share=1.0,
            log_id=str(self._opened),
            name=log.name,
            pairs=pairs_of(found, units),
            rows_text=rows_text(len(log.samples), log.rejected),
            faults=fault_rows(log),
            verdict=words.verdict,
            side=words.side,
            verdict_text=verdict,
            notes=notes_of(found, words, units),
            plot=log_plot(found, units, summary),
            events_title=_("What happened"),
            events=events_of(found, units),
        )


def _choice(key: str, label: str, value: str, choices: tuple[FieldChoice, ...]) -> Field:
    return Field(
        key=key, label=label, kind=FieldKind.CHOICE, value=value, choices=choices, open_ended=False
    )


_KINDS = (
    FieldChoice(key=HEAT, text=_("Heat run: ohms")),
    FieldChoice(key=SPEED, text=_("Engine run: hertz or rpm")),
)
_PARTS = tuple(FieldChoice(key=str(part), text=text) for part, text in PARTS.items())


def _request(answers: Mapping[str, str]) -> LogRequest:
    """What is asked for. Raises InputError naming the field."""
    lacking = _("Log file: type its path, or pick one with Ctrl+O")
    path = path_of(answers.get("path", ""), lacking)
    if path.is_dir():
        raise InputError(_("{path}: a folder; name a log file").format(path=path))
    if answers.get("kind", HEAT) == HEAT:
        part = answers.get("part", "") or str(HeatedPart.WINDING)
        if part not in set(HeatedPart):
            raise InputError(_("Part '{part}': choose one").format(part=brief(part)))
        return LogRequest(path=path, part=HeatedPart(part))
    speed = SpeedRequest(
        pulses_per_rev=_pulses(answers.get("pulses", "")),
        low=_rpm(_("Low speed"), answers.get("low", "")),
        high=_rpm(_("High speed"), answers.get("high", "")),
    )
    return LogRequest(path=path, speed=speed)


def _pulses(text: str) -> float:
    try:
        return float(text.strip().replace(",", "."))
    except ValueError:
        raise InputError(
            _("Pulses per revolution '{text}': a number such as 1 or 0.5 would be right").format(
                text=brief(text)
            )
        ) from None


def _rpm(label: str, text: str) -> float | None:
    if not text.strip():
        return None
    try:
        value = read_typed(text.strip(), quantity=Quantity.SPEED, default_unit="rpm").value
    except InputError as error:
        raise InputError(_("{label}: {why}").format(label=label, why=error)) from None
    if value is None:
        raise InputError(
            _("{label} '{text}': an rpm would be right").format(label=label, text=brief(text))
        )
    return value

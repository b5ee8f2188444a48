"""The sounds as tunes, and tunes as WAV files: no recordings, computed on the spot.

Each differs from the others in rhythm as well as in pitch, and all lie where a workshop and worn
ears leave something to hear: 0.2 to 2 kHz with overtones.
"""

from __future__ import annotations

import wave
from array import array
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import cos, pi, sin
from pathlib import Path
from sys import byteorder
from types import MappingProxyType
from typing import Final
from zlib import crc32

from benchassist.ui.cue import Cue

RATE: Final = 22_050
"""Samples a second."""
PEAK: Final = 0.7
"""The loudest sample, of full scale; the same for every tune."""
RISE_S, FALL_S = 0.006, 0.03
"""How long a note takes to come and to go, so that it does not click."""
OVERTONES: Final = 5
TABLE: Final = 1024
"""Points of one turn of a tone: looking them up is several times faster than computing each."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A tone of `hz`, gliding to `to_hz` where that is not zero, then a rest.

    `edge` is how strong each overtone is beside the one below it; `beats` how often a second the
    tone swells and fades.
    """

    hz: float
    seconds: float
    to_hz: float = 0.0
    edge: float = 0.3
    beats: float = 0.0
    rest: float = 0.0


def _pulses(*hz: float) -> tuple[Note, ...]:
    return tuple(Note(hz=h, seconds=0.11, edge=0.6, rest=0.05) for h in hz)


TUNES: Final[Mapping[Cue, tuple[Note, ...]]] = MappingProxyType(
    {
        # two notes, up a fifth: settled
        Cue.IN_BAND: (Note(hz=784.0, seconds=0.09), Note(hz=1175.0, seconds=0.22)),
        # three pulses, the last one stepping the way the reading lies
        Cue.OUT_LOW: _pulses(494.0, 494.0, 311.0),
        Cue.OUT_HIGH: _pulses(494.0, 494.0, 932.0),
        # a trill between neighbours: on the edge
        Cue.TOO_CLOSE: tuple(Note(hz=h, seconds=0.075) for h in (659.0, 740.0) * 3),
        # one long note that will not hold still
        Cue.CANNOT_TELL: (Note(hz=587.0, seconds=0.65, edge=0.5, beats=13.0),),
        # a siren's two steps, three times: look up now
        Cue.ALARM: tuple(Note(hz=h, seconds=0.14, edge=0.75) for h in (1319.0, 880.0) * 3),
        Cue.TAKEN: (Note(hz=880.0, seconds=0.16),),
        Cue.LOOKED: (Note(hz=1568.0, seconds=0.06, edge=0.2),),
        # falling away
        Cue.LINK_LOST: (Note(hz=988.0, to_hz=247.0, seconds=0.8, edge=0.4),),
        # two knocks
        Cue.REFUSED: (
            Note(hz=208.0, seconds=0.1, edge=0.85, rest=0.06),
            Note(hz=208.0, seconds=0.14, edge=0.85),
        ),
    }
)


def samples(tune: Sequence[Note]) -> array[int]:
    """The tune at `RATE`, 16 bits a sample."""
    level = [x for note in tune for x in _note(note)]
    scale = 32_767 * PEAK / max(abs(x) for x in level)
    return array("h", (round(scale * x) for x in level))


def _note(note: Note) -> list[float]:
    count = round(note.seconds * RATE)
    period = _period(note)
    glide = ((note.to_hz or note.hz) / note.hz) ** (1.0 / count)
    swing = 2.0 * pi * note.beats / RATE
    step, phase, level = note.hz * TABLE / RATE, 0.0, [0.0] * count
    for i in range(count):
        level[i] = period[int(phase) % TABLE]
        phase += step
        step *= glide
    if note.beats:
        level = [x * (0.5 + 0.5 * cos(swing * i)) for i, x in enumerate(level)]
    rise, fall = round(RISE_S * RATE), round(FALL_S * RATE)
    for i in range(rise):
        level[i] *= i / rise
    for i in range(fall):
        level[-1 - i] *= i / fall
    return level + [0.0] * round(note.rest * RATE)


def _period(note: Note) -> list[float]:
    """One turn of the tone with those overtones that the sampling still carries."""
    highest = max(note.hz, note.to_hz)
    tones = [k for k in range(1, OVERTONES + 1) if k * highest < 0.4 * RATE]
    turn = 2.0 * pi / TABLE
    return [sum(note.edge ** (k - 1) * sin(k * turn * i) for k in tones) for i in range(TABLE)]


def wav_of(cue: Cue, folder: Path) -> Path:
    """The cue's file in a folder, written where it is not there yet. Raises OSError.

    Its name changes with its tune, so that an older program's file is not taken for it.
    """
    tune = TUNES[cue]
    path = folder / f"{cue}-{crc32(repr((RATE, PEAK, tune)).encode()):08x}.wav"
    if not path.exists():
        folder.mkdir(parents=True, exist_ok=True)
        fresh = path.with_suffix(".new")
        _write(fresh, samples(tune))
        fresh.replace(path)
    return path


def _write(path: Path, level: array[int]) -> None:
    if byteorder == "big":
        level.byteswap()
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(level.tobytes())

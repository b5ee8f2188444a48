import wave
from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pytest

from benchassist.ui.cue import Cue
from benchassist.ui.tune import PEAK, RATE, TUNES, samples, wav_of

WINDOW = int(0.06 * RATE)
WINDOWS = 14
ALIKE = {Cue.OUT_LOW, Cue.OUT_HIGH}
"""The same rhythm on purpose: only the last step goes down or up."""


def heard(path: Path) -> np.ndarray:
    """Return the samples of a WAV file."""
    with wave.open(str(path), "rb") as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, RATE)
        return np.frombuffer(file.readframes(file.getnframes()), "<i2").astype(float)


def picture(level: np.ndarray) -> np.ndarray:
    """Return how loud each third of an octave is in each 60 ms, as one vector of length one."""
    padded = np.pad(level, (0, WINDOW * WINDOWS - len(level)))
    spectra = np.abs(np.fft.rfft(padded.reshape(WINDOWS, WINDOW) * np.hanning(WINDOW), axis=1))
    hz = np.fft.rfftfreq(WINDOW, 1.0 / RATE)
    edges = np.geomspace(180.0, 8000.0, 18)
    loud = [
        np.sqrt((spectra[:, (hz >= low) & (hz < high)] ** 2).sum(axis=1))
        for low, high in pairwise(edges)
    ]
    vector = np.concatenate(loud)
    return vector / np.linalg.norm(vector)


def test_every_cue_has_a_tune() -> None:
    """Nothing that may be heard is silent."""
    assert set(TUNES) == set(Cue)


@pytest.mark.parametrize("cue", Cue)
def test_a_tune_is_short_clean_and_as_loud_as_the_others(cue: Cue, tmp_path: Path) -> None:
    """Under a second, no click at either end, no clipping, one level for all."""
    level = heard(wav_of(cue, tmp_path))
    assert 0.05 <= len(level) / RATE <= 0.85
    assert abs(level).max() == pytest.approx(PEAK * 32_767, abs=1.0)
    assert abs(level[0]) < 300
    assert abs(level[-1]) < 300


@pytest.mark.parametrize("cue", [c for c in Cue if c not in {Cue.LINK_LOST, Cue.CANNOT_TELL}])
def test_the_notes_sound_at_their_pitch(cue: Cue, tmp_path: Path) -> None:
    """The strongest line of each note's spectrum is the note."""
    level, start = heard(wav_of(cue, tmp_path)), 0
    for note in TUNES[cue]:
        count = round(note.seconds * RATE)
        spectrum = np.abs(np.fft.rfft(level[start : start + count] * np.hanning(count), 1 << 16))
        strongest = np.argmax(spectrum) * RATE / (1 << 16)
        assert strongest == pytest.approx(note.hz, rel=0.02)
        start += count + round(note.rest * RATE)


def test_a_glide_falls_and_a_beat_swells(tmp_path: Path) -> None:
    """The lost link falls through two octaves; what cannot be told is never still."""
    lost = heard(wav_of(Cue.LINK_LOST, tmp_path))
    crossings = [int((np.diff(np.sign(part)) > 0).sum()) for part in np.array_split(lost, 6)]
    assert crossings == sorted(crossings, reverse=True)
    assert crossings[0] > 2.5 * crossings[-1]
    beaten = heard(wav_of(Cue.CANNOT_TELL, tmp_path))
    loud = np.array([abs(part).max() for part in np.array_split(beaten, 80)])
    weak = np.flatnonzero((loud[1:-1] < loud[:-2]) & (loud[1:-1] < loud[2:]))
    assert len(weak) >= 7


@pytest.mark.parametrize(("one", "other"), list(combinations(Cue, 2)))
def test_any_two_sounds_differ(one: Cue, other: Cue, tmp_path: Path) -> None:
    """Pitch against time, compared as pictures: most share less than a third."""
    first, second = (picture(heard(wav_of(cue, tmp_path))) for cue in (one, other))
    most = 0.8 if {one, other} == ALIKE else 0.5
    assert float(first @ second) < most


def test_low_and_high_part_at_the_end(tmp_path: Path) -> None:
    """The last third of the two tells them apart as clearly as any."""
    low, high = (heard(wav_of(cue, tmp_path)) for cue in (Cue.OUT_LOW, Cue.OUT_HIGH))
    third = len(low) * 2 // 3
    assert float(picture(low[third:]) @ picture(high[third:])) < 0.5


def test_a_file_is_made_once(tmp_path: Path) -> None:
    """What is in the cache is played again as it is."""
    path = wav_of(Cue.TAKEN, tmp_path / "new" / "sounds")
    path.write_bytes(b"kept")
    assert wav_of(Cue.TAKEN, tmp_path / "new" / "sounds").read_bytes() == b"kept"
    assert [p.name for p in path.parent.iterdir()] == [path.name]


def test_samples_are_whole_numbers_of_16_bits() -> None:
    """As a WAV file has them."""
    level = samples(TUNES[Cue.LOOKED])
    assert level.itemsize == 2
    assert -32_768 < min(level) < max(level) < 32_767

"""The Qt binding keeps its references, so that the program lives longer than a smoke test."""

import json
import sys

import pytest

from tests.background import Finished
from tests.house.soak import CALLS, TICKS


@pytest.mark.background([sys.executable, "-m", "tests.house.soak"])
def test_forty_seconds_lose_no_reference(finished: Finished) -> None:
    """None and True keep their references through forty seconds at 10 Hz.

    A binding that loses one a call loses some thousands here; a hundred is the noise.
    """
    assert finished.code == 0, finished.output
    seen = json.loads(finished.output.splitlines()[-1])
    assert seen["ticks"] == TICKS
    assert seen["paints"] >= TICKS * CALLS
    assert seen["none"] > -100
    assert seen["true"] > -100

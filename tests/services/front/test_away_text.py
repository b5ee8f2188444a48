"""A server that another bench has brought to a newer revision, in a line."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from benchassist.core.away import Away
from benchassist.services.front.away_text import away_text, counter_away_text

AWAY = Away(since=datetime(2026, 6, 9, 8, 42, tzinfo=UTC), why="gone", outdated=True)
HEAD = "Another bench has a newer program: close and update this one. "


@pytest.mark.parametrize(
    ("away", "bench", "counter"),
    [
        (
            AWAY,
            "Kept till then: what is taken",
            "Only what is on this computer shows",
        ),
        (
            replace(AWAY, readings=7, runs=1, entries=12),
            "Kept till then: 7 readings and 1 run",
            "Only what is on this computer shows. Kept for it: 7 readings and 1 run",
        ),
        (
            replace(AWAY, said="too old", entries=1),
            "Kept till then: 1 entry",
            "Only what is on this computer shows. Kept for it: 1 entry",
        ),
    ],
)
def test_it_says_what_happened_and_what_to_do(away: Away, bench: str, counter: str) -> None:
    """And that nothing is lost by it, with how much waits."""
    assert away_text(away) == HEAD + bench
    assert counter_away_text(away) == HEAD + counter


def test_a_server_that_is_lost_is_another_matter() -> None:
    """Nobody is sent to update a program for a cable."""
    lost = replace(AWAY, outdated=False, readings=7)
    assert "update" not in away_text(lost)
    assert "update" not in counter_away_text(lost)

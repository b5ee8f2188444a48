"""Counter and bench of a shop with several benches: what is elsewhere, lost, kept apart."""

from dataclasses import replace
from datetime import UTC, datetime

from benchassist.core.away import Away, Delivered
from benchassist.core.lease import Lease
from benchassist.services.front.away_text import away_text, counter_away_text, delivered_text
from benchassist.services.front.lease_text import (
    held_text,
    kept_apart_text,
    on_bench_text,
    slip_text,
    taken_over_text,
)
from tests.ui.views import COUNTER, SLIPS, STEADYING, TAKEN

AT = datetime(2026, 6, 9, 8, 42, tzinfo=UTC)
LEASE = Lease(visit_id="v2", bench="B (by the door)", since=AT, free_in=40.0)
AWAY = Away(since=AT, why="gone", readings=7, runs=1, entries=12)
REFUSED = replace(AWAY, said='password authentication failed for user "bench"')
DELIVERED = Delivered(at=AT, readings=7, entries=12, apart=(("A-0412", "A-0412-2"),), renumbered=())

HELD = held_text("0411", LEASE)
ON_BENCHES = replace(
    COUNTER,
    home_text="Everything is kept on the shop’s server.",
    slips=(
        replace(SLIPS[0], place_text=f"{SLIPS[0].place_text} · {on_bench_text(LEASE)}"),
        replace(SLIPS[1], slip_text=slip_text("A-0412-2", apart=True)),
        *SLIPS[2:],
    ),
)
COUNTER_LOST = replace(ON_BENCHES, slips=SLIPS[:1], banner=counter_away_text(AWAY))
COUNTER_REFUSED = replace(COUNTER_LOST, banner=counter_away_text(REFUSED))
COUNTER_BACK = replace(ON_BENCHES, banner=delivered_text(DELIVERED, AT))

LEASE_STATES = {
    "server_lost": replace(STEADYING, banner=away_text(AWAY)),
    "server_back": replace(TAKEN, banner=delivered_text(DELIVERED, AT)),
    "taken_over": replace(STEADYING, banner=taken_over_text("B (by the door)")),
    "kept_apart": replace(STEADYING, banner=kept_apart_text("A-0412-2", "A-0412")),
}
COUNTER_STATES = (
    ("on-benches", ON_BENCHES, ""),
    ("server-lost", COUNTER_LOST, ""),
    ("server-refuses", COUNTER_REFUSED, ""),
    ("server-back", COUNTER_BACK, ""),
)

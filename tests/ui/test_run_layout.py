"""Where the parts of a run stand: nothing over anything else, whatever shows."""

from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from benchassist.ui.bench_layout import BODY, Place
from benchassist.ui.run_layout import RunNeed, run_places

NEEDS = st.builds(
    RunNeed,
    message=st.booleans(),
    guide=st.booleans(),
    caution=st.sampled_from([0.0, 36.0, 58.0]),
    cautions=st.sampled_from([0.0, 90.0, 260.0]),
    figures=st.integers(0, 3),
    plot=st.booleans(),
    events=st.booleans(),
    rows=st.integers(0, 4),
    tally=st.booleans(),
    choices=st.integers(0, 4),
    main=st.booleans(),
    notes=st.sampled_from([0.0, 22.0, 40.0]),
    drill=st.booleans(),
    ready=st.booleans(),
    entry=st.sampled_from([0.0, 98.0]),
    big=st.booleans(),
)


def meet(one: Place, other: Place) -> bool:
    """Whether two places share more than an edge."""
    across = min(one.x + one.width, other.x + other.width) - max(one.x, other.x)
    return across > 0.5 and min(one.bottom, other.bottom) - max(one.y, other.y) > 0.5


@given(NEEDS, st.sampled_from([874.0, 1366.0]))
def test_the_main_key_and_the_verdict_stand_clear_of_all_above(need: RunNeed, wide: float) -> None:
    """Cautions, plot, events, answers and table end above them, on the page."""
    places = run_places(wide, need)
    foot = [place for place in (places.verdict, places.main) if place is not None]
    above = (places.cautions, places.plot, places.events, places.answers, places.table)
    for place in above:
        if place is not None and place.height > 0.0:
            assert not any(meet(place, below) for below in foot)
    assert all(place.bottom <= BODY for place in foot)
    assert not any(meet(one, other) for one, other in combinations(foot, 2))

"""Confirmed, probable, precautionary: what each word stands on."""

from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.claim import Claim, Grounds, claim
from benchassist.core.run import HeatedPart
from benchassist.core.run_finding import HeatEvent, HeatEventKind, HeatFinding
from benchassist.core.swap import SwapFinding, SwapResult


def heat(*events: HeatEvent) -> HeatFinding:
    """A heat run with these events."""
    return HeatFinding(
        part=HeatedPart.WINDING,
        reproduced=bool(events),
        departure_assessed=True,
        events=events,
    )


def event(kind: HeatEventKind, *, ended: bool) -> HeatEvent:
    """An event at 100 s, ended ten seconds later or never."""
    return HeatEvent(kind=kind, start_s=100.0, before=8e3, end_s=110.0 if ended else None)


SWAPS = st.builds(
    SwapFinding,
    result=st.sampled_from(SwapResult),
    hidden=st.none(),
    not_separated=st.sampled_from([(), ("plug",)]),
)
HEATS = st.lists(st.builds(event, st.sampled_from(HeatEventKind), ended=st.booleans()), max_size=3)
GROUNDS = st.builds(
    Grounds,
    swap=st.none() | SWAPS,
    heat=st.none() | HEATS.map(lambda events: heat(*events)),
    named=st.booleans(),
    against_bits=st.floats(0.0, 5.0),
    out_of_band=st.booleans(),
)


@given(GROUNDS)
def test_nothing_is_confirmed_without_a_swap_or_a_reproduced_break(grounds: Grounds) -> None:
    """However strong everything else is."""
    found = claim(grounds)
    swapped = grounds.swap is not None and (
        grounds.swap.result is SwapResult.PROVED and not grounds.swap.not_separated
    )
    kinds = {HeatEventKind.OPEN, HeatEventKind.STEP_UP, HeatEventKind.STEP_DOWN}
    breaks = [e for e in grounds.heat.events if e.kind in kinds] if grounds.heat else []
    broke = len(breaks) > 1 or any(e.end_s is not None for e in breaks)
    if found is Claim.CONFIRMED:
        assert swapped or broke


@given(GROUNDS)
def test_a_part_that_showed_the_fault_new_is_never_more_than_precautionary(
    grounds: Grounds,
) -> None:
    """The fault with the new part in speaks against everything."""
    if grounds.swap is not None and grounds.swap.result is SwapResult.NOT_THIS_PART:
        assert claim(grounds) is Claim.PRECAUTIONARY


def test_a_break_that_came_and_went_confirms_and_a_lone_spike_does_not() -> None:
    """An open that stayed once may be a clip; a spike is contact until repeated."""
    assert claim(Grounds(heat=heat(event(HeatEventKind.OPEN, ended=True)))) is Claim.CONFIRMED
    lone = Grounds(heat=heat(event(HeatEventKind.OPEN, ended=False)))
    assert claim(lone) is Claim.PRECAUTIONARY
    spikes = [event(HeatEventKind.SPIKE, ended=True)] * 3
    assert claim(Grounds(heat=heat(*spikes))) is Claim.PRECAUTIONARY


def test_probable_needs_the_ranking_the_part_and_no_contradiction() -> None:
    """Named first, seen in the part itself, and nothing that halves its odds."""
    sound = Grounds(named=True, out_of_band=True, against_bits=0.5)
    assert claim(sound) is Claim.PROBABLE
    assert claim(Grounds(named=True, out_of_band=True, against_bits=1.0)) is Claim.PRECAUTIONARY
    assert claim(Grounds(named=True)) is Claim.PRECAUTIONARY
    assert claim(Grounds(out_of_band=True)) is Claim.PRECAUTIONARY


def test_a_bundled_swap_confirms_nothing() -> None:
    """Plug and cap changed at once: the cause is not separated."""
    bundled = SwapFinding(result=SwapResult.PROVED, not_separated=("plug",))
    assert claim(Grounds(swap=bundled)) is Claim.PRECAUTIONARY
    assert claim(Grounds(swap=SwapFinding(result=SwapResult.PROVED))) is Claim.CONFIRMED

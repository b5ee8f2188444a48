"""What would settle an undecided verdict, computed from the meter's own ranges."""

from dataclasses import replace

import pytest
from hypothesis import given

from benchassist.core.accuracy import WORST_CASE, Accuracy, LeadZero, MeterRange
from benchassist.core.advice import Advice, Reach, Remedy, advise, foresee
from benchassist.core.band import Band, Verdict, judge, judge_overload
from benchassist.core.estimate import Conditions, PartTemperature, estimate
from benchassist.core.procedure import MeterCard
from benchassist.core.prospect import prospect
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from tests.core.budgets import RANGES, band_of, bands, conditions, ohms, readings

ACCURACY = Accuracy(percent=0.8, counts=3.0)
HAND_HELD = Conditions(accuracy=ACCURACY)
CARD = MeterCard(
    key="hand_held",
    name="2,000-count hand-held",
    ranges={
        Quantity.RESISTANCE: tuple(
            MeterRange(full_scale=f, resolution=f / 2000.0, accuracy=ACCURACY) for f in RANGES
        )
    },
)
BENCH = MeterCard(
    key="bench",
    name="6½-digit bench",
    ranges={
        Quantity.RESISTANCE: tuple(
            MeterRange(
                full_scale=f,
                resolution=f * 1e-6,
                accuracy=Accuracy(percent=0.01, percent_of_range=0.004),
            )
            for f in (100.0, 1e3, 1e4, 1e5, 1e6, 1e7)
        )
    },
)
CAP = band_of(3750.0, 6250.0)
PRIMARY = band_of(0.6, 1.3)


def asked(
    reading: Reading,
    band: Band,
    given: Conditions = HAND_HELD,
    *,
    card: MeterCard | None = CARD,
    volt_drop: bool = False,
) -> tuple[Advice, ...]:
    """The advice on a reading as judged."""
    judgement = judge(estimate(reading, given), band)
    return advise(judgement, band, given, reading=reading, card=card, volt_drop=volt_drop)


def remedies(advice: tuple[Advice, ...]) -> list[Remedy]:
    """The codes, in order."""
    return [a.remedy for a in advice]


def test_a_decided_verdict_needs_no_advice() -> None:
    """In band and out of band are settled."""
    assert asked(ohms(5000.0), CAP) == ()
    assert asked(ohms(9000.0), CAP) == ()


def test_a_one_ohm_winding_on_the_coarse_range() -> None:
    """The volt drop calls most of it; the 200 Ω range of this meter finds an open only."""
    best, other = asked(ohms(0.0), PRIMARY, volt_drop=True)
    assert (best.remedy, best.reach, best.best) == (Remedy.VOLT_DROP, Reach.CALLS_MOST, True)
    assert (best.current, best.voltage) == (0.1, 1.5)
    assert (other.remedy, other.reach) == (Remedy.OTHER_RANGE, Reach.OPEN_ONLY)
    assert (other.full_scale, other.rezero, other.best) == (200.0, True, False)


def test_no_volt_drop_where_it_is_not_allowed() -> None:
    """A module with electronics is never offered a volt drop."""
    assert Remedy.VOLT_DROP not in remedies(asked(ohms(0.0), PRIMARY, volt_drop=False))


def test_a_better_meter_offers_its_own_range() -> None:
    """A bench meter on a coarse range is sent to the range that calls it."""
    coarse = ohms(0.0, count=1.0, full_scale=1e6)
    (advice,) = asked(coarse, PRIMARY, Conditions(accuracy=ACCURACY), card=BENCH)
    assert (advice.remedy, advice.full_scale, advice.reach) == (
        Remedy.OTHER_RANGE,
        100.0,
        Reach.CALLS_IT,
    )


def test_without_a_card_a_finer_count_is_named() -> None:
    """The same statement at a finer count tells how fine a range must step."""
    (advice,) = asked(ohms(0.0), PRIMARY, card=None)
    assert advice.remedy is Remedy.FINER_COUNT
    assert advice.resolution == pytest.approx(0.01)
    assert advice.rezero


def test_what_no_range_can_do_is_said() -> None:
    """A meter without a fit range is told so, not left without a word."""
    assert remedies(asked(ohms(0.5, count=0.1, full_scale=200.0), band_of(0.6, 0.61))) == [
        Remedy.OTHER_METER
    ]


def test_a_finer_range_that_likely_settles_it_is_offered() -> None:
    """3.7 kΩ on the 200 kΩ range sits across the edge; the 20 kΩ range would likely free it."""
    (advice,) = asked(ohms(3700.0, count=100.0, full_scale=2e5), CAP)
    assert (advice.remedy, advice.full_scale) == (Remedy.OTHER_RANGE, 2e4)
    assert advice.odds is not None
    assert 0.5 <= advice.odds <= 1.0


def test_on_the_edge_nothing_is_promised() -> None:
    """On the best range already and on the edge, other evidence has to decide."""
    assert remedies(asked(ohms(3760.0), CAP)) == [Remedy.ON_THE_EDGE]


def test_a_range_below_the_value_is_not_offered() -> None:
    """The 2 kΩ range steps finer, and 3.7 kΩ is above it."""
    for advice in asked(ohms(3700.0, count=100.0, full_scale=2e5), CAP):
        assert advice.full_scale != 2000.0


def hot(celsius: float, u: float) -> Conditions:
    """A winding at a temperature, on the hand-held."""
    return Conditions(
        accuracy=Accuracy(percent=0.1, counts=1.0),
        part_temperature=PartTemperature(celsius=celsius, u=u),
        copper_reference=20.0,
    )


def test_a_temperature_that_is_too_wide_asks_for_a_colder_part_or_a_thermometer() -> None:
    """Hot, let it cool; cold, measure better; each says how well it must be known."""
    winding = band_of(6500.0, 7500.0, copper=True)
    warm = asked(ohms(7700.0), winding, hot(65.0, 5.0))[0]
    assert warm.remedy is Remedy.COLDER_PART
    cold = asked(ohms(6650.0), winding, hot(22.0, 5.0))[0]
    assert cold.remedy is Remedy.BETTER_THERMOMETER
    assert cold.u_temperature in {1.0, 0.5}


def test_an_unsteady_contact_asks_for_a_steadier_one() -> None:
    """Where spread is most of the doubt the contact is what to mend."""
    unsteady = replace(HAND_HELD, spread=900.0)
    assert asked(ohms(5000.0), CAP, unsteady)[0].remedy is Remedy.STEADY_CONTACT


def test_a_zero_of_another_range_that_dominates_is_made_anew() -> None:
    """A lead zero from a coarse range is what is too wide on a fine one."""
    coarse = LeadZero(value=0.0, resolution=10.0, accuracy=ACCURACY, full_scale=2e4)
    fine = ohms(20.0, count=0.1, full_scale=200.0)
    advice = asked(fine, band_of(None, 30.0), replace(HAND_HELD, lead_zero=coarse))
    assert advice[0].remedy is Remedy.LEAD_ZERO


def test_leads_that_were_never_zeroed_are_mentioned_where_they_matter() -> None:
    """Near an edge of a few ohms the leads may be the difference."""
    near = ohms(0.6, count=0.1, full_scale=200.0)
    assert Remedy.LEAD_ZERO in remedies(asked(near, band_of(None, 0.7)))
    assert Remedy.LEAD_ZERO not in remedies(asked(ohms(3760.0), CAP))


def test_an_assumed_accuracy_that_dominates_is_asked_for() -> None:
    """Where the worst case was assumed, the meter's own statement may settle it."""
    assumed = Conditions(accuracy=WORST_CASE)
    assert asked(ohms(3800.0), CAP, assumed)[0].remedy is Remedy.ACCURACY_STATEMENT


def test_unknown_count_and_unknown_range_are_told_apart() -> None:
    """Type as shown gives the count; the range has to be named."""
    assert remedies(asked(ohms(5e3, count=None), CAP)) == [Remedy.TYPE_AS_SHOWN]
    by_range = Conditions(accuracy=Accuracy(percent=0.01, percent_of_range=0.004))
    assert remedies(asked(ohms(5e3, full_scale=None), CAP, by_range)) == [Remedy.NAME_THE_RANGE]


def test_below_zero_zeroes_the_leads_again() -> None:
    """A reading below zero by more than its doubt was zeroed wrongly."""
    assert remedies(asked(ohms(-500.0), CAP)) == [Remedy.LEAD_ZERO]


@pytest.mark.parametrize(
    ("full_scale", "band", "proved", "remedy", "to"),
    [
        (2e3, CAP, True, Remedy.GO_UP_A_RANGE, 2e4),
        (None, CAP, True, Remedy.GO_UP_A_RANGE, 2e4),
        (2e6, band_of(1e7, None), True, Remedy.GO_UP_A_RANGE, 2e7),
        (2e7, band_of(None, 5e7), True, Remedy.GO_UP_A_RANGE, None),
        (2e4, CAP, False, Remedy.TOUCH_PROBES, None),
    ],
)
def test_an_overload_goes_up_a_range(
    full_scale: float | None, band: Band, proved: bool, remedy: Remedy, to: float | None
) -> None:
    """The smallest range above the limit in question, or the touch that proves the leads."""
    reading = ohms(None, full_scale=full_scale)
    judgement = judge_overload(full_scale, band, leads_proved=proved)
    (advice,) = advise(judgement, band, HAND_HELD, reading=reading, card=CARD)
    assert (advice.remedy, advice.full_scale) == (remedy, to)


def test_foresight_of_the_range_in_use() -> None:
    """Before the probes touch: this range finds an open only, and what could tell instead."""
    foresight = foresee(PRIMARY, HAND_HELD, card=CARD, in_use=coarse_range(), volt_drop=True)
    assert foresight is not None
    assert foresight.cannot_decide
    assert foresight.reach is Reach.OPEN_ONLY
    assert remedies(foresight.advice) == [Remedy.VOLT_DROP]


def coarse_range() -> MeterRange:
    """The 20 kΩ range of the card."""
    return CARD.ranges[Quantity.RESISTANCE][2]


def test_foresight_without_a_range_in_use_takes_the_best() -> None:
    """An auto-ranging meter is foreseen on the range that calls most of the band."""
    foresight = foresee(CAP, HAND_HELD, card=CARD)
    assert foresight is not None
    assert foresight.range.full_scale == 2e4
    assert not foresight.cannot_decide
    assert foresight.advice == ()


def test_foresight_of_a_range_that_cannot_reach() -> None:
    """A range below the whole band tells nothing there, and another is named."""
    low = CARD.ranges[Quantity.RESISTANCE][0]
    foresight = foresee(CAP, HAND_HELD, card=CARD, in_use=low)
    assert foresight is not None
    assert foresight.reach is Reach.NOTHING
    assert foresight.advice[0].full_scale == 2e4


def test_insulation_is_called_by_an_overload() -> None:
    """Where above range is In band, the top range calls all of it."""
    foresight = foresee(band_of(1e7, None), HAND_HELD, card=CARD)
    assert foresight is not None
    assert (foresight.range.full_scale, foresight.reach) == (2e7, Reach.CALLS_IT)


def test_nothing_is_foreseen_of_an_unknown_meter() -> None:
    """Without a card and a range there is nothing to compute from."""
    assert foresee(CAP, HAND_HELD) is None


@given(readings(), bands(), conditions)
def test_every_undecided_verdict_has_advice_and_one_best(
    reading: Reading, band: Band, drawn: Conditions
) -> None:
    """Too close and cannot tell always say something, decided verdicts never do."""
    judgement = judge(estimate(reading, drawn), band)
    advice = advise(judgement, band, drawn, reading=reading, card=CARD, volt_drop=True)
    undecided = judgement.verdict in {Verdict.TOO_CLOSE, Verdict.CANNOT_TELL}
    assert bool(advice) is undecided
    assert [a.best for a in advice] == [i == 0 for i in range(len(advice))]
    for a in advice:
        assert a.share is None or 0.0 <= a.share <= 1.0


@given(bands(), conditions)
def test_a_range_that_decides_does_so_somewhere(band: Band, drawn: Conditions) -> None:
    """What a prospect promises is what a reading on that range is judged by."""
    drawn = replace(drawn, spread=0.0, lead_zero=None, accuracy=ACCURACY)
    for range_ in CARD.ranges[Quantity.RESISTANCE]:
        promised = prospect(range_, band, drawn, k=2.0, rezeroed=False)
        middles = (
            0.5 * ((band.lower or 0.0) + (band.high or 2.0 * (band.lower or 0.0))),
            range_.full_scale,
        )
        for shown in middles:
            reading = ohms(
                min(shown, range_.full_scale),
                count=range_.resolution,
                full_scale=range_.full_scale,
            )
            if judge(estimate(reading, drawn), band).verdict is Verdict.IN_BAND:
                assert promised.decides


def test_a_volt_drop_that_likely_settles_it_is_offered() -> None:
    """Two ohms on the edge of the 200 Ω range: volts and amperes see finer."""
    near = ohms(1.9, count=0.1, full_scale=200.0)
    offered = asked(near, band_of(0.5, 2.0), volt_drop=True)
    assert offered[0].remedy is Remedy.VOLT_DROP
    assert (offered[0].odds or 0.0) >= 0.5


def test_a_temperature_is_not_asked_for_where_it_would_not_settle_it() -> None:
    """On the very edge a better thermometer promises nothing."""
    winding = band_of(6500.0, 7500.0, copper=True)
    advice = asked(ohms(6510.0), winding, hot(20.0, 1.1))
    assert Remedy.BETTER_THERMOMETER not in remedies(advice)


def test_an_assumed_accuracy_is_asked_for_where_the_range_is_too_coarse() -> None:
    """The worst case may be what makes a range look too coarse."""
    assumed = Conditions(accuracy=WORST_CASE)
    coarse = ohms(0.9, count=0.1, full_scale=200.0)
    assert Remedy.ACCURACY_STATEMENT in remedies(asked(coarse, PRIMARY, assumed))


def test_a_range_in_use_is_foreseen_with_the_zero_it_has() -> None:
    """Before the probes touch the lead zero counts as it was made, not as it could be."""
    zero = LeadZero(value=0.0, resolution=10.0, accuracy=ACCURACY, full_scale=2e4)
    fine = CARD.ranges[Quantity.RESISTANCE][0]
    as_made = foresee(
        band_of(None, 30.0), replace(HAND_HELD, lead_zero=zero), card=CARD, in_use=fine
    )
    anew = foresee(band_of(None, 30.0), HAND_HELD, card=CARD, in_use=fine)
    assert as_made is not None
    assert anew is not None
    assert as_made.expanded > 10.0 * anew.expanded

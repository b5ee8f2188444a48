"""The series check from taken readings: what it says, when it is void, what it needs."""

from dataclasses import replace

import pytest

from benchassist.core.accuracy import LeadZero
from benchassist.core.copper import correction
from benchassist.core.entry import Taken
from benchassist.core.estimate import Conditions, PartTemperature
from benchassist.core.path import Closure
from benchassist.services.bench.taking import judge_reading
from benchassist.services.findings.series_check import series_card, series_of, series_sentence
from benchassist.units import UnitChoice
from tests.core import entries
from tests.services.case import Told, header

UNITS = UnitChoice()
COPPER = 20.0


def warm(
    told: Told, key: str, ohm: float | None, *, celsius: float | None = 21.0, meter: str = "A"
) -> Taken:
    """A reading of a part at a temperature, by a meter that reads 0.8 % + 3."""
    visit = told.visit
    reading = entries.ohms(ohm)
    copper = COPPER if key == "coil_secondary" else None
    conditions = Conditions(
        accuracy=entries.ACCURACY,
        part_temperature=PartTemperature(celsius=celsius) if celsius is not None else None,
        copper_reference=copper,
        lead_zero=LeadZero(value=0.2, resolution=0.1),
    )
    band = visit.band(visit.procedure.check(key))
    taken = Taken(
        stamp=entries.stamp(visit),
        check_key=key,
        reading=reading,
        conditions=conditions,
        judgement=judge_reading(reading, band, conditions, leads_proved=True),
        band=band,
        meter=meter,
    )
    visit.apply(taken)
    return taken


def measured(
    *, coil: float = 6520.0, cap: float = 4380.0, path: float = 10_930.0, warmth: float = 21.0
) -> Told:
    """Coil, cap and path, all read at one temperature."""
    told = Told()
    for key, ohm in (("coil_secondary", coil), ("cap", cap), ("path", path)):
        warm(told, key, ohm, celsius=warmth)
    return told


def closure(told: Told) -> Closure | None:
    """What the card says."""
    card = series_card(told.visit, UNITS)
    assert card is not None
    return card.closure


def test_coil_and_cap_that_make_up_the_path_add_up() -> None:
    """6.52 and 4.38 kilo-ohm against 10.93: 30 ohm apart, well within the limit."""
    card = series_card(measured().visit, UNITS)
    assert card is not None
    assert card.closure is Closure.CLOSES
    assert card.head == "Adds up."
    assert [part.text for part in card.parts] == ["coil 6.52", "cap 4.38"]
    assert card.path == pytest.approx(10.93, abs=0.01)
    assert card.unit == "kΩ"
    assert card.ticks[0] == 0.0
    assert card.ticks[-1] <= card.top
    assert card.conditions == "All at 21 °C. Leads 0.2 Ω taken off ohms readings."


def test_a_path_with_more_has_a_joint_nobody_measured() -> None:
    """Two kilo-ohm more than its pieces."""
    assert closure(measured(path=12_900.0)) is Closure.HIDDEN_JOINT


def test_a_path_with_less_has_something_beside_it() -> None:
    """Damp fingers."""
    assert closure(measured(path=9_000.0)) is Closure.PARALLEL_PATH


def test_a_doubt_as_wide_as_the_limit_decides_nothing() -> None:
    """Three hundred ohm apart against a limit of 327: undecided, and no line on the slip."""
    told = measured(path=11_230.0)
    assert closure(told) is Closure.UNDECIDED


def test_the_same_warmth_needs_no_correction() -> None:
    """Hot coil and hot path are compared as they were read, whatever the band’s reference."""
    factor = 1.0 / correction(60.0, 20.0)[0]
    coil = 6520.0 * factor
    told = measured(coil=coil, path=coil + 4380.0, warmth=60.0)
    series = series_of(told.visit)
    assert series is not None
    assert series.check.closure is Closure.CLOSES
    assert series.check.total == pytest.approx(coil + 4380.0, abs=1.0)
    assert series.pieces[0].ohm == pytest.approx(coil - 0.2, abs=0.5)


def test_a_coil_read_at_another_warmth_is_brought_to_the_paths() -> None:
    """The coil cold, the path at 60 celsius: its copper grows by 15 %, with its doubt."""
    told = Told()
    warm(told, "coil_secondary", 6520.0, celsius=20.0)
    warm(told, "cap", 4380.0, celsius=20.0)
    warm(told, "path", 6520.0 * 1.1572 + 4380.0, celsius=60.0)
    series = series_of(told.visit)
    assert series is not None
    assert series.check.closure is Closure.CLOSES
    same = series_of(measured(warmth=20.0).visit)
    assert same is not None
    assert series.check.expanded_uncertainty > same.check.expanded_uncertainty


def test_without_a_temperature_for_one_of_them_it_is_not_said() -> None:
    """The path’s warmth was never stated."""
    told = Told()
    warm(told, "coil_secondary", 6520.0)
    warm(told, "cap", 4380.0)
    warm(told, "path", 10_930.0, celsius=None)
    assert closure(told) is Closure.OTHER_TEMPERATURE


@pytest.mark.parametrize("electronics", [True, None])
def test_electronics_in_the_path_void_it(electronics: bool | None) -> None:
    """By the engine class, or where nobody knows: void, and it says so; nothing on the slip."""
    told = Told(header(electronics=electronics))
    for key, ohm in (("coil_secondary", 6520.0), ("cap", 4380.0), ("path", 10_930.0)):
        warm(told, key, ohm)
    card = series_card(told.visit, UNITS)
    assert card is not None
    assert card.closure is Closure.VOID
    assert "lectronics" in card.sentence
    assert card.parts == ()
    assert series_sentence(told.visit, UNITS) == ""


def test_what_a_sum_of_digits_leaves_over_is_no_difference() -> None:
    """4.908 and 9.11 add up to 14.018, though their floats do not."""
    told = Told()
    for key, ohm in (("coil_secondary", 9110.1), ("cap", 4907.8), ("path", 14_017.9)):
        warm(told, key, ohm)
    assert 9110.1 + 4907.8 != 14_017.9
    assert "are 0 Ω apart; the doubt is " in series_sentence(told.visit, UNITS)


def test_it_says_which_reading_is_missing() -> None:
    """An open has no value to add up."""
    told = Told()
    warm(told, "coil_secondary", 6520.0)
    warm(told, "cap", None)
    card = series_card(told.visit, UNITS)
    assert card is not None
    assert card.closure is None
    assert card.sentence == "Needs a value of: Plug cap (4), Path (7)."


def test_a_piece_worked_on_since_is_to_be_measured_again() -> None:
    """The path with the new cap is not made of the old one; with the new one read it adds up."""
    told = Told()
    warm(told, "coil_secondary", 6520.0)
    warm(told, "cap", 9000.0)
    told.fit("cap")
    warm(told, "path", 11_020.0)
    card = series_card(told.visit, UNITS)
    assert card is not None
    assert card.closure is None
    assert card.sentence == "Worked on since it was read: Plug cap (4). Measure again."
    warm(told, "cap", 4500.0)
    assert closure(told) is Closure.CLOSES
    told.fit("cap")
    stale = series_card(told.visit, UNITS)
    assert stale is not None
    assert "Plug cap (4), Path (7)" in stale.sentence


def test_two_meters_are_named() -> None:
    """The rule of thumb asks for one meter; another is said, not refused."""
    told = Told()
    warm(told, "coil_secondary", 6520.0)
    warm(told, "cap", 4380.0)
    warm(told, "path", 10_930.0, meter="B")
    card = series_card(told.visit, UNITS)
    assert card is not None
    assert card.conditions.endswith("Read by more than one meter.")


def test_a_procedure_that_measures_no_path_has_no_card() -> None:
    """Nothing is asked for that the visit cannot do."""
    head = header()
    short = replace(head, procedure=entries.procedure())
    assert series_card(Told(short).visit, UNITS) is None

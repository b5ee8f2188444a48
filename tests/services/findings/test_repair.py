"""The repair, its forms and its acceptance run."""

from collections.abc import Mapping

import pytest

from benchassist.core.entry import Proved
from benchassist.errors import InputError
from benchassist.services.findings.repair import acceptance_of, repair_card
from benchassist.services.findings.repair_form import (
    Draft,
    parts_of,
    read_part,
    read_prove,
    read_service,
    service_fields,
)
from benchassist.services.settings import Settings
from benchassist.units import PressureUnit, UnitChoice
from tests.core import entries
from tests.services.case import Told

SHOP = Settings()


def write(told: Told, draft: Draft) -> None:
    """Keep what a form made."""
    told.visit.apply(draft(entries.stamp(told.visit)))


def run(told: Told, minutes: float, *, fault: bool = False, soak: bool | None = None) -> None:
    """A run of the repaired machine."""
    told.visit.apply(
        Proved(
            stamp=entries.stamp(told.visit),
            seconds=60.0 * minutes,
            fault=fault,
            soak_restart=soak,
        )
    )


def missing(told: Told) -> tuple[str, ...]:
    """What the acceptance run lacks."""
    return repair_card(told.visit, SHOP).missing


def test_nothing_is_accepted_before_there_was_work() -> None:
    """A run before the repair proves nothing of it."""
    told = Told(minutes_to_quit="1500")
    run(told, 80.0, soak=True)
    assert missing(told) == ("No part fitted and no work recorded yet.",)
    told.fit()
    assert acceptance_of(told.visit).longest == 0.0


def test_three_times_the_reported_time_and_two_soaks() -> None:
    """Twenty-five minutes reported: seventy-five in one run, and two restarts."""
    told = Told(minutes_to_quit="1500")
    told.fit()
    run(told, 50.0, soak=True)
    run(told, 50.0)
    assert missing(told) == ("Longest clean run 50 min of 75 min.", "Soak restarts: 1 of 2.")
    run(told, 75.0, soak=True)
    assert missing(told) == ()
    assert acceptance_of(told.visit).done
    rows = repair_card(told.visit, SHOP).proof
    assert [(row.have, row.need, row.done) for row in rows] == [
        ("75 min", "75 min", True),
        ("2", "2", True),
    ]


def test_a_fault_undoes_the_clean_runs_before_it() -> None:
    """And no restart from a soak is the fault as well."""
    told = Told(minutes_to_quit="1500")
    told.fit()
    run(told, 80.0, soak=True)
    run(told, 30.0, soak=False)
    found = acceptance_of(told.visit)
    assert (found.longest, found.soaks, found.came_back) == (0.0, 0, True)
    assert missing(told)[0] == "The fault came back after the work."


def test_without_a_reported_time_a_clean_run_is_asked_for_and_the_lack_is_said() -> None:
    """No start has no time to quit."""
    told = Told()
    told.fit()
    assert "no time to quit was reported" in missing(told)[0]
    run(told, 20.0, soak=True)
    run(told, 5.0, soak=True)
    assert missing(told) == ()


def test_a_part_is_kept_with_what_is_printed_on_it() -> None:
    """Number, lot, cost in the shop’s currency, where the old one went."""
    told = Told()
    given = {
        "part": "coil",
        "name": "Ignition coil",
        "number": "12-A",
        "lot": "24-07",
        "cost": "74",
        "old_kept": "yes",
    }
    write(told, read_part(given, told.visit, SHOP))
    assert repair_card(told.visit, SHOP).fitted == (
        "Ignition coil, no. 12-A, lot 24-07, $74.00; old part kept, labelled",
    )


@pytest.mark.parametrize(
    ("wrong", "line"),
    [
        ({"part": "wheel"}, "part 'wheel': choose"),
        ({"cost": "-1"}, "Cost: .* below nothing"),
        ({"cost": "10 GBP"}, "Cost: .* one currency only"),
        ({"old_kept": "perhaps"}, "Old part kept: 'perhaps' is not one of"),
    ],
)
def test_a_part_is_refused_by_its_field(wrong: Mapping[str, str], line: str) -> None:
    """One line."""
    told = Told()
    given = {"part": "coil", "old_kept": "no"} | dict(wrong)
    with pytest.raises(InputError, match=f"^{line}"):
        read_part(given, told.visit, SHOP)


def test_parts_are_those_of_the_causes_then_of_the_steps() -> None:
    """Each once."""
    assert parts_of(Told().visit) == ("coil", "cap", "fuel cap", "engine", "stop circuit")


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ({"service": "engine_oil", "grade": "10w30", "quantity": "0.6"}, "SAE 10W-30, 0.6 L"),
        ({"service": "engine_oil", "grade": "SAE 30", "quantity": "600 ml"}, "SAE 30, 0.6 L"),
        ({"service": "pump_oil", "grade": "iso 100"}, "ISO VG 100"),
        ({"service": "engine_oil", "quantity": "20 oz"}, "0.591 L"),
    ],
)
def test_oil_is_kept_by_its_grade_and_quantity(typed: dict[str, str], kept: str) -> None:
    """SAE or ISO VG, litres or ounces."""
    told = Told()
    write(told, read_service(typed, UnitChoice()))
    (line,) = repair_card(told.visit, SHOP).serviced
    assert line.split(": ")[1] == kept


def test_a_shop_in_psi_fills_ounces() -> None:
    """A bare number is ounces there, and shown so."""
    units = UnitChoice(pressure=PressureUnit.PSI)
    shop = Settings(pressure_unit="psi")
    told = Told()
    write(told, read_service({"service": "engine_oil", "quantity": "20"}, units))
    assert repair_card(told.visit, shop).serviced == ("Engine oil: 20 fl oz",)
    assert service_fields(units)[2].hint == "20 oz"


@pytest.mark.parametrize(
    ("typed", "line"),
    [
        ({"service": ""}, "service: choose"),
        ({"service": "engine_oil", "grade": "30"}, "Oil grade: '30' is no grade"),
        ({"service": "engine_oil", "grade": "SAE 31"}, "Oil grade: 'SAE 31' is no grade"),
        ({"service": "engine_oil", "grade": "ISO VG 90"}, "Oil grade"),
        ({"service": "engine_oil", "quantity": "600"}, "Oil filled: '600' is no quantity"),
        ({"service": "air_filter", "grade": "SAE 30"}, "Air filter: grade and quantity"),
        ({"service": "other"}, "words: say what was done"),
    ],
)
def test_service_is_refused_by_its_field(typed: dict[str, str], line: str) -> None:
    """One line; a quantity no engine holds is a slip of the unit."""
    with pytest.raises(InputError, match=f"^{line}"):
        read_service(typed, UnitChoice())


@pytest.mark.parametrize("minutes", ["", "0", "-5", "inf", "nan", "long"])
def test_an_acceptance_run_needs_its_minutes(minutes: str) -> None:
    """More than none, and a number."""
    with pytest.raises(InputError, match=r"^minutes run"):
        read_prove({"minutes": minutes, "fault": "no", "soak": "not_tried"})


def test_before_and_after_stand_as_pairs_and_the_set_up_beside() -> None:
    """The cap before its renewal and after."""
    told = Told()
    told.mark("cap_marking", "5k")
    told.read("cap", 9000.0)
    told.work("cap", "New cap")
    assert "Plug cap, end to end: not measured again after the work." in missing(told)
    told.read("cap", 4900.0)
    card = repair_card(told.visit, SHOP)
    assert card.pairs == ("Plug cap, end to end: 9.00 kΩ before, 4.90 kΩ after",)

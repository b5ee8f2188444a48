"""Replace or keep: the form's figures, the card, the choice."""

import pytest

from benchassist.core.entry import Decided
from benchassist.core.stake import Stake
from benchassist.errors import InputError
from benchassist.services.findings.case import case_of
from benchassist.services.findings.stake_card import (
    Chance,
    break_even_text,
    chance_of,
    stake_card,
    stated_chance,
)
from benchassist.services.findings.stake_form import read_decision, read_stake, stake_fields
from benchassist.services.settings import Settings
from tests.core import entries
from tests.services.case import Told, broke

SHOP = Settings(labour_rate=60.0)
FIGURES = {
    "part": "74",
    "labour_minutes": "11",
    "rate": "60",
    "downtime": "600",
    "return_visit": "$150",
}


def test_the_break_even_comes_before_any_chance() -> None:
    """85 against 750, the example of the trade notes: 11 %."""
    stake = read_stake(FIGURES, SHOP).stake
    assert stake.break_even == pytest.approx(85.0 / 750.0)
    assert break_even_text(stake) == "Pays if the chance of a comeback is above 11 %."
    card = stake_card(Told().visit, "coil", SHOP, stake=stake, chance=None)
    assert card.title == "Break-even only"
    assert card.break_even == stake.break_even
    assert card.figures[1] == ("Labour", "11 min at $60.00 an hour")


def test_labour_comes_at_the_shops_rate_unless_typed() -> None:
    """An empty rate is the shop's."""
    assert read_stake({"part": "10", "labour_minutes": "30"}, SHOP).stake.replacement == 40.0


@pytest.mark.parametrize(
    ("wrong", "line"),
    [
        ({"part": ""}, "Part: type what it costs"),
        ({"part": "-3"}, "Part: .* below nothing"),
        ({"downtime": "600 GBP"}, "Downtime of a comeback: .* one currency only"),
        ({"labour_minutes": "-5"}, "Labour: '-5' is not a number from 0"),
        ({"labour_minutes": "nan"}, "Labour: 'nan' is not a number"),
        ({"poor_part": "100"}, "Poor new part, %: '100' is not a number from 0 to 99"),
        ({"chance": "101"}, "Chance of a comeback, %: '101' is not"),
        ({"wear_shape": "0", "wear_hours": "500"}, "Wear: Weibull shape: '0' is not .* above 0"),
        ({"wear_shape": "2"}, "Wear: scale, hours: wear needs shape and hours together"),
    ],
)
def test_a_wrong_figure_is_refused_by_its_field(wrong: dict[str, str], line: str) -> None:
    """One line that names the field."""
    with pytest.raises(InputError, match=f"^{line}"):
        read_stake(FIGURES | wrong, SHOP)


def test_what_was_typed_stands_in_the_form_again() -> None:
    """Read, shown, read again: the same figures."""
    typed = FIGURES | {"poor_part": "3", "chance": "25", "wear_shape": "2", "wear_hours": "800"}
    figures = read_stake(typed, SHOP)
    shown = {field.key: field.value for field in stake_fields(SHOP, figures)}
    assert read_stake(shown, SHOP) == figures


def test_the_chance_is_the_share_of_the_parts_causes_with_the_span_of_their_weights() -> None:
    """Half and twice the odds either side; whose judgement it is stands beside it."""
    told = Told(how="sudden")
    told.heat(broke())
    case = case_of(told.visit)
    assert case is not None
    chance = chance_of(case, "coil")
    assert chance is not None
    assert chance.value == pytest.approx(case.ranking.of("coil_hot").share)
    odds = chance.value / (1.0 - chance.value)
    assert chance.low / (1.0 - chance.low) == pytest.approx(odds / 2.0)
    assert chance.high / (1.0 - chance.high) == pytest.approx(2.0 * odds)
    assert chance_of(case, "flywheel") is None
    stake = read_stake(FIGURES, SHOP).stake
    card = stake_card(told.visit, "coil", SHOP, stake=stake, chance=chance)
    assert "by the shop’s weights, not statistics" in card.chance_text


@pytest.mark.parametrize(
    ("chance", "title"),
    [
        (Chance(value=0.25, low=0.15, high=0.4), "Replace it"),
        (Chance(value=0.05, low=0.03, high=0.1), "Keep it"),
        (Chance(value=0.12, low=0.06, high=0.21), "Either may pay"),
        (stated_chance(0.25), "Replace it"),
    ],
)
def test_the_card_decides_only_where_the_span_lies_on_one_side(chance: Chance, title: str) -> None:
    """A break-even of 11 % within the span is not settled by the weights."""
    stake = read_stake(FIGURES, SHOP).stake
    assert stake_card(Told().visit, "coil", SHOP, stake=stake, chance=chance).title == title


def test_a_replacement_dearer_than_any_comeback_never_pays() -> None:
    """Keep it, and nothing is drawn."""
    stake = read_stake({"part": "900", "return_visit": "100"}, SHOP).stake
    card = stake_card(Told().visit, "coil", SHOP, stake=stake, chance=stated_chance(0.9))
    assert (card.title, card.break_even) == ("Keep it", None)
    assert card.head == "Replacing costs more than any comeback: it never pays."


def test_wear_is_told_only_where_the_shop_asks_for_it() -> None:
    """With a shape above one there is a best age; at one there is none."""
    wears = read_stake(FIGURES | {"wear_shape": "3", "wear_hours": "800"}, SHOP)
    card = stake_card(Told().visit, "coil", SHOP, stake=wears.stake, chance=None, life=wears.life)
    assert card.wear.startswith("By wear, replace every ")
    random = read_stake(FIGURES | {"wear_shape": "1", "wear_hours": "800"}, SHOP)
    card = stake_card(Told().visit, "coil", SHOP, stake=random.stake, chance=None, life=random.life)
    assert card.wear.startswith("By wear, replacing early does not pay")
    assert stake_card(Told().visit, "coil", SHOP, stake=wears.stake, chance=None).wear == ""


def test_the_customers_choice_is_told() -> None:
    """The last one, with its reason."""
    told = Told()
    for replaced, reason in ((True, ""), (False, "sells it in spring")):
        told.visit.apply(
            Decided(
                stamp=entries.stamp(told.visit),
                part="coil",
                replaced=replaced,
                by_customer=True,
                stake=Stake(part=1.0, labour_hours=0.0, rate=0.0, downtime=2.0, return_visit=0.0),
                reason=reason,
            )
        )
    card = stake_card(told.visit, "coil", SHOP, stake=None, chance=None)
    assert card.choice == "Customer chose: keep (sells it in spring)"
    assert card.entered is False
    assert stake_card(told.visit, "cap", SHOP, stake=None, chance=None).choice == ""


def test_a_choice_needs_both_answers() -> None:
    """What is done and whose choice it is."""
    with pytest.raises(InputError, match="what is done"):
        read_decision({"who": "customer"})
    with pytest.raises(InputError, match="whose choice"):
        read_decision({"choice": "keep", "who": "nobody"})
    decision = read_decision({"choice": "keep", "who": "shop", "reason": " why "})
    assert (decision.replaced, decision.by_customer, decision.reason) == (False, False, "why")

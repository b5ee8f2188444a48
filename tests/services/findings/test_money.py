"""Amounts of money: read strictly, one currency, shown with the shop's decimals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.errors import InputError
from benchassist.services.findings.money import money_text, read_amount
from benchassist.services.settings import Settings

DOLLARS = Settings()
EUROS = Settings(currency="EUR", currency_decimals="0")
DINARS = Settings(currency="KWD", currency_decimals="3")


@pytest.mark.parametrize("typed", ["74.5", "74,5", "$74.50", "$ 74.50", "74.50 $", " 74.5 "])
def test_an_amount_is_read_as_typed(typed: str) -> None:
    """With or without the sign, before or after, comma or point."""
    assert read_amount(typed, "Part", DOLLARS) == 74.5


def test_two_currencies_are_refused() -> None:
    """They cannot be added: the line names the field, what was typed and the shop's own."""
    with pytest.raises(InputError, match="Part: '74 EUR' is in EUR, the shop works in \\$"):
        read_amount("74 EUR", "Part", DOLLARS)
    with pytest.raises(InputError, match="one currency only"):
        read_amount("$74 EUR", "Part", EUROS)


@pytest.mark.parametrize("typed", ["-5", "−5", "$-5"])
def test_a_cost_below_nothing_is_refused(typed: str) -> None:
    """Minus in any form."""
    with pytest.raises(InputError, match=r"Part: .* below nothing: 0 or more"):
        read_amount(typed, "Part", DOLLARS)


@pytest.mark.parametrize("typed", ["", "much", "7 4", "1.2.3", "1e3", "12345678901"])
def test_what_is_no_amount_is_refused_by_its_field(typed: str) -> None:
    """Words, two points, a power, more than any repair costs."""
    with pytest.raises(InputError, match=r"^Goodwill: "):
        read_amount(typed, "Goodwill", DOLLARS)


def test_a_mark_before_three_digits_is_refused_unless_the_currency_has_three_decimals() -> None:
    """1,250 could be a thousand or one and a quarter."""
    with pytest.raises(InputError, match="thousands or decimals"):
        read_amount("1,250", "Part", DOLLARS)
    assert read_amount("1.250", "Part", DINARS) == 1.25


def test_an_amount_is_shown_with_the_shops_decimals() -> None:
    """A sign stands before, a code after, nothing where the shop names none."""
    assert money_text(74.0, DOLLARS) == "$74.00"
    assert money_text(74.4, EUROS) == "74 EUR"
    assert money_text(74.0, Settings(currency="")) == "74.00"


@given(st.floats(0.0, 1e6), st.sampled_from([DOLLARS, EUROS, DINARS]))
def test_what_is_shown_reads_back(amount: float, settings: Settings) -> None:
    """To half of the last decimal."""
    step = 10.0 ** -int(settings.currency_decimals)
    read = read_amount(money_text(amount, settings), "Part", settings)
    assert read == pytest.approx(amount, abs=0.51 * step)


@given(st.text(max_size=30))
def test_any_text_is_an_amount_or_one_line(text: str) -> None:
    """Nothing else comes out of it."""
    refused, amount = "", 0.0
    try:
        amount = read_amount(text, "Part", DOLLARS)
    except InputError as error:
        refused = str(error)
    assert amount >= 0.0
    assert len(refused.splitlines()) <= 1

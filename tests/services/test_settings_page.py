"""The settings as a form: what is kept, what is refused, what works at once."""

from pathlib import Path

import pytest

from benchassist.errors import InputError
from benchassist.services.settings import Settings, SettingsFile
from benchassist.services.settings_page import SettingsPage


@pytest.fixture
def applied() -> list[Settings]:
    """What was put to work."""
    return []


@pytest.fixture
def page(tmp_path: Path, applied: list[Settings]) -> SettingsPage:
    """A form over a fresh file."""
    return SettingsPage(SettingsFile(tmp_path / "settings.json"), applied.append)


def values(page: SettingsPage) -> dict[str, str]:
    """What stands in the form."""
    return {field.key: field.value for field in page.form()}


def test_what_stands_in_the_form_can_be_kept_unchanged(
    page: SettingsPage, applied: list[Settings]
) -> None:
    """Keeping the form as it stands changes nothing."""
    page.keep(values(page))
    assert applied == [Settings()]


def test_fahrenheit_shops_type_fahrenheit(page: SettingsPage, applied: list[Settings]) -> None:
    """The shop temperature is read in the unit that stood on the form; it is kept in celsius."""
    page.keep(values(page) | {"temperature_unit": "fahrenheit"})
    shown = values(page)["shop_celsius"]
    assert shown == "68"
    page.keep(values(page) | {"shop_celsius": "77"})
    assert applied[-1].shop_celsius == pytest.approx(25.0)


@pytest.mark.parametrize(
    ("key", "text", "says"),
    [
        ("shop_celsius", "900", "Shop temperature"),
        ("shop_celsius", "warm", "Shop temperature"),
        ("known_resistor", "10 V", "Known resistor"),
        ("known_resistor", "OL", "Known resistor"),
        ("k", "0", "k: '0'"),
        ("k", "nan", "k: 'nan'"),
        ("known_tolerance_percent", "lots", "Tolerance"),
        ("zero_lasts_h", "-1", "Zero the leads"),
        ("length_unit", "furlong", "length_unit"),
        ("currency", "two words", "Currency: 'two words'"),
        ("currency", "1$", "Currency"),
        ("currency_decimals", "9", "currency_decimals"),
        ("labour_rate", "-1", "Labour, an hour: '-1'"),
        ("hidden_level", "0", "A fault may hide: '0' is not a number from 0.01 to 50"),
        ("hidden_level", "60", "A fault may hide"),
        ("own_content", "100", "Own bands hold: '100' is not a number from 50 to 99.9"),
        ("own_confidence", "45", "Sure of that: '45' is not a number from 50 to 99.9"),
    ],
)
def test_a_wrong_field_is_named_and_nothing_is_put_to_work(
    page: SettingsPage, applied: list[Settings], key: str, text: str, says: str
) -> None:
    """One line that names the field and what would be right."""
    with pytest.raises(InputError, match=says):
        page.keep(values(page) | {key: text})
    assert applied == []
    assert page._file.read() == Settings()


def test_money_and_the_level_of_a_hidden_fault_are_kept(
    page: SettingsPage, applied: list[Settings]
) -> None:
    """A currency by sign or code, its decimals, the hourly rate, the level typed in percent."""
    page.keep(
        values(page)
        | {
            "currency": "KWD",
            "currency_decimals": "3",
            "labour_rate": "18,5",
            "hidden_level": "2",
            "own_content": "99",
            "own_confidence": "90",
        }
    )
    kept = applied[-1]
    assert (kept.currency, kept.currency_decimals, kept.labour_rate) == ("KWD", "3", 18.5)
    assert kept.hidden_level == pytest.approx(0.02)
    assert values(page)["labour_rate"] == "18.500"
    assert values(page)["hidden_level"] == "2"
    assert (kept.own_content, kept.own_confidence) == (0.99, 0.9)

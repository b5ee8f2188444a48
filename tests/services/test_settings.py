"""The shop's settings: what is kept comes back, and a faulty file is named in one line."""

import json
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from benchassist.errors import InputError, StoreError
from benchassist.services.settings import ALLOWED, LIMITS, Settings, SettingsFile
from benchassist.units import LengthUnit, PressureUnit, TemperatureUnit


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where the settings stand; nothing is there yet."""
    return tmp_path / "home" / "settings.json"


def given_settings() -> st.SearchStrategy[Settings]:
    """Any settings the program may write."""
    numbers = {name: st.floats(low, high) for name, (low, high) in LIMITS.items()}
    choices = {name: st.sampled_from(allowed) for name, allowed in ALLOWED.items()}
    words = st.text(st.characters(codec="utf-8"), max_size=12)
    return st.builds(
        Settings, shop_name=words, done_by=words, spoken=st.booleans(), **numbers, **choices
    )


def test_without_a_file_there_are_defaults(path: Path) -> None:
    """A new shop works in celsius, millimetres and kilopascals, with k = 2."""
    read = SettingsFile(path).read()
    assert read == Settings()
    assert read.k == 2.0
    assert not path.exists()


@given(kept=given_settings())
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_what_is_written_is_read_again(path: Path, kept: Settings) -> None:
    """Every setting, and no file is left beside it."""
    file = SettingsFile(path)
    file.write(kept)
    assert file.read() == kept
    assert [p.name for p in path.parent.iterdir()] == ["settings.json"]


def test_whole_numbers_are_numbers(path: Path) -> None:
    """A file written by hand may say 2 in place of 2.0; what it leaves out is the default."""
    path.parent.mkdir()
    path.write_text('{"k": 2, "shop_celsius": 23}', "utf-8")
    read = SettingsFile(path).read()
    assert read == replace(Settings(), k=2.0, shop_celsius=23.0)
    assert isinstance(read.k, float)


def test_units_follow_the_settings() -> None:
    """The shop's own choice, each by itself."""
    chosen = Settings(
        temperature_unit="fahrenheit", length_unit="thousandths", pressure_unit="psi"
    ).units
    assert (chosen.temperature, chosen.length, chosen.pressure) == (
        TemperatureUnit.FAHRENHEIT,
        LengthUnit.THOUSANDTH,
        PressureUnit.PSI,
    )


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "not a settings file"),
        ("{", "not a settings file"),
        ("k = 2", "not a settings file"),
        ("[" * 100_000, "not a settings file"),
        ("[1, 2]", "one JSON object"),
        ('"k"', "one JSON object"),
        ("null", "one JSON object"),
        ('{"kk": 2}', "no setting 'kk'; there are bench_letter, bench_name, "),
        ('{"shop_name": 5}', "shop_name must be text, not 5"),
        ('{"k": "2"}', "k must be a number, not '2'"),
        ('{"k": null}', "k must be a number, not None"),
        ('{"k": true}', "k must be a number, not True"),
        ('{"k": 0}', "k is 1 to 4, not 0"),
        ('{"k": NaN}', "k is 1 to 4, not nan"),
        ('{"k": Infinity}', "k is 1 to 4, not inf"),
        ('{"known_resistor": 0}', "known_resistor is 0.1 to 1e"),
        ('{"known_tolerance_percent": -1}', "known_tolerance_percent is 0 to 20"),
        ('{"shop_celsius": 1e9}', "shop_celsius is -40 to 300"),
        ('{"spoken": "yes"}', "spoken must be true or false, not 'yes'"),
        ('{"spoken": 1}', "spoken must be true or false"),
        ('{"paper": "a5"}', "paper is one of a4, letter"),
        ('{"theme": ["dark"]}', "theme must be text"),
        ('{"temperature_unit": "kelvin"}', "temperature_unit is one of celsius, fahrenheit"),
        ('{"meter_accuracy": "very fine"}', "meter_accuracy: "),
    ],
)
def test_a_faulty_file_is_one_line_and_stays_as_it_is(path: Path, text: str, says: str) -> None:
    """Not JSON, unknown, of the wrong kind or out of reason: named with what would be right."""
    path.parent.mkdir()
    path.write_text(text, "utf-8")
    with pytest.raises(InputError) as refused:
        SettingsFile(path).read()
    line = str(refused.value)
    assert says in line
    assert line.startswith(str(path))
    assert "\n" not in line
    assert path.read_text("utf-8") == text


def test_a_file_that_is_no_text_is_named(path: Path) -> None:
    """Bytes that are no UTF-8."""
    path.parent.mkdir()
    path.write_bytes(b"\xff\xfe\x00{")
    with pytest.raises(InputError, match="not a settings file"):
        SettingsFile(path).read()


def test_a_folder_in_its_place_is_named(path: Path) -> None:
    """Neither read nor written over."""
    path.mkdir(parents=True)
    with pytest.raises(InputError, match="not a settings file"):
        SettingsFile(path).read()
    with pytest.raises(StoreError, match="cannot be kept"):
        SettingsFile(path).write(Settings())


def test_a_home_that_cannot_be_made_is_one_line(tmp_path: Path) -> None:
    """A file stands where the folder should be."""
    (tmp_path / "home").write_text("", "utf-8")
    with pytest.raises(StoreError, match="the settings cannot be kept"):
        SettingsFile(tmp_path / "home" / "settings.json").write(Settings())


@given(
    st.dictionaries(
        st.sampled_from(sorted(asdict(Settings()))),
        st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5) | st.just([]),
        min_size=1,
    )
)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_stands_in_the_file_is_settings_or_one_line(
    path: Path, written: dict[str, Any]
) -> None:
    """Never another exception, and never a setting of another kind than the program works with."""
    path.parent.mkdir(exist_ok=True)
    path.write_text(json.dumps(written), "utf-8")
    line, default, read = "", asdict(Settings()), asdict(Settings())
    try:
        read |= asdict(SettingsFile(path).read())
    except InputError as error:
        line = str(error)
    assert "\n" not in line
    assert all(type(read[name]) is type(default[name]) for name in default)
    assert line or {name: read[name] for name in written} == written


def test_a_currency_that_is_none_is_named(path: Path) -> None:
    """A file edited by hand: digits and spaces name no currency."""
    path.parent.mkdir()
    path.write_text(json.dumps({"currency": "10 $"}), "utf-8")
    with pytest.raises(InputError, match="currency '10 \\$': use a sign or up to 4 letters"):
        SettingsFile(path).read()

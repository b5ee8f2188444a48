"""The shop's choices as a form: names, units, shop temperature, known resistor, paper."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from benchassist.core.plain_text import brief
from benchassist.core.quantity import Quantity
from benchassist.core.slip_number import is_letter
from benchassist.errors import InputError
from benchassist.services.front.counter_view import Field, FieldChoice, FieldKind
from benchassist.services.settings import ALLOWED, LIMITS, Settings, SettingsFile, is_currency
from benchassist.services.translation import _
from benchassist.services.typed_line import line_of
from benchassist.units import read_part_temperature, read_typed, scaled, text_of


class SettingsPage:
    """Shows and keeps the settings. `apply` puts new ones to work at once."""

    def __init__(self, file: SettingsFile, apply: Callable[[Settings], None]) -> None:
        self._file = file
        self._apply = apply

    def form(self) -> tuple[Field, ...]:
        """The fields with what stands in them now. Raises InputError for a damaged file."""
        now = self._file.read()
        warm = text_of(now.shop_celsius, Quantity.TEMPERATURE, units=now.units)
        return (
            Field(key="shop_name", label=_("Shop"), hint=_("on every slip"), value=now.shop_name),
            Field(key="bench_name", label=_("Bench"), value=now.bench_name),
            Field(
                key="bench_letter",
                label=_("Bench’s letter"),
                hint=_("A to Z where benches share a server, on its slip numbers"),
                value=now.bench_letter,
            ),
            Field(key="done_by", label=_("Done by"), hint=_("on every slip"), value=now.done_by),
            Field(
                key="shop_celsius",
                label=_("Shop temperature"),
                hint=_("{unit}, what 'cold' means").format(unit=warm.unit),
                value=warm.digits,
            ),
            Field(
                key="known_resistor",
                label=_("Known resistor"),
                value=str(scaled(now.known_resistor, Quantity.RESISTANCE)),
            ),
            Field(
                key="known_tolerance_percent",
                label=_("Its tolerance, %"),
                value=f"{now.known_tolerance_percent:g}",
            ),
            Field(
                key="zero_lasts_h",
                label=_("Zero the leads every, hours"),
                value=f"{now.zero_lasts_h:g}",
            ),
            Field(key="k", label=_("Doubt is k times u, k"), value=f"{now.k:g}"),
            _choice("temperature_unit", _("Temperature"), now.temperature_unit, _TEMPERATURES),
            _choice("length_unit", _("Gaps"), now.length_unit, _LENGTHS),
            _choice("pressure_unit", _("Pressure"), now.pressure_unit, _PRESSURES),
            _choice("paper", _("Paper"), now.paper, _PAPERS),
            Field(
                key="currency",
                label=_("Currency"),
                hint=_("a sign or code, such as $ or EUR"),
                value=now.currency,
            ),
            _choice("currency_decimals", _("Its decimals"), now.currency_decimals, _DECIMALS),
            Field(
                key="labour_rate",
                label=_("Labour, an hour"),
                value=f"{now.labour_rate:.{now.currency_decimals}f}",
            ),
            Field(
                key="hidden_level",
                label=_("A fault may hide, %"),
                hint=_("clean hot runs are asked for until the odds are below it"),
                value=f"{100.0 * now.hidden_level:g}",
            ),
            Field(
                key="own_content",
                label=_("Own bands hold, %"),
                hint=_("of good parts"),
                value=f"{100.0 * now.own_content:g}",
            ),
            Field(
                key="own_confidence",
                label=_("Sure of that, %"),
                hint=_("surer is wider"),
                value=f"{100.0 * now.own_confidence:g}",
            ),
        )

    def keep(self, fields: Mapping[str, str]) -> None:
        """Keep the form. Raises InputError naming the field, StoreError if it cannot be written."""
        now = self._file.read()
        units = replace(
            now,
            temperature_unit=_one_of("temperature_unit", fields, now.temperature_unit),
            length_unit=_one_of("length_unit", fields, now.length_unit),
            pressure_unit=_one_of("pressure_unit", fields, now.pressure_unit),
            paper=_one_of("paper", fields, now.paper),
            currency_decimals=_one_of("currency_decimals", fields, now.currency_decimals),
            currency=_currency(fields, now),
        )
        kept = replace(
            units,
            shop_name=line_of(fields.get("shop_name", now.shop_name), _("Shop")),
            bench_name=line_of(fields.get("bench_name", now.bench_name), _("Bench")),
            bench_letter=_letter(fields, now),
            done_by=line_of(fields.get("done_by", now.done_by), _("Done by")),
            shop_celsius=_temperature(fields, now),
            known_resistor=_resistor(fields, now),
            known_tolerance_percent=_number("known_tolerance_percent", fields, now),
            zero_lasts_h=_number("zero_lasts_h", fields, now),
            k=_number("k", fields, now),
            labour_rate=_number("labour_rate", fields, now),
            hidden_level=_number("hidden_level", fields, now, factor=0.01),
            own_content=_number("own_content", fields, now, factor=0.01),
            own_confidence=_number("own_confidence", fields, now, factor=0.01),
        )
        self._file.write(kept)
        self._apply(self._file.read())


def _choice(key: str, label: str, value: str, choices: tuple[FieldChoice, ...]) -> Field:
    return Field(
        key=key, label=label, kind=FieldKind.CHOICE, value=value, choices=choices, open_ended=False
    )


def _one_of(key: str, fields: Mapping[str, str], now: str) -> str:
    given = fields.get(key, now)
    if given not in ALLOWED[key]:
        raise InputError(
            _("{key}: '{given}' is not one of {allowed}").format(
                key=key, given=brief(given), allowed=", ".join(ALLOWED[key])
            )
        )
    return given


def _temperature(fields: Mapping[str, str], now: Settings) -> float:
    """Typed in the unit that stood on the form."""
    text = fields.get("shop_celsius", "").strip()
    if not text:
        return now.shop_celsius
    try:
        return read_part_temperature(text, default_unit=now.units.typed_unit(Quantity.TEMPERATURE))
    except InputError as error:
        raise InputError(_("Shop temperature: {why}").format(why=error)) from None


def _resistor(fields: Mapping[str, str], now: Settings) -> float:
    text = fields.get("known_resistor", "").strip()
    if not text:
        return now.known_resistor
    try:
        typed = read_typed(text, quantity=Quantity.RESISTANCE, default_unit="ohm")
    except InputError as error:
        raise InputError(_("Known resistor: {why}").format(why=error)) from None
    return _within("known_resistor", _("Known resistor"), typed.value or 0.0, text)


def _currency(fields: Mapping[str, str], now: Settings) -> str:
    given = fields.get("currency", now.currency).strip()
    if not is_currency(given):
        raise InputError(
            _(
                "Currency: '{given}' is none: use a sign or up to 4 letters, such as $ or EUR"
            ).format(given=brief(given))
        )
    return given


def _letter(fields: Mapping[str, str], now: Settings) -> str:
    given = fields.get("bench_letter", now.bench_letter).strip().upper()
    if not is_letter(given):
        raise InputError(
            _("Bench’s letter: '{given}' is none: use one of A to Z, or nothing").format(
                given=brief(given)
            )
        )
    return given


def _number(key: str, fields: Mapping[str, str], now: Settings, *, factor: float = 1.0) -> float:
    """A number as typed times `factor`, as it is kept."""
    text = fields.get(key, "").strip()
    if not text:
        return float(getattr(now, key))
    labels = {
        "known_tolerance_percent": _("Tolerance"),
        "zero_lasts_h": _("Zero the leads every"),
        "k": "k",
        "labour_rate": _("Labour, an hour"),
        "hidden_level": _("A fault may hide"),
        "own_content": _("Own bands hold"),
        "own_confidence": _("Sure of that"),
    }
    try:
        value = float(text.replace(",", ".").rstrip(" %h"))
    except ValueError:
        value = float("nan")
    kept = factor * _within(key, labels[key], value, text, factor=factor)
    return kept if factor == 1.0 else round(kept, 9)  # 0.01 * 95 is not 0.95


def _within(key: str, label: str, value: float, text: str, *, factor: float = 1.0) -> float:
    low, high = (limit / factor for limit in LIMITS[key])
    if not low <= value <= high:
        raise InputError(
            _("{label}: '{text}' is not a number from {low:g} to {high:g}").format(
                label=label, text=brief(text), low=low, high=high
            )
        )
    return value


_TEMPERATURES = (
    FieldChoice(key="celsius", text="°C"),
    FieldChoice(key="fahrenheit", text="°F"),
)
_LENGTHS = (
    FieldChoice(key="mm", text="mm"),
    FieldChoice(key="thousandths", text=_("thou")),
)
_PRESSURES = (FieldChoice(key="kpa", text="kPa"), FieldChoice(key="psi", text="psi"))
_DECIMALS = tuple(FieldChoice(key=n, text=n) for n in ALLOWED["currency_decimals"])
_PAPERS = (FieldChoice(key="a4", text="A4"), FieldChoice(key="letter", text="Letter"))

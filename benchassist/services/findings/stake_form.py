"""The figures of replace or keep as a form, and the choice that is made on them."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from benchassist.core.age_replacement import Life
from benchassist.core.plain_text import brief
from benchassist.core.stake import Stake
from benchassist.errors import InputError
from benchassist.services.findings.money import money_text, read_amount
from benchassist.services.findings.stake_card import FIGURE, MINUTES
from benchassist.services.front.counter_view import Field, FieldChoice, FieldKind
from benchassist.services.settings import Settings
from benchassist.services.translation import _

REPLACE: Final = "replace"
KEEP: Final = "keep"
CUSTOMER: Final = "customer"
SHOP: Final = "shop"
MOST_MINUTES: Final = 10_000.0
MOST_HOURS: Final = 1e6
MOST_SHAPE: Final = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class StakeFigures:
    """What the form holds: the stake, and where typed the chance and the life of the part."""

    stake: Stake
    chance: float | None = None
    life: Life | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """What was chosen, by whom, why."""

    replaced: bool
    by_customer: bool
    reason: str = ""


def stake_fields(settings: Settings, now: StakeFigures | None) -> tuple[Field, ...]:
    """The fields with what stands in them; labour at the shop's rate at first."""
    stake = now.stake if now is not None else None
    life = now.life if now is not None else None
    chance = now.chance if now is not None else None

    def money(key: str, value: float | None, hint: str = "", *, needed: bool = False) -> Field:
        return Field(
            key=key,
            label=_LABEL[key],
            hint=hint,
            value=money_text(value, settings) if value is not None else "",
            open_ended=not needed,
        )

    rate = stake.rate if stake is not None else settings.labour_rate
    return (
        money("part", stake.part if stake else None, _("in the shop’s currency"), needed=True),
        Field(
            key="labour_minutes",
            label=_LABEL["labour_minutes"],
            kind=FieldKind.MINUTES,
            value=f"{MINUTES * stake.labour_hours:g}" if stake else "",
        ),
        money("rate", rate if rate or stake else None),
        money("downtime", stake.downtime if stake else None, _("what a day without it costs")),
        money("return_visit", stake.return_visit if stake else None),
        money("goodwill", stake.goodwill if stake else None),
        Field(
            key="poor_part",
            label=_LABEL["poor_part"],
            hint=_("out of 100 new parts"),
            value=f"{100.0 * stake.poor_part:g}" if stake and stake.poor_part else "",
        ),
        Field(
            key="chance",
            label=_LABEL["chance"],
            hint=_("out of 100; empty: by the weights"),
            value=f"{100.0 * chance:g}" if chance is not None else "",
        ),
        Field(
            key="wear_shape",
            label=_LABEL["wear_shape"],
            hint=_("only where the shop knows it"),
            value=f"{life.shape:g}" if life else "",
        ),
        Field(
            key="wear_hours",
            label=_LABEL["wear_hours"],
            value=f"{life.scale:g}" if life else "",
        ),
    )


def read_stake(fields: Mapping[str, str], settings: Settings) -> StakeFigures:
    """The figures. Raises InputError naming the field; two currencies are refused."""

    def money(key: str) -> float:
        text = fields.get(key, "").strip()
        return read_amount(text, _LABEL[key], settings) if text else 0.0

    if not fields.get("part", "").strip():
        raise InputError(_("{label}: type what it costs").format(label=_LABEL["part"]))
    rate = fields.get("rate", "").strip()
    minutes = _number(fields, "labour_minutes", 0.0, MOST_MINUTES) or 0.0
    stake = Stake(
        part=money("part"),
        labour_hours=minutes / MINUTES,
        rate=money("rate") if rate else settings.labour_rate,
        downtime=money("downtime"),
        return_visit=money("return_visit"),
        goodwill=money("goodwill"),
        poor_part=(_number(fields, "poor_part", 0.0, 99.0) or 0.0) / 100.0,
        currency=settings.currency,
    )
    chance = _number(fields, "chance", 0.0, 100.0)
    return StakeFigures(
        stake=stake,
        chance=chance / 100.0 if chance is not None else None,
        life=_life(fields),
    )


def _life(fields: Mapping[str, str]) -> Life | None:
    shape = _number(fields, "wear_shape", 0.0, MOST_SHAPE, above=True)
    hours = _number(fields, "wear_hours", 0.0, MOST_HOURS, above=True)
    if (shape is None) is not (hours is None):
        missing = _LABEL["wear_shape" if shape is None else "wear_hours"]
        raise InputError(_("{label}: wear needs shape and hours together").format(label=missing))
    return Life(shape=shape, scale=hours) if shape is not None and hours is not None else None


def _number(
    fields: Mapping[str, str], key: str, low: float, high: float, *, above: bool = False
) -> float | None:
    """A number from `low` to `high` (`above`: more than `low`), None for an empty field."""
    text = fields.get(key, "").strip()
    if not text:
        return None
    try:
        value = float(text.replace(",", ".").rstrip(" %"))
    except ValueError:
        value = float("nan")
    if not low <= value <= high or (above and value == low):
        span = _("above {low:g} and up to {high:g}") if above else _("from {low:g} to {high:g}")
        raise InputError(
            _("{label}: '{text}' is not a number {span}").format(
                label=_LABEL[key], text=brief(text), span=span.format(low=low, high=high)
            )
        )
    return value


def decision_fields(suggested: str) -> tuple[Field, ...]:
    """Replace or keep, whose choice, why."""
    return (
        Field(
            key="choice",
            label=_("What is done"),
            kind=FieldKind.CHOICE,
            value=suggested,
            choices=(
                FieldChoice(key=REPLACE, text=_("Replace")),
                FieldChoice(key=KEEP, text=_("Keep")),
            ),
            open_ended=False,
        ),
        Field(
            key="who",
            label=_("Whose choice"),
            kind=FieldKind.CHOICE,
            value=CUSTOMER,
            choices=(
                FieldChoice(key=CUSTOMER, text=_("The customer’s")),
                FieldChoice(key=SHOP, text=_("The shop’s")),
            ),
            open_ended=False,
        ),
        Field(key="reason", label=_("Why"), hint=_("in their words, if they gave any")),
    )


def read_decision(fields: Mapping[str, str]) -> Decision:
    """The choice. Raises InputError naming the field."""
    choice, who = fields.get("choice", ""), fields.get("who", "")
    if choice not in {REPLACE, KEEP}:
        raise InputError(_("what is done: choose replace or keep"))
    if who not in {CUSTOMER, SHOP}:
        raise InputError(_("whose choice: choose the customer’s or the shop’s"))
    return Decision(
        replaced=choice == REPLACE,
        by_customer=who == CUSTOMER,
        reason=fields.get("reason", "").strip(),
    )


_LABEL: Final[Mapping[str, str]] = MappingProxyType(
    {
        "part": FIGURE["part"],
        "labour_minutes": _("Labour"),
        "rate": _("Labour, an hour"),
        "downtime": FIGURE["downtime"],
        "return_visit": FIGURE["return_visit"],
        "goodwill": FIGURE["goodwill"],
        "poor_part": _("Poor new part, %"),
        "chance": _("Chance of a comeback, %"),
        "wear_shape": _("Wear: Weibull shape"),
        "wear_hours": _("Wear: scale, hours"),
    }
)

"""Amounts of money as typed and as shown: one currency, the shop's, in its main unit."""

import re
from typing import Final

from benchassist.core.plain_text import brief
from benchassist.errors import InputError
from benchassist.services.settings import Settings
from benchassist.services.translation import _

SIGNS: Final = frozenset("$€£¥")
_AMOUNT: Final = re.compile(r"(?P<before>[^\d\s.,+-]*)\s*(?P<number>[+-]?[\d.,]+)\s*(?P<after>\D*)")
_GROUPED: Final = re.compile(r"\d{1,3}[.,]\d{3}")
THREE: Final = 3
"""Digits that a group of thousands has, and the decimals of some currencies."""
MOST: Final = 1e7


def read_amount(text: str, label: str, settings: Settings) -> float:
    """An amount of the shop's currency. Raises InputError naming the field.

    A currency may stand before or after the number; another one than the shop's is refused, for
    two currencies cannot be added. A separator followed by exactly three digits is refused where
    the currency has no three decimals: it could group thousands.
    """
    line = " ".join(text.replace("\u2212", "-").split())
    match = _AMOUNT.fullmatch(line)
    if match is None:
        raise InputError(
            _("{label}: '{text}' is no amount, such as 74 or 74.50").format(
                label=label, text=brief(line)
            )
        )
    named = {t.strip() for t in (match["before"], match["after"]) if t.strip()}
    if foreign := named - {settings.currency}:
        raise InputError(
            _("{label}: '{text}' is in {other}, the shop works in {own}: one currency only").format(
                label=label,
                text=brief(line),
                other=brief(", ".join(sorted(foreign))),
                own=settings.currency or _("no named currency"),
            )
        )
    number = match["number"]
    may_group = int(settings.currency_decimals) != THREE
    if may_group and _GROUPED.fullmatch(number.lstrip("+-")):
        raise InputError(
            _("{label}: '{text}' could be thousands or decimals: type it without the mark").format(
                label=label, text=brief(line)
            )
        )
    return amount_in_range(_number(number, label, line), label, line)


def amount_in_range(value: float, label: str, text: str) -> float:
    """The amount, if it is one that can be. Raises InputError naming the field."""
    if value < 0.0:
        raise InputError(
            _("{label}: '{text}' is below nothing: 0 or more would be right").format(
                label=label, text=brief(text)
            )
        )
    if value > MOST:
        raise InputError(
            _("{label}: '{text}' is more than {most:.0f}").format(
                label=label, text=brief(text), most=MOST
            )
        )
    return value


def _number(text: str, label: str, line: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise InputError(
            _("{label}: '{text}' is no amount, such as 74 or 74.50").format(
                label=label, text=brief(line)
            )
        ) from None


def money_text(amount: float, settings: Settings, currency: str | None = None) -> str:
    """An amount in its currency, with the shop's decimals: '$74.00', '74 EUR'."""
    named = settings.currency if currency is None else currency
    digits = f"{amount:.{int(settings.currency_decimals)}f}"
    if not named:
        return digits
    return f"{named}{digits}" if named in SIGNS else f"{digits} {named}"

"""A band learned from the shop's own parts, in words: its origin, what it claims, what to doubt."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

from benchassist.core.band import Band
from benchassist.core.own_band import LeftOut, OwnBand, OwnPart
from benchassist.services.translation import _, ngettext
from benchassist.services.wording import band_label, day_text, value_and_doubt
from benchassist.units import UnitChoice

SHOP = UnitChoice()
NOTICEABLE: Final = 0.25
"""From this share of the variance on the meters' own doubt is worth a word."""

_LEFT_OUT: Final[Mapping[LeftOut, str]] = MappingProxyType(
    {
        LeftOut.NO_VALUE: _("above range"),
        LeftOut.CANNOT_TELL: _("the meter could not tell"),
        LeftOut.NOT_CORRECTED: _("temperature unknown"),
        LeftOut.OTHER_QUANTITY: _("another quantity"),
        LeftOut.SAME_PART: _("the same part again"),
        LeftOut.SET_ASIDE: _("set aside"),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnBandView:
    """A learned band beside the others. `band` None: not offered yet, `origin` says why.

    `claim` is what it holds, `normality` what its values look like, `remarks` what else has to be
    known: values that stand apart, what was left out, how much is the meters' own doubt.
    """

    band: Band | None
    label: str
    origin: str
    claim: str = ""
    normality: str = ""
    remarks: tuple[str, ...] = ()


def own_band_view(own: OwnBand, units: UnitChoice = SHOP) -> OwnBandView:
    """What a shop reads of its own band, every doubt said."""
    band, count = offered(own), len(own.parts)
    return OwnBandView(
        band=band,
        label=band_label(band, units=units) if band is not None else "",
        origin=_origin(own),
        claim=_("Holds {content:g} % of such parts, {confidence:g} times in 100").format(
            content=100.0 * own.coverage.content, confidence=100.0 * own.coverage.confidence
        )
        if band is not None
        else "",
        normality=_normality(own) if count else "",
        remarks=tuple(_remarks(own, units)),
    )


def offered(own: OwnBand) -> Band | None:
    """The band with a source note in words, to be put beside the maker's; None while there is none.

    Its label then ends in 'this shop's own good parts, 14 of them'.
    """
    if own.band is None:
        return None
    return replace(own.band, source_note=_("{n} of them").format(n=len(own.parts)))


def _origin(own: OwnBand) -> str:
    count = len(own.parts)
    if own.missing:
        return ngettext(
            "{count} of {needed} good parts: {n} more makes a band",
            "{count} of {needed} good parts: {n} more make a band",
            own.missing,
        ).format(count=count, needed=count + own.missing, n=own.missing)
    if own.band is None:
        return _("No band: all {n} good parts read the same").format(n=count)
    return ngettext(
        "from {n} good part in this shop", "from {n} good parts in this shop", count
    ).format(n=count)


def _normality(own: OwnBand) -> str:
    found = own.normality
    if found.statistic is None:
        return _("Too few values to look at their distribution")
    if found.significance is None:
        return _("Nothing speaks against a normal distribution")
    percent = 100.0 * found.significance
    if found.departs:
        return _("Not normally distributed, at {percent:g} %: the band is in doubt").format(
            percent=percent
        )
    return _("Perhaps not normally distributed, at {percent:g} %").format(percent=percent)


def _remarks(own: OwnBand, units: UnitChoice) -> Iterator[str]:
    for part in own.outliers:
        yield _("Stands apart and counts: {value} of {day}").format(
            value=_value(part, own, units), day=day_text(part.at)
        )
    reasons = Counter(part.left_out for part in own.left_out if part.left_out is not None)
    for why, count in reasons.items():
        told = [p.reason for p in own.left_out if p.left_out is why and p.reason]
        yield _("Left out: {n}, {why}").format(
            n=count,
            why=f"{_LEFT_OUT[why]} ({', '.join(dict.fromkeys(told))})" if told else _LEFT_OUT[why],
        )
    share = own.meter_share
    if share is not None and share >= NOTICEABLE:
        yield _("The meter’s doubt alone may make {percent:.0f} % of the spread squared").format(
            percent=100.0 * share
        )


def _value(part: OwnPart, own: OwnBand, units: UnitChoice) -> str:
    value = value_and_doubt(
        part.value or 0.0, 2.0 * part.u if part.u else None, own.quantity, units=units
    )
    return " ".join(t for t in value if t)

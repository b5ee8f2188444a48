"""A band learned from the shop's own parts, in words: its origin, what it claims, what to doubt."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from types import MappingProxyType
from typing import Final

from benchassist.core.band import Band
from benchassist.core.own_band import OwnBand
from benchassist.core.own_part import LeftOut, OwnPart
from benchassist.core.quantity import Quantity
from benchassist.services.translation import _, ngettext
from benchassist.services.wording import band_label, band_limits, day_text, value_and_doubt
from benchassist.units import UnitChoice

SHOP = UnitChoice()
NOTICEABLE: Final = 0.25
"""From this share of the variance on the meters' own doubt is worth a word."""

_LEFT_OUT: Final[Mapping[LeftOut, str]] = MappingProxyType(
    {
        LeftOut.NO_VALUE: _("above range"),
        LeftOut.CANNOT_TELL: _("the meter could not tell"),
        LeftOut.STRUCK: _("redone since"),
        LeftOut.NOT_CORRECTED: _("temperature unknown"),
        LeftOut.OTHER_QUANTITY: _("another quantity"),
        LeftOut.SAME_PART: _("the same part again"),
        LeftOut.SET_ASIDE: _("set aside"),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnBandView:
    """A learned band beside the others. `band` None: not offered yet, `origin` says why.

    `line` is all of it in a few words: 'This shop: 3.9 to 6.1 kΩ, from 14 good parts'; empty
    without a band. `claim` is what it holds, `normality` what its values look like, `remarks` what
    else has to be known: values that stand apart, what was left out, how much is the meters' own.
    """

    band: Band | None
    label: str
    origin: str
    line: str = ""
    claim: str = ""
    normality: str = ""
    remarks: tuple[str, ...] = ()


def own_band_view(own: OwnBand, units: UnitChoice = SHOP, *, alone: bool = False) -> OwnBandView:
    """What a shop reads of its own band, every doubt said.

    `alone`: it stands beside no other band, so nothing said what temperature to correct to.
    """
    band, count = offered(own), len(own.parts)
    return OwnBandView(
        band=band,
        label=band_label(band, units=units) if band is not None else "",
        origin=_origin(own),
        line=own_line(own, units),
        claim=_("Holds {content:g} % of such parts, {confidence:g} times in 100").format(
            content=100.0 * own.coverage.content, confidence=100.0 * own.coverage.confidence
        )
        if band is not None
        else "",
        normality=_normality(own) if count else "",
        remarks=(*_remarks(own, units), *_alone(own, alone=alone)),
    )


def own_line(own: OwnBand, units: UnitChoice = SHOP) -> str:
    """'This shop: 3.9 to 6.1 kΩ, from 14 good parts'; empty without a band."""
    if own.band is None:
        return ""
    count = len(own.parts)
    return ngettext(
        "This shop: {limits}, from {n} good part",
        "This shop: {limits}, from {n} good parts",
        count,
    ).format(limits=band_limits(own.band, units=units), n=count)


def offered(own: OwnBand, learned: datetime | None = None) -> Band | None:
    """The band with a source note in words, to be put beside the maker's; None while there is none.

    Its label then ends in 'this shop's own good parts, 14 of them', and with a day in '14 of them
    by 9 Jun 2026'.
    """
    if own.band is None:
        return None
    note = _("{n} of them").format(n=len(own.parts))
    if learned is not None:
        note = _("{note} by {day}").format(note=note, day=day_text(learned))
    return replace(own.band, source_note=note)


def value_text(part: OwnPart, quantity: Quantity, units: UnitChoice) -> str:
    """A part's value with its doubt (k = 2), '6.49 kΩ ±0.06'; empty without one."""
    if part.value is None:
        return ""
    doubt = 2.0 * part.u if part.u else None
    return " ".join(t for t in value_and_doubt(part.value, doubt, quantity, units=units) if t)


def left_out_text(part: OwnPart) -> str:
    """Why a part is not among those a band is made of; empty where it is."""
    if part.left_out is None:
        return ""
    why = _LEFT_OUT[part.left_out]
    return f"{why}: {part.reason}" if part.reason else why


def _alone(own: OwnBand, *, alone: bool) -> Iterator[str]:
    if alone and own.parts and own.quantity is Quantity.RESISTANCE:
        yield _("As read, however warm: no band stood here to correct them to")


def _origin(own: OwnBand) -> str:
    count = len(own.parts)
    if own.missing:
        return ngettext(
            "{count} of {needed} good parts: {n} more makes a band",
            "{count} of {needed} good parts: {n} more make a band",
            own.missing,
        ).format(count=count, needed=count + own.missing, n=own.missing)
    if own.factor is None:
        return _("No band: all {n} good parts read the same").format(n=count)
    if own.band is None:
        return _("No band: {n} good parts differ too much for a limit above zero").format(n=count)
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
            value=value_text(part, own.quantity, units), day=day_text(part.at)
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
    if own.band is not None and own.only_meter:
        yield _("All read with one meter, {meter}: what it is off by, the band is too").format(
            meter=own.only_meter
        )

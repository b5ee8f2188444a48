"""Replace or keep as a card: the break-even first, then the chance, whose judgement it is, and why.

The chance of a comeback is the share of the causes that the part answers for, by the weights of the
visit's spec book; its span is what it would be with those weights half and twice as large.
"""

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from benchassist.core.age_replacement import Life, best_age
from benchassist.core.entry import Decided
from benchassist.core.stake import Stake, sensitivity
from benchassist.core.visit import Visit
from benchassist.services.findings.cards import StakeCard, SwingRow
from benchassist.services.findings.case import Case
from benchassist.services.findings.money import money_text
from benchassist.services.settings import Settings
from benchassist.services.translation import _

FIGURE: Final = MappingProxyType(
    {
        "part": _("Part"),
        "labour_hours": _("Labour"),
        "downtime": _("Downtime of a comeback"),
        "return_visit": _("Return visit"),
        "goodwill": _("Goodwill"),
        "poor_part": _("Risk of a poor part"),
    }
)
ODDS_FACTOR: Final = 2.0
"""The weights are judgement: the chance is shown with odds half and twice as large."""
MINUTES: Final = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Chance:
    """A chance of a comeback and its span; `stated`: typed by a person, not by the weights."""

    value: float
    low: float
    high: float
    stated: bool = False


def chance_of(case: Case | None, part: str) -> Chance | None:
    """By the ranking; None where no cause is of that part."""
    if case is None:
        return None
    shares = [one.share for one in case.ranking.ranked if case.cause(one).part == part]
    if not shares:
        return None
    share = min(sum(shares), 1.0)
    return Chance(
        value=share, low=_at_odds(share, 1.0 / ODDS_FACTOR), high=_at_odds(share, ODDS_FACTOR)
    )


def stated_chance(value: float) -> Chance:
    """As a person states it, without a span."""
    return Chance(value=value, low=value, high=value, stated=True)


def _at_odds(share: float, factor: float) -> float:
    """The share whose odds are `factor` times those of this one."""
    return share * factor / (share * factor + 1.0 - share)


def stake_card(
    visit: Visit,
    part: str,
    settings: Settings,
    *,
    stake: Stake | None,
    chance: Chance | None,
    life: Life | None = None,
) -> StakeCard:
    """The card of a part with the figures in hand, if any."""
    label = _("Replace or keep: {part}").format(part=_(part)) if part else _("Replace or keep")
    choice = choice_text(visit, part)
    if stake is None:
        return StakeCard(
            label=label,
            title=_("Enter the figures"),
            part=part,
            entered=False,
            head=_("No figures yet"),
            sentence=_("Part, labour and what a comeback costs: then the break-even shows."),
            chance=chance.value if chance is not None else None,
            chance_low=chance.low if chance is not None else None,
            chance_high=chance.high if chance is not None else None,
            chance_text=chance_text(chance),
            choice=choice,
        )
    title, sentence = _verdict(stake, chance, settings)
    return StakeCard(
        label=label,
        title=title,
        part=part,
        entered=True,
        head=break_even_text(stake),
        sentence=sentence,
        break_even=stake.break_even,
        break_even_text=_percent(stake.break_even) if stake.break_even is not None else "",
        chance=chance.value if chance is not None else None,
        chance_low=chance.low if chance is not None else None,
        chance_high=chance.high if chance is not None else None,
        chance_text=chance_text(chance),
        keep_text=_("keep"),
        replace_text=_("replace"),
        figures=tuple(figures_of(stake, settings)),
        swings=tuple(_swings(stake)),
        wear=wear_text(life, stake, settings),
        choice=choice,
    )


def break_even_text(stake: Stake) -> str:
    """The chance of a comeback above which replacing pays, as a sentence."""
    if stake.break_even is None:
        return _("Replacing costs more than any comeback: it never pays.")
    if stake.break_even <= 0.0:
        return _("Replacing costs nothing here: it pays at any chance of a comeback.")
    return _("Pays if the chance of a comeback is above {share}.").format(
        share=_percent(stake.break_even)
    )


def chance_text(chance: Chance | None) -> str:
    """What the chance is, and whose judgement."""
    if chance is None:
        return _("The chance of a comeback is not known.")
    if chance.stated:
        return _("Chance of a comeback {value}, as stated.").format(value=_percent(chance.value))
    return _(
        "Chance {value} by the shop’s weights, not statistics; {low} to {high} with them half"
        " or twice as large."
    ).format(value=_percent(chance.value), low=_percent(chance.low), high=_percent(chance.high))


def _verdict(stake: Stake, chance: Chance | None, settings: Settings) -> tuple[str, str]:
    """What the figures say, and the sums behind it."""
    sums = _("Replacing {replacement}, a comeback {comeback}.").format(
        replacement=money_text(stake.replacement, settings, stake.currency),
        comeback=money_text(stake.comeback, settings, stake.currency),
    )
    if stake.break_even is None:
        return _("Keep it"), sums
    if chance is None:
        return _("Break-even only"), sums
    if stake.pays(chance.low):
        return _("Replace it"), sums
    if not stake.pays(chance.high):
        return _("Keep it"), sums
    return _("Either may pay"), _("{sums} The weights do not settle it.").format(sums=sums)


def figures_of(stake: Stake, settings: Settings) -> list[tuple[str, str]]:
    """Every figure by name."""

    def money(amount: float) -> str:
        return money_text(amount, settings, stake.currency)

    labour = _("{minutes:g} min at {rate} an hour").format(
        minutes=MINUTES * stake.labour_hours, rate=money(stake.rate)
    )
    return [
        (FIGURE["part"], money(stake.part)),
        (FIGURE["labour_hours"], labour),
        (FIGURE["downtime"], money(stake.downtime)),
        (FIGURE["return_visit"], money(stake.return_visit)),
        (FIGURE["goodwill"], money(stake.goodwill)),
        (FIGURE["poor_part"], _percent(stake.poor_part)),
    ]


def _swings(stake: Stake) -> list[SwingRow]:
    return [
        SwingRow(
            name=FIGURE[swing.name],
            low=swing.low,
            high=swing.high,
            text=_("{name} half to half more: {low} to {high}").format(
                name=FIGURE[swing.name], low=_edge(swing.low), high=_edge(swing.high)
            ),
        )
        for swing in sensitivity(stake)
    ]


def _edge(share: float | None) -> str:
    return _("never pays") if share is None else _percent(share)


def wear_text(life: Life | None, stake: Stake, settings: Settings) -> str:
    """Age replacement by Weibull life; empty where the shop did not ask for it."""
    if life is None:
        return ""
    hours = best_age(life, planned=stake.replacement, unplanned=stake.replacement + stake.comeback)
    figures = _("Weibull shape {shape:g}, scale {scale:g} h, as stated").format(
        shape=life.shape, scale=life.scale
    )
    if hours is None:
        return _("By wear, replacing early does not pay ({figures}).").format(figures=figures)
    return _("By wear, replace every {hours:.3g} h ({figures}; {cost} planned).").format(
        hours=hours,
        figures=figures,
        cost=money_text(stake.replacement, settings, stake.currency),
    )


def choice_of(visit: Visit, part: str) -> Decided | None:
    """The last choice made about a part."""
    made = (e for e in reversed(visit.entries) if isinstance(e, Decided) and e.part == part)
    return next(made, None)


def choice_text(visit: Visit, part: str) -> str:
    """'Customer chose: replace, knowing it pays above 11 %'."""
    made = choice_of(visit, part)
    if made is None:
        return ""
    who = _("Customer chose") if made.by_customer else _("Shop chose")
    what = _("replace") if made.replaced else _("keep")
    text = _("{who}: {what}").format(who=who, what=what)
    if made.reason:
        text = _("{text} ({reason})").format(text=text, reason=made.reason)
    return text


def _percent(share: float) -> str:
    """A share in whole percent; one digit more below ten."""
    hundredths = 100.0 * share
    return (
        f"{hundredths:.0f} %" if hundredths >= 10.0 or hundredths == 0.0 else f"{hundredths:.1f} %"
    )

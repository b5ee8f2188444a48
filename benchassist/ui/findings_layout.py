"""Where the parts of the findings' front stand, in design units; pure and testable.

Message, title, headline, ranking, foot line, contradictions, three cards, rooms in a row. The cards
come first: as many causes show as leave them their height, three or at least two.
"""

from dataclasses import dataclass

from benchassist.ui.bench_layout import FOOT, MARGIN, MESSAGE, MESSAGE_TOP, Place

BODY = 664.0
TITLE_TOP, TITLE, TITLE_LOW = 8.0, 46.0, 26.0
HEADLINE, HEADLINE_HIGH = 32.0, 56.0
HEAD, ROW, NAMED, TALL = 26.0, 44.0, 60.0, 48.0
"""Heights in the ranking: its headings, a row, the row of a cause that may be named."""
FEWEST, AT_LEAST = 3, 2
"""Causes that show where the cards have their height, and where they would be hard to read."""
CARDS, CARDS_LEAST, CARDS_MOST = 270.0, 250.0, 380.0
SMALLER = 40.0
"""What a card gains by setting its texts at their smallest."""
SLIM, GAP, ACROSS = 44.0, 10.0, 16.0
TEST, TEST_LONG, DRAWN, WORDS = 1.36, 1.9, 1.0, 0.8
"""How the cards share the width: what is to be done next gets most, one without a drawing less.

Two without a drawing stand one above the other.
"""
EMPTY_TEST = 110.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FrontNeed:
    """What the view needs room for: `headline` in lines, `foot` and `aloud` in design units.

    `card` is what the test's card needs to be read, as wide as `test_width` says; `long`: it says
    so much that the other cards give it of their width.
    """

    message: bool = False
    headline: int = 1
    rows: int = 0
    named: bool = False
    aloud: float = 0.0
    foot: float = 0.0
    slims: int = 0
    test: bool = True
    card: float = 0.0
    long: bool = False
    series: bool = True
    stake: bool = True
    series_drawn: bool = True
    stake_drawn: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class FrontPlaces:
    """Places of the parts; None for a part that is not shown."""

    message: Place | None = None
    title: Place
    headline: Place | None = None
    causes: Place
    foot: Place | None = None
    aloud: Place | None = None
    test: Place
    series: Place | None = None
    stake: Place | None = None
    slims: tuple[Place, ...] = ()


def front_places(width: float, need: FrontNeed, height: float = BODY) -> FrontPlaces:
    """Places on a page part of that many design units, origin at its top left."""
    height = max(height, BODY)
    x, wide = MARGIN, width - 2 * MARGIN
    message = Place(x, MESSAGE_TOP, wide, MESSAGE) if need.message else None
    title = Place(x, TITLE_TOP, wide, TITLE_LOW if _is_tight(need, height) else TITLE)
    if message is not None:
        title = Place(x, message.bottom + 2, wide, TITLE_LOW)
    y = title.bottom + (2.0 if message is None else 0.0)
    headline = None
    if need.headline:
        high = HEADLINE if need.headline == 1 else HEADLINE_HIGH
        headline = Place(x, y, wide, high)
        y = headline.bottom
    y += 4.0
    bottom = height - FOOT
    slims: tuple[Place, ...] = ()
    if need.slims:
        slims = _across(x, bottom - SLIM, wide, SLIM, (1.0,) * need.slims)
        bottom -= SLIM + GAP
    below = need.foot + need.aloud + GAP
    causes = Place(x, y, wide, _ranking(need, bottom - y - below))
    y = causes.bottom
    foot = Place(x, y, wide, need.foot) if need.foot else None
    y += need.foot
    aloud = Place(x, y, wide, need.aloud) if need.aloud else None
    y += need.aloud + GAP
    high = bottom - y
    if not (need.test or need.series or need.stake):
        high = min(high, EMPTY_TEST)
    test, *others = _across(x, y, wide, high, _shares(need))
    if _is_stacked(need):
        others = _halves(others[0])
    series = others.pop(0) if need.series else None
    stake = others.pop(0) if need.stake else None
    return FrontPlaces(
        message=message,
        title=title,
        headline=headline,
        causes=causes,
        foot=foot,
        aloud=aloud,
        test=test,
        series=series,
        stake=stake,
        slims=slims,
    )


def _is_tight(need: FrontNeed, height: float) -> bool:
    """Whether a large title would take the test's card the room it needs to be read."""
    rows = HEAD + ROW * min(FEWEST, need.rows) + (NAMED - ROW if need.named else 0.0)
    told = (0.0, HEADLINE, HEADLINE_HIGH)[need.headline] + need.foot + need.aloud
    slims = SLIM + GAP if need.slims else 0.0
    left = height - TITLE_TOP - TITLE - 2.0 - told - 4.0 - rows - GAP - slims - FOOT
    return left < min(CARDS_MOST, need.card)


def _is_stacked(need: FrontNeed) -> bool:
    both = need.series and need.stake
    return need.test and both and not (need.series_drawn or need.stake_drawn)


def _shares(need: FrontNeed) -> tuple[float, ...]:
    """How the columns of cards share the width."""
    test = TEST_LONG if need.long else TEST
    shares = [test if need.test else WORDS]
    shares += [DRAWN if need.series_drawn else WORDS] if need.series else []
    if not _is_stacked(need):
        shares += [DRAWN if need.stake_drawn else WORDS] if need.stake else []
    return tuple(shares)


def test_width(width: float, need: FrontNeed) -> float:
    """How wide the test's card is on a page part of that width."""
    return _across(0.0, 0.0, width - 2 * MARGIN, 0.0, _shares(need))[0].width


def _ranking(need: FrontNeed, free: float) -> float:
    """The height of the ranking: all rows where the cards keep theirs, then taller rows."""
    if not need.rows:
        return HEAD + 2 * ROW
    extra = HEAD + (NAMED - ROW if need.named else 0.0)
    cards = min(CARDS_MOST, max(CARDS, need.card))
    fits = int((free - cards - extra) / ROW)
    rows = min(need.rows, max(min(FEWEST, need.rows), fits))
    least = max(CARDS_LEAST, cards - SMALLER)
    while rows > AT_LEAST and free - extra - rows * ROW < least:
        rows -= 1
    low = extra + rows * ROW
    most = HEAD + TALL * (rows - 1 + (NAMED / ROW if need.named else 1.0))
    return min(most, max(low, free - cards - 40.0)) if rows == need.rows else low


def _halves(place: Place) -> list[Place]:
    """One above the other, the lower one taller: it says more."""
    upper = 0.44 * (place.height - ACROSS)
    top = Place(place.x, place.y, place.width, upper)
    y = top.bottom + ACROSS
    return [top, Place(place.x, y, place.width, place.bottom - y)]


def _across(
    x: float, y: float, wide: float, high: float, shares: tuple[float, ...]
) -> tuple[Place, ...]:
    """Places side by side that share a width."""
    each = (wide - ACROSS * (len(shares) - 1)) / sum(shares)
    places = []
    for share in shares:
        places.append(Place(x, y, share * each, high))
        x += share * each + ACROSS
    return tuple(places)

"""Invented words of a shop: customers, makers, engines, serials, what people say at the counter.

Names are made of syllables, so that no person and no maker is meant; many sound alike, as names do.
"""

from dataclasses import dataclass
from random import Random
from typing import Final

ONSETS: Final = ("b", "br", "d", "dr", "f", "g", "h", "j", "k", "kl", "l", "m", "n", "p", "pl")
MORE_ONSETS: Final = ("qu", "r", "s", "sk", "st", "t", "th", "tr", "v", "w", "y", "z")
VOWELS: Final = ("a", "e", "i", "o", "u", "ai", "ea", "oo")
ENDS: Final = (
    "ck",
    "dge",
    "ffin",
    "lder",
    "lm",
    "mber",
    "ndle",
    "rrow",
    "sket",
    "tter",
    "vish",
    "x",
)

MODELS: Final = (90, 120, 140, 160, 190, 210, 270, 390)

UNITS: Final = (
    "walk-behind mower",
    "ride-on mower",
    "tiller",
    "chipper",
    "log splitter",
    "edger",
    "air compressor",
    "pressure washer",
    "generator",
    "trash pump",
    "snow thrower",
    "plate compactor",
    "leaf vacuum",
    "stump grinder",
    "power sprayer",
)

SAYINGS: Final = {
    "quits_hot": (
        "quits {when}",
        "dies {when}, restarts cold",
        "stops {when} and comes back later",
    ),
    "no_start": (
        "will not start {since}",
        "no spark {since}",
        "pulls over and never fires {since}",
    ),
    "hard_start": ("hard to start {since}", "needs twenty pulls {since}", "only starts on choke"),
    "surges": ("surges {when}", "hunts up and down {when}", "revs and falls {when}"),
    "misfires_under_load": ("misses {when}", "loses power {when}", "sputters {when}"),
    "no_idle_down": ("does not idle down {when}", "stays at full speed {when}"),
    "no_shut_off": ("keeps running with the key off", "will not shut off {since}"),
    "backfires": (
        "backfires {when}",
        "bangs in the muffler {when}",
        "pops through the carburettor",
    ),
    "service": ("yearly service", "check it over {since}", "oil and plug, please look at the belt"),
}
WHEN: Final = (
    "after twenty minutes",
    "when hot",
    "uphill",
    "in thick grass",
    "under load",
    "after refuelling",
    "in the second hour",
    "on the slope behind the barn",
    "when the tank is half empty",
)
SINCE: Final = (
    "since the winter",
    "after storage",
    "since last week",
    "after the rain",
    "since the new plug",
    "after it fell over",
    "before the season",
)
NOTES: Final = (
    "plug lead chafed at the shroud, sleeved it",
    "fuel smells old, drained",
    "air filter soaked in oil, replaced",
    "customer asks for a call before any part is ordered",
    "blade bolt loose, torqued",
    "recoil rope frayed, told the customer",
    "mouse nest under the shroud, cleaned the fins",
    "kept the old part in the drawer",
    "runs smooth after an hour under load",
    "muffler bolt missing, fitted one",
)
WORK: Final = (
    "cleaned the contact and reseated the cap",
    "set the gap with a card",
    "trimmed the lead by ten millimetres",
    "cleaned the carburettor bowl",
    "replaced the connector of the stop wire",
    "lapped the seat and set the lash",
)
PLACES: Final = tuple("abcdefghijklmnopqrstuvwxyz")


@dataclass(frozen=True, slots=True)
class Person:
    """A customer."""

    name: str
    phone: str


def syllables(chance: Random, count: int) -> str:
    """Return so many syllables with an end, as one capitalised word."""
    onsets = ONSETS + MORE_ONSETS
    body = "".join(chance.choice(onsets) + chance.choice(VOWELS) for _ in range(count))
    return (body + chance.choice(ENDS)).capitalize()


def person(chance: Random) -> Person:
    """Return a customer: a short name and a longer one, seven digits."""
    name = f"{syllables(chance, 1)} {syllables(chance, chance.choice((1, 1, 2)))}"
    return Person(name, f"555-{chance.randrange(10_000):04d}")


def makers(chance: Random, count: int = 24) -> tuple[str, ...]:
    """Return makers of engines."""
    return tuple(dict.fromkeys(syllables(chance, 2) for _ in range(count)))


def engine(chance: Random, known: tuple[str, ...]) -> str:
    """Return maker and model, such as 'Beaskooffin T160'."""
    letters = chance.choice("ABCDEGHKLMTV")
    return (
        f"{chance.choice(known)} {letters}{chance.choice((90, 120, 140, 160, 190, 210, 270, 390))}"
    )


def serial(chance: Random) -> str:
    """Return a serial number of letters and digits."""
    letters = "".join(chance.choice("ABCDEFGHKLMNPRSTUVWX") for _ in range(2))
    return f"{letters}{chance.randrange(10, 99)}-{chance.randrange(1_000_000):06d}"


def said(chance: Random, complaint: str) -> str:
    """Return what a customer says of a complaint, one in eight with a typing error."""
    words = chance.choice(SAYINGS[complaint])
    words = words.format(when=chance.choice(WHEN), since=chance.choice(SINCE))
    return mistyped(chance, words) if chance.random() < 0.125 else words


def mistyped(chance: Random, text: str) -> str:
    """Return a text with one letter swapped, lost, doubled or wrong."""
    places = [i for i in range(1, len(text) - 1) if text[i].isalpha() and text[i + 1].isalpha()]
    at = chance.choice(places)
    kind = chance.randrange(4)
    if kind == 0:
        return text[:at] + text[at + 1] + text[at] + text[at + 2 :]
    if kind == 1:
        return text[:at] + text[at + 1 :]
    middle = text[at] * 2 if kind == 2 else chance.choice(PLACES)
    return text[:at] + middle + text[at + 1 :]

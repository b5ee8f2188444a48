"""Every text a person reads goes through `_`; it stays English where no catalogue is installed."""

import gettext
from pathlib import Path

DOMAIN = "benchassist"


def catalogue(languages: tuple[str, ...] | None = None) -> gettext.NullTranslations:
    """The catalogue of the first language that has one, else one that returns what it is given."""
    folder = Path(__file__).parents[1] / "locale"
    chosen = list(languages) if languages is not None else None
    return gettext.translation(DOMAIN, str(folder), languages=chosen, fallback=True)


_CATALOGUE = catalogue()
_ = _CATALOGUE.gettext
ngettext = _CATALOGUE.ngettext

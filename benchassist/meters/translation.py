"""The words of a link, in the language of the shop; English where no catalogue is installed."""

import gettext
from importlib.resources import files

_ = gettext.translation("benchassist", str(files("benchassist") / "locale"), fallback=True).gettext

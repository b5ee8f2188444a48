"""The words beside the drawings: what each end is called at the bench."""

from benchassist.paint.sketch import sketch_label_keys
from benchassist.services.translation import _


def sketch_words(key: str) -> dict[str, str]:
    """Words for every label the sketch of that key has room for."""
    words = {
        "lead_end": _("Lead end"),
        "plug_end": _("Plug end"),
        "cap_end": _("Cap end"),
        "core": _("Bare core"),
        "tab": _("Stop tab"),
        "stud": _("Terminal"),
        "tip": _("Centre tip"),
        "gap": _("Gap"),
        "gauge": _("Gauge"),
        "wire": _("Stop wire, off"),
        "engine": _("Block"),
        "run": _("RUN"),
        "ground": _("Block"),
        "off": _("STOP"),
        "oil": _("Oil switch"),
        "together": _("Tips together"),
        "resistor": _("Known resistor"),
        "card": _("Gauge"),
        "coil": _("Core"),
        "magnet": _("Magnet"),
        "cap": _("Cap"),
        "clamp": _("Clamp"),
        "rpm": _("rpm"),
    }
    return {label: words[label] for label in sketch_label_keys(key) if label in words}

"""Codes and figures of the core as words: short, plain, one sentence one fact.

The words themselves are in the modules named here; a screen or slip asks at this one place.
"""

from benchassist.services.bench.advice_text import advice_sentence, advice_text, advice_title
from benchassist.services.bench.condition_text import (
    accuracy_text,
    band_label,
    band_limits,
    day_text,
    leads_text,
    month_text,
    range_text,
    reading_text,
    self_check_text,
    source_text,
    temperature_text,
    value_and_doubt,
)
from benchassist.services.bench.reason_text import foresight_lines, reasons, verdict_word
from benchassist.services.bench.spoken import spoken_reading
from benchassist.services.bench.strip_text import strip_of
from benchassist.services.metering.link_text import link_text, link_trouble

__all__ = [
    "accuracy_text",
    "advice_sentence",
    "advice_text",
    "advice_title",
    "band_label",
    "band_limits",
    "day_text",
    "foresight_lines",
    "leads_text",
    "link_text",
    "link_trouble",
    "month_text",
    "range_text",
    "reading_text",
    "reasons",
    "self_check_text",
    "source_text",
    "spoken_reading",
    "strip_of",
    "temperature_text",
    "value_and_doubt",
    "verdict_word",
]

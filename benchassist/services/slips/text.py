"""A slip as plain lines, for a terminal."""

from benchassist.core.plain_text import plain
from benchassist.core.slip import Ink, Slip


def text_of_slip(slip: Slip) -> str:
    """Heading, lines, pairs, lists and conditions, in the slip's order, fit for a terminal."""
    rows = [f"{slip.title}  {slip.subtitle}", slip.customer]
    rows += [slip.draft_text] if slip.draft_text else []
    rows += [f"{slip.unit_text}  {slip.engine_text}  {slip.tag}".strip()]
    rows += [f"{slip.said_label} {slip.said}", f"{slip.in_short_label} {slip.in_short}", ""]
    rows.append(slip.found_title)
    for line in slip.lines:
        mark = "-" if line.ink is Ink.STRUCK else " "
        figure = " ".join(t for t in (line.value or line.words, line.doubt) if t)
        rows.append(f"{line.number:>2}{mark} {line.name:<34} {figure:>18}  {line.verdict_text}")
        rows += [f"      {note}" for note in line.notes]
    if slip.pairs:
        rows += ["", slip.did_title]
        for pair in slip.pairs:
            change = f"{pair.before} to {pair.after}" if pair.before else pair.words
            rows.append(f"    {pair.name:<34} {change}  {pair.verdict_text}")
    for title, items in (
        (slip.proved_title, slip.proved),
        (slip.not_proved_title, slip.not_proved),
    ):
        rows += ["", title, *(f"  - {item}" for item in items)]
    rows += ["", f"{slip.care_label} {slip.care}", *slip.conditions]
    return "\n".join(plain(row) for row in rows)

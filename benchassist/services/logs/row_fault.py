"""Faults of a file's rows, each told with its line; rows of one fault in a row are one line."""

from dataclasses import dataclass, field
from typing import Final

from benchassist.services.translation import _, ngettext

MOST_LINES: Final = 1000
"""Lines told one by one; what comes beyond is counted."""


@dataclass(slots=True)
class _Stretch:
    first: int
    last: int
    kind: str
    text: str


@dataclass(slots=True)
class RowFaults:
    """Collects faults in the order of the file; memory stays small whatever the file holds."""

    name: str
    count: int = 0
    _stretches: list[_Stretch] = field(default_factory=list)
    _untold: int = 0

    def add(self, line: int, kind: str, text: str) -> None:
        """A fault at a line. `kind` is what equal faults have in common, `text` what is shown."""
        self.count += 1
        last = self._stretches[-1] if self._stretches else None
        if last is not None and last.kind == kind and last.last in (line - 1, line):
            last.last = line
        elif len(self._stretches) < MOST_LINES:
            self._stretches.append(_Stretch(line, line, kind, text))
        else:
            self._untold += 1

    def lines(self) -> list[str]:
        """Every fault as `file:line: what is wrong`."""
        told = []
        for one in self._stretches:
            if one.first == one.last:
                told.append(f"{self.name}:{one.first}: {one.text}")
            else:
                told.append(
                    _("{name}:{first}-{last}: {text}, and so on").format(
                        name=self.name, first=one.first, last=one.last, text=one.text
                    )
                )
        if self._untold:
            more = ngettext("{name}: {n} more", "{name}: {n} more", self._untold)
            told.append(more.format(name=self.name, n=self._untold))
        return told

"""What poppler says of a PDF."""

import subprocess
from pathlib import Path


def poppler(tool: str, *arguments: str | Path) -> str:
    """Run one of its tools and return what it prints."""
    return subprocess.run(
        [tool, *map(str, arguments)], check=True, capture_output=True, encoding="utf-8"
    ).stdout


def text_of(path: Path) -> str:
    """The words of a PDF, its lines kept together."""
    return poppler("pdftotext", "-layout", path, "-")


def pages_of(path: Path) -> int:
    """How many pages it has."""
    lines = poppler("pdfinfo", path).splitlines()
    return int(next(line for line in lines if line.startswith("Pages:")).split()[1])

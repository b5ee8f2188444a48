import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtPrintSupport import QPrinter

from benchassist.core.slip import Paper
from benchassist.errors import PrintError
from benchassist.paint.slip_printer import QtSlipPrinter
from tests.paint import specimen

ROOT = Path(__file__).resolve().parents[2]
SIZES = {Paper.A4: "A4", Paper.LETTER: "letter"}


def tool(*command: str | Path) -> str:
    """What one of poppler's tools prints; skips without it, in CI fails."""
    if shutil.which(str(command[0])) is None:
        lacking = f"{command[0]} is not installed; bootstrap.py test installs it as root"
        if os.environ.get("CI"):
            pytest.fail(lacking)
        pytest.skip(lacking)
    done = subprocess.run([*map(str, command)], check=True, capture_output=True, text=True)
    return done.stdout


@pytest.fixture(params=list(Paper))
def paper(request: pytest.FixtureRequest) -> Paper:
    """Each sheet size."""
    return Paper(request.param)


@pytest.fixture
def pdf(tmp_path: Path, paper: Paper) -> Path:
    """The usual slip as a file."""
    path = tmp_path / "slip.pdf"
    QtSlipPrinter().write_pdf(specimen.SLIP, path, paper=paper)
    return path


def test_it_is_one_page_of_the_size_asked_for(pdf: Path, paper: Paper) -> None:
    """One page, A4 or Letter, with the visit as its title."""
    facts = tool("pdfinfo", pdf)
    assert "Pages:           1\n" in facts
    assert f"({SIZES[paper]})" in facts
    assert "Job slip 0412 · Tallow Hill Cider Orchard" in facts


def test_its_text_can_be_found(pdf: Path) -> None:
    """Figures, units and signs are text in the file: µ, Ω, ±, °C and every value."""
    text = tool("pdftotext", "-layout", pdf, "-")
    for words in ("0.24 µF", "6.52 kΩ", "±0.07", "21 °C", "3610 rpm", "Not proved", "TH-07"):
        assert words in text, words
    for line in specimen.LINES:
        assert line.value in text
        assert line.verdict_text.split(",")[0] in text


def test_its_fonts_are_embedded(pdf: Path) -> None:
    """Every font in the file is Bench Sans and embedded."""
    fonts = tool("pdffonts", pdf).splitlines()[2:]
    assert fonts
    for font in fonts:
        name, *_, emb, _sub, _uni, _object, _id = font.split()
        assert "BenchSans" in name
        assert emb == "yes"


def test_its_pixels_are_grey(pdf: Path, tmp_path: Path) -> None:
    """Rendered from the file, no pixel has a colour and the page is not empty."""
    tool("pdftoppm", "-r", "60", "-png", pdf, tmp_path / "page")
    from PySide6.QtGui import QImage

    (page,) = tmp_path.glob("page*.png")
    image = QImage(str(page)).convertToFormat(QImage.Format.Format_RGB32)
    pixels = [image.pixelColor(x, y) for x in range(image.width()) for y in range(image.height())]
    assert all(p.red() == p.green() == p.blue() for p in pixels)
    assert sum(p.red() < 128 for p in pixels) > 3000


@pytest.mark.parametrize("where", ["no/such/folder/slip.pdf", "taken"])
def test_a_path_that_cannot_be_written_is_one_plain_line(tmp_path: Path, where: str) -> None:
    """A missing folder, or a folder in the file's place: the line names it and what is right."""
    (tmp_path / "taken").mkdir()
    path = tmp_path / where
    with pytest.raises(PrintError) as caught:
        QtSlipPrinter().write_pdf(specimen.SLIP, path)
    assert str(path) in str(caught.value)
    assert "can be written to" in str(caught.value)
    assert "\n" not in str(caught.value)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["taken"]


def test_a_failed_write_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """If the new page cannot be put in place, the old one stays and nothing lies beside it."""
    path = tmp_path / "slip.pdf"
    path.write_text("old")

    def refuse(_self: Path, _target: Path) -> Path:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(PrintError, match="No space left on device"):
        QtSlipPrinter().write_pdf(specimen.SLIP, path)
    assert path.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["slip.pdf"]


def test_a_written_slip_can_be_read_by_others(pdf: Path) -> None:
    """The file has the permissions of any new file, not those of a private one."""
    probe = pdf.with_name("probe")
    probe.touch()
    assert pdf.stat().st_mode == probe.stat().st_mode


def test_a_printer_gets_the_same_page(tmp_path: Path, pdf: Path, paper: Paper) -> None:
    """Through the print dialog's printer the words are those of the file."""
    printed = tmp_path / "printed.pdf"
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(printed))
    QtSlipPrinter().print_on(printer, specimen.SLIP, paper=paper)
    command = ("pdftotext", "-layout")
    assert tool(*command, printed, "-").split() == tool(*command, pdf, "-").split()
    assert f"({SIZES[paper]})" in tool("pdfinfo", printed)


def test_without_an_application_or_display_it_prints(tmp_path: Path) -> None:
    """From a command line with no window and no display the page is written all the same."""
    path = tmp_path / "slip.pdf"
    program = (
        "import sys; from pathlib import Path\n"
        "from benchassist.paint.slip_printer import QtSlipPrinter\n"
        "from tests.paint.specimen import SLIP\n"
        "QtSlipPrinter().write_pdf(SLIP, Path(sys.argv[1]))\n"
    )
    hidden = {"DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"}
    environment = {k: v for k, v in os.environ.items() if k not in hidden}
    subprocess.run(
        [sys.executable, "-c", program, str(path)], check=True, cwd=ROOT, env=environment
    )
    assert path.read_bytes().startswith(b"%PDF-")
    assert "Job slip 0412" in tool("pdftotext", path, "-")

"""The servers that tests lean on are real."""

import subprocess
import sys
from pathlib import Path

import psycopg
from PySide6.QtGui import QImage

from tests.screen import Screen

WINDOW = """
import sys
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QWidget
app = QApplication([])
window = QWidget()
window.setStyleSheet("background: #0072B2")
window.setGeometry(0, 0, 400, 300)
window.show()
def shoot():
    if not app.primaryScreen().grabWindow(0).save(sys.argv[1]):
        sys.exit("cannot write")
    print(app.platformName())
    app.quit()
QTimer.singleShot(300, shoot)
app.exec()
"""


def test_a_test_gets_an_empty_database(postgres_url: str) -> None:
    """The server is PostgreSQL, keeps UTF-8 and the database has no table."""
    with psycopg.connect(postgres_url.replace("+psycopg", "")) as connection:
        assert connection.execute("SHOW server_encoding").fetchone() == ("UTF8",)
        tables = "SELECT count(*) FROM pg_tables WHERE schemaname = 'public'"
        assert connection.execute(tables).fetchone() == (0,)


def test_a_window_shows_on_the_virtual_screen(screen: Screen, tmp_path: Path) -> None:
    """A window of Qt's xcb platform is seen in a picture of the screen."""
    shot = tmp_path / "window.png"
    done = subprocess.run(
        [sys.executable, "-c", WINDOW, str(shot)],
        env=screen.environment(),
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == "xcb"
    picture = QImage(str(shot))
    assert (picture.width(), picture.height()) == (1366, 768)
    assert picture.pixelColor(200, 150).name() == "#0072b2"


def test_the_screen_can_be_seen_from_outside(screen: Screen, tmp_path: Path) -> None:
    """A shot is taken without the help of the program on the screen."""
    screen.shot(tmp_path / "screen.png")
    assert QImage(str(tmp_path / "screen.png")).width() == 1366

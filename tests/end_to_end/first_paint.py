"""The program's window, ended at its first paint: `python -m tests.end_to_end.first_paint HOME`.

It goes the way of the command without arguments. With `--ready` it ends once the counter can be
used, and with `--bare` it is an empty window of Qt and nothing else. What had been imported by the
end is printed.
"""

import os
import sys


def end() -> None:
    """Say what is loaded, and go without ceremony: what comes after is not measured."""
    sys.stdout.write(" ".join(sys.modules))
    sys.stdout.flush()
    os._exit(0)


def bare() -> None:
    """Show an empty window."""
    from PySide6.QtWidgets import QApplication, QWidget

    class Bare(QWidget):
        def paintEvent(self, _event: object) -> None:
            end()

    app = QApplication([])
    window = Bare()
    window.resize(1366, 768)
    window.show()
    app.exec()


def first_paint() -> None:
    """End when the program's window has painted itself for the first time."""
    from benchassist.ui.front import Front

    paint = Front.paintEvent

    def painted(self: Front, event: object) -> None:
        paint(self, event)  # type: ignore[arg-type]  # the event's class is not worth its import
        end()

    Front.paintEvent = painted  # type: ignore[assignment, method-assign]


def ready() -> None:
    """End when the counter has its desk."""
    from benchassist.ui.counter_page import CounterPage

    opened = CounterPage.open

    def ended(self: CounterPage, *given: object, **more: object) -> None:
        opened(self, *given, **more)  # type: ignore[arg-type]
        end()

    CounterPage.open = ended  # type: ignore[assignment, method-assign]


def main(what: str, home: str) -> None:
    """Run one of them."""
    if what == "--bare":
        bare()
        return
    if what == "--ready":
        ready()
    else:
        first_paint()
    from benchassist.cli import main as program

    os.environ["XDG_DATA_HOME"] = home
    program([])


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 2 else "", sys.argv[-1])

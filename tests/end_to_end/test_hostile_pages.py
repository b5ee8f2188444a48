"""Hostile text in every line of every page, and in what comes from files, folders and meters."""

import json
import socket
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from types import MappingProxyType
from typing import Final

import pytest
from PySide6.QtCore import QMimeData, QUrl
from serial.tools import list_ports

from benchassist.assembly import record
from benchassist.core.entry import PartMarked
from benchassist.services.desk import RecordsStage
from benchassist.services.logs.view import LogStage
from benchassist.ui.photo_door import handed_of
from tests.core.pictures import picture as drawn
from tests.core.pictures import png
from tests.end_to_end.hostile_shop import HostileShop, hostile_shop
from tests.end_to_end.hostile_walk import TYPED, Walk, walking
from tests.hostile import HOSTILE

NAMED: Final = ("html", "formula", "terminal", "right to left", "marks", "script", "format")
"""Texts that a file system takes as a name, as far as it takes them."""


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> HostileShop:
    """Return the shop that is copied for each page."""
    return hostile_shop(tmp_path_factory.mktemp("hostile"))


@pytest.fixture
def walk(
    hostile: HostileShop, qapp: object, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Walk]:
    """A window on its own copy, in a folder that no path leads out of."""
    assert qapp is not None
    folder = tmp_path.joinpath(*"abcdefgh")
    with walking(hostile, folder) as made:
        monkeypatch.chdir(folder)
        monkeypatch.setattr(Path, "home", lambda: folder)
        yield made


def file_named(folder: Path, text: str, suffix: str) -> Path:
    """A file whose name is as much of the text as a name can be."""
    name = text.replace("/", "_").replace("\x00", "")[:60]
    path = folder / f"{name}{suffix}"
    path.touch()
    return path


# --- pages ---------------------------------------------------------------------------------------


def counter(walk: Walk) -> None:
    """Searched for; each machine found, selected, looked into."""
    walk.fill("search", lambda: walk.to("counter"))
    for name in ("html", "right to left", "no blank", "marks"):
        walk.to("counter")
        walk.paste(walk.shell.counter.search.field, HOSTILE[name][:100])
        for key in ("Down", "Down", "F9"):
            walk.press(key)
            walk.look(f"{name}: {key}")


def new_machine(walk: Walk) -> None:
    """Every line of the card."""
    walk.fill("card", lambda: walk.to("new_machine"))
    walk.to("new_machine")


def machine_edit(walk: Walk) -> None:
    """Every line of a card that has such words in it already."""
    walk.fill("card", lambda: walk.to("machine_edit", "lines"))


def interview(walk: Walk) -> None:
    """What the customer said, and the minutes."""

    def asked(steps: int) -> None:
        walk.to("interview", "terminal")
        walk.press("1")
        for _step in range(steps):
            walk.press("Down")

    walk.fill("words", partial(asked, 0))
    walk.fill("minutes", partial(asked, 1))


def bench(walk: Walk) -> None:
    """A note, a reading, work done, a temperature: each typed."""
    for key in ("N", "M", "D", "T"):

        def asked(key: str = key) -> None:
            walk.to("bench", "marks")
            walk.press("Esc") if walk.lines() else None
            walk.to("bench", "marks")
            walk.press(key)

        asked()
        if walk.lines():
            walk.fill(key, asked)
    walk.press("Esc")


def findings(walk: Walk) -> None:
    """Every form of the findings."""
    for keys in (("N",), ("F", "P"), ("F", "S"), ("F", "A"), ("R", "Return"), ("R", "D")):

        def asked(keys: tuple[str, ...] = keys) -> None:
            walk.to("findings", "html")
            for _step in range(4):
                walk.press("Esc")
            walk.to("findings", "html")
            walk.press(*keys)

        asked()
        walk.look(" ".join(keys))
        if walk.lines():
            walk.fill(" ".join(keys), asked, submit="Ctrl+Return")


def machine(walk: Walk) -> None:
    """Every room of a machine's file, a note typed."""
    for name in ("html", "right to left", "no blank", "megabyte"):
        for key in ("Down", "Space", "F", "R", "G"):
            walk.to("machine", name)
            walk.until("its file", lambda: walk.shell.machine._view.file is not None)
            walk.press("Down", key)
            walk.look(f"{name}: {key}")

    def asked() -> None:
        walk.to("machine", "format")
        walk.until("its file", lambda: walk.shell.machine._view.file is not None)
        walk.press("N")

    walk.fill("note", asked)


def photos(walk: Walk) -> None:
    """Files of such names and bytes, dropped; a caption."""
    walk.to("photos", "html")
    page = walk.shell.photos
    for name in NAMED:
        picture = file_named(walk.folder, HOSTILE[name], ".png")
        picture.write_bytes(png(drawn(40 + NAMED.index(name), 30)))
        none = file_named(walk.folder, HOSTILE[name], ".jpg")
        none.write_text(HOSTILE[name], "utf-8")
        mime = QMimeData()
        gone = walk.folder / f"gone {picture.name}"
        mime.setUrls([QUrl.fromLocalFile(str(f)) for f in (picture, none, gone, walk.folder)])
        page.take(handed_of(mime))
        walk.until("the photos", lambda: not page.shown.busy_text)
        walk.settle()
        walk.look(f"dropped: {name}")

    def asked() -> None:
        walk.to("photos", "html")
        walk.press("C")

    walk.fill("caption", asked)


def printing(walk: Walk) -> None:
    """Slips; the path of the PDF."""
    for name in ("html", "right to left", "marks", "megabyte"):
        walk.to("bench", name)
        walk.to("print", name)
        walk.look(name)

    def asked() -> None:
        walk.to("print", "sql")
        walk.press("F")

    walk.fill("file", asked)


def tags(walk: Walk) -> None:
    """Labels of every machine; the numbers and the file."""
    for name in ("html", "formula", "script", "megabyte"):
        walk.to("tags", name)
        for key in "123":
            walk.press(key)
            walk.look(f"{name}: {key}")
    walk.fill("labels", lambda: walk.to("tags", "html"), submit="Ctrl+S")


def settings(walk: Walk) -> None:
    """Every line of the settings; what is kept is on the next slip."""
    walk.fill("settings", lambda: walk.to("settings"), submit="Ctrl+Return")
    walk.to("settings")
    page = walk.shell.settings
    written = [line for line in walk.lines() if "on every slip" in line.accessibleDescription()]
    assert written
    for line in written:
        walk.paste(line, HOSTILE["html"] + HOSTILE["right to left"])
    walk.press("Ctrl+Return")
    assert not page.problem, page.problem
    walk.to("bench", "tab")
    walk.to("print", "tab")
    walk.look("the shop’s name on a slip")


def spec(walk: Walk) -> None:
    """The shop's own profiles, their names and bands; the finder; the forms; the parts behind."""
    _own_profiles(walk.shop.place.home / "profiles")

    def listed() -> None:
        walk.to("spec")
        walk.press("Esc")
        if walk.here != "spec":
            walk.to("spec")

    walk.fill("finder", listed)

    def opened() -> None:
        listed()
        walk.paste(walk.shell.spec.finder.field, "coil secondary")
        walk.press("Return")

    walk.fill("form", opened, submit="Ctrl+Return")
    listed()
    for name in ("bold", "DROP", "safe", "Lovelace", "rig"):
        walk.paste(walk.shell.spec.finder.field, name)
        for key in ("Down", "Return", "Esc", "Ctrl+G", "Down", "Esc"):
            walk.press(key)
            walk.look(f"{name}: {key}")
    _parts(walk, listed)


def _parts(walk: Walk, listed: Callable[[], None]) -> None:
    """The parts that were marked on machines of such names."""
    header, entries = walk.shop.visits["html"], walk.shop.entries["html"]
    marked = next(e for e in entries if isinstance(e, PartMarked) and e.good)
    check = header.procedure.check(marked.check_key)
    listed()
    page = walk.shell.spec
    walk.paste(page.finder.field, check.title)
    for _row in range(len(page.figures.value.rows)):
        walk.settle(0.3)
        if any(hint.press == "Ctrl+G" for hint in page.keys.hints):
            break
        walk.press("Down")
    walk.press("Ctrl+G")
    walk.until("the parts", lambda: page.parts is not None and len(page.parts.rows) > 1)
    for key in ("Down", "PgDown", "X"):
        walk.look(f"parts: {key}")
        walk.press(key)

    def asked() -> None:
        while not page.bin.asking:  # one that is set aside is counted again first
            walk.press("X")
            walk.settle()

    walk.fill("a part set aside", asked)


def _own_profiles(folder: Path) -> None:
    """Engines whose names and sources are such texts; some are faults, and said."""
    engines = folder / "engines"
    engines.mkdir(parents=True)
    for number, (name, text) in enumerate(HOSTILE.items()):
        said = json.dumps(text[:2000], ensure_ascii=True).replace("\\u007f", "")
        path = file_named(engines, text, f" {number}.toml")
        path.write_text(
            f'key = "H{number}"\nname = {said}\ndescription = {said}\norder = 9\n'
            'electronics = false\n[choices]\napplication = ["other"]\n[checks.coil_primary]\n'
            f'band = "0.6 ohm..1.3 ohm"\nsource = {said}\nprobe_points = {said}\n',
            "utf-8",
        )
        wrong = file_named(engines, text, f" wrong {number}.toml")
        wrong.write_text(f"key = {said}\n{name} = {said}\n[{said}]\n", "utf-8")


def log(walk: Walk) -> None:
    """Files of such names and such contents; every line of the form."""
    walk.fill("form", lambda: walk.to("log"), submit="Ctrl+Return")
    for name in NAMED:
        path = file_named(walk.folder, HOSTILE[name], ".csv")
        text = HOSTILE[name]
        rows = "".join(f"{t},{3860 + t},ohm\n" for t in range(40))
        for head in (
            f"t_s,value,unit\n{rows}",
            f"t_s,value,unit\n{rows}{text},{text},{text}\n40,3900,{text}\n",
            f"{text}\n{text * 30}\n",
        ):
            path.write_text(head, "utf-8")
            walk.to("log")
            page = walk.shell.log
            if page.shown.stage is not LogStage.ASK:
                walk.press("O")
            page._take(str(path))
            walk.press("Ctrl+Return")
            walk.until("the log", lambda: walk.shell.log.shown.stage is not LogStage.READING)
            walk.look(f"file: {name}")


def records(walk: Walk) -> None:
    """Find and erase; a backup, exports and imports under such names; what an import refuses."""
    ways = {"B": "", "X": "export", "I": "import", "C": "find"}
    for key in ("X", "I", "C", "D"):  # D: a backup elsewhere

        def asked(key: str = key) -> None:
            _records_home(walk)
            walk.press(key)

        asked()
        if walk.lines():
            walk.fill(f"records, {ways.get(key, key)}", asked)
            _idle(walk)
    _exported(walk)
    _imported(walk)
    _restored(walk)
    _erased(walk)


def _records_home(walk: Walk) -> None:
    _idle(walk)
    walk.to("records")
    while walk.shell.records.shown.stage is not RecordsStage.HOME:
        walk.press("Esc")
        _idle(walk)


def _idle(walk: Walk) -> None:
    """Wait for work on the records."""
    if walk.here == "records":
        at_work = RecordsStage.WORK
        walk.until("its end", lambda: walk.shell.records.shown.stage is not at_work)


def _exported(walk: Walk) -> None:
    for name in NAMED:
        _records_home(walk)
        walk.press("X")
        line = next(line for line in walk.lines())
        walk.paste(line, str(walk.folder / HOSTILE[name].replace("/", "_")[:60]))
        walk.press("Ctrl+Return")
        _idle(walk)
        walk.look(f"exported to {name}")


def _imported(walk: Walk) -> None:
    """A visit that says something else than the one on file, and one that is none."""
    out = walk.folder / "visits.json"
    visits = [header.id for header in walk.shop.visits.values()]
    record.write_export(walk.shop.place, visits, out)
    document = json.loads(out.read_text("utf-8"))
    for number, (visit, text) in enumerate(zip(document["visits"], HOSTILE.values(), strict=True)):
        if number % 3 == 0:
            visit["interview"]["words"] = f"other {text[:50]}"
        elif number % 3 == 1:
            visit["entries"] = [{"kind": text[:500]}]
        else:
            visit["slip_number"] = text[:500]
    for name in NAMED:
        path = file_named(walk.folder, HOSTILE[name], ".json")
        path.write_text(json.dumps(document), "utf-8")
        _records_home(walk)
        desk = walk.shell.records._desk
        assert desk is not None
        walk.shell.records.attempt_shown(partial(desk.drop, (path,)))
        _idle(walk)
        walk.look(f"imported from {name}")
        for key in ("PgDown", "PgDown", "Down"):
            walk.press(key)
            walk.look(f"imported from {name}: {key}")


def _restored(walk: Walk) -> None:
    """A file that is none, a backup, under such names: looked at."""
    _records_home(walk)
    walk.press("B")
    _idle(walk)
    walk.look("backed up")
    made = next((walk.shop.place.home / "backups").rglob("*.sqlite"))
    for name in NAMED:
        none = file_named(walk.folder, HOSTILE[name], ".sqlite")
        none.write_text(HOSTILE[name], "utf-8")
        copy = file_named(walk.folder, f"copy {HOSTILE[name]}", ".sqlite")
        copy.write_bytes(made.read_bytes())
        for path in (none, copy):
            _records_home(walk)
            desk = walk.shell.records._desk
            assert desk is not None
            walk.shell.records.attempt_shown(partial(desk.look_at, path))
            _idle(walk)
            walk.look(f"looked into {path.name[:20]!r}")


def _erased(walk: Walk) -> None:
    """A customer of such a name is found and erased."""
    for name in ("html", "right to left", "marks", "no blank"):
        _records_home(walk)
        walk.press("C")
        walk.paste(walk.lines()[0], HOSTILE[name][:80])
        walk.press("Return")
        _idle(walk)
        walk.look(f"found: {name}")
        walk.press("Return")
        _idle(walk)
        walk.look(f"what would be erased: {name}")
        if walk.lines():
            line = walk.lines()[-1]
            for said in TYPED.values():
                walk.paste(line, said)
                walk.press("Ctrl+Return")
                _idle(walk)
                walk.look(f"not erased: {name}")


def meters(walk: Walk) -> None:
    """Every line; ports, an instrument and its errors that say such things; a line without end."""
    with _hostile_ports():
        walk.fill("meters", lambda: walk.to("meters"))
        for key in ("1", "2", "L", "L"):
            walk.to("meters")
            walk.press(key)
            walk.settle(0.2)
            walk.look(f"ports: {key}")
        walk.press("Esc")
    for name in ("html", "terminal", "formula", "format", "no blank"):
        said = HOSTILE[name].replace(",", ";").replace("\n", " ")
        with _instrument(said) as port:
            _linked(walk, port, "scpi", name)
    with _instrument("A" * 2_000_000, talks=True) as port:
        _linked(walk, port, "text-line", "a line without end")


def _linked(walk: Walk, port: str, protocol: str, name: str) -> None:
    """Link it by hand, look at what it says on every page that tells of a meter."""
    walk.to("meters")
    desks = walk.shell.desks
    assert desks is not None
    desks.meters.connect(port, protocol, "")
    walk.until("the link", lambda: desks.meters.view().connected)
    for _look in range(5):
        walk.settle(0.4)
        walk.look(name)
    if desks.meters.view().question:
        walk.press("U")
        walk.look(f"{name}, answered")
    for page in ("counter", "bench", "match", "machine"):
        walk.to(page)
        walk.look(f"with the meter of {name}")
    walk.to("meters")
    desks.meters.disconnect()
    walk.settle(0.1)
    walk.look(f"{name}, unlinked")


def match(walk: Walk) -> None:
    """The digits of a display."""
    walk.fill("display", lambda: walk.to("match"))


def keys(walk: Walk) -> None:
    """Nothing is typed there; a pedal that is an odd key is named."""
    walk.to("help")
    walk.look("as it is")
    walk.press("Return")
    walk.technician.stage.type("\u202e")
    walk.look("an odd pedal")


WALKS: Final[Mapping[str, Callable[[Walk], None]]] = MappingProxyType(
    {
        "counter": counter,
        "bench": bench,
        "findings": findings,
        "meters": meters,
        "match": match,
        "new_machine": new_machine,
        "interview": interview,
        "photos": photos,
        "print": printing,
        "settings": settings,
        "log": log,
        "spec": spec,
        "tags": tags,
        "machine": machine,
        "help": keys,
        "machine_edit": machine_edit,
        "records": records,
    }
)


def test_every_page_is_walked(walk: Walk) -> None:
    """A page that is added to the window has a walk here."""
    assert set(walk.shell.pages) == set(WALKS)


@pytest.mark.timeout(600)
@pytest.mark.parametrize("page", WALKS)
def test_a_page_stays_in_order(walk: Walk, page: str) -> None:
    """Nothing raises or steers what shows it, all stays in its part, work grows with the length."""
    WALKS[page](walk)


@pytest.mark.long
@pytest.mark.timeout(600)
@pytest.mark.parametrize("page", WALKS)
def test_a_page_stays_in_order_with_every_text(walk: Walk, page: str) -> None:
    """The same, each text by itself."""
    WALKS[page](replace(walk, texts=tuple(TYPED)))


# --- what sits at the other end of a cable -------------------------------------------------------


@dataclass(frozen=True)
class _Port:
    """What the system says of a port."""

    device: str
    description: str
    vid: int | None = None
    pid: int | None = None
    serial_number: str | None = None
    location: str | None = None


@contextmanager
def _hostile_ports() -> Iterator[None]:
    ports = [
        _Port(f"/dev/{n} {text[:200]}", text[:3000], 1, n, text[:200], text[:200])
        for n, text in enumerate(HOSTILE.values())
    ]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(list_ports, "comports", lambda: ports)
        yield


@contextmanager
def _instrument(said: str, *, talks: bool = False) -> Iterator[str]:
    """The URL of one that answers every question with a text, or talks by itself."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(0.2)
        stop = threading.Event()
        thread = threading.Thread(target=_serve, args=(server, said, talks, stop), name="device")
        thread.start()
        try:
            yield f"socket://127.0.0.1:{server.getsockname()[1]}"
        finally:
            stop.set()
            thread.join(10.0)


def _serve(server: socket.socket, said: str, talks: bool, stop: threading.Event) -> None:
    while not stop.is_set():
        try:
            connection, _address = server.accept()
        except TimeoutError:
            continue
        with connection:
            connection.settimeout(0.1)
            _talk(connection, said, talks=talks, stop=stop)


def _talk(connection: socket.socket, said: str, *, talks: bool, stop: threading.Event) -> None:
    data = said.encode("latin-1", "replace")
    while not stop.is_set():
        try:
            if talks:
                connection.sendall(data)
            asked = connection.recv(4096)
            if not asked:
                return
            for question in asked.split(b"\n"):
                answer = {b"*IDN?": data[:60] + b"," + data[:60] + b",1,1"}.get(
                    question, data[:200]
                )
                if question.endswith(b"?"):
                    connection.sendall(answer + b"\n")
        except TimeoutError:
            continue
        except OSError:
            return

"""A bench at work until it is killed: `python -m tests.end_to_end.victim SHOP HOME VISIT`.

For every line on standard input it forks a child, prints its process id and waits for its end; so
each child starts with everything imported. A child opens the shop and puts the visit on the bench,
prints the check it stands at, and types a reading at one check after the other. It prints each
entry's id once the bench shows that it is on disk.
"""

import os
import sys
from itertools import cycle
from pathlib import Path

from benchassist.assembly import Place, open_store, spec_book
from benchassist.core.entry import Taken
from benchassist.core.slip import Ink
from benchassist.meters.room import Room
from benchassist.services.bench.bench import Bench
from benchassist.services.desk import Action
from benchassist.services.settings import SettingsFile
from benchassist.services.shop import Shop
from benchassist.specbook.book import Book
from benchassist.storage import store as _store  # noqa: F401 - imported before a child is made
from tests.end_to_end.demo import DemoClock, NoPrinter

READINGS = {"cap": "4.97k", "coil_secondary": "9.21k"}


def say(line: str) -> None:
    """Print a line in one piece, now."""
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def work(place: Place, book: Book, visit_id: str) -> None:
    """Type readings for ever."""
    shop = Shop(
        store=open_store(place),
        book=book,
        room=Room(),
        printer=NoPrinter(),
        clock=DemoClock(),
        settings_file=SettingsFile(place.home / "settings.json"),
    )
    bench = shop.bench(visit_id)
    say(f"stands {bench.visit.current.key}")
    told = len(bench.visit.entries)
    for key in cycle(READINGS):
        bench.act(Action.GOTO, key)
        bench.act(Action.TYPE)
        bench.act(Action.SUBMIT, READINGS[key])
        told = tell_of_ink(bench, told)


def tell_of_ink(bench: Bench, told: int) -> int:
    """Tick and look until nothing is in pencil, telling of each entry that the screen shows in ink.

    Returns how many entries have been told.
    """
    while not bench.pen.all_in_ink:
        bench.tick()
        shown = {item.key: item.ink for item in bench.view().ribbon}
        pencil = bench.pen.pencilled
        for entry in bench.visit.entries[told:]:
            if entry.stamp.id in pencil:
                break
            if isinstance(entry, Taken) and shown[entry.check_key] is not Ink.INK:
                break
            say(f"ink {entry.stamp.id}")
            told += 1
    return told


def main(location: str, home: str, visit_id: str) -> None:
    """Fork a child for every line that comes."""
    place = Place(location, Path(home))
    book = spec_book(place)
    book.meter_cards()
    for _ in sys.stdin:
        child = os.fork()
        if not child:
            work(place, book, visit_id)
        say(f"child {child}")
        os.waitpid(child, 0)
        say("gone")


if __name__ == "__main__":
    main(*sys.argv[1:])

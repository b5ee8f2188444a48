"""The records' page without a window: what is asked for, how far it is, what came of it."""

from dataclasses import replace
from pathlib import Path

import pytest

from benchassist.core.holding import PersonalData
from benchassist.errors import BenchError, InputError, StepError
from benchassist.services.job import Progress
from benchassist.services.record.records import Records
from benchassist.services.record.records_need import Health, MadeBackup
from benchassist.services.record.records_view import RecordsStage
from tests.services.records_case import (
    BACKUPS,
    DAMAGED,
    MACHINE,
    REPORT,
    SERVED,
    STATE,
    SWAP,
    TAKEN,
    FakeKeeping,
    records_desk,
    settle,
)


def pairs(desk: Records) -> dict[str, str]:
    """Return what stands on the paper."""
    return dict(desk.view().sheet.pairs)


def at_work(desk: Records) -> None:
    """Wait until work has said how far it is."""
    job = desk._job
    assert job is not None
    while job.share is None:
        pass


# --- home -----------------------------------------------------------------------------------------


def test_what_the_shop_is() -> None:
    """Where it is, how large, what is in it, when it was last backed up and looked through."""
    desk, _keeping = records_desk()
    told = pairs(desk)
    assert told["Kept in"].endswith("shop.sqlite")
    assert told["Size"] == "12.7 MB"
    assert told["Visits"].startswith("412, the newest of ")
    assert told["Machines"] == "187"
    assert told["Last backup"].endswith("verified when it was made")
    assert told["Looked through"] == "at this start: whole"
    rows = desk.view().rows
    assert [row.key for row in rows] == [str(backup.file) for backup in BACKUPS]
    assert [row.detail for row in rows][:3] == [
        "of the day",
        "of the day",
        "what a restore replaced",
    ]


@pytest.mark.parametrize(
    ("health", "words"),
    [
        (Health.DAMAGED, "damaged: restore a backup"),
        (Health.LOOKING, "not yet"),
        (Health.SERVED, "the server looks after it"),
    ],
)
def test_how_sound_it_is_is_said(health: Health, words: str) -> None:
    """In words."""
    desk, _keeping = records_desk(told=replace(STATE, health=health))
    assert pairs(desk)["Looked through"] == words


def test_a_salvaged_backup_is_not_the_last_one() -> None:
    """It pushes out no other and is not what one would restore first."""
    desk, _keeping = records_desk(kept=(replace(BACKUPS[0], why="salvaged"), BACKUPS[1]))
    assert pairs(desk)["Last backup"] != records_desk()[0].view().sheet.pairs[4][1]
    assert records_desk(kept=())[0].view().rows_text == "No backup here yet"


def test_a_shop_that_cannot_be_read_says_why() -> None:
    """In one line; everything else is offered as ever."""

    class Unread(FakeKeeping):
        def state(self) -> None:  # type: ignore[override]
            raise DAMAGED

    desk = Records(Unread(), records_desk()[0]._clock)
    desk.begin()
    settle(desk)
    assert desk.view().error == str(DAMAGED)
    assert desk.view().rows


# --- back up --------------------------------------------------------------------------------------


def test_a_backup_says_how_far_it_is_and_what_came_of_it() -> None:
    """In a thread; the page polls it."""
    desk, keeping = records_desk(waits=True, share=(42, 100))
    desk.back_up()
    at_work(desk)
    view = desk.view()
    assert (view.stage, view.share, view.progress_text) == (RecordsStage.WORK, 0.42, "42% done")
    assert view.may_stop
    keeping.go.set()
    settle(desk)
    view = desk.view()
    assert view.stage is RecordsStage.DONE
    assert view.lines[0] == "Backed up and verified: 412 visits, 12.7 MB"
    assert view.renewals == 0


def test_work_can_be_stopped() -> None:
    """Esc stops it; that is said, and one is back at the front."""
    desk, keeping = records_desk(waits=True, share=(1, 100))
    desk.back_up()
    at_work(desk)
    assert desk.leave()
    assert desk.view().progress_text == "Stopping"
    settle(desk)
    assert (desk.view().stage, desk.view().note) == (
        RecordsStage.HOME,
        "Stopped. Nothing of it is left",
    )
    keeping.go.set()


def test_one_thing_at_a_time() -> None:
    """Other work is refused while some is under way."""
    desk, keeping = records_desk(waits=True)
    desk.back_up()
    for act in (
        desk.back_up,
        lambda: desk.look_at(BACKUPS[0].file),
        lambda: desk.ask(RecordsStage.FIND),
        lambda: desk.drop((Path("x.json"),)),
    ):
        with pytest.raises(StepError, match="other work is under way"):
            act()
    keeping.go.set()
    settle(desk)
    assert keeping.calls == [("back_up",)]


def test_what_fails_says_why_where_it_was_begun() -> None:
    """In one line."""
    desk, _keeping = records_desk(refusal=BenchError("the disk is full: make room"))
    desk.back_up()
    settle(desk)
    assert (desk.view().stage, desk.view().error) == (
        RecordsStage.HOME,
        "the disk is full: make room",
    )
    desk.ask(RecordsStage.IMPORT)
    desk.submit({"path": "/media/x.json"})
    settle(desk)
    assert (desk.view().stage, desk.view().error) == (
        RecordsStage.IMPORT,
        "the disk is full: make room",
    )


def test_what_nobody_foresaw_is_raised() -> None:
    """A fault of the program's own goes to the window's hook."""

    class Broken(FakeKeeping):
        def back_up(self, progress: object) -> None:  # type: ignore[override]
            del progress
            raise ZeroDivisionError

    desk = Records(Broken(), records_desk()[0]._clock)
    desk.begin()
    settle(desk)
    desk.back_up()
    with pytest.raises(ZeroDivisionError):
        settle(desk)


# --- restore --------------------------------------------------------------------------------------


def test_a_restore_is_looked_at_first() -> None:
    """Backup and present beside each other, and what would be gone; nothing is changed."""
    desk, keeping = records_desk()
    desk.look_at(BACKUPS[1].file)
    settle(desk)
    view, told = desk.view(), pairs(desk)
    assert view.stage is RecordsStage.LOOK
    assert told["The backup holds"].startswith("409 visits, 12.4 MB, revision 0004, newest of ")
    assert told["The shop now holds"].startswith("412 visits")
    gone = "3 visits (0410, 0411, 0412) and 17 lines written since on other visits"
    assert told["Would be gone from the shop"] == gone
    assert keeping.calls == [("look_at", BACKUPS[1].file)]


def test_a_restore_needs_its_word() -> None:
    """Typed, whatever its case; anything else changes nothing."""
    desk, keeping = records_desk()
    desk.look_at(BACKUPS[1].file)
    settle(desk)
    for typed in ("", "yes", "restor"):
        with pytest.raises(InputError, match="type restore to go on"):
            desk.submit({"typed": typed})
    desk.submit({"typed": " Restore "})
    settle(desk)
    assert keeping.calls[1:] == [("restore", SWAP), ("renew",)]
    view = desk.view()
    assert (view.stage, view.renewals) == (RecordsStage.DONE, 1)
    assert view.lines[0] == "Restored: 409 visits"
    assert view.lines[1].startswith("What was there is in ")


def test_a_restore_that_is_refused_opens_the_shop_again() -> None:
    """It was closed for it: the desks are made anew, and the line says why."""
    desk, keeping = records_desk()
    desk.look_at(BACKUPS[1].file)
    settle(desk)
    keeping.refusal = BenchError("another program has the shop file open: close it")
    desk.submit({"typed": "restore"})
    settle(desk)
    assert keeping.calls[-1] == ("renew",)
    view = desk.view()
    assert (view.stage, view.renewals) == (RecordsStage.LOOK, 1)
    assert view.error == "another program has the shop file open: close it"


def test_nothing_is_put_aside_in_the_middle_of_work() -> None:
    """A run that is logged, a visit that is not all on disk."""
    desk, keeping = records_desk(under_way="a run is being logged on slip 0412: end it first")
    desk.look_at(BACKUPS[1].file)
    settle(desk)
    with pytest.raises(StepError, match="a run is being logged"):
        desk.submit({"typed": "restore"})
    desk.ask(RecordsStage.FIND)
    desk.submit({"typed": "tallow"})
    settle(desk)
    desk.choose("m1")
    with pytest.raises(StepError, match="a run is being logged"):
        desk.submit({"typed": "TH-07"})
    assert not {call[0] for call in keeping.calls} & {"restore", "erase"}


def test_a_damaged_shop_is_restored_too() -> None:
    """What it held cannot be told."""
    desk, _keeping = records_desk(swap=replace(SWAP, present=None, fault="it is damaged"))
    desk.look_at(BACKUPS[0].file)
    settle(desk)
    told = pairs(desk)
    assert told["The shop now holds"] == "it is damaged"
    assert told["Would be gone from the shop"].startswith("cannot be told")


def test_a_server_is_restored_as_a_file_is() -> None:
    """From a dump, also one that is dropped on the page."""
    desk, keeping = records_desk(on_server=True, told=SERVED)
    assert "Size" not in pairs(desk)
    desk.drop([Path("/media/b.dump")])
    settle(desk)
    assert desk.view().stage is RecordsStage.LOOK
    desk.submit({"typed": "restore"})
    settle(desk)
    assert [call[0] for call in keeping.calls] == ["look_at", "restore", "renew"]
    desk.back_up()
    settle(desk)
    assert desk.view().lines[-1].startswith("Made by the server’s own pg_dump")


def test_a_server_without_its_program_is_copied_into_a_file() -> None:
    """The page says how that comes back; it can be stopped like any other."""

    class Without(FakeKeeping):
        def back_up(self, progress: Progress) -> MadeBackup:
            return replace(super().back_up(progress), dumped=False)

    keeping = Without(on_server=True, told=SERVED, waits=True, share=(1, 100))
    desk = Records(keeping, records_desk()[0]._clock)
    keeping.go.set()
    desk.begin()
    settle(desk)
    keeping.go.clear()
    desk.back_up()
    at_work(desk)
    assert desk.view().may_stop
    keeping.go.set()
    settle(desk)
    assert desk.view().lines[-1] == "A shop file: benchassist move brings it to an empty database"


def test_a_backup_goes_to_a_disk_with_the_photos() -> None:
    """Into what was typed; what went along and what is not here is said."""
    desk, keeping = records_desk()
    desk.ask(RecordsStage.BACKUP)
    with pytest.raises(InputError, match="type its path"):
        desk.submit({"path": " "})
    desk.submit({"path": "/media/stick"})
    settle(desk)
    assert keeping.calls == [("back_up_to", Path("/media/stick"), True)]
    assert desk.view().lines[1:] == (
        str(Path("/media/stick") / BACKUPS[0].file.name),
        "215 photos beside it, each read back; 12 of them new there",
        "4 photos not on this computer: only their small pictures are in it",
    )
    desk.leave()
    desk.ask(RecordsStage.BACKUP)
    desk.submit({"path": "/media/stick", "photos": "keep"})
    settle(desk)
    assert keeping.calls[-1] == ("back_up_to", Path("/media/stick"), False)
    assert desk.view().lines[-1].startswith("Of photos it has only small pictures")


def test_photos_that_come_back_are_told() -> None:
    """Before, on the look; after it, how many came, or why they did not."""
    desk, keeping = records_desk(swap=replace(SWAP, photos=3))
    desk.look_at(BACKUPS[1].file)
    settle(desk)
    assert pairs(desk)["Would come back"] == "3 photos"
    desk.submit({"typed": "restore"})
    settle(desk)
    assert desk.view().lines[-1] == "3 photos came back with it"
    keeping.photo_note = "its photos were not brought back: the disk is full"
    desk.look_at(BACKUPS[1].file)
    settle(desk)
    desk.submit({"typed": "restore"})
    settle(desk)
    assert desk.view().lines[-1] == keeping.photo_note


# --- in and out -----------------------------------------------------------------------------------


def test_an_import_tells_every_visit_that_is_another() -> None:
    """Line by line; the desks are made anew, since machines may be new."""
    desk, keeping = records_desk()
    desk.ask(RecordsStage.IMPORT)
    desk.submit({"path": ' "/media/stick/visits" '})
    settle(desk)
    assert keeping.calls == [("take_in", (Path("/media/stick/visits"),)), ("renew",)]
    view = desk.view()
    assert view.lines == ("37 imported, 371 on file already", *TAKEN.conflicts, *TAKEN.renumbered)
    assert view.renewals == 1
    desk.ask(RecordsStage.IMPORT)
    with pytest.raises(InputError, match="type its path"):
        desk.submit({"path": " "})


def test_nothing_new_is_said() -> None:
    """Imported twice; stopped by the shop in the middle."""
    desk, _keeping = records_desk(taken=replace(TAKEN, imported=0, conflicts=(), renumbered=()))
    desk.drop((Path("a.json"),))
    settle(desk)
    assert desk.view().lines == ("Nothing changed: 371 on file already",)
    desk, _keeping = records_desk(taken=replace(TAKEN, failure="the disk is full"))
    desk.drop((Path("a.json"), Path("b.json")))
    settle(desk)
    assert desk.view().lines[1] == "The rest is left: the disk is full"


def test_what_is_dropped_is_imported_or_looked_at() -> None:
    """A backup is not imported."""
    desk, keeping = records_desk()
    desk.drop((Path("b.sqlite"),))
    settle(desk)
    desk.leave()
    desk.drop((Path("a.json"), Path("b.json")))
    settle(desk)
    desk.drop(())
    assert [call[0] for call in keeping.calls] == ["look_at", "take_in", "renew"]


@pytest.mark.parametrize(
    ("answers", "asked"),
    [
        ({"path": "out"}, ("", Path("out"))),
        ({"path": "out", "tag": " th-07 ", "shape": "folder"}, ("th-07", Path("out"))),
        ({"path": "out", "shape": "table"}, ("", Path("out.csv"))),
        ({"path": "out.CSV", "shape": "table"}, ("", Path("out.CSV"))),
    ],
)
def test_an_export_goes_where_it_is_asked_to(
    answers: dict[str, str], asked: tuple[str, Path]
) -> None:
    """All visits or a machine's, whole or as a table."""
    desk, keeping = records_desk()
    desk.ask(RecordsStage.EXPORT)
    desk.submit(answers)
    settle(desk)
    assert keeping.calls == [("write_out", *asked)]
    assert desk.view().lines[0] == "Exported: 412 visits"


def test_an_export_without_a_place_is_refused() -> None:
    """So is a table's name for whole visits."""
    desk, keeping = records_desk()
    desk.ask(RecordsStage.EXPORT)
    with pytest.raises(InputError, match="type its path"):
        desk.submit({"path": ""})
    with pytest.raises(InputError, match="go into a folder"):
        desk.submit({"path": "x.csv", "shape": "folder"})
    assert keeping.calls == []


# --- a customer -----------------------------------------------------------------------------------


def found_desk(**given: object) -> tuple[Records, FakeKeeping]:
    """Return a desk at which a customer was found."""
    desk, keeping = records_desk(**given)
    desk.ask(RecordsStage.FIND)
    desk.submit({"typed": "tallow"})
    settle(desk)
    return desk, keeping


def test_a_customer_is_found_with_all_that_is_held() -> None:
    """The paper says of the machine under the cursor what goes and what stays."""
    desk, keeping = found_desk()
    assert keeping.calls == [("find", "tallow")]
    view = desk.view()
    assert (view.stage, view.rows_text) == (RecordsStage.FIND, "2 machines")
    assert [row.value for row in view.rows] == ["tag TH-07", "tag TH-09"]
    told = dict(desk.under("m1").pairs)
    assert told["Name"] == MACHINE.customer
    assert told["On file"] == "4 of 4 visits name them"
    assert told["In words people typed"] == "3 texts: 0117, 0204"
    assert told["Photos"] == "5 photos"
    assert told["Named at other machines’ visits"] == "1 text: 0388"
    assert "every reading, verdict and date" in told["Stays"]


def test_nobody_found_is_said() -> None:
    """And nothing typed is refused."""
    desk, _keeping = found_desk(found=PersonalData())
    assert desk.view().rows_text == "Nobody of that name or number: ‘tallow’"
    with pytest.raises(InputError, match="type a name"):
        desk.submit({"typed": " "})
    with pytest.raises(StepError, match="choose one"):
        desk.choose("m1")


@pytest.mark.parametrize(
    ("answers", "told"),
    [
        ({}, (True, False)),
        ({"photos": "keep"}, (False, False)),
        ({"photos": "erase", "backups": "erase"}, (True, True)),
        ({"elsewhere": "/media/stick"}, (True, False, Path("/media/stick"))),
    ],
)
def test_a_customer_is_erased_once_the_tag_is_typed(
    answers: dict[str, str], told: tuple[object, ...]
) -> None:
    """Nothing before; what still holds it is named with its date."""
    desk, keeping = found_desk()
    desk.choose("m1")
    for typed in ("", "TH-09", "erase"):
        with pytest.raises(InputError, match="type TH-07 to go on"):
            desk.submit(answers | {"typed": typed})
    desk.submit(answers | {"typed": "th-07"})
    settle(desk)
    assert keeping.calls[1:] == [("erase", ("m1",), *told), ("renew",)]
    view = desk.view()
    assert view.renewals == 1
    assert view.lines[0] == "Erased at 4 visits; 4 texts now read [erased]"
    for backup in REPORT.backups:
        assert any(backup.file.name in line for line in view.lines)
    assert view.lines[-1].startswith("Not reached: ")
    # What was found is found no more.
    desk.leave()
    desk.ask(RecordsStage.FIND)
    assert desk.view().rows == ()


def test_dropped_backups_are_said() -> None:
    """And what went wrong, in a line each."""
    desk, _keeping = found_desk(
        report=replace(REPORT, backups=(), removed=9, notes=("the log is emptied later",))
    )
    desk.choose("m1")
    desk.submit({"typed": "TH-07", "backups": "erase"})
    settle(desk)
    lines = desk.view().lines
    assert "9 backups from before are removed, one of now is made" in lines
    assert "the log is emptied later" in lines


# --- the way back ---------------------------------------------------------------------------------


def test_esc_goes_back_step_by_step() -> None:
    """From the erasure to those found, to the front, and away."""
    desk, _keeping = found_desk()
    desk.choose("m1")
    assert desk.leave()
    assert desk.view().stage is RecordsStage.FIND
    assert desk.view().rows
    assert desk.leave()
    assert desk.view().stage is RecordsStage.HOME
    assert not desk.leave()


def test_what_cannot_be_stopped_is_waited_for() -> None:
    """Leaving the page and coming again finds it still at work, then done."""
    desk, keeping = found_desk()
    keeping.waits = True
    desk.choose("m1")
    desk.submit({"typed": "TH-07"})
    assert desk.leave()
    desk.begin()
    assert desk.view().stage is RecordsStage.WORK
    assert not desk.view().may_stop
    keeping.go.set()
    settle(desk)
    desk.begin()
    assert desk.view().stage is RecordsStage.DONE
    desk.close()

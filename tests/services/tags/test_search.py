"""A scanned or typed tag at the counter finds its machine, a mistyped one is refused."""

from pathlib import Path

import pytest

from benchassist.core.tag import code_of
from benchassist.services.front.counter import MOST_SHOWN
from tests.services.rig import ShopRig


@pytest.fixture
def rig(tmp_path: Path) -> ShopRig:
    """A shop whose tags begin alike."""
    rig = ShopRig(tmp_path)
    for tag in ("M-0140", "M-0141", "M-0142", "M-0143", "M-014"):
        rig.machine(tag, customer="Nether Moor Dairy")
    return rig


@pytest.mark.parametrize("typed", ["M-014", "m-014", " M-014 ", code_of("M-014").lower()])
def test_the_machine_with_this_very_tag_comes_first(rig: ShopRig, typed: str) -> None:
    """Payload or code, in any case, however many tags begin with it."""
    view = rig.shop.counter.view(typed)
    assert view.machines[0].tag_text == "tag M-014"
    assert len(view.machines) <= MOST_SHOWN


def test_a_code_finds_its_machine_alone(rig: ShopRig) -> None:
    """The check character says that the tag is complete."""
    view = rig.shop.counter.view(code_of("M-014"))
    assert [card.tag_text for card in view.machines] == ["tag M-014"]
    assert view.found_text == "1 machine found"


def test_a_mistyped_code_is_refused_in_one_line(rig: ShopRig) -> None:
    """Two characters swapped: no machine is shown, though one has the tag that was typed."""
    rig.machine("M-041")
    view = rig.shop.counter.view(f"m-041.{code_of('M-014')[-1]}")
    assert view.machines == ()
    check = code_of("M-014")[-1]
    assert view.found_text == (
        f"M-041.{check}: the last character does not fit the tag. Read it again."
    )


def test_a_code_of_another_shop_is_said(rig: ShopRig) -> None:
    """The code holds, the machine is not here."""
    view = rig.shop.counter.view(code_of("Z-900"))
    assert view.machines == ()
    assert view.found_text == f"{code_of('Z-900')}: no machine on file has this tag."


def test_words_are_searched_as_before(rig: ShopRig) -> None:
    """A dot in a name is no code while something is found."""
    rig.machine("X-1", customer="St.A")
    assert [c.tag_text for c in rig.shop.counter.view("st.a").machines] == ["tag X-1"]
    found_text = rig.shop.counter.view("nether moor").found_text
    assert found_text == "5 machines found, the best 3 here"


def test_a_mistyped_code_finds_nothing_close_to_it(rig: ShopRig) -> None:
    """What comes close to the parts of a code is no machine to show for it."""
    rig.store.near = list(rig.store.kept_machines.values())
    view = rig.shop.counter.view(f"m-041.{code_of('M-014')[-1]}")
    assert view.machines == ()
    assert not view.close
    assert "Read it again" in view.found_text

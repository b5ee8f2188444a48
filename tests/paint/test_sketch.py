from math import hypot

import pytest
from PySide6.QtCore import QRectF

from benchassist.paint.palette import DARK, LIGHT, PRINT, Palette
from benchassist.paint.sketch import paint_machine, paint_sketch, sketch_keys, sketch_label_keys
from benchassist.paint.sketch_board import trace
from tests.paint import specimen
from tests.paint.raster import Raster, overlaps, render

KEYS = sketch_keys()
SIZES = {"whole": (288, 224), "squeezed": (288, 176), "full hd": (405, 315)}
PROBED = {
    "cap": 2,
    "coil_primary": 2,
    "coil_secondary": 2,
    "path": 2,
    "plug": 2,
    "stop_wire": 2,
    "stop_switch": 2,
    "oil_switch": 2,
    "leads": 2,
    "self_check": 2,
    "spark_tester": 1,
}
CUT_BELOW = {"air_gap", "plug_gap"}
"""Drawings of a part of something larger, cut by the lower edge."""


def drawn(
    key: str,
    size: tuple[int, int] = (288, 224),
    palette: Palette = LIGHT,
    labels: dict[str, str] | None = None,
) -> tuple[Raster, tuple[tuple[float, float], ...]]:
    """The sketch from pixel 0,0, and where its probes touch."""
    contacts: list[tuple[float, float]] = []
    words = specimen.LABELS.get(key, {}) if labels is None else labels
    rect = QRectF(0.0, 0.0, *size)
    raster = render(
        *size,
        lambda p: contacts.extend(paint_sketch(p, rect, key, words, palette)),
        ground=palette.panel,
    )
    return raster, tuple(contacts)


def test_every_key_has_its_labels() -> None:
    """The keys that the procedures name are drawn, each with the labels it has room for."""
    assert set(KEYS) == set(specimen.LABELS)
    for key in KEYS:
        assert set(sketch_label_keys(key)) == set(specimen.LABELS[key])


@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)
@pytest.mark.parametrize("key", KEYS)
def test_a_sketch_stays_inside(key: str, size: tuple[int, int]) -> None:
    """Nothing touches the edge of the panel, but what is cut by its lower edge on purpose."""
    raster, _ = drawn(key, size)
    width, height = size
    edges = [(x, 0) for x in range(width)] + [(x, 1) for x in range(width)]
    sides = height if key not in CUT_BELOW else height - 30
    edges += [(x, y) for x in (0, 1, width - 2, width - 1) for y in range(sides)]
    if key not in CUT_BELOW:
        edges += [(x, y) for x in range(width) for y in (height - 2, height - 1)]
    assert all(raster.near(x, y, LIGHT.panel, tolerance=8) for x, y in edges)


@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)
@pytest.mark.parametrize("key", KEYS)
def test_labels_stand_clear(key: str, size: tuple[int, int]) -> None:
    """Labels are whole, inside, apart from each other, and on no line of the drawing."""
    raster, _ = drawn(key, size)
    bare, _ = drawn(key, size, labels={})
    room = QRectF(0.0, 0.0, *size)
    assert not list(overlaps(raster.texts))
    for text, rect in raster.texts:
        assert "…" not in text
        assert room.contains(rect), text
        assert bare.count(rect, LIGHT.ink, tolerance=110) == 0, text
    words = " ".join(text for text, _ in raster.texts).split()
    assert words == " ".join(specimen.LABELS[key][k] for k in _in_order(key, raster)).split()


def _in_order(key: str, raster: Raster) -> list[str]:
    """The label keys in the order in which their first words were drawn."""
    starts = [text.split()[0] for text, _ in raster.texts]
    labels = specimen.LABELS[key]
    return sorted(
        labels, key=lambda k: min(i for i, s in enumerate(starts) if s == labels[k].split()[0])
    )


@pytest.mark.parametrize("key", KEYS)
def test_long_labels_stay_inside(key: str) -> None:
    """A label in a longer language is wrapped or elided, never cut by the edge."""
    labels = dict.fromkeys(sketch_label_keys(key), "Massekontakt am blanken Motorgehäuse")
    raster, _ = drawn(key, labels=labels)
    room = QRectF(0.0, 0.0, 288.0, 224.0)
    assert len(raster.texts) >= len(labels)
    for text, rect in raster.texts:
        assert room.contains(rect.adjusted(0.01, 0, -0.01, 0)), text


@pytest.mark.parametrize("key", PROBED)
def test_probe_tips_touch_the_part(key: str) -> None:
    """Ink of the tip is at the contact point, and the part is beyond it where the probe points."""
    raster, contacts = drawn(key, (576, 448), labels={})
    assert len(contacts) == PROBED[key]
    for x, y in contacts:
        around = QRectF(x - 4.0, y - 4.0, 8.0, 8.0)
        assert raster.count(around, LIGHT.ink, tolerance=60) >= 4
        assert 0.0 < x < 576.0
        assert 0.0 < y < 448.0


def test_two_probes_touch_two_places() -> None:
    """Where two probes measure a part they touch it apart; shorted leads touch each other."""
    for key, count in PROBED.items():
        if count == 2:
            (x1, y1), (x2, y2) = drawn(key)[1]
            apart = hypot(x1 - x2, y1 - y2)
            assert apart == 0.0 if key == "leads" else apart > 40.0


def test_an_unknown_key_is_a_look() -> None:
    """A procedure of the shop's own may name what has no drawing: it is shown as a look."""
    assert drawn("no_such_part", labels={})[0].image == drawn("look", labels={})[0].image
    assert sketch_label_keys("no_such_part") == sketch_label_keys("look")


@pytest.mark.parametrize("key", KEYS)
def test_print_has_no_colour(key: str) -> None:
    """A sketch can be printed in black and white."""
    assert drawn(key, palette=PRINT)[0].is_grey()


def test_sketches_differ() -> None:
    """Every key has a drawing of its own."""
    seen = {bytes(drawn(key, labels={})[0].image.constBits()) for key in KEYS}
    assert len(seen) == len(KEYS)


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
def test_the_machine_fills_its_place(palette: Palette) -> None:
    """The machine is drawn inside its rectangle, in ink and band."""
    raster = render(
        236,
        150,
        lambda p: paint_machine(p, QRectF(0.0, 0.0, 236.0, 150.0), palette),
        ground=palette.panel,
    )
    whole = QRectF(0.0, 0.0, 236.0, 150.0)
    assert raster.count(whole, palette.ink) > 800
    assert raster.count(whole, palette.band, tolerance=8) > 2000
    for x in range(236):
        assert raster.near(x, 0, palette.panel)
        assert raster.near(x, 149, palette.panel)


def test_a_path_is_read_letter_by_letter() -> None:
    """Drawings are written as path letters; a letter that is none is refused."""
    path = trace("M 1,2 H 5 V 8 L 1,8 Z")
    assert path.boundingRect() == QRectF(1.0, 2.0, 4.0, 6.0)
    with pytest.raises(ValueError, match="not a path letter: X"):
        trace("M 1,2 X 3")

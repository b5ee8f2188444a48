from itertools import pairwise

import pytest

from benchassist.core.label_stock import STOCKS, LabelStock, TagJob, pages_of, place_of
from benchassist.core.tag import Tag

SHEETS = tuple(stock for stock in STOCKS if stock.is_sheet)


def tags(count: int) -> tuple[Tag, ...]:
    """So many tags."""
    return tuple(Tag(payload=f"M-{n}", code=f"M-{n}.X") for n in range(count))


@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.key)
def test_labels_lie_on_the_page_and_not_on_each_other(stock: LabelStock) -> None:
    """Every label is whole on its page; neighbours touch at most."""
    places = [place_of(stock, n) for n in range(1, stock.count + 1)]
    slack = 1e-9
    for place in places:
        assert -slack <= place.x_mm <= stock.page_width_mm - stock.width_mm + slack
        assert -slack <= place.y_mm <= stock.page_height_mm - stock.height_mm + slack
    for one, two in pairwise(places):
        beside = two.x_mm >= one.x_mm + stock.width_mm - slack
        below = two.y_mm >= one.y_mm + stock.height_mm - slack
        assert beside or below
    with pytest.raises(ValueError, match=str(stock.count + 1)):
        place_of(stock, stock.count + 1)


@pytest.mark.parametrize("stock", SHEETS, ids=lambda stock: stock.key)
def test_a_used_sheet_is_filled_from_its_first_free_label(stock: LabelStock) -> None:
    """Labels before the start stay free, what does not fit begins the next sheet at its first."""
    start = stock.count - 1
    first, second = pages_of(TagJob(stock=stock, tags=tags(5), start=start))
    assert [place for place, _tag in first] == [place_of(stock, start), place_of(stock, start + 1)]
    assert [place for place, _tag in second] == [place_of(stock, n) for n in (1, 2, 3)]
    assert [tag for _place, tag in (*first, *second)] == list(tags(5))


def test_a_full_sheet_is_one_sheet_and_a_single_label_one_page() -> None:
    """No empty page follows."""
    sheet, single = SHEETS[0], STOCKS[-1]
    assert len(pages_of(TagJob(stock=sheet, tags=tags(sheet.count)))) == 1
    assert len(pages_of(TagJob(stock=single, tags=tags(3)))) == 3

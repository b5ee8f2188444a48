"""The CSV of `visits export` from outside: read by pandas, which is told only what is a time."""

from pathlib import Path

import pandas as pd
import pytest

from benchassist.core.entry import Taken
from benchassist.core.visit import Visit
from benchassist.storage import open_store
from benchassist.storage.reading_sheet import COLUMNS
from tests.benchmarks.shop_fill import fill_file
from tests.benchmarks.shop_plan import SMALL
from tests.cli.program import Program

SEED = 12
TIMES = ("opened_at", "at")
NUMBERS = (
    *("read_value", "resolution", "range", "value", "expanded_uncertainty", "coverage_factor"),
    *("band_low", "band_high", "part_temperature_celsius"),
)


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a small drawn shop's file."""
    path = tmp_path_factory.mktemp("sheet") / "shop.sqlite"
    fill_file(path, SMALL, SEED)
    return path


@pytest.fixture(scope="module")
def visits(drawn: Path) -> list[Visit]:
    """Return its visits, oldest first."""
    with open_store(drawn, read_only=True) as store:
        return [Visit(*store.visit(summary.id)) for summary in reversed(store.visits())]


@pytest.fixture
def sheet(program: Program, drawn: Path, visits: list[Visit], tmp_path: Path) -> pd.DataFrame:
    """Return every visit's readings as pandas reads what the command wrote."""
    out = tmp_path / "x.csv"
    ids = [visit.header.id for visit in visits]
    done = program("visits", "export", *ids, "--out", out, "--shop", drawn)
    assert (done.code, done.err) == (0, "")
    return pd.read_csv(out, parse_dates=list(TIMES), dtype={"slip_number": str})


def test_columns_have_their_types(sheet: pd.DataFrame) -> None:
    """Numbers are numbers, truth is truth, times are UTC, everything else is text."""
    assert tuple(sheet.columns) == COLUMNS
    for name in COLUMNS:
        column = sheet[name]
        if name in TIMES:
            assert isinstance(column.dtype, pd.DatetimeTZDtype), name
            assert str(column.dtype.tz) == "UTC"
        elif name in NUMBERS:
            assert column.dtype == "float64", name
        elif name in {"struck", "overload"}:
            assert column.dtype == "bool", name
        elif name == "seq":
            assert column.dtype == "int64"
        else:
            assert pd.api.types.is_string_dtype(column.dropna()), name


def test_values_are_the_shops_to_the_last_bit(sheet: pd.DataFrame, visits: list[Visit]) -> None:
    """Every reading in order, its numbers unchanged, absent where there is none."""
    taken = [(v, e) for v in visits for e in v.entries if isinstance(e, Taken)]
    assert len(sheet) == len(taken) == SMALL.readings
    for row, (visit, entry) in zip(sheet.itertuples(index=False), taken, strict=True):
        assert row.slip_number == visit.header.slip_number
        assert row.entry_id == entry.stamp.id
        assert (row.check, row.seq) == (entry.check_key, entry.stamp.seq)
        assert row.at.to_pydatetime() == entry.stamp.at
        assert row.opened_at.to_pydatetime() == visit.header.opened_at
        assert (row.struck, row.overload) == (visit.is_struck(entry), entry.reading.overload)
        assert row.verdict == entry.judgement.verdict
        band = entry.band
        for shown, kept in (
            (row.read_value, entry.reading.value),
            (row.resolution, entry.reading.resolution),
            (row.range, entry.reading.full_scale),
            (row.value, entry.judgement.value),
            (row.expanded_uncertainty, entry.judgement.expanded_uncertainty),
            (row.band_low, band.low if band else None),
            (row.band_high, band.high if band else None),
        ):
            assert pd.isna(shown) if kept is None else shown == kept


def test_a_question_across_visits_comes_out_as_in_the_shop(
    sheet: pd.DataFrame, visits: list[Visit]
) -> None:
    """Means of a part by machine, struck ones left out, as pandas groups them."""
    part = sheet[(sheet.check == "coil_secondary") & ~sheet.struck]
    means = part.groupby("machine_tag").value.mean()
    kept: dict[str, list[float]] = {}
    for visit in visits:
        for taken in visit.taken("coil_secondary"):
            assert taken.judgement.value is not None
            kept.setdefault(visit.header.machine.tag, []).append(taken.judgement.value)
    assert len(kept) == SMALL.machines
    assert means.to_dict() == pytest.approx({t: sum(v) / len(v) for t, v in kept.items()})
    by_verdict = sheet.groupby("verdict").size()
    assert int(by_verdict.sum()) == SMALL.readings

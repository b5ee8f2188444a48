"""The figures' own sums and table."""

import pytest

from tests.benchmarks.__main__ import main
from tests.benchmarks.figure import Aim, Figure, median_time, settled, side_by_side, table


@pytest.mark.parametrize(
    ("aim", "ours", "ratio", "verdict"),
    [
        (Aim(1.3), 5.0, 1.3, "holds"),
        (Aim(1.3), 1.0, 1.31, "falls short"),
        (Aim(50, at_least=True), 1.0, 49.0, "falls short"),
        (Aim(50, at_least=True), 1.0, 50.0, "holds"),
        (Aim(0.05, on="ours"), 0.06, 0.0, "falls short"),
        (Aim(2.5), 1.0, None, "not measured"),
        (None, 1.0, 1.0, ""),
    ],
)
def test_a_figure_is_held_against_its_aim(
    aim: Aim | None, ours: float, ratio: float | None, verdict: str
) -> None:
    """The limit itself still holds; a figure without its ratio is not called reached."""
    assert Figure("x", ours, ratio=ratio, aim=aim).verdict == verdict


def test_the_table_lines_up() -> None:
    """Numbers stand under their heading, right-aligned, and the verdict beside the aim."""
    lines = table([Figure("first paint", 0.5, 0.4, 1.25, Aim(1.3)), Figure("x", 12.0)]).split("\n")
    assert lines[0].index("ours") + 4 == lines[2].index("0.5") + 3 == lines[3].index("12") + 2
    assert "ratio at most 1.3  holds" in lines[2]


def test_times_are_taken_in_turns() -> None:
    """Side by side calls one, then the other, so that both meet the same machine."""
    calls: list[str] = []
    pair = side_by_side(lambda: calls.append("a"), lambda: calls.append("b"), 3)
    assert calls == ["a", "b"] * 3
    assert pair.ratio == pair.ours / pair.baseline


def test_one_call_is_what_is_reported() -> None:
    """A round of several calls is divided by their number."""
    calls: list[int] = []
    assert median_time(lambda: calls.append(1), 4, inner=5) > 0
    assert len(calls) == 20


def test_a_restless_run_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    """Times that scatter get a line on standard error; calm ones do not."""
    assert settled("calm", [1.0, 1.1, 1.05, 1.02, 1.0]) == 1.02
    assert capsys.readouterr().err == ""
    settled("busy", [1.0, 2.0, 1.0, 3.0, 1.0, 4.0])
    assert "busy" in capsys.readouterr().err


def test_an_unknown_name_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    """A benchmark that is not there ends with 2 and names it."""
    assert main(["no_such_thing"]) == 2
    assert "no_such_thing" in capsys.readouterr().err

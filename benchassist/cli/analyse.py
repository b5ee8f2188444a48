"""`analyse heat` and `analyse speed`: a log from elsewhere, without a window."""

import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated

import typer

from benchassist import assembly
from benchassist.cli.option import Home, Json, Shop
from benchassist.cli.output import print_json, remark, say
from benchassist.core.plain_text import brief
from benchassist.core.run import HeatedPart
from benchassist.errors import InputError

app = typer.Typer(help="Logs from elsewhere.", rich_markup_mode=None)

LogFile = Annotated[
    Path, typer.Argument(metavar="FILE", help="CSV with t_s,value,unit, or the lines of log.")
]


@app.command()
def heat(
    file: LogFile,
    part: Annotated[str, typer.Option(help="winding, cap, lead or path.")] = "winding",
    as_json: Json = False,
    shop: Shop = None,
    home: Home = None,
) -> int:
    """What happened to a resistance while its part was warmed."""
    from benchassist.services.runs.analysis import heat_finding, heat_lines, heat_report, read_heat

    assembly.place_of(shop, home)
    if part not in tuple(HeatedPart):
        raise InputError(f"--part '{brief(part)}' is not one of {', '.join(HeatedPart)}")
    log = read_heat(file)
    finding = heat_finding(log, HeatedPart(part))
    _tell(log.faults, len(log.samples), log.rejected, log.spread)
    if as_json:
        print_json(heat_report(log, finding, HeatedPart(part)))
    else:
        _print_lines(heat_lines(finding, HeatedPart(part)))
    return 0


@app.command()
def speed(
    file: LogFile,
    pulses_per_rev: Annotated[
        float, typer.Option(help="1 fires every turn, 0.5 every other; a generator: pole pairs.")
    ],
    low: Annotated[float | None, typer.Option(help="Low speed, rpm.")] = None,
    high: Annotated[float | None, typer.Option(help="High speed, rpm.")] = None,
    as_json: Json = False,
    shop: Shop = None,
    home: Home = None,
) -> int:
    """Levels, idle-downs and hunting in a log of hertz or rpm."""
    from benchassist.services.runs.analysis import (
        SpeedRequest,
        read_speed,
        speed_lines,
        speed_report,
    )

    assembly.place_of(shop, home)
    request = SpeedRequest(pulses_per_rev=pulses_per_rev, low=low, high=high)
    log, finding = read_speed(file, request)
    _tell(log.faults, len(log.samples), log.rejected, log.spread)
    if as_json:
        print_json(speed_report(log, finding))
    else:
        _print_lines(speed_lines(finding, request))
    return 0


def _tell(faults: Iterable[str], used: int, rejected: int, spread: int) -> None:
    """Every bad row with its line, then what could be used, and what was done to their times."""
    told = list(faults)
    for fault in told:
        remark(fault)
    if told:
        print(f"{used} rows used, {rejected} left out", file=sys.stderr)
    if spread:
        print(
            f"{spread} rows have the time of the row before: spread evenly up to the next time",
            file=sys.stderr,
        )


def _print_lines(lines: Iterable[str]) -> None:
    for line in lines:
        say(line)

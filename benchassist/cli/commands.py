"""The commands without a window, as typer reads them. The only door to typer."""

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from benchassist import assembly
from benchassist.assembly import opening, record
from benchassist.cli import analyse, keep, records
from benchassist.cli.option import Home, Json, Shop, place_from
from benchassist.cli.output import print_json, print_json_list, remark, say
from benchassist.core.link import LinkRequest
from benchassist.core.plain_text import brief
from benchassist.core.quantity import Quantity
from benchassist.errors import InputError

app = typer.Typer(
    add_completion=False,
    no_args_is_help=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="Bench Assistant: measure, judge, keep and print. Without a command it opens the window.",
)
specs_app = typer.Typer(help="The spec book.", rich_markup_mode=None)
visits_app = typer.Typer(help="Visits on file.", rich_markup_mode=None)
app.add_typer(specs_app, name="specs")
app.add_typer(visits_app, name="visits")
app.add_typer(analyse.app, name="analyse")
app.add_typer(keep.app)
app.add_typer(records.app)


def run(arguments: Sequence[str]) -> int:
    """Run a command; a wrong use is one line and exit 2, without frames."""
    command = typer.main.get_command(app)
    try:
        code = command.main(list(arguments), prog_name="benchassist", standalone_mode=False)
    except typer.TyperException as error:
        raise InputError(_one_line(error)) from None
    except (typer.Abort, KeyboardInterrupt):
        return 1
    return code if isinstance(code, int) else 0


def _one_line(error: typer.TyperException) -> str:
    """What was wrong, and where a command is missing or unknown, which ones there are."""
    said = " ".join(error.format_message().split())
    known = getattr(getattr(getattr(error, "ctx", None), "command", None), "commands", {})
    if known and "command" in said:
        return f"{said.removesuffix('.')}: there are {', '.join(known)}"
    return said


@app.callback(invoke_without_command=True)
def everywhere(context: typer.Context, shop: Shop = None, home: Home = None) -> None:
    """Where the shop's records and settings are, before or after the command's name."""
    context.obj = {"shop": shop, "home": home}
    if context.invoked_subcommand is None:
        raise typer.Exit(opening.open_window(assembly.place_of(shop, home)))


@app.command()
def practice(
    context: typer.Context,
    headless: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Play the visit, write what it leaves.")
    ] = None,
    as_json: Json = False,
    shop: Shop = None,
    home: Home = None,
) -> int:
    """The practice bench: simulated parts behind a real port, in a shop file of its own."""
    place = place_from(context, shop, home)
    if headless is None:
        return opening.open_practice(place)
    left = opening.play_practice(place, headless)
    if as_json:
        print_json(left)
    else:
        say(f"slip.pdf, visit.json and screens are in {left['folder']}")
    return 0


@app.command()
def meters(
    context: typer.Context, as_json: Json = False, shop: Shop = None, home: Home = None
) -> int:
    """Ports of this computer and the frame families this program reads."""
    place_from(context, shop, home)
    found = assembly.list_meters()
    if as_json:
        print_json(found)
        return 0
    for port in found["ports"]:
        say(f"{port['port']}  {port['description']}")
    if not found["ports"]:
        print("No port found. Plug the meter's lead in, or name a port such as socket://host:5025.")
    for protocol in found["protocols"]:
        print(f"{protocol['name']}  {protocol['line']}")
    return 0


# A reading may begin with a minus, which is no option.
@app.command(context_settings={"ignore_unknown_options": True})
def judge(
    context: typer.Context,
    reading: Annotated[str, typer.Argument(help='As shown, such as "3.86 kohm" or OL.')],
    band: Annotated[str, typer.Option(help='"3.75 kohm..6.25 kohm"; either side may be empty.')],
    accuracy: Annotated[str | None, typer.Option(help='"0.8%+3"')] = None,
    range_: Annotated[str | None, typer.Option("--range", help='"20 kohm"')] = None,
    lead_zero: Annotated[str | None, typer.Option(help='"0.3 ohm"')] = None,
    part_temp: Annotated[
        float | None, typer.Option(help="Celsius; corrects only with --copper.")
    ] = None,
    copper: Annotated[bool, typer.Option("--copper")] = False,
    k: Annotated[float, typer.Option(help="Coverage factor.")] = 2.0,
    as_json: Json = False,
    shop: Shop = None,
    home: Home = None,
) -> int:
    """Judge one reading against a band."""
    from benchassist.core.band import Side, Verdict
    from benchassist.services.bench.judging import judge_text
    from benchassist.services.wording import verdict_word

    place_from(context, shop, home)
    result = judge_text(
        reading,
        band,
        accuracy=accuracy,
        range_=range_,
        lead_zero=lead_zero,
        part_temp=part_temp,
        copper=copper,
        k=k,
    )
    if as_json:
        print_json(result)
    else:
        side = result["side"]
        print(verdict_word(Verdict(result["verdict"]), Side(side) if side else None))
        say(result["reason"])
        if result["advice"]:
            say(result["advice"])
    return 0


@app.command()
def log(
    context: typer.Context,
    port: Annotated[str, typer.Option(help="A device path or a port URL.")],
    protocol: Annotated[str, typer.Option(help="The meter's frame family.")],
    line: Annotated[str | None, typer.Option(help="Such as 2400-7O1.")] = None,
    baud: Annotated[int | None, typer.Option()] = None,
    count: Annotated[int | None, typer.Option(help="End after so many readings.")] = None,
    seconds: Annotated[float | None, typer.Option(help="End after so long.")] = None,
    function: Annotated[
        str | None, typer.Option(help="resistance, frequency, temperature or voltage (SCPI only).")
    ] = None,
    temperature_port: Annotated[str | None, typer.Option()] = None,
    temperature_protocol: Annotated[str | None, typer.Option()] = None,
    out: Annotated[
        Path | None, typer.Option(help="x.csv, or JSON lines by any other name.")
    ] = None,
    as_json: Json = False,
    shop: Shop = None,
    home: Home = None,
) -> int:
    """Write a meter's readings as they come, one JSON line each."""
    del as_json  # a log is JSON lines with or without it
    place_from(context, shop, home)
    from benchassist.services.metering.meter_log import LogRequest

    if (temperature_port is None) is not (temperature_protocol is None):
        raise InputError("--temperature-port and --temperature-protocol go together: name both")
    quantity = _function(function)
    if quantity is not None and protocol != "scpi":
        raise InputError(f"--function sets a scpi meter only: set the {protocol} meter by its dial")
    thermometer = None
    if temperature_port is not None and temperature_protocol is not None:
        thermometer = LinkRequest(port=temperature_port, protocol=temperature_protocol, channel="B")
    meter = LinkRequest(port=port, protocol=protocol, line=line, baud=baud, quantity=quantity)
    return assembly.log_meter(
        LogRequest(meter=meter, thermometer=thermometer, count=count, seconds=seconds, out=out)
    )


def _function(text: str | None) -> Quantity | None:
    allowed = ("resistance", "frequency", "temperature", "voltage")
    if text is None:
        return None
    if text not in allowed:
        raise InputError(f"--function '{brief(text)}' is not one of {', '.join(allowed)}")
    return Quantity(text)


@specs_app.command("check")
def specs_check(
    context: typer.Context,
    path: Annotated[Path | None, typer.Argument(help="A profile or a folder of them.")] = None,
    as_json: Json = False,
    shop: Shop = None,
    home: Home = None,
) -> int:
    """Every fault in the profiles at once, file:line: message."""
    faults = assembly.check_specs(place_from(context, shop, home), path)
    for fault in faults:
        remark(fault)
    if as_json:
        print_json({"faults": list(faults)})
    elif not faults:
        print("No faults.")
    return 2 if faults else 0


@visits_app.command("list")
def visits_list(
    context: typer.Context, as_json: Json = False, shop: Shop = None, home: Home = None
) -> int:
    """Visits on file, newest first."""
    found = record.list_visits(place_from(context, shop, home))
    if as_json:
        print_json_list("visits", record.as_documents(found))
        return 0
    for visit in found:
        state = "closed" if visit.closed_at else f"{visit.done} of {visit.steps} done"
        say(
            f"{visit.slip_number}  {visit.opened_at:%Y-%m-%d}  {visit.machine.tag}  "
            f"{visit.machine.customer}  {visit.complaint}  {state}"
        )
    if not found:
        print("No visits on file.")
    return 0


@visits_app.command("show")
def visits_show(
    context: typer.Context,
    visit: Annotated[str, typer.Argument(help="The visit's id or slip number.")],
    as_json: Json = False,
    shop: Shop = None,
    home: Home = None,
) -> int:
    """One visit, as text or as its export."""
    place = place_from(context, shop, home)
    if as_json:
        print_json(record.export_visits(place, [visit]))
    else:
        print(record.visit_as_text(place, visit))
    return 0


visits_app.command("export")(keep.export)
visits_app.command("import")(keep.import_)


@app.command()
def slip(
    context: typer.Context,
    visit: Annotated[str, typer.Argument(help="The visit's id or slip number.")],
    out: Annotated[Path, typer.Option(metavar="FILE.pdf")],
    paper: Annotated[
        str | None, typer.Option(help="a4 or letter; the shop's own where not said.")
    ] = None,
    as_json: Json = False,
    shop: Shop = None,
    home: Home = None,
) -> int:
    """Print a visit's slip to a PDF."""
    record.print_slip(place_from(context, shop, home), visit, out, paper)
    if as_json:
        print_json({"out": str(out)})
    else:
        say(f"slip written to {out}")
    return 0

"""Options that every command takes."""

from typing import Annotated

import typer

Json = Annotated[bool, typer.Option("--json", help="One JSON object on standard output.")]
Shop = Annotated[
    str | None, typer.Option("--shop", metavar="FILE-OR-URL", help="The shop's file or database.")
]
Home = Annotated[
    str | None, typer.Option("--home", metavar="DIR", help="Settings, profiles and photos.")
]

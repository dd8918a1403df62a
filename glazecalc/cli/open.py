"""``open``: the bench page in the browser."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from glazecalc.cli.frame import StudioOption

EPILOG = """Examples:

  glazecalc open

  glazecalc open my-studio --phone
"""


def register(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command("open", epilog=EPILOG)(open_)


def open_(
    folder: Annotated[
        Path | None, typer.Argument(metavar="[DIR]", help="Studio folder; it is made if it is not there.")
    ] = None,
    phone: Annotated[
        bool, typer.Option("--phone", help="Let one phone on your own network in, by a key that works once.")
    ] = False,
    port: Annotated[
        int, typer.Option("--port", metavar="N", help="Port to use. [default: a free one]", show_default=False)
    ] = 0,
    browser: Annotated[
        bool, typer.Option("--browser/--no-browser", help="Open the browser, or not.", show_default=False)
    ] = True,
    studio: StudioOption = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print the address as one JSON document, then serve.")
    ] = False,
) -> None:
    """Open the bench page: the whole job in your browser, on this machine alone. Ctrl-C stops it."""
    import sys

    from glazecalc.cli.frame import document, print_json, write
    from glazecalc.page.server import prepare, qr_lines, serve
    from glazecalc.values.answers import ProblemsError, error

    place = folder or studio or Path()
    if folder is None and studio is not None and not studio.is_dir():
        hint = f"make one with: glazecalc start {studio}, or glazecalc open {studio}"
        raise ProblemsError([error("no-studio", "there is no such folder", hint, str(studio))])
    new = not place.exists()
    try:
        place.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError):
        raise ProblemsError([error("not-a-folder", "that is no folder", "name a folder", str(place))]) from None
    opened = prepare(port, phone)

    def tell() -> None:
        if as_json:
            print_json(document("open", "done", [{"address": opened.address, "phone": opened.phone_address}], []))
        else:
            made = f"{place} is a new folder: nothing is in it yet.\n" if new else ""
            write(sys.stdout, f"{made}The bench is open at {opened.address}\nCtrl-C closes it.\n")
            if opened.phone_address is not None:
                write(sys.stdout, f"\nFor one phone on this network, once:\n{opened.phone_address}\n\n")
                write(sys.stdout, qr_lines(opened.phone_address))
            elif phone:
                write(sys.stdout, "This machine is on no network that a phone could reach it by.\n")
        sys.stdout.flush()

    serve(opened, place.resolve(), tell, browser)

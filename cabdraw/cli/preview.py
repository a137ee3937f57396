"""`cabdraw preview`: a page that shows the car as its spec stands, and follows the file."""

from __future__ import annotations

import errno
import sys
import threading
from pathlib import Path
from typing import Annotated

import typer

from cabdraw.cli import completion
from cabdraw.cli.app import app, guarded
from cabdraw.errors import BadSpec
from cabdraw.examples import PREVIEW_EXAMPLES
from cabdraw.frozen import replace
from cabdraw.progress import COMMAND_WRONG, SPEC_WRONG, clean, put

#: The last port that there is.
LAST_PORT = 65535


@app.command(epilog=PREVIEW_EXAMPLES)
def preview(
    spec: Annotated[
        Path, typer.Argument(metavar="SPEC", show_default=False, hidden=True, autocompletion=completion.specs)
    ],
    car: Annotated[
        str | None, typer.Option("--car", metavar="NAME", help="Which car, of a spec that holds several.")
    ] = None,
    port: Annotated[
        int,
        typer.Option(
            "--port", metavar="N", min=0, max=LAST_PORT, show_default=False, help="The port to use; else any free one."
        ),
    ] = 0,
    browser: Annotated[
        bool,
        typer.Option("--browser/--no-browser", help="Whether to open the page in the browser.", show_default=False),
    ] = True,
) -> None:
    """Show a car in the browser, and follow the file as it is edited.

    SPEC is the file that describes the car. Save it in any editor, and the page shows what became of it: walls, plan,
    parts, findings and steps. Where something is wrong the page says so by its line, and the last good drawing stays.
    The page is for this machine only. Ctrl-C ends it.
    """
    raise typer.Exit(guarded(lambda: _preview(spec, car, port, browser)))


def _preview(spec: Path, car: str | None, port: int, browser: bool) -> int:
    from cabdraw.preview.desk import Desk
    from cabdraw.preview.server import Server
    from cabdraw.spec import car_keys

    cars: tuple[str, ...] | None
    try:
        cars = car_keys(spec)
    except BadSpec as bad:
        if not spec.is_file():
            return _say_refused(spec, bad)
        cars = None  # a file that is there is followed until it is right
    if cars == () and car is not None:
        put(sys.stderr, f"{clean(str(spec))}: it is one car, and has no cars: to take {clean(car)!r} from\n")
        return COMMAND_WRONG
    if cars and car not in cars:
        which = f"there is no car {clean(car)!r} in it" if car is not None else "it holds several cars"
        put(sys.stderr, f"{clean(str(spec))}: {which}: give --car and one of {clean(', '.join(cars))}\n")
        return COMMAND_WRONG
    desk = Desk(spec, car)
    try:
        server = Server(port, desk.board.follow, desk.part)
    except OSError as problem:
        put(sys.stderr, f"{_why_not(port, problem)}\n")
        return COMMAND_WRONG
    serving = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.1}, daemon=True)
    try:
        desk.start()
        serving.start()
        address = server.gate.address
        put(sys.stdout, f"{clean(spec.name)} is shown at {address}\nCtrl-C ends it.\n")
        if browser:
            _open(address)
        while True:
            desk.turn()
    finally:
        desk.end()
        if serving.is_alive():
            server.shutdown()
        server.server_close()


def _say_refused(spec: Path, bad: BadSpec) -> int:
    for error in bad.errors:
        put(sys.stderr, clean(str(replace(error, file=str(spec)))) + "\n")
    return SPEC_WRONG


def _why_not(port: int, problem: OSError) -> str:
    """Why a port cannot be had, in words."""
    if problem.errno == errno.EADDRINUSE:
        return f"port {port} is in use by another program: give another with --port, or leave it out for any free one"
    if problem.errno == errno.EACCES:
        return f"port {port} is kept for the system: give one of 1024 or more with --port, or leave it out"
    return f"port {port} cannot be used: {clean(problem.strerror or 'the system refuses it')}"


def _open(address: str) -> None:
    """Open the page; some browsers keep whoever opens them waiting until they are closed."""
    import webbrowser

    threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()

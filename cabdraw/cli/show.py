"""`cabdraw show`: the complete spec of a car, and where each value of it is from."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from cabdraw.cli import completion
from cabdraw.cli.app import OneCar, app, guarded, one_asked
from cabdraw.errors import BadSpec
from cabdraw.examples import SHOW_EXAMPLES
from cabdraw.progress import FINE, SPEC_WRONG, Asked, Report, put


@app.command(epilog=SHOW_EXAMPLES)
def show(
    spec: Annotated[
        Path, typer.Argument(metavar="SPEC", show_default=False, hidden=True, autocompletion=completion.specs)
    ],
    car: OneCar = None,
) -> None:
    """Print the complete spec of a car, with every default, and where each value is from.

    SPEC is the file that describes the car, or holds several, and then --car says which. Beside each value stands
    the file and line that it was typed in, or default. What is printed is a spec itself: the same car in one file.
    """
    raise typer.Exit(guarded(lambda: _show(one_asked(spec, car), Report(1, False))))


def _show(car: Asked, report: Report) -> int:
    from cabdraw.complete import complete_text
    from cabdraw.resolve import resolve
    from cabdraw.spec import load

    document = cab = refusal = None
    try:
        document = load(car.spec, car.car)
        cab = resolve(document)
    except BadSpec as bad:
        refusal = bad
    if document is not None:
        # One that has no room for a part is shown as well: it may take that to see what is wrong.
        put(sys.stdout, complete_text(document, cab))
    for error in refusal.errors if refusal is not None else ():
        report.object(str(car.placed(error)))
    return FINE if refusal is None else SPEC_WRONG

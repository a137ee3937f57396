"""The command line: reads what was typed, has it done, and says what came of it.

Everything heavy is imported inside the commands, so that help and mistakes in the command come at once.
What makes the exit status other than 0 is said on the error stream, everything else on the output.
"""

from __future__ import annotations

import os
import signal
import sys
from io import TextIOWrapper

try:
    from cabdraw.cli import check, compare, completion, draw, explain, import_, new, preview, schema, show, survey
    from cabdraw.cli.app import WALLS, app, guarded, stopped
    from cabdraw.cli.jobs import collect_rarely
    from cabdraw.progress import BUG, COMMAND_WRONG, DIFFERENT, ENDED, FINE, SPEC_WRONG, STOPPED, OutputLost
    from cabdraw.short import short_of
    from cabdraw.stop import ended_as_stopped, heeded
except KeyboardInterrupt:  # before anything was begun
    sys.stderr.write("\nstopped\n")
    sys.exit(130)

__all__ = [
    "BUG",
    "COMMAND_WRONG",
    "DIFFERENT",
    "ENDED",
    "FINE",
    "SPEC_WRONG",
    "STOPPED",
    "WALLS",
    "check",
    "compare",
    "draw",
    "explain",
    "import_",
    "main",
    "new",
    "preview",
    "run",
    "schema",
    "show",
    "survey",
]


def main() -> None:
    """Run the command that was typed, and exit with its status."""
    status = None
    try:
        status = run()
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # all is done and said
    except KeyboardInterrupt as stop:
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        # It came before anything was begun, or between the last that was done and the end.
        status = stopped(stop) if status is None else status
    sys.exit(status)


def run() -> int:
    """Run the command that was typed; its exit status."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    collect_rarely()
    # numpy, which comes with other libraries, would begin a thread for each processor and give it nothing to do, which
    # costs more than all else that they load.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    with heeded(), ended_as_stopped() as ended:
        status = guarded(_command)
    return ENDED if ended and status == STOPPED else status


def _command() -> int:
    completion.ready()
    try:
        app(args=sys.argv[1:], prog_name="cabdraw")
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else FINE
    except OSError as problem:  # the commands let none through: this one is from help, or the version
        if short_of(problem):
            raise
        raise OutputLost from problem
    return FINE

"""What a shell offers when TAB is pressed: spec files, walls, cars of a spec, marks of its parts."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Sequence
from pathlib import Path

import typer

#: What the shell asks through, and typer answers.
VARIABLE = "_CABDRAW_COMPLETE"
_SPECS = (".yaml", ".yml")
_TABLES = (".csv", ".tsv", ".xlsx")
#: Names that every shell takes as they are; any other one is the shell's own to complete.
_PLAIN = re.compile(r"[\w./~+@%-]+")


def ready() -> None:
    """Have typer know the shells, where one of them asks."""
    if VARIABLE in os.environ:
        from typer.completion import completion_init  # type: ignore[attr-defined]

        completion_init()


def words(*known: str) -> Callable[[str], list[str]]:
    """A completion with some words."""

    def offered(incomplete: str) -> list[str]:
        return [word for word in known if word.lower().startswith(incomplete.lower())]

    return offered


def _files(incomplete: str, endings: Sequence[str]) -> list[str]:
    """Files with one of some endings, and the folders beside them; nothing where the shell itself knows better."""
    folder, _, begun = incomplete.rpartition("/")
    above = f"{folder}/" if "/" in incomplete else ""
    try:
        found = sorted(os.scandir(Path(above or ".").expanduser()), key=lambda entry: entry.name)
    except OSError:
        return []
    here = [entry for entry in found if entry.name.startswith(begun) and (begun or not entry.name.startswith("."))]
    files = [f"{above}{entry.name}" for entry in here if entry.name.lower().endswith(tuple(endings))]
    folders = [f"{above}{entry.name}/" for entry in here if entry.is_dir()]
    if not files or not all(_PLAIN.fullmatch(name) for name in (*files, *folders)):
        return []  # a folder that is the only one is then gone into, and blanks get their backslash
    return [*files, *folders]


def specs(incomplete: str) -> list[str]:
    """Spec files."""
    return _files(incomplete, _SPECS)


def tables(incomplete: str) -> list[str]:
    """Spreadsheets with readings."""
    return _files(incomplete, _TABLES)


def surveys(incomplete: str) -> list[str]:
    """Surveys to go on from."""
    return _files(incomplete, (*_SPECS, *_TABLES))


def _typed(context: typer.Context) -> list[Path]:
    """The specs that were typed before."""
    given = [context.params.get(name) for name in ("spec", "specs", "old")]
    flat = [each for one in given for each in (one if isinstance(one, list | tuple) else [one]) if each]
    # Behind an option that waits for its value, what stands before it is not sorted out yet.
    flat += [each for each in context.args if each.lower().endswith(_SPECS)]
    return [Path(each).expanduser() for each in flat]


def cars(context: typer.Context, incomplete: str) -> list[str]:
    """The cars of the specs that were typed before."""
    from cabdraw.errors import BadSpec
    from cabdraw.spec.document import car_keys

    found: list[str] = []
    for spec in _typed(context):
        try:
            found += car_keys(spec)
        except BadSpec:
            continue
    return [key for key in dict.fromkeys(found) if key.startswith(incomplete)]


def marks(context: typer.Context, incomplete: str) -> list[str]:
    """What can be explained of the spec that was typed before: its parts, and the sizes of the one that is begun."""
    from cabdraw.errors import BadSpec
    from cabdraw.explain import NoSuchPart, explain
    from cabdraw.explain import marks as known
    from cabdraw.resolve import resolve
    from cabdraw.spec import load

    for spec in _typed(context)[:1]:
        try:
            document = load(spec, context.params.get("car"))
            cab = resolve(document)
            mark, dot, _ = incomplete.partition(".")
            offered = list(known(cab))
            if dot:
                offered = [f"{each.mark}.{each.size}" for each in explain(document, cab, mark)]
        except (BadSpec, NoSuchPart):
            continue
        return [word for word in offered if word.startswith(incomplete)]
    return []


def install(context: typer.Context, wanted: bool) -> None:
    """Have the shell that this runs in complete, from its next start on."""
    if wanted:
        from typer.completion import install_callback

        install_callback(context, None, True)  # type: ignore[arg-type]


def show(context: typer.Context, wanted: bool) -> None:
    """Print what has the shell that this runs in complete, to be put where it belongs by hand."""
    if wanted:
        from typer.completion import show_callback

        show_callback(context, None, True)  # type: ignore[arg-type]

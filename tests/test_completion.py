"""TAB in a real bash: commands, spec files, walls, cars and marks; and nothing heavy where nothing heavy is asked."""

from __future__ import annotations

import os
import pty
import select
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from conftest import REPOSITORY
from readers import need

#: What bash does on TAB, as its own programs for testing do it: the words, the cursor's word, and what came of it.
_TAB = r"""
source ./script
COMP_WORDS=("$@")
COMP_CWORD=$(( $# - 1 ))
COMP_LINE="$*"
COMP_POINT=${#COMP_LINE}
_cabdraw_completion "$1" "${COMP_WORDS[COMP_CWORD]}"
printf '%s\n' "${COMPREPLY[@]}"
complete -p cabdraw
"""


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a command called cabdraw, the script that it has for bash, and two specs."""
    need("bash")
    folder = tmp_path_factory.mktemp("tab")
    command = folder / "bin" / "cabdraw"
    command.parent.mkdir()
    command.write_text(f"#!{sys.executable}\nfrom cabdraw.cli import main\nmain()\n")
    command.chmod(0o755)
    for name in ("larkspur-car-2.yaml", "quayside-lift-b.yaml"):
        shutil.copy(REPOSITORY / "specs" / name, folder)
    shutil.copytree(REPOSITORY / "specs" / "shared", folder / "shared")
    (folder / "notes.txt").write_text("")
    (folder / "lakes").mkdir()
    # Asked from within bash, as the command looks at which shell it runs in.
    script = bash(folder, "-c", "cabdraw --show-completion > script; true")
    assert script == ""
    assert "_cabdraw_completion" in (folder / "script").read_text()
    return folder


def bash(folder: Path, *arguments: str) -> str:
    path = f"{folder / 'bin'}:{os.environ['PATH']}"
    env = {**os.environ, "PATH": path, "HOME": str(folder), "PYTHONPATH": str(REPOSITORY)}
    done = subprocess.run(
        ["bash", "--norc", *arguments], cwd=folder, env=env, capture_output=True, text=True, timeout=60, check=False
    )
    assert done.stderr == ""
    return done.stdout


def tab(folder: Path, *words: str) -> list[str]:
    """What bash offers for the last word of a command."""
    (folder / "tab").write_text(_TAB)
    *offered, how = bash(folder, "tab", "cabdraw", *words).splitlines()
    # Where nothing is offered bash completes any file, as it always does.
    assert "-o default" in how
    return [word for word in offered if word]


@pytest.mark.parametrize(
    ("words", "offered"),
    [
        (["dr"], ["draw"]),
        (["s"], ["schema", "show", "survey"]),
        (["draw", "la"], ["larkspur-car-2.yaml", "lakes/"]),
        (["draw", "lar"], ["larkspur-car-2.yaml"]),
        (["draw", "larkspur-car-2.yaml", "qu"], ["quayside-lift-b.yaml"]),
        (["draw", "lak"], []),
        (["draw", "no"], []),
        (["draw", "shared/m"], ["shared/mill-row.yaml"]),
        (["check", "quay"], ["quayside-lift-b.yaml"]),
        (["compare", "larkspur-car-2.yaml", "q"], ["quayside-lift-b.yaml"]),
        (["draw", "--wall", ""], ["back", "left", "right"]),
        (["draw", "--wall", "l"], ["left"]),
        (["draw", "--wa"], ["--wall"]),
        (["draw", "shared/mill-row.yaml", "--car", ""], ["car-1", "car-2"]),
        (["draw", "--since", "lark"], ["larkspur-car-2.yaml"]),
        (["explain", "larkspur-car-2.yaml", "lower-back"], ["lower-back-1", "lower-back-2", "lower-back-3"]),
        (["explain", "larkspur-car-2.yaml", "lower-back-1.wi"], ["lower-back-1.width"]),
        (["explain", "notes.txt", "lower"], []),
        (["explain", "nowhere.yaml", "lower"], []),
        (["survey", "--units", ""], ["inch", "mm"]),
        (["new", "a", "--units", "m"], ["mm"]),
        (["new", "a", "--from", "quay"], ["quayside-lift-b.yaml"]),
        (["import", "q"], []),
    ],
)  # fmt: skip
def test_tab(desk: Path, words: list[str], offered: list[str]) -> None:
    assert tab(desk, *words) == offered


def test_installed_it_is_there_in_the_next_bash(desk: Path) -> None:
    said = bash(desk, "-c", "cabdraw --install-completion; true")
    assert "bash completion installed" in said
    path = f"{desk / 'bin'}:{os.environ['PATH']}"
    env = {**os.environ, "PATH": path, "HOME": str(desk), "PYTHONPATH": str(REPOSITORY)}
    done = subprocess.run(["bash", "-ic", "complete -p cabdraw"], env=env, capture_output=True, text=True, timeout=60)
    assert "-F _cabdraw_completion cabdraw" in done.stdout


@pytest.mark.parametrize("shell", ["zsh", "fish"])
def test_other_shells_are_answered_in_their_own_way(desk: Path, shell: str) -> None:
    line = "cabdraw draw --wall l"
    env = {**os.environ, "PYTHONPATH": str(REPOSITORY), "_CABDRAW_COMPLETE": f"complete_{shell}",
           "_TYPER_COMPLETE_ARGS": line, "_TYPER_COMPLETE_FISH_ACTION": "get-args"}  # fmt: skip
    command = [sys.executable, str(desk / "bin" / "cabdraw")]
    done = subprocess.run(command, env=env, cwd=desk, capture_output=True, text=True, timeout=60)
    assert done.stderr == ""
    assert "left" in done.stdout
    assert "right" not in done.stdout


@pytest.mark.parametrize("line", ["cabdraw dr", "cabdraw draw lar", "cabdraw draw --wall "])
def test_to_complete_loads_nothing_heavy(desk: Path, line: str) -> None:
    words = line.split(" ")
    text = "import sys, atexit\natexit.register(lambda: print(*sys.modules, sep='\\n', file=open('loaded', 'w')))\n"
    text += "from cabdraw.cli import main; main()"
    env = {**os.environ, "PYTHONPATH": str(REPOSITORY), "_CABDRAW_COMPLETE": "complete_bash", "COMP_WORDS": line,
           "COMP_CWORD": str(len(words) - 1)}  # fmt: skip
    done = subprocess.run([sys.executable, "-c", text], env=env, cwd=desk, capture_output=True, text=True, timeout=60)
    assert done.stdout.strip()
    loaded = set((desk / "loaded").read_text().split())
    assert loaded & {"shapely", "ezdxf", "yaml", "reportlab", "svgwrite", "openpyxl", "numpy"} == set()


def test_tab_on_a_terminal(desk: Path) -> None:
    """A bash on a terminal of its own, and the key itself."""
    here, there = pty.openpty()
    path = f"{desk / 'bin'}:{os.environ['PATH']}"
    env = {**os.environ, "PATH": path, "HOME": str(desk), "PYTHONPATH": str(REPOSITORY), "PS1": "> ", "TERM": "dumb"}
    streams: dict[str, Any] = {"stdin": there, "stdout": there, "stderr": there, "start_new_session": True}
    with subprocess.Popen(["bash", "--norc", "-i"], cwd=desk, env=env, **streams) as shell:
        os.close(there)

        def typed(keys: str, wanted: str) -> None:
            os.write(here, keys.encode())
            seen = ""
            while wanted not in seen:
                ready, _, _ = select.select([here], [], [], 30)
                assert ready, f"no {wanted!r} in {seen!r}"
                seen += os.read(here, 4096).decode()

        typed(". ./script; echo rea''dy\n", "ready")
        typed("cabdraw dra\t", "cabdraw draw ")
        typed("lark\t", "larkspur-car-2.yaml ")
        typed("--wall b\t", "--wall back ")
        typed("\x15cabdraw explain quay\t", "quayside-lift-b.yaml ")
        typed("rail-l\t", "rail-left ")
        typed("\x15exit\n", "exit")
        shell.wait(30)
    os.close(here)

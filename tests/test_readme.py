"""The README says what is so: its commands, its tables, its pictures, its links."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from conftest import REPOSITORY, SPECS, drawn
from make_pictures import (
    DEVELOPERS,
    KEY,
    PICTURES,
    README,
    SHOWN,
    between,
    digest,
    findings_table,
    house_table,
    sheet,
)
from PIL import Image

from cabdraw import cli, examples

TEXT = README.read_text(encoding="utf-8")
COMMANDS = re.findall(r"^```sh\n(.*?)^```", TEXT, re.MULTILINE | re.DOTALL)


def test_there_are_two_commands_of_one_line_each() -> None:
    assert len(COMMANDS) == 2
    assert all(command.count("\n") == 1 for command in COMMANDS)


def test_the_main_command_draws(tmp_path: Path) -> None:
    last = shlex.split(COMMANDS[0].strip().split(" && ")[-1])
    assert last[0] == ".venv/bin/cabdraw"
    arguments = [str(REPOSITORY / word) if word.startswith("specs/") else word for word in last[1:]]
    run = "import sys; from cabdraw.cli import main; sys.exit(main())"
    env = {**os.environ, "PYTHONPATH": str(REPOSITORY)}
    done = subprocess.run([sys.executable, "-c", run, *arguments], cwd=tmp_path, env=env, check=False, timeout=120)
    assert done.returncode == 0
    assert (tmp_path / "out" / "larkspur-car-2" / "resolved.json").exists()


def test_continuous_integration_runs_the_test_command_word_for_word() -> None:
    script = (REPOSITORY / ".ci" / "run").read_text(encoding="utf-8")
    assert COMMANDS[1].strip() in script.splitlines()
    assert script.startswith("#!/usr/bin/env bash\n")
    assert "set -euo pipefail" in script
    assert os.access(REPOSITORY / ".ci" / "run", os.X_OK)
    assert "export CABDRAW_CI=1" in script.split(COMMANDS[1].strip())[0]


def test_continuous_integration_installs_every_program_that_tests_need() -> None:
    packages = {
        "librecad": "librecad",
        "freecadcmd": "freecad",
        "inkscape": "inkscape",
        "rsvg-convert": "librsvg2-bin",
        "mutool": "mupdf-tools",
        "chromium": "chromium",
        "chromedriver": "chromium-driver",
        "bash": "bash",
        "node": "nodejs",
        "ssconvert": "gnumeric",
        "soffice": "libreoffice-calc-nogui",
        "jq": "jq",
        "w3m": "w3m",
        "tidy": "tidy",
        "localedef": "locales",
        **dict.fromkeys(("pdftoppm", "pdftotext", "pdfinfo", "pdffonts", "pdfimages"), "poppler-utils"),
    }
    script = (REPOSITORY / ".ci" / "run").read_text(encoding="utf-8")
    tests = "\n".join(path.read_text(encoding="utf-8") for path in (REPOSITORY / "tests").glob("*.py"))
    used = set(re.findall(r'\bneed\("([\w-]+)"\)', tests))
    used |= set(re.findall(r'\brun\(\s*(?:\w+\.)*(?:folder|tmp_path),\s*"([\w-]+)"', tests))
    assert used >= {"librecad", "pdftoppm", "mutool", "rsvg-convert"}
    installed = set(re.findall(r"[\w-]+", script))
    assert {program for program in used if packages[program] not in installed} == set()


def files_table() -> dict[str, re.Pattern[str]]:
    """The paths of the table of files, each with what it stands for."""
    paths = re.findall(r"^\|[^|]*\| `([^`]+)` \|", between(TEXT, "files"), re.MULTILINE)
    return {path: re.compile(re.sub(r"<\w+>", r"[\\w-]+", re.escape(path).replace("\\-", "-"))) for path in paths}


def test_every_file_of_a_package_is_in_the_table_and_every_row_is_made() -> None:
    table = files_table()
    made = {path for spec in SPECS for path in drawn(spec).files}
    assert {path for path in made if not any(row.fullmatch(path) for row in table.values())} == set()
    assert {path for path, row in table.items() if not any(row.fullmatch(made_path) for made_path in made)} == set()


def test_every_finding_is_in_the_table() -> None:
    assert between(TEXT, "findings") == findings_table()


def test_the_house_is_as_the_developers_read_it() -> None:
    assert between(DEVELOPERS.read_text(encoding="utf-8"), "house") == house_table()


def test_every_exit_status_is_in_the_table() -> None:
    listed = {int(status) for status in re.findall(r"^\| (\d+) \|", TEXT, re.MULTILINE)}
    assert listed >= {cli.FINE, cli.SPEC_WRONG, cli.COMMAND_WRONG, cli.BUG}
    helped = {int(status) for status in re.findall(r"^  (\d+)  ", examples.STATUSES, re.MULTILINE)}
    assert listed == helped


@pytest.mark.parametrize("name", SHOWN)
def test_pictures_show_what_is_drawn_now(name: str) -> None:
    with Image.open(PICTURES / f"{name}.png") as image:
        assert image.info[KEY] == digest(sheet(name)), "make them anew: python tests/make_pictures.py"
    assert f"docs/pictures/{name}.png" in TEXT


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md", "out/README.md"])
def test_links_lead_somewhere(page: str) -> None:
    path = REPOSITORY / page
    for target in re.findall(r"\]\(([^)#]+)\)", path.read_text(encoding="utf-8")):
        assert target.startswith("https://") or (path.parent / target).exists(), target


def test_pages_are_no_wider_than_the_code() -> None:
    for page in ("README.md", "DEVELOPERS.md"):
        lines = (REPOSITORY / page).read_text(encoding="utf-8").splitlines()
        assert [line for line in lines if len(line) > 120 and not line.startswith(("|", "!["))] == []

"""The guide as it is built: without a warning, with nothing from a network, and to be read on a desk and on a phone."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path
from urllib.parse import unquote

import pytest
from browser import DESKTOP, PHONE, browser, module
from conftest import REPOSITORY
from guide import PAGES


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The guide, built once."""
    module("sphinx"), module("myst_parser"), module("furo")
    folder = tmp_path_factory.mktemp("guide")
    command = [sys.executable, "-m", "sphinx", "-b", "html", "-W", "--keep-going", "-q", "docs", str(folder / "html")]
    command[5:5] = ["-d", str(folder / "doctrees")]
    env = {**os.environ, "PYTHONPATH": str(REPOSITORY)}
    done = subprocess.run(command, cwd=REPOSITORY, capture_output=True, text=True, check=False, timeout=180, env=env)
    assert done.returncode == 0, done.stderr
    return folder / "html"


def test_every_page_is_built_and_nothing_comes_from_a_network(built: Path) -> None:
    pages = {page.stem for page in built.glob("*.html")}
    assert pages >= {page.stem for page in PAGES}
    for page in built.glob("*.html"):
        text = page.read_text(encoding="utf-8")
        loaded = re.findall(r"<(?:script|img|iframe|source)[^>]*\ssrc=\"([^\"]+)\"", text)
        loaded += re.findall(r"<link[^>]*rel=\"(?:stylesheet|preload|icon)\"[^>]*href=\"([^\"]+)\"", text)
        assert [url for url in loaded if re.match(r"(?:https?:)?//", url)] == []
    for style in built.rglob("*.css"):
        assert not re.search(r"url\(\s*['\"]?(?:https?:)?//", style.read_text(encoding="utf-8", errors="replace"))


def test_links_between_built_pages_lead_somewhere(built: Path) -> None:
    dead = []
    for page in built.glob("*.html"):
        for link in re.findall(r"<a[^>]*\shref=\"([^\"]+)\"", page.read_text(encoding="utf-8")):
            target, _, anchor = link.partition("#")
            if re.match(r"https?:|mailto:", target):
                continue
            path = page if not target else page.parent / unquote(target)
            within = f'id="{anchor}"' if anchor and path.suffix == ".html" else ""
            if not path.exists() or within not in path.read_text(encoding="utf-8", errors="replace"):
                dead.append(f"{page.name}: {link}")
    assert dead == []


@pytest.mark.parametrize("size", [PHONE, DESKTOP], ids=["phone", "desktop"])
def test_pages_fit_their_window(built: Path, tmp_path: Path, size: tuple[int, int]) -> None:
    with browser(tmp_path, size) as window:
        for page in PAGES:
            window.driver.get((built / f"{page.stem}.html").as_uri())
            wide = window.run("return document.documentElement.scrollWidth - document.documentElement.clientWidth")
            assert wide <= 0, page.stem
            missing = window.run("return [...document.images].filter(i => !i.naturalWidth).map(i => i.src)")
            assert missing == [], page.stem
        window.note()
        assert [url for url in window.asked if not url.startswith(("file:", "data:"))] == []
        assert window.complaints == []

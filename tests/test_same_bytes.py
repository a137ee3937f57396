"""Every package of every shipped spec is the same to the byte, whoever draws it, wherever, and on what day.

The digests in `tests/golden/bytes.json` hold for the libraries as they are locked in `.ci/requirements.lock`: another
version of one of them may write the same drawing in other bytes.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import zlib
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from hashlib import sha256
from pathlib import Path

import fresh
import pytest
from conftest import JOB, REPOSITORY, SPECS
from readers import need

GOLDEN = REPOSITORY / "tests" / "golden" / "bytes.json"
#: Draws with the settings of the place in force, which Python by itself leaves out.
PROGRAM = """
import locale, sys
locale.setlocale(locale.LC_ALL, "")
from cabdraw.cli import main
sys.exit(main())
"""
#: What turns each library's work into something else, where it is obeyed.
EZDXF_INI = """
[core]
default_dimension_text_style = OpenSans
store_proxy_graphics = false
filter_invalid_xdata_group_codes = false
write_fixed_meta_data_for_testing = false
support_dirs = .
"""
REPORTLAB_SETTINGS = "pageCompression = 0\nuseA85 = 1\ninvariant = 0\nshapeChecking = 0\n"
Digests = dict[str, str]
Surroundings = dict[str, str]


def digests(folder: Path) -> Digests:
    """A digest of every file in a folder, by its path; what cabdraw notes for itself among them."""
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): sha256(path.read_bytes()).hexdigest() for path in files}


def package(found: Digests) -> str:
    """One digest of a whole package: over its paths, in order, each with the digest of its bytes."""
    return sha256("".join(f"{path}\0{digest}\n" for path, digest in sorted(found.items())).encode()).hexdigest()


def _draw(folder: Path, command: list[str], env: Surroundings) -> Digests:
    shutil.copytree(REPOSITORY / "specs", folder / "specs")
    names = [spec.relative_to(REPOSITORY).as_posix() for spec in (*SPECS, JOB)]
    done = subprocess.run(
        [*command, "draw", "-q", *names],
        cwd=folder, env=env, stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=600, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    return digests(folder / "out")


def _around(folder: Path, **surroundings: str) -> Surroundings:
    """Surroundings for a command: a home of its own, and of the rest only where programs are."""
    home = folder / "home"
    home.mkdir(parents=True)
    kept = {name: os.environ[name] for name in ("PATH", "SYSTEMROOT", "TMPDIR") if name in os.environ}
    return {**kept, "HOME": str(home), "PYTHONPATH": str(REPOSITORY), **surroundings}


def _german(folder: Path) -> str:
    """A place where numbers have a decimal comma, in a folder of its own."""
    need("localedef")
    done = subprocess.run(
        ["localedef", "-i", "de_DE", "-f", "UTF-8", str(folder / "de_DE.UTF-8")], capture_output=True, check=False
    )
    if done.returncode > 1:
        reason = "the sources of de_DE are not installed"
        if os.environ.get("CABDRAW_CI") == "1":
            pytest.fail(reason)
        pytest.skip(reason)
    return str(folder)


def empty_caches(folder: Path) -> Digests:
    """No settings, no cache of fonts; English, Greenwich. Nothing but the packages is written anywhere."""
    found = _draw(folder, [sys.executable, "-c", PROGRAM], _around(folder, PYTHONHASHSEED="0", LC_ALL="C", TZ="UTC"))
    assert [path for path in (folder / "home").rglob("*") if path.is_file()] == []
    assert {path.name for path in folder.iterdir()} == {"home", "specs", "out"}
    return found


def full_caches(folder: Path) -> Digests:
    """A decimal comma, half past the hour, every font of the machine in the caches, settings of the person's own."""
    env = _around(folder, PYTHONHASHSEED="1", LC_ALL="de_DE.UTF-8", LOCPATH=_german(folder), TZ="Asia/Kolkata")
    home = Path(env["HOME"])
    (home / ".config" / "ezdxf").mkdir(parents=True)
    for place in (home / ".config" / "ezdxf", folder):
        (place / "ezdxf.ini").write_text(EZDXF_INI)
    fill = "import ezdxf.fonts.fonts as f; f.build_system_font_cache(); print(len(f.font_manager.dumps()))"
    subprocess.run([sys.executable, "-c", fill], env=env, check=True, capture_output=True, timeout=300)
    assert (home / ".cache" / "ezdxf" / "font_manager_cache.json").stat().st_size > 100
    if shutil.which("fc-cache"):
        subprocess.run(["fc-cache", "-r"], env=env, check=True, capture_output=True, timeout=300)
    (home / ".reportlab_settings").write_text(REPORTLAB_SETTINGS)
    return _draw(folder, [sys.executable, "-c", PROGRAM], env)


def broken_caches(folder: Path) -> Digests:
    """Caches and settings that no program can read; optimised Python; the libraries' own variables."""
    env = _around(
        folder, PYTHONHASHSEED="2", LC_ALL="C.UTF-8", TZ="America/St_Johns", PYTHONOPTIMIZE="2",
        EZDXF_DISABLE_C_EXT="1", RL_pageCompression="0", RL_invariant="0", SOURCE_DATE_EPOCH="1700000000", COLUMNS="40",
    )  # fmt: skip
    for name in ("CACHE", "CONFIG", "DATA"):
        place = folder / name
        (place / "ezdxf").mkdir(parents=True)
        (place / "ezdxf" / "ezdxf.ini").write_bytes(b"\xff\xfe[")
        (place / "ezdxf" / "font_manager_cache.json").write_bytes(b'{"version": ')
        env[f"XDG_{name}_HOME"] = str(place)
    (folder / "ezdxf.ini").write_bytes(b"\xff\xfe[core")
    return _draw(folder, [sys.executable, "-c", PROGRAM], env)


def no_home(folder: Path) -> Digests:
    """A home that is not there, another day of the week, an old encoding."""
    env = _around(
        folder, PYTHONHASHSEED="4294967295", LC_ALL="POSIX", LANG="", TZ="Pacific/Kiritimati", PYTHONUTF8="0",
        PYTHONIOENCODING="latin-1",
    )  # fmt: skip
    env["HOME"] = str(folder / "nowhere")
    return _draw(folder, [sys.executable, "-c", PROGRAM], env)


def fresh_environment(folder: Path) -> Digests:
    """The wheel, installed with the libraries as they are locked; a seed of its own."""
    env = _around(folder, PYTHONHASHSEED="random")
    del env["PYTHONPATH"]
    return _draw(folder, [str(fresh.environment() / "cabdraw")], env)


WAYS: dict[str, Callable[[Path], Digests]] = {
    way.__name__: way for way in (empty_caches, full_caches, broken_caches, no_home, fresh_environment)
}


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Future[Digests]]]:
    """Every way of drawing, two at a time."""
    with ThreadPoolExecutor(2) as pool:
        yield {name: pool.submit(way, tmp_path_factory.mktemp(name)) for name, way in WAYS.items()}


def changed(before: Digests, now: Digests) -> list[str]:
    """What happened to each file whose bytes are not those of before."""
    gone = [f"{path}: gone" for path in before if path not in now]
    new = [f"{path}: new" for path in now if path not in before]
    return gone + new + [f"{path}: other bytes" for path in now if path in before and before[path] != now[path]]


@pytest.mark.parametrize("way", [name for name in WAYS if name != "empty_caches"])
def test_bytes_do_not_follow_the_surroundings(drawn: dict[str, Future[Digests]], way: str) -> None:
    if way == "fresh_environment" and (others := fresh.not_as_locked()):
        pytest.skip(f"another version is installed here than is locked: {'; '.join(others)}")
    first = drawn["empty_caches"].result()
    assert len(first) > 20 * len(SPECS)
    assert changed(first, drawn[way].result()) == []


def test_bytes_are_as_before(drawn: dict[str, Future[Digests]]) -> None:
    if others := fresh.not_as_locked():
        pytest.skip(f"digests hold for the lock's versions, and here is {'; '.join(others)}")
    found = drawn["empty_caches"].result()
    packages: dict[str, Digests] = {}
    for path, digest in found.items():
        name, _, inside = path.partition("/")
        packages.setdefault(name, {})[inside] = digest
    now = {name: {"package": package(files), "files": files} for name, files in packages.items()}
    if os.environ.get("CABDRAW_RENEW") == "1":
        GOLDEN.write_text(json.dumps(now, indent=1, sort_keys=True) + "\n", encoding="utf-8")
    before = json.loads(GOLDEN.read_text(encoding="utf-8"))
    assert sorted(before) == sorted(now)
    said = [f"{name}/{line}" for name in now for line in changed(before[name]["files"], packages[name])]
    if said and zlib.ZLIB_RUNTIME_VERSION != zlib.ZLIB_VERSION:
        said.append(f"zlib is {zlib.ZLIB_RUNTIME_VERSION} here: another than Python was built with packs otherwise")
    assert said == [], "if it is meant: CABDRAW_RENEW=1 pytest tests/test_same_bytes.py"
    assert {name: before[name]["package"] for name in before} == {name: now[name]["package"] for name in now}


def test_a_changed_file_is_told_by_name() -> None:
    before = {"a": "1", "b": "2", "c": "3"}
    assert changed(before, {"a": "1", "b": "9", "d": "4"}) == ["c: gone", "d: new", "b: other bytes"]
    assert package(before) != package({**before, "a": "2"})
    assert package({"a": "1"}) != package({"b": "1"})

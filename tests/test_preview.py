"""The preview without a browser: who is let in, what is given away, which files it follows, how it ends."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from conftest import REPOSITORY, SPECS
from previewed import SECONDS, Listener, Preview, previewed, save, started

from cabdraw.draw.front import can_draw
from cabdraw.preview import desk
from cabdraw.preview.board import Board
from cabdraw.preview.desk import Desk
from cabdraw.preview.gate import HEADERS, POLICY, Asked, Gate, Refused
from cabdraw.preview.server import FILES
from cabdraw.preview.views import Drawings, names, walls
from cabdraw.resolve import resolve
from cabdraw.spec import load, loads

SPEC = REPOSITORY / "specs" / "larkspur-car-2.yaml"
TEXT = SPEC.read_text(encoding="utf-8")
GATE = Gate(8204, "word")


@pytest.fixture(scope="module")
def car(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Preview]:
    path = tmp_path_factory.mktemp("preview") / "car.yaml"
    path.write_text(TEXT, encoding="utf-8")
    with previewed(path) as found:
        yield found


# --- the gate ---


def let_in(target: str = "/word/", method: str = "GET", **headers: str) -> Asked:
    sent = {"Host": "127.0.0.1:8204", **{name.replace("_", "-"): value for name, value in headers.items()}}
    return GATE.let_in(method, target, list(sent.items()))


@pytest.mark.parametrize("host", ["127.0.0.1:8204", "localhost:8204", "LocalHost:8204"])
def test_this_machine_by_its_own_names_is_let_in(host: str) -> None:
    assert let_in(Host=host) == Asked("")


def test_the_usual_port_may_be_left_out() -> None:
    assert Gate(80, "word").let_in("GET", "/word/", [("Host", "localhost")]) == Asked("")


@pytest.mark.parametrize(
    "host",
    ["evil.example:8204", "127.0.0.1", "127.0.0.1:80", "127.0.0.1.evil.example:8204", "localhost.:8204", "[::1]:8204",
     "0.0.0.0:8204", "2130706433:8204", "", "127.0.0.1:8204, evil.example"],
)  # fmt: skip
def test_a_page_that_gives_its_own_name_this_machines_address_is_not(host: str) -> None:
    with pytest.raises(Refused) as refused:
        let_in(Host=host)
    assert refused.value.status == 421


def test_one_host_is_named_and_only_one() -> None:
    for headers in ([], [("Host", "127.0.0.1:8204"), ("host", "127.0.0.1:8204")]):
        with pytest.raises(Refused):
            GATE.let_in("GET", "/word/", headers)


@pytest.mark.parametrize("origin", ["http://127.0.0.1:8204", "http://localhost:8204"])
def test_its_own_page_may_ask(origin: str) -> None:
    assert let_in("/word/events", Origin=origin, Sec_Fetch_Site="same-origin") == Asked("events")


@pytest.mark.parametrize(
    "headers",
    [{"Origin": "https://evil.example"}, {"Origin": "null"}, {"Origin": "http://127.0.0.1:8205"},
     {"Origin": "https://127.0.0.1:8204"}, {"Sec_Fetch_Site": "cross-site"}, {"Sec_Fetch_Site": "same-site"},
     {"Sec_Fetch_Site": "other"}],
)  # fmt: skip
@pytest.mark.parametrize("target", ["/word/", "/word/events", "/word/part?mark=base-back"])
def test_other_pages_may_not(headers: dict[str, str], target: str) -> None:
    with pytest.raises(Refused) as refused:
        let_in(target, **headers)
    assert refused.value.status == 403


def test_a_person_opens_the_page_and_nothing_else() -> None:
    assert let_in("/word/", Sec_Fetch_Site="none", Sec_Fetch_Dest="document") == Asked("")
    for target, headers in (("/word/events", {"Sec_Fetch_Site": "none"}), ("/word/", {"Sec_Fetch_Dest": "iframe"})):
        with pytest.raises(Refused):
            let_in(target, **headers)


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS", "HEAD", "get", ""])
def test_it_is_only_looked_at(method: str) -> None:
    with pytest.raises(Refused) as refused:
        let_in(method=method)
    assert refused.value.status == 405


@pytest.mark.parametrize("headers", [{"Content_Length": "5"}, {"Transfer_Encoding": "chunked"}])
def test_nothing_is_sent_along(headers: dict[str, str]) -> None:
    with pytest.raises(Refused) as refused:
        let_in(**headers)
    assert refused.value.status == 400


@pytest.mark.parametrize("target", ["/", "/word", "/wor/", "/words/", "/WORD/", "//word/", "http://127.0.0.1:8204/word/",
                                    "*", "", "word/", "/%77ord/"])  # fmt: skip
def test_without_the_word_there_is_nothing(target: str) -> None:
    with pytest.raises(Refused) as refused:
        let_in(target)
    assert refused.value.status in (400, 404)


def test_the_word_is_another_each_time(tmp_path: Path) -> None:
    path = tmp_path / "car.yaml"
    path.write_text(TEXT, encoding="utf-8")
    words = set()
    for _ in range(2):
        with previewed(path) as found:
            words.add(found.root)
    assert len(words) == 2
    assert all(len(word) >= 24 for word in words)


# --- what is given away ---


@pytest.mark.parametrize("name", FILES)
def test_each_of_its_files_comes_with_strict_headers(car: Preview, name: str) -> None:
    status, headers, body = car.ask(name)
    assert status == 200
    assert body == FILES[name][0].read_bytes()
    assert headers.items() >= dict(HEADERS).items()
    assert headers["Content-Type"] == FILES[name][1]
    assert headers["Server"] == "cabdraw"
    assert not {"Access-Control-Allow-Origin", "Set-Cookie"} & headers.keys()


def test_the_policy_lets_nothing_in() -> None:
    rules = dict(rule.split(" ", 1) for rule in POLICY.split("; "))
    assert rules["default-src"] == rules["base-uri"] == rules["form-action"] == rules["frame-ancestors"] == "'none'"
    assert {rules[f"{kind}-src"] for kind in ("script", "style", "font", "img", "connect")} == {"'self'"}
    assert "unsafe" not in POLICY
    page = FILES[""][0].read_text(encoding="utf-8")
    assert not re.search(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son\w+=|https?:", page)


@pytest.mark.parametrize(
    "path",
    ["car.yaml", "../car.yaml", "../../../../etc/passwd", "..%2f..%2fetc%2fpasswd", "%2e%2e/car.yaml",
     "page.css/../car.yaml", "/etc/passwd", "\\..\\car.yaml", "desk.py", "page.html", "fonts/DejaVuSans.ttf",
     "page.css%00.yaml", ".", "..", "part", "part?mark=..%2fcar", "part?mark=", "part?mark=%ff",
     "part?mark=a&mark=b&mark=c&mark=d&mark=e", "events/", "Events"],
)  # fmt: skip
def test_no_other_file_is_given_away(car: Preview, path: str) -> None:
    status, headers, body = car.ask(path)
    assert status in (400, 404)
    assert headers.items() >= dict(HEADERS).items()
    assert len(body) < 100


@pytest.mark.parametrize(
    ("line", "headers", "status"),
    [
        ("GET {root} HTTP/1.1", {"Host": "evil.example"}, 421),
        ("GET {root} HTTP/1.1", {}, 421),
        ("GET {root}events HTTP/1.1", {"Host": "{host}", "Origin": "https://evil.example"}, 403),
        ("GET {root}events HTTP/1.1", {"Host": "{host}", "Sec-Fetch-Site": "cross-site"}, 403),
        ("POST {root} HTTP/1.1", {"Host": "{host}", "Content-Length": "0"}, 405),
        ("HEAD {root} HTTP/1.1", {"Host": "{host}"}, 405),
        ("OPTIONS {root} HTTP/1.1", {"Host": "{host}"}, 405),
        ("BREW {root} HTTP/1.1", {"Host": "{host}"}, 501),
        ("GET / HTTP/1.1", {"Host": "{host}"}, 404),
        ("GET http://evil.example/ HTTP/1.1", {"Host": "{host}"}, 400),
        ("GET <script>alert(1)</script> HTTP/1.1", {"Host": "{host}"}, 400),
        ("<script> <b> HTTP/1.1", {"Host": "{host}"}, 501),
        ("GET " + "/" * 70000 + " HTTP/1.1", {"Host": "{host}"}, 414),
    ],
)
def test_refusals_over_the_wire(car: Preview, line: str, headers: dict[str, str], status: int) -> None:
    sent = {name: value.format(host=f"127.0.0.1:{car.port}") for name, value in headers.items()}
    found, answered, body = car.send(line.replace("{root}", car.root), **sent)
    assert found == status
    assert answered.items() >= dict(HEADERS).items()
    assert b"<" not in body
    assert answered["Content-Type"].startswith("text/plain")


def test_it_listens_on_this_machines_own_address_only(car: Preview) -> None:
    listening = [line.split() for line in Path("/proc/net/tcp").read_text().splitlines()[1:]]
    assert {line[1] for line in listening if line[3] == "0A" and line[1].endswith(f":{car.port:04X}")} == {
        f"0100007F:{car.port:04X}"
    }
    with pytest.raises(OSError):
        socket.create_connection(("127.0.0.2", car.port), timeout=2).close()


def test_more_pages_than_it_answers_do_not_stop_it(car: Preview) -> None:
    wires = [socket.create_connection(("127.0.0.1", car.port), timeout=5) for _ in range(80)]
    for wire in wires:
        wire.close()
    time.sleep(0.3)
    assert car.ask()[0] == 200


def test_each_part_tells_its_lines_and_how_its_sizes_came_about(car: Preview) -> None:
    import json

    for mark in [part.mark for part in resolve(load(SPEC)).parts]:
        status, headers, body = car.ask(f"part?mark={mark}")
        assert status == 200
        assert headers["Content-Type"] == "application/json"
        told = json.loads(body)
        assert told["sizes"], mark
        assert all(1 <= place["line"] <= len(TEXT.splitlines()) for place in told["places"])
        assert all(size["steps"] for size in told["sizes"])
    (back, *_) = json.loads(car.ask("part?mark=lower-back-2")[2])["places"]
    assert TEXT.splitlines()[back["line"] - 1].strip().startswith("back:  {panels: 3}")


# --- drawings ---


@pytest.mark.parametrize("spec", SPECS, ids=lambda path: path.stem)
def test_every_part_is_in_a_drawing(spec: Path) -> None:
    cab = resolve(load(spec))
    drawings = Drawings()
    made = [drawings.wall(cab, name) for name in walls(cab)] + [drawings.plan(cab)]
    made += [drawings.front(cab)] if can_draw(cab) else []
    assert [found["name"] for found in made] == names(cab)
    shown = set(re.findall(r'data-part="([\w-]+)"', "".join(found["places"] for found in made)))
    assert shown == {part.mark for part in cab.parts}
    # A page's policy lets no style stand in the markup, and nothing in it may be a script.
    assert not re.search(r"\sstyle=|<script|\son\w+=|href=", "".join(found["ink"] + found["places"] for found in made))


EDITS = [
    ("crown: 3", "crown: 3 1/4"),
    ("back:  {panels: 3}", "back:  {panels: 4}"),
    ("left:  {panels: 2}", "left:  {panels: [3, 2]}"),
    ("right: {panels: [1, 2]}", "right: {panels: [1, 2], reveal: 3/4}"),
    ("thickness: 3/4, air_gap: 1/2", "thickness: 1, air_gap: 1/2"),
    ("corner_gap: 1/2", "corner_gap: 5/8"),
    ("units: inch", "units: inch\nincrement: 1/8"),
    ("section: {round: 1 1/2}", "section: {flat: [2, 3/8]}"),
    ("end_clearance: 4", "end_clearance: 5"),
    ("walls: [back, left, right]", "walls: [back]"),
    ("colour: cherry", "colour: oak"),
    ("finishes:", "sheet: {size: A2}\nfinishes:"),
    ("sheet: {size: A2}", "sheet: {size: A3, dual: true}"),
    ("project: Larkspur Court", "project: Another"),
    ("engagement: 3/8", "engagement: 5/16"),
    ("height: [92 3/8, 92 1/4, 92 5/16]", "height: [91]"),
    ("  front_gap: 1\n", "  front_gap: 1 1/2\n  corner_trim: {width: 2}\n"),
    ("depth: 2 1/2}", "depth: 2 1/2, obstructions: [{what: cable, x: 20, y: 30, width: 2, height: 12}]}"),
    ("shell: 0.0781, behind", "shell: 0.0781, fixtures: [{what: panel, x: 4, y: 36, width: 9, height: 20}], behind"),
]


def test_a_drawing_that_is_kept_is_the_one_that_would_be_made() -> None:
    kept = Drawings()
    text = TEXT
    for old, new in (*EDITS, *((new, old) for old, new in reversed(EDITS))):
        assert old in text, old
        text = text.replace(old, new, 1)
        cab = resolve(loads(text))
        for name in walls(cab):
            assert kept.wall(cab, name) == Drawings().wall(cab, name), (old, new, name)
        assert kept.plan(cab) == Drawings().plan(cab)


def test_what_is_the_same_is_not_drawn_again(monkeypatch: pytest.MonkeyPatch) -> None:
    from cabdraw.preview import views

    drawn: list[str] = []
    real = views._wall
    monkeypatch.setattr(views, "_wall", lambda cab, name: drawn.append(name) or real(cab, name))
    kept = Drawings()
    for text in (TEXT, TEXT.replace("left:  {panels: 2}", "left:  {panels: 3}")):
        for name in ("left", "back", "right"):
            kept.wall(resolve(loads(text)), name)
    assert drawn == ["left", "back", "right", "left"]


# --- the board ---


def test_only_what_changed_is_sent_on() -> None:
    board = Board()
    assert board.put("a", {"x": 1}, 1)
    following = board.follow()
    assert next(following).count(b"event: a") == 1
    assert not board.put("a", {"x": 1}, 2)
    board.put("b", "\u2028 \n </script>", 3)
    board.put("a", {"x": 2}, 4)
    board.put("a", {"x": 3}, 5)
    # What was overtaken before anyone saw it is left out.
    assert next(following) == (
        b'id: 3\nevent: b\ndata: "\\u2028 \\n </script>"\n\n' + b'id: 5\nevent: a\ndata: {"x":3}\n\n'
    )
    assert board.followed
    following.close()
    assert not board.followed


def test_the_pages_are_let_go_at_the_end() -> None:
    board = Board()
    board.end()
    assert list(board.follow()) == []


# --- following files ---


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "car.yaml").write_text(TEXT, encoding="utf-8")
    return tmp_path


def has(word: str) -> Any:
    return lambda topics: any(word in topics[f"drawing-{name}"]["ink"] for name in ("left", "back", "right"))


def test_it_follows_a_file_however_it_is_saved(folder: Path) -> None:
    path = folder / "car.yaml"
    with previewed(path) as found:
        page = Listener(found)
        page.done()
        assert page.topics["drawings"] == ["left", "back", "right", "plan"]
        assert {"findings", "parts", "steps", "files", "about"} <= page.topics.keys()
        for number, renamed in enumerate((False, True, False, True)):
            changed = TEXT.replace("crown: 3", f"crown: {3 + number} 7/32")
            save(path, changed, renamed)
            page.wait(has(f'{3 + number} 7/32"'))
            page.wait(lambda topics, number=number: f"crown: {3 + number} 7/32" in "".join(topics["files"][0]["lines"]))
        # Moved away, and back, as some editors do.
        path.rename(folder / "car.yaml~")
        page.wait(lambda topics: "no such file" in topics["status"]["errors"][0]["what"])
        (folder / "car.yaml~").rename(path)
        page.wait(lambda topics: not topics["status"]["errors"])


def test_a_file_that_is_half_written_is_no_error(folder: Path) -> None:
    path = folder / "car.yaml"
    with previewed(path) as found:
        page = Listener(found)
        page.done()
        run = page.run
        for _ in range(10):
            with path.open("w", encoding="utf-8") as file:
                file.write(TEXT[:300])
                file.flush()
                time.sleep(0.02)
                file.write(TEXT[300:].replace("crown: 3", "crown: 3 9/32"))
            time.sleep(0.05)
        page.wait(has('3 9/32"'))
        page.done(run)
        assert page.topics["status"]["errors"] == []
        # Runs count what was said: a mistake would have been one.
        assert page.run - run <= 10


def test_errors_show_with_their_line_and_the_last_good_drawing_stays(folder: Path) -> None:
    path = folder / "car.yaml"
    with previewed(path) as found:
        page = Listener(found)
        page.done()
        before = page.topics["drawing-back"]
        line = next(i for i, text in enumerate(TEXT.splitlines(), 1) if "reveal: 1/2" in text and "-" not in text)
        save(path, TEXT.replace("  reveal: 1/2\n  corner", "  reveal: half\n  corner"))
        page.wait(lambda topics: topics["status"]["errors"])
        (error,) = page.topics["status"]["errors"]
        assert (error["file"], error["line"], error["path"]) == ("car.yaml", line, "layout.reveal")
        assert page.topics["status"]["drawn"]
        assert page.topics["drawing-back"] == before
        assert "  reveal: half" in page.topics["files"][0]["lines"]
        # What is wrong between sections, and no YAML at all.
        save(path, TEXT.replace("back:  {panels: 3}", "back:  {widths: [60, 60]}"))
        page.wait(
            lambda topics: topics["status"]["errors"] and topics["status"]["errors"][0]["path"] != "layout.reveal"
        )
        save(path, "{{{")
        page.wait(lambda topics: "wanted here" in topics["status"]["errors"][0]["what"])
        run = page.run
        save(path, TEXT.replace("crown: 3", "crown: 5 3/32"))
        page.wait(has('5 3/32"'))
        page.done(run)
        assert page.topics["status"]["errors"] == []


def test_a_spec_that_is_wrong_from_the_start_is_followed_until_it_is_right(folder: Path) -> None:
    path = folder / "car.yaml"
    path.write_text(TEXT.replace("units: inch", "units: ell"), encoding="utf-8")
    with previewed(path) as found:
        page = Listener(found)
        page.wait(lambda topics: topics["status"]["errors"][0]["path"] == "units")
        assert not page.topics["status"]["drawn"]
        assert page.topics["files"][0]["lines"]
        save(path, TEXT)
        page.done()
        assert page.topics["status"]["drawn"]


def test_it_follows_what_a_spec_includes(folder: Path) -> None:
    shop, path = folder / "parts" / "shop.yaml", folder / "car.yaml"
    shop.parent.mkdir()
    line = "  panel: {thickness: 3/4, air_gap: 1/2, edge: 0.02}\n"
    assert line in TEXT
    own = TEXT.replace(line, "").replace("units: inch\n", "units: inch\ninclude: parts/shop.yaml\n")
    path.write_text(own, encoding="utf-8")
    shop.write_text("layout:\n" + line, encoding="utf-8")
    with previewed(path) as found:
        page = Listener(found)
        page.done()
        assert [file["name"] for file in page.topics["files"]] == ["car.yaml", "parts/shop.yaml"]
        save(shop, "layout:\n" + line.replace("3/4", "1"), renamed=True)
        page.wait(lambda topics: "thickness: 1," in topics["files"][1]["lines"][1])
        save(shop, "layout:\n" + line.replace("3/4", "thick"))
        page.wait(lambda topics: topics["status"]["errors"][0]["file"] == "parts/shop.yaml")
        assert page.topics["status"]["errors"][0]["line"] == 2
        save(shop, "layout:\n" + line)
        page.wait(lambda topics: not topics["status"]["errors"])


def test_a_wall_that_is_the_same_is_not_sent_again(folder: Path) -> None:
    path = folder / "car.yaml"
    with previewed(path) as found:
        page = Listener(found)
        page.done()
        run = page.run
        save(path, TEXT.replace("left:  {panels: 2}", "left:  {panels: 3}"))
        page.wait(lambda topics: "upper-left-3" in topics["drawing-left"]["places"])
        page.done(run)
        assert {topic for topic in page.since(run) if topic.startswith("drawing")} == {"drawing-left", "drawing-plan"}


def test_hostile_text_stays_text(folder: Path) -> None:
    path = folder / "car.yaml"
    evil = '</script><script>alert(1)</script>"<img src=x onerror=alert(2)>'
    text = TEXT.replace("project: Larkspur Court", f"project: '{evil}'").replace("name: Cherry", f"name: '{evil}'")
    text = text.replace(
        "depth: 2 1/2}", f"depth: 2 1/2, obstructions: [{{what: '{evil}', x: 20, y: 30, width: 2, height: 9}}]}}"
    )
    path.write_text(text + "# \u202e turned round\n", encoding="utf-8")
    with previewed(path) as found:
        page = Listener(found)
        page.done()
        assert page.topics["files"][0]["lines"][-1] == "# \ufffd turned round"
        assert "<script>" in page.topics["about"]["title"]
        assert "\u202e" not in str(page.topics)
        markup = "".join(page.topics[f"drawing-{name}"]["ink"] for name in page.topics["drawings"])
        assert "<script" not in markup
        assert "<img" not in markup
        assert "&lt;" in markup


def test_a_mistake_in_cabdraw_is_said_and_ends_nothing(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TMPDIR", str(folder))
    monkeypatch.setattr("tempfile.tempdir", None)
    work = Desk(folder / "car.yaml")
    work.look(patient=False)
    monkeypatch.setattr(desk, "resolve", lambda document: 1 / 0)
    work.look(patient=False)
    told = b"".join(frame for frame, _ in zip(work.board.follow(), "x", strict=False)).decode()
    (report,) = folder.glob("cabdraw-report-*.txt")
    assert str(report) in told
    assert "ZeroDivisionError" in report.read_text(encoding="utf-8")
    assert "upper-back-1" in told
    monkeypatch.undo()
    work.look(patient=False)
    assert '"mistake":""' in b"".join(frame for frame, _ in zip(work.board.follow(), "x", strict=False)).decode()


# --- the command ---


def said(folder: Path, *arguments: str) -> tuple[int, str]:
    done = started(folder, *arguments)
    _, error = done.communicate(timeout=SECONDS)
    return done.returncode, error


def test_a_port_in_use_is_said_in_words(folder: Path) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        status, error = said(folder, "car.yaml", "--port", str(port))
    assert status == 2
    assert (
        error
        == f"port {port} is in use by another program: give another with --port, or leave it out for any free one\n"
    )


def test_a_file_that_is_not_there_is_said_at_once(folder: Path) -> None:
    status, error = said(folder, "none.yaml")
    assert status == 1
    assert "none.yaml: there is no such file" in error


def test_of_several_cars_one_is_named(folder: Path) -> None:
    several = TEXT + "cars:\n  one: {job: {car: One}}\n  two: {job: {car: Two}}\n"
    (folder / "several.yaml").write_text(several, encoding="utf-8")
    status, error = said(folder, "several.yaml")
    assert (status, error) == (2, "several.yaml: it holds several cars: give --car and one of one, two\n")
    assert said(folder, "several.yaml", "--car", "three")[0] == 2
    (folder / "alone.yaml").write_text(TEXT, encoding="utf-8")
    wrong = "alone.yaml: it is one car, and has no cars: to take 'one' from\n"
    assert said(folder, "alone.yaml", "--car", "one") == (2, wrong)
    with previewed(folder / "several.yaml", "--car", "two") as found:
        page = Listener(found)
        page.done()
        assert page.topics["about"]["title"] == "Larkspur Court, Two"


def children(process: int) -> set[int]:
    found = set()
    for entry in Path("/proc").iterdir():
        if entry.name.isdecimal():
            try:
                parent = int((entry / "stat").read_text().rsplit(")", 1)[1].split()[1])
            except (OSError, IndexError):
                continue
            if parent == process:
                found |= {int(entry.name)} | children(int(entry.name))
    return found


@pytest.mark.parametrize(("sent", "status"), [(signal.SIGINT, 130), (signal.SIGTERM, 143), (signal.SIGKILL, -9)])
def test_it_ends_and_leaves_nothing_behind(folder: Path, sent: int, status: int) -> None:
    with previewed(folder / "car.yaml") as found:
        page = Listener(found)
        page.done()
        others = children(found.process.pid)
        assert others
        # Ctrl-C reaches every process of a terminal.
        (os.killpg if sent == signal.SIGINT else os.kill)(found.process.pid, sent)
        _, error = found.process.communicate(timeout=SECONDS)
    assert found.process.returncode == status
    assert error == ("" if sent == signal.SIGKILL else "\nstopped\n")
    until = time.monotonic() + 10
    while any(Path(f"/proc/{other}").exists() for other in others) and time.monotonic() < until:
        time.sleep(0.05)
    assert {other for other in others if Path(f"/proc/{other}").exists()} == set()
    assert [path.name for path in folder.iterdir()] == ["car.yaml"]


def test_no_other_command_loads_it() -> None:
    slow = ("http.server", "multiprocessing", "cabdraw.preview.desk")
    script = f"import sys, cabdraw.cli; print([name for name in {slow} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=REPOSITORY)
    assert done.stdout == "[]\n"

"""The text of a spec: what is kept as typed, where each value stands, and what no file can do."""

from __future__ import annotations

import json
import os
import tracemalloc
from pathlib import Path

import pytest
import yaml
from ending import comes_to_an_end

from cabdraw.errors import BadSpec
from cabdraw.spec import source as source_module
from cabdraw.spec.source import MOST_BYTES, MOST_DEPTH, Source, parse_source, read_source


def parsed(text: str | bytes) -> Source:
    return parse_source(text.encode() if isinstance(text, str) else text, "car.yaml")


def refusal(text: str | bytes) -> str:
    with pytest.raises(BadSpec) as refused:
        parsed(text)
    return str(refused.value)


@pytest.mark.parametrize("typed", ["010", "1:30", "no", "1e3", "2026-03-02", "~", "null", "0x1F", ".5", "3' 4-1/2\""])
def test_values_stay_as_typed(typed: str) -> None:
    assert parsed(f"a: {typed}\nb: [{typed}, x]").plain() == {"a": typed, "b": [typed, "x"]}


def test_plain_values_are_dicts_lists_and_texts() -> None:
    source = parsed("a: {b: [1, \"2\", '3']}\nc: |\n  two\n  lines\nd: &x [7]\ne: *x\n")
    assert source.plain() == {"a": {"b": ["1", "2", "3"]}, "c": "two\nlines\n", "d": ["7"], "e": ["7"]}
    assert source.flaws == ()


def test_places_of_values_and_keys() -> None:
    source = parsed("# a car\nlayout:\n  stack:\n    - gap: 7/8\n    - {base: 4}\n")
    assert source.place(("layout", "stack", 0, "gap")) == (4, 12)
    assert source.key_place(("layout", "stack", 0, "gap")) == (4, 7)
    assert source.place(("layout", "stack", 1, "base")) == (5, 14)
    assert source.key_place(("layout",)) == (2, 1)
    assert source.key_place(("layout", "stack", 1)) == (5, 7)
    assert source.place(()) == (2, 1)


def test_a_path_that_is_not_there_is_cut_to_what_is() -> None:
    source = parsed("layout:\n  stack:\n    - gap: 7/8\n")
    assert source.existing(("layout", "stack", 0, "gap", "height")) == ("layout", "stack", 0, "gap")
    assert source.place(("layout", "stack", 0, "gap", "height")) == (3, 12)
    assert source.existing(("layout", "stack", 7, "gap")) == ("layout", "stack")
    assert source.existing(("layout", "stack", -1)) == ("layout", "stack")
    assert source.existing(("handrail", "walls", 0)) == ()


def test_a_byte_order_mark_is_no_part_of_the_text() -> None:
    source = parsed(b"\xef\xbb\xbfa: 1\r\nb: 2\r\n")
    assert source.plain() == {"a": "1", "b": "2"}
    assert source.key_place(("a",)) == (1, 1)
    assert refusal(b"\xef\xbb\xbfa: \xe9").startswith("car.yaml:1:4: the byte 0xE9 here, number 7 of the file")


def test_merged_keys_give_way_to_those_written_out() -> None:
    source = parsed("a: &a {x: 1, y: 2}\nb: &b {y: 3, z: 4}\nc: {y: 9, <<: [*a, *b]}\nd: {<<: *a}\ne: {'<<': 5}\n")
    assert source.plain()["c"] == {"y": "9", "x": "1", "z": "4"}
    assert source.plain()["d"] == {"x": "1", "y": "2"}
    assert source.plain()["e"] == {"<<": "5"}
    assert source.place(("d", "x")) == (1, 11)


def test_every_repeated_key_is_reported_with_both_places_and_the_first_stands() -> None:
    source = parsed("a: 1\nb: {c: 1, c: 2}\na: 3\na: 4\n")
    assert source.plain() == {"a": "1", "b": {"c": "1"}}
    assert [(flaw.line, flaw.path, flaw.what, flaw.hint) for flaw in source.flaws] == [
        (2, "b", '"c" is given twice', "it stands at 2:5 too; keep one of them"),
        (3, "", '"a" is given twice', "it stands at 1:1 too; keep one of them"),
        (4, "", '"a" is given twice', "it stands at 1:1 too; keep one of them"),
    ]


def test_core_tags_pass_and_others_are_named() -> None:
    assert parsed("a: !!str 3\nb: !!int 010\nc: !!map {d: 1}\ne: ! x\n").flaws == ()
    flaws = parsed("a: !!python/name:os.system x\nb: !mine [1]\nc: !!int {d: 1}\nd: !!binary aGk=\n").flaws
    assert [flaw.what.split('"')[1] for flaw in flaws] == ["!!python/name:os.system", "!mine", "!!int", "!!binary"]


def test_the_other_parser_reads_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    text = 'a: &x {b: 1, c: "2"}\nd: {<<: *x, e: [no, 010]}\nf: "\\u00bd"\n'
    fast = parsed(text)
    monkeypatch.setattr(source_module, "_LOADER", yaml.SafeLoader)
    slow = parsed(text)
    assert slow.plain() == fast.plain()
    assert slow.root == fast.root
    flaws = parsed('a: "\\uD800"\n').flaws
    assert [flaw.what for flaw in flaws] == ["the character U+D800 stands here, which no text has"]
    assert "a tab indents this line" in refusal("a:\n\tb: 1\n")
    for broken in (
        "a: [1\n",
        "a: b: c\n",
        "a: 'x\n",
        "a: 1\n- b\n",
        "a: }\n",
        "a: *\n",
        "a\nb: 1\n",
        "a: @x\n",
        "a: !<x\n",
    ):
        assert not any(word in refusal(broken) for word in ("token", "scalar", "mapping", "block", "flow", "stream"))


def test_missing_files_folders_and_locked_files(tmp_path: Path) -> None:
    with pytest.raises(BadSpec, match=r"^none\.yaml: there is no such file$"):
        read_source(tmp_path / "none.yaml")
    (tmp_path / "folder.yaml").mkdir()
    with pytest.raises(BadSpec, match=r"^folder\.yaml: is a folder, not a file; name the spec file in it$"):
        read_source(tmp_path / "folder.yaml")
    with pytest.raises(BadSpec, match="cannot be read"):
        read_source(Path("a\0b.yaml"))
    (tmp_path / "round.yaml").symlink_to("round.yaml")
    with pytest.raises(BadSpec, match=r"^round\.yaml: is a link that leads round to itself; name the file itself$"):
        read_source(tmp_path / "round.yaml")
    with pytest.raises(BadSpec, match="no file can have a name as long as this"):
        read_source(tmp_path / ("long" * 100 + ".yaml"))
    (tmp_path / "file").write_text("a: 1")
    with pytest.raises(BadSpec, match="there is no such file; a file stands on the way to it"):
        read_source(tmp_path / "file/car.yaml")
    locked = tmp_path / "locked.yaml"
    locked.write_text("a: 1")
    locked.chmod(0)
    if not os.access(locked, os.R_OK):
        with pytest.raises(BadSpec, match=r"^locked\.yaml: may not be read"):
            read_source(locked)


def test_a_file_name_cannot_write_to_the_terminal(tmp_path: Path) -> None:
    with pytest.raises(BadSpec) as refused:
        read_source(tmp_path / "a\x1b[31m\n.yaml")
    assert str(refused.value).isprintable()


def test_a_huge_file_is_refused_after_its_first_megabyte(tmp_path: Path) -> None:
    huge = tmp_path / "huge.yaml"
    with huge.open("wb") as file:
        file.write(b"[" * MOST_BYTES)
        file.truncate(100_000_000)
    tracemalloc.start()
    with pytest.raises(BadSpec, match="is larger than 1 MB"):
        read_source(huge)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 5 * MOST_BYTES


@pytest.mark.parametrize("opening", ["[", "{a: ", "- ", "? ", "[{"])
def test_deep_nesting_is_refused_at_once(opening: str) -> None:
    text = opening * (MOST_BYTES // len(opening))
    with comes_to_an_end():
        assert "deep" in refusal(text)


def test_nesting_up_to_the_bound_is_read() -> None:
    assert parsed("a: " + "[" * (MOST_DEPTH - 1) + "]" * (MOST_DEPTH - 1)).flaws == ()
    assert "nested more than 40 deep" in refusal("a: " + "[" * MOST_DEPTH + "]" * MOST_DEPTH)


def test_aliases_cannot_multiply_or_deepen() -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 10)}]" for i in range(1, 12)]
    with comes_to_an_end():
        assert "holds more than 50,000 values" in refusal("\n".join(lines))
    merged = ["a0: &a0 {k0: [1, 2, 3, 4, 5, 6, 7, 8]}"]
    merged += [f"a{i}: &a{i} {{<<: [*a{i - 1}, *a{i - 1}, *a{i - 1}], k{i}: 1}}" for i in range(1, 30)]
    assert "holds more than 50,000 values" in refusal("\n".join(merged))
    chain = ["a0: &a0 [x]"] + [f"a{i}: &a{i} [*a{i - 1}]" for i in range(1, 60)]
    assert 'with "*a38" sections are nested more than 40 deep' in refusal("\n".join(chain))


def test_many_lines_for_the_parser_alone_are_refused() -> None:
    with comes_to_an_end():
        refusal("".join(f"%TAG !a{i}! x\n" for i in range(50_000)) + "---\na: 1")


def test_errors_of_one_file_stay_readable_in_number() -> None:
    source = parsed("a: 1\n" * 3000)
    assert len(source.flaws) == 200


def test_json_is_read_too() -> None:
    assert parsed(json.dumps({"a": {"b": ["1", "½"]}}, ensure_ascii=False)).plain() == {"a": {"b": ["1", "½"]}}

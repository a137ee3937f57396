"""Shared parts: files that a spec includes and the cars that it holds, laid over one another by rule."""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest
from conftest import JOB, REPOSITORY, SPECS
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from schema_check import faults

from cabdraw.cab import Cab
from cabdraw.errors import BadSpec, Finding
from cabdraw.resolve import resolve
from cabdraw.spec import car_keys, load, load_cars, loads
from cabdraw.spec.include import MOST_CARS, MOST_FILES, MOST_LEVELS, gather
from cabdraw.spec.json_schema import FILE
from cabdraw.spec.source import MOST_VALUES, read_source
from cabdraw.spec.tree import Typed
from cabdraw.units import Length, with_unit

BAD = Path(__file__).parent / "bad_shared"
QUICK = settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))

Tree = dict[str, Any]
#: Laid over what stands there, it takes it out.
OUT = "~"


def written(folder: Path, **files: Tree | str) -> Path:
    """Files of YAML in a folder, `a__b` as `a/b.yaml`; the path of the first."""
    paths = []
    for name, content in files.items():
        path = folder / f"{name.replace('__', '/')}.yaml"
        path.parent.mkdir(parents=True, exist_ok=True)
        # JSON is YAML; a text for itself, not in quotes, is one that takes out.
        text = content if isinstance(content, str) else json.dumps(content, ensure_ascii=False)
        path.write_text(text.replace(f'"{OUT}"', OUT), encoding="utf-8")
        paths.append(path)
    return paths[0]


def refusal(path: Path, **named: Any) -> list[str]:
    """Every error of a spec that is refused."""
    with pytest.raises(BadSpec) as refused:
        load(path, **named)
    return [str(error) for error in refused.value.errors]


SMALL: Tree = {
    "cabdraw": "1",
    "units": "inch",
    "job": {"project": "Larkspur Court", "car": "Car 2"},
    "survey": {"height": "92 1/4", "walls": {"back": {"width": "68"}}},
    "layout": {
        "panel": {"thickness": "3/4", "air_gap": "1/2"},
        "joint": {"engagement": "3/8", "groove_depth": "1/2", "clearance": "1/16", "base_tab": "3/8"},
        "reveal": "0",
        "corner_gap": "1/2",
        "front_gap": "1",
        "stack": [{"gap": "0"}, {"full": "fill"}],
        "walls": {"back": {"panels": "3"}},
    },
}


# What is refused, and where.


@pytest.mark.parametrize("path", sorted(BAD.glob("*.yaml")), ids=lambda path: path.stem)
def test_bad_parts_say_what_is_wrong_and_in_which_file(path: Path) -> None:
    with pytest.raises(BadSpec) as refused:
        list(map(resolve, load_cars(path)))
    errors = refused.value.errors
    golden = path.with_suffix(".txt")
    if os.environ.get("CABDRAW_RENEW") == "1":
        golden.write_text("".join(f"{error}\n" for error in errors), encoding="utf-8")
    assert [str(error) for error in errors] == golden.read_text(encoding="utf-8").splitlines()
    for error in errors:
        lines = (BAD / error.file).read_text(encoding="utf-8").splitlines()
        assert 1 <= error.line <= len(lines)
        assert 1 <= error.column <= len(lines[error.line - 1]) + 1


def test_every_bad_part_has_its_text() -> None:
    assert {path.stem for path in BAD.glob("*.txt")} == {path.stem for path in BAD.glob("*.yaml")}


def test_a_key_in_two_files_is_merged_and_twice_in_one_refused(tmp_path: Path) -> None:
    spec = written(tmp_path, job={**SMALL, "include": "shop.yaml"}, shop={"layout": {"reveal": "3/8"}})
    assert load(spec).spec.layout.reveal.typed == "0"
    (tmp_path / "shop.yaml").write_text("layout:\n  reveal: 1\n  reveal: 2\n", encoding="utf-8")
    assert refusal(spec) == ['shop.yaml:3:3: layout: "reveal" is given twice; it stands at 2:3 too; keep one of them']


def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.yaml")
    (error,) = refusal(written(tmp_path, job={**SMALL, "include": "pipe.yaml"}))
    assert error.startswith("job.yaml:1:")
    assert "is no file on a disk" in error
    (error, again) = refusal(written(tmp_path, job={**SMALL, "rules": ["pipe.yaml"]}))
    assert "cannot be used" in error
    assert "is no file on a disk" in again


def test_a_file_that_is_not_there_hides_no_other_mistake_and_excuses_what_it_may_hold(tmp_path: Path) -> None:
    spec = {"cabdraw": "1", "units": "inch", "include": "shpo.yaml", "layout": {"reveal": "1/0", "reveall": "1/2"}}
    errors = refusal(written(tmp_path, job=spec))
    assert [error.split(": ")[1] for error in errors] == ["include", "layout.reveal", "layout"]
    assert '"1/0" is not a length' in errors[1]
    assert '"reveall" is not a key here' in errors[2]
    assert len(refusal(written(tmp_path, job={**spec, "units": "furlong"}))) == 1


def test_a_car_that_is_not_there_hides_no_mistake_in_those_that_are(tmp_path: Path) -> None:
    cars = {"car-1": {"layout": {"reveal": "1/0"}}, "car-2": {"survey": {"height": "90"}}}
    path = written(tmp_path, job={**SMALL, "cars": cars})
    for errors in (
        refusal(path, car="car-9"),
        refusal(path),
        [str(error) for error in caught(lambda: load_cars(path, ["car-9"]))],
    ):
        assert "car-9" in errors[0] or "one is wanted" in errors[0]
        assert [error for error in errors if '"1/0" is not a length' in error and "(in car-1)" in error]


def caught(read: Callable[[], object]) -> tuple[object, ...]:
    with pytest.raises(BadSpec) as refused:
        read()
    return refused.value.errors


def test_what_is_included_is_bounded(tmp_path: Path) -> None:
    deep = {f"part{n}": {"include": f"part{n + 1}.yaml"} for n in range(MOST_LEVELS + 1)}
    last = {f"part{MOST_LEVELS + 1}": {}}
    (error,) = refusal(written(tmp_path, job={**SMALL, "include": "part0.yaml"}, **deep, **last))
    assert error.startswith(f"part{MOST_LEVELS - 1}.yaml:1:")
    assert "deep" in error
    # Each doubles the files of the one before it.
    wide = {f"w{n}": {"include": [f"w{n + 1}.yaml"] * 2} for n in range(MOST_LEVELS - 1)}
    last = {f"w{MOST_LEVELS - 1}": {}}
    (error,) = refusal(written(tmp_path, job={**SMALL, "include": "w0.yaml"}, **wide, **last))
    assert f"more than {MOST_FILES} files" in error
    large = "layout:\n  stack:\n" + "    - gap: 1\n" * (MOST_VALUES // 4)
    (error,) = refusal(written(tmp_path, job={**SMALL, "include": ["l.yaml", "m.yaml"]}, l=large, m=large))
    assert f"{MOST_VALUES:,} values" in error
    many = {f"car-{number}": {} for number in range(MOST_CARS + 1)}
    (error,) = refusal(written(tmp_path, job={**SMALL, "cars": many}))
    assert f"more than {MOST_CARS} cars" in error
    text = "job: {note: '" + "x" * 600_000 + "'}"
    (error, note) = refusal(written(tmp_path, job={**SMALL, "include": ["l.yaml", "m.yaml"]}, l=text, m=text))
    assert note.startswith('l.yaml:1:7: job: "note" is not a key here')
    assert "more than 1 MB" in error


# The rule by which files lie over one another.

LEAVES = st.one_of(st.sampled_from(["1", "2", "x y", ""]), st.lists(st.sampled_from(["1", "2"]), max_size=3))
TREES = st.recursive(LEAVES, lambda inner: st.dictionaries(st.sampled_from("abcde"), inner, max_size=4), max_leaves=12)
SECTIONS = st.dictionaries(st.sampled_from("abcde"), TREES, max_size=5)


def merged(lower: Any, upper: Any) -> Any:
    """What a plain merge of dicts gives."""
    if not (isinstance(lower, dict) and isinstance(upper, dict)):
        return upper
    both = {**lower, **{key: merged(lower[key], value) if key in lower else value for key, value in upper.items()}}
    return both


@QUICK
@given(st.lists(SECTIONS, min_size=1, max_size=4), SECTIONS)
def test_merging_is_what_a_merge_of_dicts_gives(parts: list[Tree], own: Tree) -> None:
    wanted: Any = {}
    for part in (*parts, own):
        wanted = merged(wanted, part)
    with tempfile.TemporaryDirectory() as folder:
        # The parts included one after the other, or each by the next.
        flat = {f"p{number}": part for number, part in enumerate(parts)}
        spec = written(Path(folder), s={**own, "include": [f"{name}.yaml" for name in flat]}, **flat)
        assert gather(read_source(spec)).base.plain() == wanted
        chain = {
            name: {**part, **({"include": f"c{number - 1}.yaml"} if number else {})}
            for number, (name, part) in enumerate(zip((f"c{n}" for n in range(len(parts))), parts, strict=True))
        }
        spec = written(Path(folder), t={**own, "include": f"c{len(parts) - 1}.yaml"}, **chain)
        assert gather(read_source(spec)).base.plain() == wanted
        spec = written(Path(folder), u={**wanted, "cars": {"a": own, "b": {}}})
        assert gather(read_source(spec)).car("a").plain() == merged(wanted, own)
        assert gather(read_source(spec)).car("b").plain() == wanted


def test_what_is_taken_out_is_gone(tmp_path: Path) -> None:
    shop = {"layout": {"reveal": "1", "rear_gap": "2"}, "sheet": {"size": "A2"}}
    own = {**SMALL, "include": "shop.yaml", "sheet": OUT, "layout": {**SMALL["layout"], "rear_gap": OUT}}
    found = load(written(tmp_path, job=own, shop=shop))
    assert (found.spec.layout.rear_gap, found.spec.sheet.size) == (None, "A3")
    # In quotes it is a text, and in a spec that lies over nothing it always was one.
    assert loads(json.dumps(SMALL).replace("Car 2", "~")).spec.job.car == "~"


def leaves(tree: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    """Everything of a tree that is no section, with its path."""
    for key, value in tree.items():
        if isinstance(value, dict) and value:
            yield from leaves(value, (*path, key))
        else:
            yield (*path, key), value


def put(tree: Tree, path: tuple[str, ...], value: Any) -> None:
    for step in path[:-1]:
        tree = tree.setdefault(step, {})
    tree[path[-1]] = value


@settings(QUICK, max_examples=25)
@given(st.sampled_from(SPECS), st.data())
def test_a_spec_split_over_files_at_random_is_the_same_car(path: Path, data: st.DataObject) -> None:
    whole = load(path)
    count = data.draw(st.integers(1, 4))
    files: list[Tree] = [{} for _ in range(count)]
    for where, value in leaves(whole.source.plain()):
        # A file further down may say something else: what lies over it counts.
        place = 0 if where == ("cabdraw",) else data.draw(st.integers(0, count - 1))
        put(files[place], where, value)
        if place < count - 1 and where not in (("cabdraw",), ("units",)) and data.draw(st.booleans()):
            put(files[data.draw(st.integers(place + 1, count - 1))], where, "something else")
    names = [f"f{number}" for number in range(count)]
    for number in range(count - 1):
        files[number]["include"] = f"f{number + 1}.yaml"
    # Units that only a part states are the spec's all the same, as no other file states others.
    with tempfile.TemporaryDirectory() as folder:
        split = load(written(Path(folder), **dict(zip(names, files, strict=True))))
    assert split.spec == whole.spec
    assert [file.name for file in split.files[:count]] == [f"{name}.yaml" for name in names]
    assert resolve(split).walls == resolve(whole).walls


# Units.

#: What of a car does not follow the units that its spec is in.
SIZES = ("increment", "job", "survey", "joint", "walls", "trims", "clear", "front", "mass", "fixings", "practice",
         "stock", "finishes", "wall_finishes", "rules")  # fmt: skip


def sizes(cab: Cab) -> Tree:
    return {name: getattr(cab, name) for name in SIZES}


@pytest.mark.parametrize("path", SPECS, ids=lambda path: path.stem)
def test_a_part_in_other_units_is_exact(path: Path, tmp_path: Path) -> None:
    whole = load(path)
    tree = whole.source.plain()
    other = "mm" if tree["units"] == "inch" else "inch"
    # What is a length by default, and follows the spec's units.
    kept = {"increment": "1/32 in" if tree["units"] == "inch" else "0.5 mm"}
    spec = written(
        tmp_path, job={"cabdraw": "1", "units": other, "include": "all.yaml", **kept},
        all={key: value for key, value in tree.items() if key not in ("cabdraw", "increment")},
    )  # fmt: skip
    found = load(spec)
    assert found.spec.units == other
    assert sizes(resolve(found)) == sizes(resolve(whole))


@pytest.mark.parametrize(
    ("text", "units", "said"),
    [
        ("3/8", "inch", "3/8 in"),
        ("  2   1/4 ", "inch", "2 1/4 in"),
        ("½", "inch", "½ in"),
        ("900", "mm", "900 mm"),
        ("19000", "mm", "19000 mm"),
        ("12mm", "inch", "12mm"),
        ("3' 4\"", "mm", "3' 4\""),
        ("0", "inch", "0"),
    ],
)
def test_a_length_says_its_unit_where_that_is_not_the_specs(text: str, units: Any, said: str) -> None:
    assert with_unit(text, units) == said


def test_bare_numbers_are_in_the_units_of_their_file(tmp_path: Path) -> None:
    own = {**SMALL, "units": "mm", "survey": {"height": "2340", "walls": {"back": {"width": "1720"}}}}
    own["layout"] = {"stack": SMALL["layout"]["stack"], "walls": {"back": {"panels": "3"}}, "reveal": "12"}
    shop = {"units": "inch", "layout": {key: SMALL["layout"][key] for key in ("panel", "joint", "reveal", "front_gap")}}
    plain = {"layout": {"corner_gap": "13"}}
    found = load(written(tmp_path, job={**own, "include": ["shop.yaml", "plain.yaml"]}, shop=shop, plain=plain))
    layout = found.spec.layout
    assert [float(size.mm) for size in (layout.front_gap, layout.reveal, layout.corner_gap)] == [25.4, 12, 13]
    assert layout.joint.engagement == Length(layout.joint.engagement.mm, "3/8 in")
    tree = found.source.plain()
    assert isinstance(tree["layout"]["front_gap"], Typed)
    assert not isinstance(tree["layout"]["reveal"], Typed)


def test_a_wrong_length_is_told_with_its_own_unit(tmp_path: Path) -> None:
    shop = {"units": "inch", "layout": {"corner_gap": "900"}}
    own = {**SMALL, "units": "mm", "include": "shop.yaml", "layout": {**SMALL["layout"]}}
    del own["layout"]["corner_gap"]
    errors = refusal(written(tmp_path, job=own, shop=shop))
    assert any('"900 in" is 22860 mm' in error or '"900" is longer than 20 m' in error for error in errors), errors


def test_what_to_write_instead_is_in_the_units_of_the_file(tmp_path: Path) -> None:
    shop = {"units": "inch", "layout": {"panel": {"layers": [{"material": "plywood"}]}}}
    own = {**SMALL, "units": "mm", "include": "shop.yaml", "layout": {**SMALL["layout"], "panel": {"air_gap": "12"}}}
    (error, *_) = [error for error in refusal(written(tmp_path, job=own, shop=shop)) if "layers" in error]
    assert error.startswith("shop.yaml:1:")
    assert error.endswith("write e.g. thickness: 3/4 (its thickness)")


# Places.


def test_every_value_knows_its_file(tmp_path: Path) -> None:
    shop = "# a comment\nlayout:\n  reveal: 0\n  corner_gap: 1/2\n"
    own = {**SMALL, "include": "shop/parts.yaml", "layout": {**SMALL["layout"]}}
    del own["layout"]["corner_gap"]
    found = load(written(tmp_path, job=own, shop__parts=shop))
    where = found.source.where(("layout", "corner_gap"))
    assert (where.file, where.line, where.column) == ("shop/parts.yaml", 4, 15)
    assert where.path == tmp_path / "shop" / "parts.yaml"
    assert found.source.where(("layout", "reveal")).file == "job.yaml"
    assert found.files == (tmp_path / "job.yaml", tmp_path / "shop" / "parts.yaml")
    assert found.name == "job"


def test_rules_are_found_beside_the_file_that_names_them(tmp_path: Path) -> None:
    ours = (REPOSITORY / "cabdraw" / "rules" / "us-ada.yaml").read_text(encoding="utf-8")
    spec = written(
        tmp_path, jobs__job={**SMALL, "include": "../shop/all.yaml"}, shop__all={"rules": ["eu", "rules/ours.yaml"]},
        shop__rules__ours=ours.replace("rules: us-ada", "rules: ours"),
    )  # fmt: skip
    found = load(spec)
    assert found.spec.rules == ("eu", "../shop/rules/ours.yaml")
    assert {rule.rule_set for rule in found.rules} == {"always", "eu", "ours"}
    assert [file.resolve() for file in found.files] == [
        spec, tmp_path / "shop" / "all.yaml", tmp_path / "shop" / "rules" / "ours.yaml",
    ]  # fmt: skip
    (tmp_path / "shop" / "rules" / "ours.yaml").write_text("rules: ours\nlist: []\n", encoding="utf-8")
    first, second = refusal(spec)
    assert first.startswith("../shop/all.yaml:1:")
    assert second.startswith("../shop/rules/ours.yaml:2:")


def test_a_part_behind_a_link_is_named_as_it_is_reached(tmp_path: Path) -> None:
    far = {"include": "../near.yaml"}
    spec = written(
        tmp_path, job={**SMALL, "include": "link/far.yaml"}, shop__parts__far=far, shop__near={"layout": {"reveal": 1}}
    )
    (tmp_path / "link").symlink_to(tmp_path / "shop" / "parts")
    # Beside the folder that the link leads to, not beside the link.
    names = [file.name for file in load(spec).source.files]
    assert names == ["job.yaml", "link/far.yaml", "link/../near.yaml"]
    assert [file.resolve() for file in load(spec).files][1:] == [
        tmp_path / "shop" / "parts" / "far.yaml",
        tmp_path / "shop" / "near.yaml",
    ]


# Cars.


def test_the_cars_of_the_shipped_job() -> None:
    one, two = load_cars(JOB)
    assert (one.name, two.name, one.car, two.car) == ("mill-row-car-1", "mill-row-car-2", "car-1", "car-2")
    assert car_keys(JOB) == ("car-1", "car-2")
    assert load(JOB, "car-2").spec == two.spec
    assert [document.name for document in load_cars(JOB, ["car-2"])] == ["mill-row-car-2"]
    assert one.files == (JOB, JOB.parent / "shop" / "defaults.yaml")
    assert one.spec.handrail is not None
    assert one.spec.handrail.walls == ("back", "left", "right")
    assert two.spec.handrail is not None
    assert two.spec.handrail.walls == ("back", "left")
    assert two.spec.layout.walls.right is not None
    assert two.spec.layout.walls.right.panels is None
    assert one.spec.layout.joint == two.spec.layout.joint


@pytest.mark.parametrize("path", [JOB, JOB.parent / "shop" / "defaults.yaml"], ids=lambda path: path.stem)
def test_editors_find_nothing_wrong_in_the_shipped_job(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert faults(text) == []
    assert (path.parent / text.split("$schema=")[1].split("\n")[0]).resolve() == REPOSITORY / "specs" / FILE


def test_a_car_by_itself_in_a_file_of_its_own_is_the_same(tmp_path: Path) -> None:
    parts = gather(read_source(JOB))
    shared = JOB.read_text(encoding="utf-8").split("cars:")[0].replace("include: shop/", f"include: {tmp_path.name}/")
    shop = (JOB.parent / "shop" / "defaults.yaml").read_text(encoding="utf-8")
    for name in parts.cars:
        (tmp_path / tmp_path.name).mkdir(exist_ok=True)
        (tmp_path / tmp_path.name / "defaults.yaml").write_text(shop, encoding="utf-8")
        (tmp_path / "job.yaml").write_text(shared, encoding="utf-8")
        own = _plain(parts.cars[name])
        alone = load(written(tmp_path, **{name: {"cabdraw": "1", "include": "job.yaml", **own}}))
        assert alone.spec == load(JOB, name).spec
        assert resolve(alone).walls == resolve(load(JOB, name)).walls


def _plain(node: Any) -> Any:
    if hasattr(node, "entries"):
        return {key: _plain(value) for key, (_, value) in node.entries.items()}
    return [_plain(item) for item in node.items] if hasattr(node, "items") else node.text


def test_which_car_has_to_be_said_and_has_to_be_there() -> None:
    assert refusal(JOB) == ["mill-row.yaml: holds 2 cars, and one is wanted; say which: car-1, car-2"]
    assert refusal(JOB, car="car-9") == ['mill-row.yaml: holds no car "car-9"; the cars here are car-1, car-2']
    with pytest.raises(BadSpec, match="it is one car"):
        load(SPECS[0], "car-1")
    with pytest.raises(BadSpec, match='holds no car "x"'):
        load_cars(JOB, ["x"])


def test_a_mistake_in_one_car_leaves_the_others_to_be_read(tmp_path: Path) -> None:
    cars = {"a": {"job": {"car": "A"}}, "b": {"layout": {"reveal": "x"}}}
    spec = written(tmp_path, job={**SMALL, "cars": cars})
    assert load(spec, "a").spec.job.car == "A"
    with pytest.raises(BadSpec, match=r'layout.reveal: "x" is not a length \(in b\)'):
        load_cars(spec)


# The command line.

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Type a command in a folder that holds the shipped job; its status, output and errors."""
    from cabdraw import cli

    monkeypatch.chdir(tmp_path)
    (tmp_path / "shop").mkdir()
    for path in (JOB, JOB.parent / "shop" / "defaults.yaml"):
        (tmp_path / path.relative_to(JOB.parent)).write_bytes(path.read_bytes())

    def typed(*words: str) -> tuple[int, str, str]:
        monkeypatch.setattr("sys.argv", ["cabdraw", *words])
        status = cli.run()
        said = capsys.readouterr()
        return status, said.out, said.err

    return typed


@pytest.fixture
def only_sizes(monkeypatch: pytest.MonkeyPatch) -> None:
    from cabdraw import package
    from cabdraw.record import record
    from cabdraw.write.tables import json_bytes

    def build(cab: Cab, findings: Sequence[Finding], *_: Any, **__: Any) -> dict[str, bytes]:
        return {"resolved.json": json_bytes(record(cab, findings, []))}

    monkeypatch.setattr(package, "build", build)
    monkeypatch.setattr(package, "several_files", lambda cars, _: {"cars.txt": str(len(cars)).encode()})


@pytest.mark.usefixtures("only_sizes")
def test_each_car_is_drawn_into_a_folder_of_its_own(run: Run) -> None:
    status, out, _ = run("draw", "mill-row.yaml")
    assert status == 0
    assert "[2/2] mill-row-car-2 ... drawn" in out
    assert "2 of 2 were drawn" in out
    assert sorted(path.name for path in Path("out").iterdir() if not path.name.startswith(".")) == [
        "all-cars", "mill-row-car-1", "mill-row-car-2",
    ]  # fmt: skip
    assert "very readings" not in out
    assert Path("out/all-cars/cars.txt").read_text(encoding="utf-8") == "2"
    status, out, _ = run("draw", "--car", "car-2", "-o", "two", "mill-row.yaml")
    assert [path.name for path in Path("two").iterdir() if not path.name.startswith(".")] == ["mill-row-car-2"]
    one, two = (Path(out, "mill-row-car-2", "resolved.json").read_bytes() for out in ("out", "two"))
    assert one == two


def test_check_takes_all_cars_or_some(run: Run) -> None:
    assert "[1/2] mill-row-car-1 ... " in run("check", "mill-row.yaml")[1]
    status, out, _ = run("check", "--car", "car-1", "mill-row.yaml")
    assert (status, out.splitlines()[0]) == (0, "mill-row-car-1 ... 1 finding")
    assert "    shop/defaults.yaml:13:42: layout.joint.groove_depth" in out
    assert len(run("check", "-q", "--car", "car-2", "--car", "car-1", "mill-row.yaml")[1]) == 0


@pytest.mark.parametrize("command", [("check",), ("draw",), ("show",), ("explain",), ("compare", "mill-row.yaml")])
def test_a_wrong_car_lists_those_there_are(run: Run, command: Sequence[str]) -> None:
    status, _, err = run(*command, "mill-row.yaml", "--car", "car-7")
    assert status == 2
    assert "holds no car 'car-7'; its cars are car-1, car-2." in err


@pytest.mark.parametrize("command", [("show",), ("explain",), ("compare", "mill-row.yaml")])
def test_where_one_car_is_wanted_the_command_asks_which(run: Run, command: Sequence[str]) -> None:
    status, _, err = run(*command, "mill-row.yaml")
    assert status == 2
    assert "holds several cars; say which: car-1, car-2." in err


def test_two_cars_of_one_file_are_compared(run: Run) -> None:
    status, out, _ = run("compare", "mill-row.yaml", "mill-row.yaml", "--car", "car-1", "--car", "car-2")
    assert status == 4
    assert "rail-right" in out
    assert run("compare", "mill-row.yaml", "mill-row.yaml", "--car", "car-1")[0] == 0
    Path("one.yaml").write_text(run("show", "mill-row.yaml", "--car", "car-1")[1], encoding="utf-8")
    assert run("compare", "one.yaml", "mill-row.yaml", "--car", "car-1")[0] == 0
    assert run("compare", "one.yaml", "one.yaml", "--car", "car-1")[0] == 2
    assert run("compare", "one.yaml", "mill-row.yaml", "--car", "car-1", "--car", "car-2")[0] == 2
    assert run("compare", *["mill-row.yaml"] * 2, *["--car", "car-1"] * 3)[0] == 2


@pytest.mark.usefixtures("only_sizes")
def test_cars_are_drawn_against_their_earlier_selves(run: Run) -> None:
    old = Path("old.yaml")
    old.write_bytes(Path("mill-row.yaml").read_bytes().replace(b"base: 110", b"base: 100"))
    status, out, _ = run("draw", "--since", "old.yaml", "mill-row.yaml")
    assert status == 0
    assert out.count("since old.yaml: ") == 2
    assert run("draw", "--since", "old.yaml", "--car", "car-2", "mill-row.yaml")[0] == 0
    old.write_text(old.read_text(encoding="utf-8").replace("  car-2:", "  car-3:"), encoding="utf-8")
    status, _, err = run("draw", "--since", "old.yaml", "mill-row.yaml")
    assert status == 2
    assert "old.yaml has no earlier mill-row-car-2; its cars are car-1, car-3" in err


@pytest.mark.usefixtures("only_sizes")
def test_cars_that_were_not_measured_are_said(run: Run) -> None:
    survey = Path("mill-row.yaml").read_text(encoding="utf-8").split("survey:")[1].split("  # Mirrored")[0]
    text = Path("mill-row.yaml").read_text(encoding="utf-8").split("cars:")[0]
    Path("mill-row-shared.yaml").write_text(text.replace("cabdraw: 1\n", ""), encoding="utf-8")
    cars = {key: {"job": {"car": key}} for key in ("a", "b")}
    shared = {"cabdraw": "1", "include": "mill-row-shared.yaml", "cars": cars}
    lines = [line[4:] for line in f"    survey:{survey}".splitlines()]
    Path("job.yaml").write_text(
        "\n".join([*lines, *(f"{key}: {json.dumps(value)}" for key, value in shared.items())]), encoding="utf-8"
    )
    status, out, _ = run("draw", "job.yaml")
    assert status == 0
    assert "job-b has the very readings of job-a: no two cars measure alike; was it measured itself?" in out


def test_two_cars_for_one_folder_are_refused(run: Run) -> None:
    Path("mill-row-car-1.yaml").write_text(run("show", "mill-row.yaml", "--car", "car-1")[1], encoding="utf-8")
    status, _, err = run("draw", "mill-row.yaml", "mill-row-car-1.yaml")
    assert status == 2
    said = "mill-row.yaml (car car-1) and mill-row-car-1.yaml would go into one folder, mill-row-car-1"
    assert said in err
    text = Path("mill-row.yaml").read_text(encoding="utf-8").replace("  car-1:", "  cars:")
    Path("all.yaml").write_text(text, encoding="utf-8")
    status, _, err = run("draw", "all.yaml")
    assert status == 2
    assert "all.yaml (car cars) would go into all-cars, the folder of the lists over all cars; rename it" in err
    assert not Path("out").exists()


def test_what_is_wrong_in_all_cars_is_said_once_with_its_file(run: Run) -> None:
    shop = Path("shop/defaults.yaml")
    shop.write_text(shop.read_text(encoding="utf-8").replace("reveal: 1/2", "reveal: half"), encoding="utf-8")
    status, out, err = run("check", "mill-row.yaml")
    assert status == 1
    assert err.count('shop/defaults.yaml:14:11: layout.reveal: "half" is not a length') == 1
    assert "refused, 1 error, 1 of them told above" in out
    away = shop.absolute()
    os.chdir("/")
    assert run("check", str(away.parent.parent / "mill-row.yaml"))[2].startswith(f"{away}:14:11: ")

"""Catalogs: types in a file of their own are the same types, whoever brings them, and never in the scene's way."""

from __future__ import annotations

import math
import re
import tomllib
from fnmatch import fnmatch
from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from earshed.model.scene import Scene
from earshed.model.scene_file import catalogs
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import files_of, read_scene
from tests.scene_files import facts, put

ROOT = Path(__file__).resolve().parent.parent
HEAD = """\
format: 1
title: Loft
room: {width: 4m, length: 6m, ceiling: {shape: shed, low: 2.2m, high: 3.4m, rises: left}}
seats:
  - {name: chair, at: {from_left: 2m, from_front: 4m}, ear_height: 1m, main: true}
  - {name: bench, at: {from_left: 3m, from_front: 5m}, ear_height: 1m}
framing:
  - {name: joists, surface: ceiling, member: deep, spacing: 60cm, direction: up-slope, first_center: 10cm}
  - {name: studs, surface: rear wall, member: 2x6, spacing: 60cm, direction: up-slope, first_center: 5cm}
fixtures:
  - {name: lamp, type: wide can, at: {from_left: 1m, from_front: 1.2m}}
  - {name: spot, type: wide can, at: {from_left: 2.9m, from_front: 2.9m}, cutout: 10cm}
  - {name: shelf, type: chest, from_left: 0, from_front: 3m, bottom: 0}
speakers:
  - {name: one, type: flush, at: {from_left: 1.1m, from_front: 1.1m}}
  - {name: two, type: turning, at: {from_left: 3m, from_front: 2.8m}, aim: {seats: main}}
  - {name: three, type: niche, wall: rear, from_left: 2m, height: 1m, aim: {toward: up}}
  - {name: four, type: cube, at: {from_left: 1m, from_front: 1m}, height: 20cm, faces: rear}
"""
TYPES: dict[str, dict[str, str]] = {
    "members": {"deep": "45mm x 240mm", "2x6": "50mm x 150mm"},
    "fixture_types": {
        "wide can": "{kind: can light, cutout: 18cm, body: 24cm}",
        "chest": "{kind: box, width: 50cm, length: 1m, height: 90cm}",
    },
    "speaker_types": {
        "flush": "{mount: in-ceiling, aiming: fixed, coverage: {angle: 90deg, band: 4kHz}, cutout: 24cm, bezel: 27cm}",
        "turning": "{mount: in-ceiling, aiming: {pivoting: 15deg}, coverage: 100deg, cutout: 21cm}",
        "niche": "{mount: in-wall, aiming: {angled: 15deg}, coverage: 90deg, mounting_depth: 11cm}",
        "cube": "{mount: stand, aiming: fixed, subwoofer: true, size: {width: 40cm, height: 40cm, depth: 41cm}}",
    },
}
NARROW = "{mount: in-ceiling, aiming: fixed, coverage: 33deg}"
DECOYS = {"members": "12mm x 34mm", "fixture_types": "{kind: can light, cutout: 5cm}", "speaker_types": NARROW}
NAMES = [(section, name) for section, types in TYPES.items() for name in types]
SCHEMES = "schemes:\n  other: {speakers: {one: {type: turning, aim: {tilt: 5, toward: rear}}}, remove: [lamp]}\n"
Said = list[tuple[str, str, str]]
ALL: Said = [(section, name, TYPES[section][name]) for section, name in NAMES]


def sections(said: Said) -> str:
    """The text of some (section, name, what stands there)."""
    lines = []
    for section in dict.fromkeys(s for s, _, _ in said):
        lines += [f"{section}:\n", *(f"  {name}: {value}\n" for s, name, value in said if s == section)]
    return "".join(lines)


def catalog(said: Said) -> str:
    return f"format: 1\ncatalog: Shop\n{sections(said)}"


WRITTEN_OUT = HEAD + sections(ALL)


@pytest.fixture(autouse=True)
def config(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A configuration folder of the test's own, so that the machine's does not matter."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    folder = tmp_path / "config" / "earshed"
    folder.mkdir(parents=True)
    return folder


def test_types_stand_for_what_they_say(tmp_path: Path) -> None:
    """The scene that the other tests compare with, against one that names no fixture type and no member."""
    plain = HEAD + sections([entry for entry in ALL if entry[0] == "speaker_types"])
    for name, size in TYPES["members"].items():
        plain = plain.replace(f"member: {name}", f"member: {size}")
    plain = plain.replace("type: chest", TYPES["fixture_types"]["chest"][1:-1])
    plain = plain.replace("type: wide can, at: {from_left: 2.9m", "kind: can light, body: 24cm, at: {from_left: 2.9m")
    plain = plain.replace("type: wide can", TYPES["fixture_types"]["wide can"][1:-1])
    written = facts(read_scene(put(tmp_path, loft=WRITTEN_OUT)))
    assert written == facts(read_scene(put(tmp_path, plain=plain)))
    assert written["told"]["framing"][1]["thickness"] == pytest.approx(0.05)  # the scene's 2x6 is not the dressed one


FIGURES = [
    *["45mm x", "x 240mm", "50mm x", "x 150mm", "cutout: 18cm", "body: 24cm", "width: 50cm", "length: 1m"],
    *["height: 90cm", "angle: 90deg", "band: 4kHz", "24cm, bezel", "bezel: 27cm", "15deg}, coverage: 100", "100deg"],
    *["21cm", "15deg}, coverage: 90", "depth: 11cm", "width: 40cm", "height: 40cm", "depth: 41cm"],
]


@pytest.mark.parametrize("figure", FIGURES)
def test_every_figure_of_a_catalog_counts(tmp_path: Path, figure: str) -> None:
    """The comparison that the laws rest on sees a figure change by one."""
    shop = catalog(ALL)
    assert shop.count(figure) == 1
    number = re.search(r"\d+", figure)
    assert number
    other = shop.replace(figure, figure.replace(number[0], str(int(number[0]) - 1 or 2), 1))
    path = put(tmp_path, loft=f"{HEAD}catalogs: [shop.yaml]\n", shop=shop, written=WRITTEN_OUT)
    before = facts(read_scene(path))
    assert before == facts(read_scene(tmp_path / "written.yaml"))
    put(tmp_path, shop=other)
    assert facts(read_scene(path)) != before


rows = st.lists(st.sampled_from([None, "true", "decoy"]), min_size=3, max_size=3)


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(where=st.lists(rows, min_size=len(NAMES), max_size=len(NAMES)))
def test_the_first_to_say_a_type_wins_and_the_scene_is_first(tmp_path: Path, where: list[list[str | None]]) -> None:
    """Each type stands in the scene, in a catalog or in a second one, and something else of its name further down."""
    said: list[Said] = [[], [], []]
    for (section, name), row in zip(NAMES, where, strict=True):
        first = next((i for i, what in enumerate(row) if what), 2)
        said[first].append((section, name, TYPES[section][name]))
        said[2] += [(section, name, DECOYS[section])] if first < 2 and row[2] else []
        said[1] += [(section, name, DECOYS[section])] if first < 1 and row[1] else []
    text = f"catalogs: [a.yaml, b.yaml]\n{HEAD}{sections(said[0])}{SCHEMES}"
    path = put(tmp_path, loft=text, a=catalog(said[1]), b=catalog(said[2]), written=WRITTEN_OUT + SCHEMES)
    for scheme in (None, "other"):
        assert (
            facts(read_scene(path, scheme))["checked"]
            == facts(read_scene(tmp_path / "written.yaml", scheme))["checked"]
        )


CHANGES = [
    "speaker_types: {flush: {coverage: 70deg}}",
    "speaker_types: {new: {mount: in-ceiling, aiming: fixed, coverage: 70deg}}, speakers: {one: {type: new}}",
    "fixture_types: {wide can: {cutout: 23cm}}",
    "fixture_types: {small: {kind: can light, cutout: 5cm}}, fixtures: {lamp: {type: small}}",
    "fixtures: {extra: {type: wide can, at: {from_left: 1m, from_front: 1.1m}}}",
    "fixtures: {lamp: {cutout: 17cm}}",
    "members: {deep: 9cm x 30cm, 2x6: 2x4}",
    "members: {thin: 1cm x 30cm}, framing: {joists: {member: thin}}",
    "remove: [four, cube]",
]


@pytest.mark.parametrize("changes", CHANGES)
def test_a_scheme_changes_what_a_catalog_brought(tmp_path: Path, changes: str) -> None:
    schemes = f"schemes: {{alt: {{{changes}}}}}\n"
    text = f"{HEAD}catalogs: [shop.yaml]\n{schemes}"
    path = put(tmp_path, loft=text, shop=catalog(ALL), written=WRITTEN_OUT + schemes)
    under = facts(read_scene(path, "alt"))
    assert under == facts(read_scene(tmp_path / "written.yaml", "alt"))
    assert under != facts(read_scene(path))


@pytest.mark.parametrize(("section", "name"), NAMES)
def test_a_catalogs_names_are_never_in_the_scenes_way(tmp_path: Path, section: str, name: str) -> None:
    """A seat called as a type: refused where the scene itself says both, not where a catalog brings the type."""
    own = [entry for entry in ALL if entry[:2] != (section, name)]
    text = HEAD.replace("name: bench", f"name: {name}") + sections(own) + "catalogs: [shop.yaml]\n"
    path = put(tmp_path, loft=text, shop=catalog([(section, name, TYPES[section][name])]))
    assert [seat.name for seat in read_scene(path).seats] == ["chair", name]
    with pytest.raises(SceneError, match=f"already called {name}"):
        read_scene(put(tmp_path, both=WRITTEN_OUT.replace("name: bench", f"name: {name}")))
    change = f"{section}: {{{name}: {TYPES[section][name]}}}"
    path = put(tmp_path, alt=f"{text}schemes: {{alt: {{{change}}}, less: {{{change}, remove: [{name}]}}}}\n")
    assert [seat.name for seat in read_scene(path, "alt").seats] == [
        "chair",
        name,
    ]  # changed, it is the catalog's still
    assert [seat.name for seat in read_scene(path, "less").seats] == ["chair"]  # the scene's own is what goes


def test_what_the_scene_names_is_taken_out_before_what_a_catalog_calls_so(tmp_path: Path) -> None:
    own = f"{WRITTEN_OUT}  knob: {NARROW}\ndatums: {{post: {{from_left: 0, from_front: 0}}}}\n"
    shop: Said = [("members", "knob", "2x4"), ("speaker_types", "post", NARROW)]
    text = f"{own}catalogs: [shop.yaml]\nschemes: {{alt: {{remove: [knob, post]}}, all: {{remove: [post, post]}}}}\n"
    path = put(tmp_path, loft=text, shop=catalog(shop))
    scene = read_scene(path, "alt")
    assert not scene.datums
    assert "knob" not in scene.speaker_types
    assert "post" in scene.speaker_types
    assert "post" not in read_scene(path, "all").speaker_types


# --- where catalogs are


def coverage_of(scene: Scene) -> float:
    found = scene.speakers[0].type.coverage
    assert found
    return round(math.degrees(found.angle), 6)


LOFT = HEAD.replace("type: flush", "type: best") + sections(ALL[:-4] + ALL[-3:]) + "catalogs: [shop.yaml]\n"
BEST: Said = [("speaker_types", "best", TYPES["speaker_types"]["flush"])]
WORST: Said = [("speaker_types", "best", NARROW)]


def test_beside_the_scene_comes_before_the_configuration_folder(tmp_path: Path, config: Path) -> None:
    path = put(tmp_path, loft=LOFT)
    put(config, shop=catalog(WORST))
    assert coverage_of(read_scene(path)) == 33
    put(tmp_path, shop=catalog(BEST))
    assert coverage_of(read_scene(path)) == 90


def test_the_configuration_folder_by_system(monkeypatch: pytest.MonkeyPatch) -> None:
    """XDG Base Directory Specification 0.8: unset, empty and relative ones are passed over for ~/.config."""
    monkeypatch.setenv("HOME", "/home/ann")
    monkeypatch.setenv("APPDATA", "/data/roaming")
    for said, folder in [("/etc/ann", "/etc/ann"), ("", "/home/ann/.config"), ("here", "/home/ann/.config")]:
        monkeypatch.setenv("XDG_CONFIG_HOME", said)
        assert catalogs.config_folder() == Path(folder, "earshed")
    monkeypatch.delenv("XDG_CONFIG_HOME")
    assert catalogs.config_folder() == Path("/home/ann/.config/earshed")
    monkeypatch.setattr(catalogs, "sys", SimpleNamespace(platform="win32"))
    assert catalogs.config_folder() == Path("/data/roaming/earshed")


def test_a_scene_is_read_alike_from_wherever_it_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """By its whole path, from its folder, from another; through a link, the folder of the link counts."""
    (tmp_path / "job").mkdir()
    (tmp_path / "away").mkdir()
    path = put(tmp_path / "job", loft=LOFT, shop=catalog(BEST))
    whole = facts(read_scene(path))
    monkeypatch.chdir(tmp_path / "job")
    assert facts(read_scene("loft.yaml")) == whole
    monkeypatch.chdir(tmp_path / "away")
    put(tmp_path / "away", shop=catalog(WORST))
    assert facts(read_scene("../job/loft.yaml")) == whole
    (tmp_path / "away" / "link.yaml").symlink_to(path)
    assert coverage_of(read_scene("link.yaml")) == 33


def test_generic_is_the_shipped_one_whatever_lies_beside(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = WRITTEN_OUT.replace("type: flush", "type: flush 8 in")
    other = catalog([("speaker_types", "flush 8 in", NARROW)])
    put(tmp_path, loft=f"{text}catalogs: [generic]\n", own=f"{text}catalogs: [generic.yaml]\n", generic=other)
    (tmp_path / "generic").write_text(other, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    assert coverage_of(read_scene("loft.yaml")) == 90
    assert coverage_of(read_scene("own.yaml")) == 33


def test_every_file_of_a_scene_is_known(tmp_path: Path, config: Path) -> None:
    names = "catalogs: [a.yaml, b.yaml, gone.yaml, generic, ../c.yaml, /d.yaml, '', [x]]\n"
    path = put(tmp_path, loft=HEAD + names, a=catalog([]))
    put(config, b=catalog([]))
    *files, shipped = files_of(path)
    assert files == [path, tmp_path / "a.yaml", config / "b.yaml", tmp_path / "gone.yaml"]
    assert shipped.read_bytes() == (ROOT / "scenes" / "catalogs" / "generic.yaml").read_bytes()
    up = put(tmp_path, up="format: 1\nbased_on: loft.yaml\n")
    assert files_of(up) == (up, *files, shipped)
    lost = put(tmp_path, lost="format: 1\nbased_on: gone.yaml\n", broken="a: [\n", odd="catalogs: x\nbased_on: [y]\n")
    assert files_of(lost) == (lost, tmp_path / "gone.yaml")
    for name in ("broken.yaml", "odd.yaml", "nothing.yaml", "."):
        assert files_of(tmp_path / name) == (tmp_path / name,)


def test_all_that_lies_in_scenes_is_shipped() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    patterns = project["tool"]["setuptools"]["package-data"]["earshed.scenes"]
    found = [path.relative_to(ROOT / "scenes").as_posix() for path in (ROOT / "scenes").rglob("*.yaml")]
    assert "catalogs/generic.yaml" in found
    for name in found:
        assert any(fnmatch(name, pattern) and name.count("/") == pattern.count("/") for pattern in patterns), name


def test_the_readme_shows_a_catalog_and_an_overlay_that_work(tmp_path: Path) -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = dict(re.findall(r"<!-- ([a-z ]+) -->\s*```yml\n(.*?)```", readme, re.DOTALL))
    den = re.findall(r"```yaml\n(.*?)```", readme, re.DOTALL)[0]
    bought = den.replace("type: flush", "type: house round").replace("title:", "catalogs: [stock.yaml]\ntitle:")
    uses = "fixtures: [{name: can, type: house can, at: {from_left: 1', from_front: 1'}}]\n"
    uses += (
        "framing: [{name: x, surface: ceiling, member: old joist, spacing: 2', direction: level, first_center: 0}]\n"
    )
    put(tmp_path, den=bought + uses, stock=shown["a catalog"])
    scene = read_scene(put(tmp_path, up=shown["an overlay"]))
    assert (scene.title, scene.scheme) == ("Den as built", "tilted")
    assert read_scene(tmp_path / "den.yaml").speakers[0].type.name == "house round"
    named = re.search(r"types by\s+size, such as (.*?)\(the whole list", readme, re.DOTALL)
    assert named
    generic = (ROOT / "scenes" / "catalogs" / "generic.yaml").read_text(encoding="utf-8")
    names = re.findall("`(.*?)`", named[1])
    assert len(names) > 5
    assert all(f"\n  {name}:" in generic for name in names)

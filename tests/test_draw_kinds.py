"""earshed draw by the suffix of its file: what each kind takes, and what it refuses without touching a file."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from earshed.viewer.cli import run
from tests.glb_files import read_glb
from tests.test_gltf import GABLE

MORE = '  - {name: right, type: flush, at: {from_left: 3, from_front: 2}}\nschemes: {"as found": {remove: [right]}}\n'


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    path = tmp_path / "gable.yaml"
    text = GABLE.replace("speakers: [", "speakers:\n  - ").replace("from_front: 2}}]", "from_front: 2}}")
    path.write_text(text + MORE, encoding="utf-8")
    return path


def things_of(path: Path) -> set[str]:
    return set(read_glb(path.read_bytes()).nodes)


@pytest.mark.parametrize(
    ("options", "there", "gone"),
    [
        ([], {"cones", "cone of left", "cone of right"}, {"listening plane"}),
        (["--speaker", "right"], {"cone of right", "left", "right"}, {"cone of left"}),
        (["--heat"], {"worst off-axis angle"}, {"cones", "off-axis angle of left"}),
        (["--heat", "--speaker", "left"], {"off-axis angle of left", "coverage limit of left"}, {"cones"}),
        (["--show", "light"], {"coverage as light", "edge of the light of left"}, {"cones", "worst off-axis angle"}),
        (["--scheme", "as found"], {"cone of left"}, {"right", "cone of right"}),
    ],
    ids=["cones", "one cone", "heat", "heat of one", "light", "scheme"],
)
def test_a_model_holds_what_is_asked_for(options: list[str], there: set[str], gone: set[str], scene: Path) -> None:
    out = scene.parent / "deep" / "room.GLB"
    assert run(["draw", str(scene), "--out", str(out), *options]) == 0
    assert there <= things_of(out)
    assert not gone & things_of(out)


@pytest.mark.parametrize(
    ("asked", "first"), [(["--heat"], "map"), (["--show", "light"], "light"), (["--show", "cones"], "cones")]
)
def test_a_page_is_written_and_told_of(
    asked: list[str], first: str, scene: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = scene.parent / "room.html"
    line = ["draw", str(scene), "--out", str(out), "--from", "chair", *asked, "--date", "2030-01-02", "--json"]
    assert run(line) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["files"] == [str(out)]
    page = out.read_text(encoding="utf-8")
    assert page.startswith("<!doctype html>")
    assert "2030-01-02" in page
    assert '"start": "seat chair"' in page
    shown = {one: f'data-show="{one}" aria-pressed="true"' in page for one in ("cones", "map", "light")}
    assert [one for one, on in shown.items() if on] == [first]


@pytest.mark.parametrize(
    ("name", "options", "words"),
    [
        ("room.glb", ["--from", "plan"], "--from says nothing to a .glb file"),
        ("room.glb", ["--size", "800x600"], "--size says nothing to a .glb file"),
        ("room.glb", ["--date", "2030-01-02"], "--date says nothing to a .glb file"),
        ("room.html", ["--size", "800x600"], "--size says nothing to a .html file"),
        ("room.gltf", [], "a picture is written as .png, a page as .html, a model as .glb"),
        ("room", [], "a picture is written as .png, a page as .html, a model as .glb"),
        ("room.html", ["--from", "nowhere"], "there is no view from nowhere"),
        ("room.glb", ["--speaker", "nobody"], "has no speaker nobody"),
    ],
)
def test_what_makes_no_sense_is_refused(
    name: str, options: list[str], words: str, scene: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = scene.parent / "new" / name
    assert run(["draw", str(scene), "--out", str(out), *options]) == 2
    assert words in capsys.readouterr().err
    assert not out.parent.exists()


@pytest.mark.parametrize("name", ["room.glb", "room.html"])
def test_a_file_that_is_there_stays_unless_one_says_so(
    name: str, scene: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = scene.parent / name
    out.write_text("mine", encoding="utf-8")
    assert run(["draw", str(scene), "--out", str(out)]) == 2
    assert "exists already; add --force" in capsys.readouterr().err
    assert out.read_text(encoding="utf-8") == "mine"
    assert run(["draw", str(scene), "--out", str(out), "--force"]) == 0
    assert len(out.read_bytes()) > 10_000
    assert sorted(path.name for path in scene.parent.iterdir()) == ["gable.yaml", name]

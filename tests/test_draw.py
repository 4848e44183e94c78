"""earshed draw: every view of every shipped room, true to scale, with cones where geometry puts them."""

from __future__ import annotations

import contextlib
import io
import json
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import combinations, product
from pathlib import Path

import numpy as np
import pytest
import yaml
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

from earshed.viewer import palette, picture
from earshed.viewer.annotate import Sheet
from earshed.viewer.camera import VIEWS, View, find_view
from earshed.viewer.cli import run
from earshed.viewer.commands import draw
from earshed.viewer.gl import prepare_offscreen

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))
SEATS = {
    scene: [seat["name"] for seat in yaml.load(scene.read_text(encoding="utf-8"), yaml.BaseLoader)["seats"]]
    for scene in SCENES
}
CASES = [(scene, view) for scene in SCENES for view in (*VIEWS, *SEATS[scene])]
SIZE = (500, 400)

# A bare room without seats, and one with a flush speaker either side of the middle of a flat ceiling: the cone of
# coverage angle 80 degrees meets the floor in a circle of radius height by tan 40 degrees.
BARE = """\
format: 1
title: TITLE
bare_lengths: m
print_units: m
room: {width: 4, length: 5, ceiling: {shape: flat, height: 2.5}}
"""
HALL = (
    BARE.replace("width: 4, length: 5", "width: 7, length: 6")
    + """\
speaker_types: {flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 80deg, band: 4kHz}, cutout: 0.18}}
speakers:
  - {name: one, type: flush, at: {from_left: AT, from_front: 3}}
  - {name: two, type: flush, at: {from_left: 4.6, from_front: 3}}
listening_plane: {height: 1, step: 0.1}
"""
)
ONE = (2.4, -3.0)


@pytest.fixture(scope="module", autouse=True)
def gl_is_there() -> Iterator[None]:
    """The trial drawing in a child process, which has tests of its own, is left out: it takes longer than a picture."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(draw, "require_gl", prepare_offscreen)
        yield


def earshed(*line: object) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run([str(word) for word in line])
    return code, out.getvalue(), err.getvalue()


def write(folder: Path, text: str, *, title: str = "Hall", at: float = ONE[0]) -> Path:
    scene = folder / "hall.yaml"
    scene.write_text(text.replace("TITLE", json.dumps(title, ensure_ascii=False)).replace("AT", str(at)), "utf-8")
    return scene


def shot(scene: Path, folder: Path, *options: object, size: tuple[int, int] = SIZE) -> bytes:
    line = ["--out", folder / "shot.png", "--force", "--date", "2030-01-02", "--size", "{}x{}".format(*size), *options]
    code, _, err = earshed("draw", scene, *line)
    assert (code, err) == (0, "")
    return (folder / "shot.png").read_bytes()


@cache
def shipped(scene: Path, view: str, folder: Path) -> bytes:
    return shot(scene, folder, "--from", view, "--scheme", "proposed")


def pixels(png: bytes) -> NDArray[np.int64]:
    with Image.open(io.BytesIO(png)) as opened:
        return np.asarray(opened.convert("RGB"), dtype=np.int64)


def differing(one: bytes, other: bytes) -> float:
    """Share of pixels that differ by more than 24 in any channel after a 3 by 3 blur."""
    blurred = []
    for png in (one, other):
        with Image.open(io.BytesIO(png)) as opened:
            blurred.append(np.asarray(opened.convert("RGB").filter(ImageFilter.BoxBlur(1)), dtype=np.int64))
    return float(np.mean(np.abs(blurred[0] - blurred[1]).max(axis=-1) > 24))


def rgb(color: str) -> NDArray[np.int64]:
    return np.array([int(color[i : i + 2], 16) for i in (1, 3, 5)])


# --- every view of every shipped room


@pytest.mark.parametrize(("scene", "view"), CASES, ids=lambda value: getattr(value, "stem", value))
def test_every_view_is_a_picture(scene: Path, view: str, tmp_path_factory: pytest.TempPathFactory) -> None:
    found = pixels(shipped(scene, view, tmp_path_factory.getbasetemp()))
    assert found.shape == (SIZE[1], SIZE[0], 3)
    picture = found[60:300]
    painted = np.abs(picture - rgb(palette.PAPER)).max(axis=-1) > 8
    assert painted.mean() > 0.15
    assert len(np.unique(picture.reshape(-1, 3), axis=0)) > 300
    assert picture.std(axis=(0, 1)).min() > 15


@pytest.mark.parametrize("view", ["plan", "corner"])
def test_every_picture_says_what_it_is(view: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Title, scheme, date, scale, what is seen from where; each speaker by name in the key and in the picture."""
    said: list[str] = []
    write_text = ImageDraw.ImageDraw.text

    def listen(
        pen: ImageDraw.ImageDraw, place: tuple[float, float], words: str, *rest: object, **style: object
    ) -> None:
        said.append(words)
        write_text(pen, place, words, *rest, **style)

    monkeypatch.setattr(ImageDraw.ImageDraw, "text", listen)
    scene = write(tmp_path, HALL + "schemes: {as proposed: {}}\n")
    shot(scene, tmp_path, "--from", view, "--scheme", "as proposed", size=(1000, 700))
    page = "\n".join(said)
    scale = ("scale by the bar", "1 m") if view == "plan" else ("not to scale",)
    for words in ("Hall", "as proposed", "2030-01-02", "seen from", "coverage limit", "40.0°", *scale):
        assert words in page, words
    assert said.count("one") == said.count("two") == 2


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.stem)
def test_views_differ(scene: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.getbasetemp()
    few = [shipped(scene, view, folder) for view in ("corner", "plan", "front", "rear", SEATS[scene][0])]
    assert min(differing(one, other) for one, other in combinations(few, 2)) > 0.05


# --- to scale


@dataclass(frozen=True)
class Framed:
    """A picture, and the page and the camera that it was made with."""

    pixels: NDArray[np.int64]
    sheet: Sheet
    view: View

    @property
    def picture(self) -> NDArray[np.int64]:
        """The part that shows the room."""
        return self.pixels[self.sheet.top : self.sheet.bottom]

    def colors(self, points: list[tuple[float, ...]]) -> NDArray[np.int64]:
        """Colors (N, 3) at points of the room."""
        across, down = np.floor(self.view.pixels(np.array(points), self.sheet.picture_size)).astype(int).T
        return self.picture[down, across]


def framed(scene: Path, folder: Path, *options: object, size: tuple[int, int]) -> Framed:
    sheets: list[Sheet] = []
    views: list[View] = []

    def keep(kept, make):
        return lambda *arguments: kept.append(make(*arguments)) or kept[-1]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(picture, "Sheet", keep(sheets, Sheet))
        patch.setattr(picture, "find_view", keep(views, find_view))
        png = shot(scene, folder, *options, size=size)
    return Framed(pixels(png), sheets[0], views[0])


@pytest.mark.parametrize(
    ("view", "across", "down"),
    [("plan", 4, 5), ("front", 4, 2.5), ("rear", 4, 2.5), ("left", 5, 2.5), ("right", 5, 2.5)],
)
def test_level_views_are_to_scale_by_their_bar(view: str, across: float, down: float, tmp_path: Path) -> None:
    """Room and bar are measured in the picture itself, and the room against where the camera says it falls."""
    found = framed(write(tmp_path, BARE), tmp_path, "--from", view, size=(800, 620))
    painted = np.abs(found.picture - rgb(palette.PAPER)).max(axis=-1) > 100
    height, width = painted.shape
    columns, rows = np.flatnonzero(painted[height // 2]), np.flatnonzero(painted[:, width // 2])
    seen = np.array([np.ptp(columns), np.ptp(rows)])  # from the middle of one line to the middle of the other

    corners = found.view.pixels(np.array(list(product((0, 4), (0, -5), (0, 2.5)))), (width, height))
    assert np.abs(np.ptp(corners, axis=0) - seen).max() <= 2
    assert (columns[0] + columns[-1] + 1) / 2 == pytest.approx(corners[:, 0].mean(), abs=1)
    assert (rows[0] + rows[-1] + 1) / 2 == pytest.approx(corners[:, 1].mean(), abs=1)

    ink = np.all(found.picture == rgb(palette.INK), axis=-1)
    top = np.flatnonzero(ink[:, : width // 2].sum(axis=1) > 60)[0]
    bar = np.flatnonzero(ink[top])
    metre = int(np.argmax(np.diff(np.append(bar, 10**6)) > 1))  # pixels from end to end of the unbroken line
    assert seen[0] == pytest.approx(across * metre, abs=2 + across / 2)  # the bar is read to half a pixel
    assert seen[1] == pytest.approx(down * metre, abs=2 + down / 2)


# --- cones, heat


def round_one(radius: float) -> list[tuple[float, ...]]:
    turns = np.radians(np.arange(0, 360, 2))
    return [(ONE[0] + radius * math.cos(t), ONE[1] + radius * math.sin(t), 0.0) for t in turns]


def test_the_cone_meets_the_floor_where_geometry_says(tmp_path: Path) -> None:
    """A circle of radius height by tan of half the coverage angle round the foot of the speaker."""
    line = ("--from", "plan", "--speaker", "one")
    found = framed(write(tmp_path, HALL), tmp_path, *line, size=(1000, 800))
    radius = 2.5 * math.tan(math.radians(40))

    def share(reach: float) -> float:
        return float(np.mean(np.abs(found.colors(round_one(reach)) - rgb(palette.SPEAKER_HUES[0])).max(axis=-1) < 70))

    assert share(radius) > 0.9
    assert max(share(0.9 * radius), share(1.08 * radius)) < 0.1


def test_cones_show_whose_they_are_and_move_with_their_speakers(tmp_path: Path) -> None:
    scene = write(tmp_path, HALL)
    line = ("--from", "corner")
    both, one, two = (shot(scene, tmp_path, *line, *more) for more in ((), ("--speaker", "one"), ("--speaker", "two")))
    assert min(differing(a, b) for a, b in combinations((both, one, two), 2)) > 0.01
    assert shot(scene, tmp_path, *line, "--speaker", "one") == one
    moved = shot(write(tmp_path, HALL, at=2.8), tmp_path, *line, "--speaker", "one")
    assert differing(moved, one) > 0.01


def test_heat_darkens_with_the_angle_and_keeps_its_steps(tmp_path: Path) -> None:
    """Along a line away from under a speaker, at ear height: one color within a band, a darker one in the next."""
    line = ("--from", "plan", "--speaker", "one", "--heat")
    found = framed(write(tmp_path, HALL), tmp_path, *line, size=(1000, 800))
    lightness = []
    for band in (1, 2, 3, 4, 5):
        reach = [1.5 * math.tan(math.radians(10 * band + more)) for more in (3, 7)]  # 1.5 m over the plane
        near, far = found.colors([(ONE[0], ONE[1] - away, 1.0) for away in reach]) @ [0.2126, 0.7152, 0.0722]
        assert abs(near - far) < 5
        lightness.append((near + far) / 2)
    assert np.all(np.diff(lightness) < -8)


# --- what may be asked, and what is refused


def test_default_file_is_named_after_scene_and_view(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    seat = "seats: [{name: Big chair, at: {from_left: 2, from_front: 3}, ear_height: 1}]\n"
    scene = write(tmp_path, BARE + seat + "schemes: {As Built: {}}\n")
    for line in ([], ["--from", "Big chair", "--scheme", "As Built"], ["--out", "one/two/den.PNG"]):
        assert earshed("draw", scene, "--size", "400x300", *line)[0] == 0
    made = {str(path.relative_to(tmp_path)) for path in tmp_path.rglob("*") if path.is_file()}
    assert made == {"hall.yaml", "hall-corner.png", "hall-as-built-big-chair.png", "one/two/den.PNG"}


def test_json_names_the_file_and_the_findings(tmp_path: Path) -> None:
    scene = write(tmp_path, BARE)
    code, out, err = earshed("draw", scene, "--json", "--size", "400x300", "--out", tmp_path / "a.png")
    assert (code, err) == (0, "")
    document = json.loads(out)
    assert (document["format"], document["scene"], document["scheme"]) == (1, "Hall", None)
    assert document["files"] == [str(tmp_path / "a.png")]
    assert document["findings"] == json.loads(earshed("check", scene, "--json")[1])["findings"]


def test_a_view_that_is_none_is_told_which_there_are(tmp_path: Path) -> None:
    code, out, err = earshed("draw", SCENES[0], "--from", "below", "--out", tmp_path / "a.png")
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert all(name in err for name in ("below", *VIEWS, *SEATS[SCENES[0]]))
    assert list(tmp_path.iterdir()) == []


def test_an_existing_file_is_refused_unless_forced(tmp_path: Path) -> None:
    there = tmp_path / "a.png"
    there.write_bytes(b"mine")
    scene = write(tmp_path, BARE)
    code, _, err = earshed("draw", scene, "--out", there, "--size", "400x300")
    assert (code, err.count("\n"), there.read_bytes()) == (2, 1, b"mine")
    assert "--force" in err
    assert earshed("draw", scene, "--out", there, "--size", "400x300", "--force")[0] == 0
    assert pixels(there.read_bytes()).shape == (300, 400, 3)


def test_heat_from_a_seat_is_refused(tmp_path: Path) -> None:
    """At ear height one sees the plane of the ears edge on."""
    code, out, err = earshed("draw", SCENES[0], "--heat", "--from", SEATS[SCENES[0]][0], "--out", tmp_path / "a.png")
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert list(tmp_path.iterdir()) == []


def test_other_kinds_of_file_and_unknown_speakers_are_refused(tmp_path: Path) -> None:
    scene = write(tmp_path, HALL)
    code, _, err = earshed("draw", scene, "--out", tmp_path / "a.jpg")
    assert (code, err.count("\n")) == (2, 1)
    assert ".png" in err
    code, _, err = earshed("draw", scene, "--out", tmp_path / "a.png", "--speaker", "three")
    assert (code, err.count("\n")) == (2, 1)
    assert all(name in err for name in ("three", "one", "two"))
    assert {path.name for path in tmp_path.iterdir()} == {"hall.yaml"}


@pytest.mark.parametrize(
    "title",
    ["[red]Hall[/red] {0}", "Hall " * 2000, "Hall 🎬 視聴室 \u202eחדר \u200f $x^2$"],
    ids=["signs", "long", "scripts"],
)
def test_any_title_will_do(title: str, tmp_path: Path) -> None:
    png = shot(write(tmp_path, HALL, title=title), tmp_path, "--speaker", "one", size=(400, 300))
    assert pixels(png).shape == (300, 400, 3)

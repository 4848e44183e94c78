"""Pictures as a client sees them: against ones that are kept, coverage as light, sections, and what is left out."""

from __future__ import annotations

import io
from functools import partial
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageFilter

from earshed.model.listening_plane import lay_plane
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene, scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.viewer import palette, picture
from earshed.viewer.annotate import Sheet
from earshed.viewer.camera import find_view
from earshed.viewer.cli import run
from earshed.viewer.commands import draw
from earshed.viewer.cone_meshes import parted_by_sight
from earshed.viewer.gl import prepare_offscreen
from earshed.viewer.picture import Shot, take
from earshed.viewer.rendering import render, studio
from earshed.viewer.stage import light_stage, set_stage
from tests.reference_pictures import KEPT, VIEWS, drawn, room

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))
SMALL = (260, 200)
TWO_INCHES = 0.0508
ALIKE = 0.0007
"""Share of pixels by which another driver may draw a picture differently; a speaker moved by 2 in is twice of it."""
HALL = """\
format: 1
title: Hall
bare_lengths: m
room: {width: 7, length: 6, ceiling: {shape: flat, height: 2.5}}
speaker_types: {flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 80deg, band: 4kHz}, cutout: 0.18}}
speakers: [{name: one, type: flush, at: {from_left: 2.4, from_front: 3}}]
listening_plane: {height: 1, step: 0.02}
"""


@pytest.fixture(scope="module", autouse=True)
def offscreen():
    prepare_offscreen()


def scene_of(text: str) -> Scene:
    return scene_from_tree(parse_tree(text, "scene.yaml"))


def array(image: Image.Image) -> NDArray[np.int64]:
    return np.asarray(image.convert("RGB"), dtype=np.int64)


def differing(one: Image.Image, other: Image.Image) -> float:
    """Share of pixels that differ by more than 16 in any channel after a 3 by 3 blur."""
    near = [array(image.convert("RGB").filter(ImageFilter.BoxBlur(1))) for image in (one, other)]
    return float(np.mean(np.abs(near[0] - near[1]).max(axis=-1) > 16))


def alone(scene: Scene, view: str, show: str, size: tuple[int, int] = (600, 450)) -> Image.Image:
    """The room of a picture, without words."""
    plane = lay_plane(scene.room, scene.plane) if show == "light" else None
    shot = Shot(scene, view, scene.judged, plane, size, "2030-01-02", show)
    return picture._render(shot, find_view(scene, view, size[0] / size[1]), size)


# --- against pictures that are kept


@pytest.mark.parametrize("name", VIEWS)
def test_a_picture_is_the_one_that_is_kept_and_two_inches_show(name):
    with Image.open(KEPT / f"{name}.png") as kept:
        assert differing(kept, drawn(name, room())) < ALIKE
        assert differing(kept, drawn(name, room(0.9 + TWO_INCHES))) > 1.5 * ALIKE


def test_drawn_twice_it_is_the_same_bytes():
    assert drawn("light", room()).tobytes() == drawn("light", room()).tobytes()


def test_one_after_another_they_are_as_each_by_itself():
    """Nothing of a picture stays in the studio for the next one."""
    scene, size = room(), (220, 160)
    views = [find_view(scene, name, size[0] / size[1]) for name in ("corner", "front", "corner")]

    def furnish(plotter, view):
        set_stage(plotter, scene, view)
        light_stage(plotter)

    with studio(size) as opened:
        taken = [opened.take(scene, view, partial(furnish, view=view)).tobytes() for view in views]
    assert taken[0] == taken[2] != taken[1]
    assert taken == [render(scene, view, size, partial(furnish, view=view)).tobytes() for view in views]


def test_a_door_in_a_near_wall_leaves_the_picture_as_it_is():
    """The near walls are left out, and with them the edges of what is in them, which would lie over the floor."""
    door = "openings: [{name: door, wall: WALL, from_left: 2, sill: 0, width: 0.9, height: 2}]\n"
    plain = alone(scene_of(HALL), "corner", "room")
    for wall, shows in (("rear", False), ("right", False), ("front", True), ("left", True)):
        opening = door.replace("WALL", wall)
        if wall in ("left", "right"):
            opening = opening.replace("from_left", "from_front")
        assert (alone(scene_of(HALL + opening), "corner", "room").tobytes() != plain.tobytes()) == shows


@pytest.mark.parametrize(
    ("view", "show", "look"),
    [("seat", "room", "up"), ("seat", "room", "screen"), ("corner", "room", "screen"), ("corner", "light", "screen")],
)
@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_every_shipped_scene_is_drawn(path, view, show, look):
    scene = read_scene(path, "as found")
    seats = [seat.name for seat in scene.seats if seat.name not in ("left", "right")]
    plane = lay_plane(scene.room, scene.plane) if show == "light" else None
    shot = Shot(scene, seats[0] if view == "seat" else view, scene.judged, plane, SMALL, "2030-01-02", show, look)
    with Image.open(io.BytesIO(take(shot))) as page:
        assert page.size == SMALL
        assert array(page).std() > 15


# --- light


def gray(colors: NDArray[np.int64]) -> NDArray[np.float64]:
    return colors @ [0.2126, 0.7152, 0.0722]


def test_light_on_the_plane_falls_with_the_angle_and_ends_at_the_limit():
    """Straight out from under the speaker, 1.5 m over the plane: the limit of 40 degrees is 1.5 tan 40 degrees away."""
    scene, size = scene_of(HALL), (900, 700)
    pixels, view = array(alone(scene, "plan", "light", size)), find_view(scene, "plan", size[0] / size[1])

    def shade(degrees: float) -> float:
        away = 1.5 * np.tan(np.radians(degrees))
        ring = [(2.4 + away * c, -3 + away * s, 1.0) for c, s in ((0, 1), (0, -1), (1, 0), (0.6, 0.8))]
        across, down = np.floor(view.pixels(np.array(ring), size)).astype(int).T
        return float(gray(pixels[down, across]).mean())

    inside = [shade(degrees) for degrees in (14, 20, 26, 32, 38)]
    assert np.all(np.diff(inside) < -4)
    past = [shade(degrees) for degrees in (42, 50, 58)]
    assert np.ptp(past) < 8
    assert inside[-1] - max(past) > 40
    limit = 1.5 * np.tan(np.radians(40))
    across, down = np.floor(view.pixels(np.array([[2.4, -3 - limit, 1.0]]), size)).astype(int)[0]
    line = [int(palette.LIMIT[at : at + 2], 16) for at in (1, 3, 5)]
    assert np.abs(pixels[down - 2 : down + 3, across] - line).max(axis=-1).min() < 30


# --- sections

CUT = """\
format: 1
title: Cut
bare_lengths: m
room: {width: 4, length: 6, ceiling: {shape: gable, ridge: front-to-back, low: 2, peak: 3}}
seats: [{name: chair, at: {from_left: 2, from_front: 3}, ear_height: 1, main: true}]
fixtures:
  - {name: near, kind: box, from_left: 1, from_front: 4.5, bottom: 0, width: 1, length: 1, height: 1.5}
  - {name: far, kind: box, from_left: 2.5, from_front: 0.5, bottom: 0, width: 1, length: 1, height: 1.5}
  - {name: through, kind: box, from_left: 0, from_front: 3, bottom: 0, width: 0.5, length: 1, height: 1}
"""


def without(name: str) -> Scene:
    return scene_of("\n".join(line for line in CUT.splitlines() if f"name: {name}," not in line))


def test_what_lies_before_the_cut_is_not_shown():
    whole = alone(scene_of(CUT), "section", "room")
    assert whole.tobytes() == alone(without("near"), "section", "room").tobytes()
    assert differing(whole, alone(without("far"), "section", "room")) > 0.01


def test_what_is_cut_is_painted_as_cut():
    scene, size = scene_of(CUT), (600, 450)
    pixels, view = array(alone(scene, "section", "room", size)), find_view(scene, "section", size[0] / size[1])
    for place, color in (((-0.05, 1.0), palette.CUT), ((2.0, -0.05), palette.CUT), ((0.25, 0.5), palette.CUT_THING)):
        point = np.array([[place[0], view.place[1], place[1]]])
        across, down = np.floor(view.pixels(point, size)).astype(int)[0]
        assert pixels[down, across].tolist() == [int(color[at : at + 2], 16) for at in (1, 3, 5)]


def told(monkeypatch: pytest.MonkeyPatch, shot: Shot) -> list[str]:
    """The names in a picture."""
    labels: list[str] = []
    monkeypatch.setattr(Sheet, "labels", lambda self, found, *rest: labels.extend(one.words for one in found))
    monkeypatch.setattr(picture, "_render", lambda shot, view, size: Image.new("RGB", size))
    take(shot)
    return labels


def test_a_section_names_what_it_shows_and_says_how_high(monkeypatch):
    seats = CUT.replace("seats: [", "seats: [{name: behind, at: {from_left: 2, from_front: 5}, ear_height: 1}, ")
    shot = Shot(scene_of(seats), "section", (), None, (900, 700), "2030-01-02")
    assert told(monkeypatch, shot) == ["chair  3' 3-3/8\""]


def test_without_names_nothing_is_named(monkeypatch):
    assert told(monkeypatch, Shot(room(), "corner", (), None, SMALL, "2030-01-02", names=False)) == []
    assert "top" in told(monkeypatch, Shot(room(), "corner", (), None, SMALL, "2030-01-02"))


# --- rims of cones


@pytest.mark.parametrize(
    ("view", "left_out"),
    [
        ("corner", {"right", "rear", "over"}), ("plan", {"over"}), ("front", {"front"}), ("left", {"left"}),
        ("ceiling", set()), ("section", {"left"}),
    ],
)  # fmt: skip
def test_rims_are_faint_on_faces_that_are_left_out(view, left_out):
    """A line round the hall on each of its faces; on those left out it is of the second kind, and no piece is lost."""
    scene = scene_of(HALL)
    low, high = np.array([0.01, -5.99, 0.01]), np.array([6.99, -0.01, 2.49])
    lines = {}
    for axis, names in enumerate((("left", "right"), ("rear", "front"), ("floor", "over"))):
        for end, name in zip((low, high), names, strict=True):
            ends = np.array([low + 0.2 * (high - low), high - 0.3 * (high - low)])
            ends[:, axis] = end[axis]
            lines[name] = ends[0] + np.linspace(0, 1, 9)[:, None] * (ends[1] - ends[0])
    seen_from = find_view(scene, view, 1.4)
    if view in ("ceiling", "section"):
        lines = {name: line for name, line in lines.items() if name in ("front", "left", "right")}
    for name, line in lines.items():
        seen, behind = parted_by_sight(scene, [line], seen_from)
        assert len(seen) + len(behind) == 1
        np.testing.assert_array_equal((behind if name in left_out else seen)[0], line)
    both = np.concatenate([lines["left"], lines["right"]])
    seen, behind = parted_by_sight(scene, [both], seen_from)
    assert sum(len(part) - 1 for part in (*seen, *behind)) == len(both) - 1


# --- the ceiling as it will look


def test_a_ceiling_shows_no_members_and_nothing_of_the_floor():
    framing = "framing: [{name: joists, surface: ceiling, member: 2x8, spacing: 0.4, direction: side-to-side}]\n"
    chest = "fixtures: [{name: c, kind: box, from_left: 1, from_front: 1, bottom: 0, width: 1, length: 1, height: 1}]\n"
    bare = alone(scene_of(HALL), "ceiling", "room").tobytes()
    assert bare == alone(scene_of(HALL + chest), "ceiling", "room").tobytes()
    if "first_center" not in framing:
        framing = framing.replace("spacing: 0.4", "spacing: 0.4, first_center: 0.3")
    assert bare == alone(scene_of(HALL + framing), "ceiling", "room").tobytes()
    assert bare != alone(scene_of(HALL + framing), "ceiling", "cones").tobytes()


# --- what may be asked


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (["--show", "light", "--from", "ceiling"], "the ceiling is seen from over the plane"),
        (["--heat", "--from", "section"], "a section shows the plane at ear height edge on"),
        (["--show", "light", "--from", "chair"], "from a seat the plane at ear height is seen edge on"),
        (["--show", "room", "--out", "a.html"], "--show room is drawn as a .png"),
        (["--from", "section", "--out", "a.html"], "--from section is drawn as a .png"),
        (["--heat", "--show", "cones"], "--heat is --show heat"),
        (["--look", "up"], "--look up is from a seat"),
        (["--look", "up", "--out", "a.html"], "--look says nothing to a .html file"),
        (["--no-names", "--out", "a.glb"], "--no-names says nothing to a .glb file"),
    ],
)
def test_what_makes_no_sense_is_refused(line, words, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    seat = "seats: [{name: chair, at: {from_left: 2, from_front: 4}, ear_height: 1}]\n"
    (tmp_path / "hall.yaml").write_text(HALL + seat, encoding="utf-8")
    assert run(["draw", "hall.yaml", *line]) == 2
    assert words in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["hall.yaml"]


def test_files_are_named_after_what_they_show(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(draw, "require_gl", prepare_offscreen)
    seat = "seats: [{name: chair, at: {from_left: 2, from_front: 4}, ear_height: 1}]\n"
    (tmp_path / "hall.yaml").write_text(HALL + seat, encoding="utf-8")
    for line in (["--show", "light"], ["--from", "chair", "--look", "up", "--no-names"], ["--from", "ceiling"]):
        assert run(["draw", "hall.yaml", "--size", "400x300", *line]) == 0
    made = {path.name for path in tmp_path.glob("*.png")}
    assert made == {"hall-corner-light.png", "hall-chair-up.png", "hall-ceiling.png"}

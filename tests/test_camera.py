"""Views: where points of the room fall on a picture, as VTK itself projects them and as geometry asks."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import pyvista as pv
import yaml
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.scene_file.read import read_scene, scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.viewer.camera import VIEWS, find_view
from earshed.viewer.meshes import skin_mesh

FOLDER = Path(__file__).resolve().parent.parent / "scenes"
SEATS = {
    path.stem: [seat["name"] for seat in yaml.load(path.read_text(encoding="utf-8"), yaml.BaseLoader)["seats"]]
    for path in sorted(FOLDER.glob("*.yaml"))
}
CASES = [(stem, name) for stem, seats in SEATS.items() for name in (*VIEWS, *seats)]
LEVEL = ("plan", "front", "rear", "left", "right", "section", "ceiling")
SIZES = [(700, 500), (401, 900)]
DEN = """\
format: 1
title: Den
bare_lengths: m
room: {width: 4, length: 6, ceiling: {shape: shed, low: 2.1, high: 3, rises: left}}
screen: {wall: front, diagonal: 2, center_from_left: 1.5, bottom: 0.8}
seats: [{name: couch, at: {from_left: 1.2, from_front: 4}, ear_height: 1}]
"""


@pytest.fixture(scope="module")
def den():
    return scene_from_tree(parse_tree(DEN, "den.yaml"))


@pytest.fixture(scope="module")
def scenes(den):
    """The shipped rooms by name, and one of our own."""
    return {"den": den} | {stem: read_scene(FOLDER / f"{stem}.yaml", "proposed") for stem in SEATS}


def view_of(scene, name, size):
    return find_view(scene, name, size[0] / size[1])


def room_points(scene, count=60):
    corners = scene.room.shell.vertices
    rng = np.random.default_rng(5)
    return np.concatenate([corners, rng.uniform(corners.min(axis=0), corners.max(axis=0), (count, 3))])


def inside_picture(pixels, size):
    return np.all((pixels >= 0) & (pixels <= size), axis=-1)


# --- against VTK


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize(("stem", "name"), CASES)
def test_pixels_are_where_vtk_projects_them(scenes, stem, name, size):
    scene = scenes[stem]
    view, points = view_of(scene, name, size), room_points(scene)
    plotter = pv.Plotter(off_screen=True, window_size=size)
    try:
        plotter.add_mesh(skin_mesh(scene.room.shell.corners))
        view.apply(plotter)
        shown = []
        for point in points:
            plotter.renderer.SetWorldPoint(*point, 1.0)
            plotter.renderer.WorldToDisplay()
            across, up, _ = plotter.renderer.GetDisplayPoint()
            shown.append((across, size[1] - up))
    finally:
        plotter.close()
    found = view.pixels(points, size)
    ahead = (points - view.place) @ (view.target - view.place) > 0
    before = np.isfinite(found).all(axis=1)
    near = before & (np.abs(found - np.array(size) / 2).max(axis=1) < 2 * max(size))  # far off it a pixel is nothing
    assert view.is_cut or np.all(ahead[before])
    assert not view.is_cut or [view.shows(point) for point in points] == ahead.tolist()
    assert near.sum() > 10
    assert np.abs(found - shown)[near].max() < 0.1


# --- what geometry asks


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("name", VIEWS)
@pytest.mark.parametrize("stem", [*SEATS, "den"])
def test_the_whole_room_is_in_the_picture_and_fills_it(scenes, stem, name, size):
    scene = scenes[stem]
    found = view_of(scene, name, size).pixels(scene.room.shell.vertices, size)
    assert inside_picture(found, size).all()
    assert (np.ptp(found, axis=0) / size).max() > 0.8


@pytest.mark.parametrize("name", LEVEL)
def test_level_views_are_to_scale_in_every_direction(den, name):
    """Distances square to the line of sight come out as the same pixels a metre, wherever they are."""
    size = (700, 500)
    view, points = view_of(den, name, size), room_points(den)
    found = view.pixels(points, size)
    way = (view.target - view.place) / np.linalg.norm(view.target - view.place)
    flat = points - (points @ way)[:, None] * way
    metres = np.linalg.norm(flat - flat[0], axis=1)[1:]
    pixels = np.linalg.norm(found - found[0], axis=1)[1:]
    assert pixels == pytest.approx(metres * size[1] / 2 / view.half_height, abs=1e-6)


def pixel(den, name, point):
    return view_of(den, name, (700, 500)).pixels(np.array([point], dtype=float), (700, 500))[0]


@pytest.mark.parametrize(
    ("name", "left", "right"),
    [
        ("plan", (0, -3, 1), (4, -3, 1)),
        ("rear", (0, -3, 1), (4, -3, 1)),
        ("front", (4, -3, 1), (0, -3, 1)),  # seen from the front, left is on the right
        ("left", (2, 0, 1), (2, -6, 1)),
        ("right", (2, -6, 1), (2, 0, 1)),
        ("couch", (1.0, 0, 1), (2.0, 0, 1)),
        ("corner", (0, 0, 1), (4, 0, 1)),
        ("ceiling", (0, -3, 2.5), (4, -3, 2.5)),
        ("section", (0, -3, 1), (4, -3, 1)),  # the ceiling rises to the left, so one looks to the front
    ],
)
def test_what_stands_on_which_side(den, name, left, right):
    assert pixel(den, name, left)[0] < pixel(den, name, right)[0]


def test_up_is_up_and_the_screen_is_at_the_top_of_the_plan(den):
    for name in (*LEVEL[1:-1], "corner", "couch"):
        assert pixel(den, name, (1.5, -0.5, 2.0))[1] < pixel(den, name, (1.5, -0.5, 1.0))[1]
    assert pixel(den, "plan", (2, 0, 1))[1] < pixel(den, "plan", (2, -6, 1))[1]


def test_from_a_seat_one_looks_out_of_its_ears_at_the_screen(den):
    view, seat, size = view_of(den, "couch", (700, 500)), den.seats[0], (700, 500)
    assert view.place == pytest.approx(seat.ear)
    assert inside_picture(view.pixels(den.screen.corners, size), size).all()
    behind = seat.ear - [0, 1, 0]
    assert np.isnan(view.pixels(behind[None], size)).all()


@given(
    a=st.tuples(st.floats(0, 4), st.floats(-6, 0), st.floats(0, 3)),
    b=st.tuples(st.floats(0, 4), st.floats(-6, 0), st.floats(0, 3)),
    name=st.sampled_from(VIEWS),
)
def test_straight_lines_stay_straight(den, a, b, name):
    """The middle of a segment falls on the segment's picture; on a level view, on the middle of it."""
    ends = np.array([a, b])
    found = view_of(den, name, (700, 500)).pixels(np.vstack([ends, ends.mean(axis=0)]), (700, 500))
    way, half = found[1] - found[0], found[2] - found[0]
    assert abs(way[0] * half[1] - way[1] * half[0]) <= 1e-6 * (1 + way @ way)
    assert -1e-6 <= way @ half <= way @ way + 1e-6
    if name != "corner":
        assert half == pytest.approx(way / 2, abs=1e-6)


def test_a_view_that_is_none(den):
    with pytest.raises(KeyError):
        find_view(den, "under", 1.4)

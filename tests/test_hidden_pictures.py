"""What is behind the board as drawn: at its true size and place, kinds told apart by pattern, found from counted."""

from __future__ import annotations

import io
from itertools import combinations
from typing import get_args

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.patches import Polygon
from PIL import Image

from earshed.model.face_shape import FaceShape, rectangle_shape, round_shape
from earshed.model.framing import member_parts
from earshed.model.hidden import HiddenKind
from earshed.model.listening_plane import lay_plane
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.viewer.gl import prepare_offscreen
from earshed.viewer.hatching import KIND_WORDS, hatch_lines
from earshed.viewer.hidden_drawing import SWATCH, draw_framing, draw_hidden, draw_sign, hidden_signs
from earshed.viewer.hidden_meshes import framing_parts, keep_out_parts, keep_out_patch, old_hole_parts
from earshed.viewer.map_axes import MapSheet
from earshed.viewer.map_page import room_page
from earshed.viewer.picture import Shot, take

KINDS = get_args(HiddenKind)
HEAD = """format: 1
title: Things behind the board
bare_lengths: m
room: {width: 4, length: 6, ceiling: {shape: gable, ridge: front-to-back, low: 2.4, peak: 3.9}}
"""
FRAMING = """framing:
  - {name: rafters, surface: ceiling, member: 40mm x 200mm, spacing: 0.4, direction: up-slope, first_center: 0.3,
     members: [{center: 1.52, surface: left slope}]}
  - {name: straps, surface: right slope, member: 60mm x 20mm, spacing: 0.4, direction: level, first_center: 0.2,
     under: rafters}
  - {name: studs, surface: left wall, member: 40mm x 90mm, spacing: 0.4, direction: up-slope, first_center: 0.4}
"""
HIDDEN = """keep_outs:
  - {name: trunk, kind: duct, from_left: 0.5, from_front: 1, width: 0.5, length: 1}
  - {name: drain, kind: pipe, between: [[1, 3], [1, 5]], width: 0.1}
  - {name: feed, kind: cable, wall: left, from_front: 2, height: 1.2, diameter: 0.2}
existing_holes:
  - {name: round, at: {from_left: 3, from_front: 2}, cutout: 0.21}
  - {name: slot, wall: front, from_left: 1, height: 2, cutout: 0.15 x 0.25}
"""


def scene_of(text: str):
    return scene_from_tree(parse_tree(text, "hidden.yaml"))


BARE, SCENE = scene_of(HEAD), scene_of(HEAD + FRAMING + HIDDEN)


# --- patterns

shapes = st.one_of(
    st.builds(round_shape, st.tuples(st.floats(-5, 5), st.floats(-5, 5)), st.floats(0.03, 1.0)),
    st.builds(
        lambda x, y, turn, length, width: rectangle_shape(
            (x, y), np.array([np.cos(turn), np.sin(turn)]), length, width
        ),
        *(st.floats(-5, 5), st.floats(-5, 5), st.floats(0, 7), st.floats(0.03, 3.0), st.floats(0.02, 0.5)),
    ),
)


@given(shape=shapes, kind=st.sampled_from(KINDS))
def test_a_pattern_fills_its_shape_and_no_more(shape: FaceShape, kind: HiddenKind) -> None:
    strokes = hatch_lines(kind, shape)
    assert strokes
    together = shapely.MultiLineString(list(strokes))
    assert shape.outline.buffer(1e-9).covers(together)
    assert shape.outline.difference(together.buffer(0.15)).area < 1e-9  # no place in it is far from a stroke


def test_each_kind_has_its_own_pattern() -> None:
    """Told apart without color: on a patch of ordinary size a good part of what one inks the other does not."""
    assert set(KIND_WORDS) == set(KINDS)
    patch = rectangle_shape((0, 0), np.array([1.0, 0.0]), 0.4, 0.3)
    inked = {kind: shapely.MultiLineString(hatch_lines(kind, patch)).buffer(0.003) for kind in KINDS}
    for one, other in combinations(KINDS, 2):
        shared = inked[one].intersection(inked[other]).area
        assert shared < 0.75 * max(inked[one].area, inked[other].area), (one, other)


# --- in plan


def drawn_in_plan(scene) -> tuple[list[np.ndarray], list[np.ndarray]]:
    axes = Figure().add_subplot()
    draw_hidden(axes, scene)
    strokes = [np.array(line) for each in axes.collections for line in each.get_segments()]
    assert all(isinstance(each, LineCollection) for each in axes.collections)
    return [patch.get_xy() for patch in axes.patches if isinstance(patch, Polygon)], strokes


def test_in_plan_each_is_where_and_as_large_as_it_is() -> None:
    """On a slope of known pitch; what is in a wall is not in the plan."""
    rings, strokes = drawn_in_plan(SCENE)
    assert len(rings) == 3
    duct, pipe, hole = rings
    slope = np.arctan2(1.5, 2.0)
    np.testing.assert_allclose(
        [duct.min(axis=0), duct.max(axis=0)], [[0.5, -2], [0.5 + 0.5 * np.cos(slope), -1]], atol=1e-9
    )
    np.testing.assert_allclose(np.ptp(pipe, axis=0), [0.1 * np.cos(slope), 2.0], atol=1e-9)
    np.testing.assert_allclose(hole.mean(axis=0), [3, -2], atol=0.01)
    np.testing.assert_allclose(np.ptp(hole, axis=0), [0.21 * np.cos(slope), 0.21], atol=1e-3)
    inked = np.concatenate(strokes)
    assert inked[:, 0].min() >= 0.5 - 1e-9
    assert inked[:, 1].min() >= -5 - 1e-9


def test_members_found_counted_and_strapping_look_different() -> None:
    axes = Figure().add_subplot()
    draw_framing(axes, SCENE)
    looks = {(round(p.get_facecolor()[3], 3), p.get_edgecolor()[3] > 0, str(p.get_linestyle())) for p in axes.patches}
    assert len(looks) == 3
    overhead = [framing for framing in SCENE.framing if framing.name != "studs"]
    assert len(axes.patches) == sum(len(list(member_parts(one, face))) for one in overhead for face in one.surfaces)
    firm = [p for p in axes.patches if p.get_edgecolor()[3] > 0 and p.get_linestyle() == "solid"]
    assert len(firm) == 1
    np.testing.assert_allclose(np.ptp(firm[0].get_xy(), axis=0), [2.0, 0.04], atol=1e-9)
    assert firm[0].get_xy()[:, 1].mean() == pytest.approx(-1.52, abs=0.02)


def test_signs_are_in_the_legend_where_they_stand() -> None:
    assert hidden_signs(BARE) == []
    words = [words for _, _, words in hidden_signs(SCENE)]
    assert words == ["framing, counted", "member found", "strapping", "hole that is there", "pipe", "duct"]
    tiles = scene_of(
        "format: 1\ntitle: T\nbare_lengths: m\nroom: {width: 4, length: 6, "
        "ceiling: {shape: flat, height: 3, finish: {tiles: 0.6 x 0.6, from_left: 0.3, from_front: 0.3}}}\n"
    )
    assert [words for _, _, words in hidden_signs(tiles)] == ["grid of tiles"]


def swatch(sign) -> np.ndarray:
    """The swatch of a sign in gray, as printed."""
    figure = Figure(figsize=(0.54, 0.2), dpi=100)
    canvas = FigureCanvasAgg(figure)
    axes = figure.add_axes((0, 0, 1, 1), xlim=(0, SWATCH[0]), ylim=(0, SWATCH[1]))
    axes.set_axis_off()
    draw_sign(axes, sign)
    canvas.draw()
    return np.asarray(canvas.buffer_rgba())[..., :3].mean(axis=-1)


def test_swatches_differ_in_gray() -> None:
    signs = [(look, None, "") for look in ("counted", "found", "strapping", "grid", "old hole")]
    printed = [swatch(sign) for sign in [*signs, *(("keep-out", kind, "") for kind in KINDS)]]
    for one, other in combinations(printed, 2):
        assert (np.abs(one - other) > 8).mean() > 0.01


@pytest.mark.parametrize(("section", "more"), [("framing", FRAMING), ("hidden", HIDDEN)])
def test_the_plan_shows_it(section: str, more: str) -> None:
    def page(text: str) -> bytes:
        scene = scene_of(text)
        return room_page(MapSheet(scene, (700, 500), "2026-01-01", lay_plane(scene.room, scene.plane)))

    assert page(HEAD) == page(HEAD)
    assert page(HEAD) != page(HEAD + more), section


# --- in three dimensions


def lies_on(mesh, surface) -> np.ndarray:
    """The mesh's points in its face's coordinates; they are to stand less than a centimeter before it."""
    points = np.asarray(mesh.points)
    off = (points - surface.origin) @ surface.normal
    assert off.min() > 0
    assert off.max() < 0.01
    assert (mesh.face_normals @ surface.normal > 0.99).all()
    return surface.to_face(points)


@pytest.mark.parametrize("found", SCENE.keep_outs, ids=lambda found: found.name)
def test_a_keep_out_lies_on_its_face_as_large_as_it_is(found) -> None:
    patch = keep_out_patch(found)
    assert patch.area == pytest.approx(found.shape.outline.area, rel=1e-3)
    lies_on(patch, found.surface)
    pattern, edge = (lies_on(mesh, found.surface) for mesh, _ in keep_out_parts(found))
    for flat in (pattern, edge):
        assert found.shape.outline.buffer(0.011).covers(shapely.MultiPoint(flat))
    reach = np.ptp(shapely.get_coordinates(found.shape.outline), axis=0)
    np.testing.assert_allclose(np.ptp(edge, axis=0), reach, atol=0.011)


@pytest.mark.parametrize("hole", SCENE.existing_holes, ids=lambda hole: hole.name)
def test_an_old_hole_is_a_broken_outline(hole) -> None:
    ((mesh, _),) = old_hole_parts(hole)
    flat = lies_on(mesh, hole.surface)
    edge = hole.shape.outline.exterior
    assert edge.buffer(0.02).covers(shapely.MultiPoint(flat))
    assert mesh.area == pytest.approx(0.010 * edge.length / 2, rel=0.02)


def test_framing_is_drawn_on_its_faces_and_found_members_stand_out() -> None:
    for framing in SCENE.framing:
        for surface in framing.surfaces:
            parts = list(framing_parts(framing, surface))
            members = list(member_parts(framing, surface))
            found = [member for member, _ in members if member.mark.found]
            assert len(parts) == len(members) + len(found)
            for mesh, _, _ in parts:
                lies_on(mesh, surface)
            strongest = max(opacity for *_, opacity in parts)
            assert (strongest > 0.35) == bool(found)


@pytest.mark.parametrize("view", ["corner", "plan", "left"])
def test_pictures_show_it_with_a_key(view: str) -> None:
    """The same room with and without: the picture differs, and below it stands a key of patterns."""
    prepare_offscreen()

    def pixels(text: str) -> np.ndarray:
        picture = take(Shot(scene_of(text), view, (), None, (600, 420), "2026-01-01"))
        return np.asarray(Image.open(io.BytesIO(picture)).convert("L"), dtype=float)

    bare, hidden = pixels(HEAD), pixels(HEAD + HIDDEN)
    differs = np.abs(bare - hidden) > 20
    assert differs[60:380].mean() > 0.0005
    assert differs[380:410, 15:300].mean() > 0.01
    assert not differs[:30].any()

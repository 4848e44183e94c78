"""Framing: where members run behind a face, and how the tape reaches them."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.ceiling import flat, gable, shed
from earshed.model.framing import DRESSED, Framing, member_parts, members_on
from earshed.model.geometry import FRONT, RIGHT, UP
from earshed.model.plan import outline, rectangle
from earshed.model.room import Room
from earshed.model.units import INCH
from tests.rooms import metres, rooms

DIRECTIONS = ("front-to-back", "side-to-side", "up-slope", "level")
WIDTH, LENGTH, LOW, HIGH = 4.0, 6.0, 2.0, 3.5
FIRST, SPACING = 0.3, 0.45


def framing(surface, direction, *, first=FIRST, spacing=SPACING, member="2x8"):
    thickness, depth = DRESSED[member]
    return Framing("members", (surface,), thickness, depth, spacing, first, direction)


def member_lines(frame, face):
    """Center lines (M, 2, 3) in the room."""
    return face.to_room(np.array([member.line for member in members_on(frame, face)]).reshape(-1, 2, 2))


def member_faces(frame, face):
    """Corners of each member's true width."""
    return [corners for _, corners in member_parts(frame, face)]


def sloped(rises):
    return Room(rectangle(WIDTH, LENGTH), shed(width=WIDTH, length=LENGTH, low=LOW, high=HIGH, rises=rises))


def ridged(ridge, at):
    shape = gable(width=WIDTH, length=LENGTH, ridge=ridge, low=1.2, peak=3.4, ridge_at=at, far_low=2.0)
    return Room(rectangle(WIDTH, LENGTH), shape)


# --- sizes and bays


@pytest.mark.parametrize(
    ("size", "depth_in"), [("2x3", 2.5), ("2x4", 3.5), ("2x6", 5.5), ("2x8", 7.25), ("2x10", 9.25), ("2x12", 11.25)]
)
def test_dressed_sizes(size, depth_in):
    """PS 20 American Softwood Lumber Standard, dry, as a lumber size table gives them (2x3: value from memory)."""
    assert DRESSED[size] == pytest.approx((1.5 * INCH, depth_in * INCH), rel=1e-12)


@pytest.mark.parametrize(("spacing_in", "clear_in"), [(12, 10.5), (16, 14.5), (19.2, 17.7), (24, 22.5)])
@pytest.mark.parametrize("direction", ["up-slope", "level", "side-to-side", "front-to-back"])
@pytest.mark.parametrize("rises", ["right", "front"])
def test_clear_bays_between_two_by_members(spacing_in, clear_in, direction, rises):
    """Clear bay = spacing less 1-1/2 in; an installation manual works with 14-1/2 in between joists at 16 in."""
    face = sloped(rises).surface("slope")
    patches = member_faces(framing(face, direction, spacing=spacing_in * INCH), face)
    patches = [shapely.Polygon(face.to_face(patch)) for patch in patches]
    assert len(patches) >= 4
    for one, other in pairwise(patches):
        assert one.distance(other) / INCH == pytest.approx(clear_in, abs=1e-6)


# --- where the tape hooks

COS_X = WIDTH / np.hypot(WIDTH, HIGH - LOW)  # of a shed that rises right or left
COS_Y = LENGTH / np.hypot(LENGTH, HIGH - LOW)
AT = 1.5
COS_LEFT, COS_RIGHT = AT / np.hypot(AT, 2.2), (WIDTH - AT) / np.hypot(WIDTH - AT, 1.4)
COS_FRONT, COS_REAR = AT / np.hypot(AT, 2.2), (LENGTH - AT) / np.hypot(LENGTH - AT, 1.4)


def level_room():
    return Room(rectangle(WIDTH, LENGTH), flat(2.4))


ROOMS = {
    "flat": level_room,
    "rises right": lambda: sloped("right"),
    "rises left": lambda: sloped("left"),
    "rises front": lambda: sloped("front"),
    "rises rear": lambda: sloped("rear"),
    "ridge back": lambda: ridged("front-to-back", AT),
    "ridge across": lambda: ridged("side-to-side", AT),
}

# Room, face, direction; the coordinate that members keep, and its value at a tape distance of d along the face.
HOOKS = {
    "flat, front-to-back: from the left": ("flat", "ceiling", "front-to-back", 0, lambda d: d),
    "flat, side-to-side: from the front": ("flat", "ceiling", "side-to-side", 1, lambda d: -d),
    "flat, up-slope: from the left": ("flat", "ceiling", "up-slope", 0, lambda d: d),
    "flat, level: no low crease, so from the front": ("flat", "ceiling", "level", 1, lambda d: -d),
    "rises right, front-to-back": ("rises right", "slope", "front-to-back", 0, lambda d: d * COS_X),
    "rises right, side-to-side": ("rises right", "slope", "side-to-side", 1, lambda d: -d),
    "rises right, up-slope": ("rises right", "slope", "up-slope", 1, lambda d: -d),
    "rises right, level: up from the left": ("rises right", "slope", "level", 0, lambda d: d * COS_X),
    "rises left, front-to-back: still from the left": ("rises left", "slope", "front-to-back", 0, lambda d: d * COS_X),
    "rises left, up-slope": ("rises left", "slope", "up-slope", 1, lambda d: -d),
    "rises left, level: up from the right": ("rises left", "slope", "level", 0, lambda d: WIDTH - d * COS_X),
    "rises front, front-to-back": ("rises front", "slope", "front-to-back", 0, lambda d: d),
    "rises front, side-to-side: from the front": ("rises front", "slope", "side-to-side", 1, lambda d: -d * COS_Y),
    "rises front, up-slope": ("rises front", "slope", "up-slope", 0, lambda d: d),
    "rises front, level: up from the rear": ("rises front", "slope", "level", 1, lambda d: d * COS_Y - LENGTH),
    "rises rear, side-to-side": ("rises rear", "slope", "side-to-side", 1, lambda d: -d * COS_Y),
    "rises rear, level: up from the front": ("rises rear", "slope", "level", 1, lambda d: -d * COS_Y),
    "left of a ridge, level": ("ridge back", "left slope", "level", 0, lambda d: d * COS_LEFT),
    "left of a ridge, up-slope": ("ridge back", "left slope", "up-slope", 1, lambda d: -d),
    "right of a ridge, level": ("ridge back", "right slope", "level", 0, lambda d: WIDTH - d * COS_RIGHT),
    "right of a ridge, front-to-back: from the ridge": (
        "ridge back", "right slope", "front-to-back", 0, lambda d: AT + d * COS_RIGHT,
    ),
    "before a ridge, level": ("ridge across", "front slope", "level", 1, lambda d: -d * COS_FRONT),
    "behind a ridge, level": ("ridge across", "rear slope", "level", 1, lambda d: d * COS_REAR - LENGTH),
    "behind a ridge, up-slope": ("ridge across", "rear slope", "up-slope", 0, lambda d: d),
    "studs in the front wall": ("flat", "front wall", "up-slope", 0, lambda d: d),
    "studs in the rear wall": ("flat", "rear wall", "up-slope", 0, lambda d: d),
    "studs in the left wall": ("flat", "left wall", "up-slope", 1, lambda d: -d),
    "studs in the right wall": ("flat", "right wall", "up-slope", 1, lambda d: -d),
    "studs in a gable end": ("ridge back", "front wall", "up-slope", 0, lambda d: d),
    "rails in the front wall": ("flat", "front wall", "level", 2, lambda d: d),
    "rails in the left wall": ("flat", "left wall", "level", 2, lambda d: d),
    "side-to-side in the front wall": ("flat", "front wall", "side-to-side", 2, lambda d: d),
    "front-to-back in the left wall": ("flat", "left wall", "front-to-back", 2, lambda d: d),
}  # fmt: skip


@pytest.mark.parametrize(("room", "name", "direction", "axis", "value"), HOOKS.values(), ids=HOOKS)
def test_first_center_is_taped_from_the_right_end(room, name, direction, axis, value):
    face = ROOMS[room]().surface(name)
    lines = member_lines(framing(face, direction), face)
    kept = lines[:, :, axis]
    low, high = np.concatenate(face.rings())[:, axis].min(), np.concatenate(face.rings())[:, axis].max()
    steps = FIRST + SPACING * np.arange(100)
    expected = [value(d) for d in steps if low < value(d) < high]
    assert np.allclose(kept, np.array(expected)[:, None], atol=1e-7)


def test_studs_in_a_slanted_wall_are_taped_from_its_left_end():
    """A wall from (0, -4) to (3, 0), on the left and in front: its left end is the rear one, by x."""
    room = Room(outline([[3, 0], [6, 0], [6, 6], [0, 6], [0, 4]]), flat(2.4))
    face = room.surface("wall 5")
    lines = member_lines(framing(face, "up-slope"), face)
    taped = np.linalg.norm(lines[:, 0, :2] - [0, -4], axis=1)
    assert np.allclose(taped, FIRST + SPACING * np.arange(len(taped)), atol=1e-7)
    assert len(taped) == 11


def test_studs_in_a_gable_end_reach_up_to_the_slopes():
    room = ridged("front-to-back", AT)
    face = room.surface("front wall")
    lines = member_lines(framing(face, "up-slope"), face)
    assert np.allclose(np.sort(lines[:, :, 2], axis=1)[:, 0], 0, atol=1e-7)
    assert np.allclose(lines[:, :, 2].max(axis=1), room.ceiling_over(lines[:, 0, :2]), atol=1e-6)


def test_a_first_center_past_the_face_leaves_no_member():
    face = level_room().surface("ceiling")
    assert member_lines(framing(face, "front-to-back", first=9.0), face).shape == (0, 2, 3)
    assert member_faces(framing(face, "front-to-back", first=9.0), face) == []


@pytest.mark.parametrize(("wall", "direction"), [("front wall", "front-to-back"), ("left wall", "side-to-side")])
def test_members_square_to_a_face_are_refused(wall, direction):
    face = level_room().surface(wall)
    with pytest.raises(ValueError, match=f"{direction} members stand square to that face"):
        member_lines(framing(face, direction), face)


# --- laws on any face


def faces_of(room):
    return [face for face in room.surfaces if face.area > 0.5]


@given(room=rooms(), data=st.data(), first=metres(0.01, 0.6), spacing=metres(0.2, 0.7))
@settings(max_examples=60)
def test_members_lie_on_the_face_and_are_evenly_spaced_square_to_themselves(room, data, first, spacing):
    face = data.draw(st.sampled_from(faces_of(room)))
    direction = data.draw(st.sampled_from(["up-slope", "level"] if face.kind == "wall" else DIRECTIONS))
    lines = member_lines(framing(face, direction, first=first, spacing=spacing), face)
    if len(lines) == 0:
        return
    assert np.abs((lines - face.origin) @ face.normal).max() < 1e-9
    flat_lines = shapely.linestrings(face.to_face(lines))
    assert shapely.covers(face.outline.buffer(1e-6), flat_lines).all()
    assert shapely.distance(face.outline.boundary, shapely.points(face.to_face(lines))).max() < 1e-6, "ends at edges"
    along = lines[:, 1] - lines[:, 0]
    along = along / np.linalg.norm(along, axis=1, keepdims=True)
    assert np.linalg.norm(np.cross(along, along[0]), axis=1).max() < 1e-5, "parallel"
    across = np.cross(face.normal, along[np.argmax(np.linalg.norm(lines[:, 1] - lines[:, 0], axis=1))])
    steps = (lines[:, 0] - lines[0, 0]) @ across / spacing
    assert np.allclose(steps, np.round(steps), atol=1e-4)
    named = {"front-to-back": FRONT, "side-to-side": RIGHT, "up-slope": UP, "level": np.cross(UP, face.normal)}[
        direction
    ]
    assert np.abs(along @ np.cross(face.normal, named)).max() < 1e-5, (
        "as near to the named direction as the face allows"
    )


@given(room=rooms(), data=st.data())
@settings(max_examples=40)
def test_member_length_times_spacing_comes_to_the_area(room, data):
    """A midpoint rule over the face: it misses by less than the spacing times the outline, and less when finer."""
    face = data.draw(st.sampled_from(faces_of(room)))
    direction = data.draw(st.sampled_from(["up-slope", "level"]))
    for spacing in (0.1, 0.025):
        lines = member_lines(framing(face, direction, first=spacing / 2, spacing=spacing), face)
        total = np.linalg.norm(lines[:, 1] - lines[:, 0], axis=1).sum()
        assert abs(total * spacing - face.area) < spacing * face.outline.length


@pytest.mark.parametrize("member", ["2x4", "2x12"])
@pytest.mark.parametrize("direction", DIRECTIONS)
def test_members_are_drawn_at_true_width(member, direction):
    face = sloped("right").surface("slope")
    frame = framing(face, direction, member=member)
    lines, patches = member_lines(frame, face), member_faces(frame, face)
    assert len(patches) == len(lines)
    for line, patch in zip(lines, patches, strict=True):
        area = shapely.Polygon(face.to_face(patch)).area
        assert area == pytest.approx(1.5 * INCH * np.linalg.norm(line[1] - line[0]), rel=1e-6)
        assert np.allclose(patch[:-1].mean(axis=0), line.mean(axis=0), atol=1e-9)


def test_a_member_at_the_edge_of_a_face_is_drawn_to_the_edge():
    face = level_room().surface("ceiling")
    first, *_ = member_faces(framing(face, "front-to-back", first=0.5 * INCH), face)
    assert shapely.Polygon(face.to_face(first)).area == pytest.approx(1.25 * INCH * LENGTH, rel=1e-9)


def test_studs_under_a_slope_are_cut_along_it():
    """A stud of thickness t under a straight slope covers t times its height at the center, however steep."""
    face = ridged("front-to-back", AT).surface("front wall")
    frame = framing(face, "up-slope", first=0.4)
    for line, patch in zip(member_lines(frame, face), member_faces(frame, face), strict=True):
        assert abs(line[0, 0] - AT) > 1.5 * INCH, "none stands under the ridge"
        height = np.linalg.norm(line[1] - line[0])
        assert shapely.Polygon(face.to_face(patch)).area == pytest.approx(1.5 * INCH * height, rel=1e-6)

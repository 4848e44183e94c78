"""Members found, hidden things and old holes as a scene places them: where each is on its face, and how sure."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.clearances import Clearances
from earshed.model.framing import members_on
from earshed.model.hidden import KeepOut
from earshed.model.member_marks import HOW_SURE, USUAL_WITHIN
from earshed.model.scene import Scene
from earshed.model.units import INCH
from tests.conflict_scenes import FLAT, GABLE, scene_of

SLOPE = 1.25  # metres of slope to a metre of plan, 3 in 4
RUN = "name: rafters, surface: ceiling, member: 2x8, spacing: 16in, direction: up-slope, first_center: 8in"


def kept(keys: str, room: str = FLAT, **more: str) -> tuple[KeepOut, ...]:
    return scene_of(room=room, keep_outs=f"[{{name: it, {keys}}}]", **more).keep_outs


def plan_of(found: KeepOut) -> shapely.Polygon:
    return shapely.Polygon(found.shape.edge_on(found.surface)[:, :2])


def members(scene: Scene, face: str = "left slope"):
    return members_on(scene.framing[0], scene.room.surface(face))


# --- members found


def test_finders_find_edges() -> None:
    """A near edge, a far edge, or both: the middle is half a thickness on, and both edges say how thick it is."""
    found = "{near_edge: 1.00}, {far_edge: 2.00}, {near_edge: 3.00, far_edge: 3.09}, {center: 4.00, member: 2x4}"
    scene = scene_of(room=GABLE, framing=f"[{{{RUN}, members: [{found}]}}]")
    marks = {round(one.mark.at, 4): one.mark for one in members(scene) if one.mark.found}
    half = 0.75 * INCH
    assert list(marks) == pytest.approx([1 + half, 2 - half, 3.045, 4.0], abs=1e-4)
    assert [mark.thickness for mark in marks.values()] == pytest.approx([1.5 * INCH, 1.5 * INCH, 0.09, 1.5 * INCH])


@pytest.mark.parametrize(
    ("sure", "within"), [*HOW_SURE.items(), ("3/8in", 0.375 * INCH), ("0", 0), (None, USUAL_WITHIN)]
)
def test_how_sure_a_find_is(sure, within) -> None:
    """Common practice, no source: seen to 1/16 in, probed to 1/8, scanned to 1/4, assumed to 1/2."""
    said = "" if sure is None else f", sure: {sure}"
    scene = scene_of(room=GABLE, framing=f"[{{{RUN}, members: [{{center: 1{said}}}]}}]")
    (mark,) = [one.mark for one in members(scene) if one.mark.found]
    assert mark.within == pytest.approx(within)
    (found,) = kept(f"kind: pipe, at: {{from_left: 1, from_front: 1}}, diameter: 0.1{said}")
    assert found.within == pytest.approx(within)


def test_members_found_on_one_slope_are_not_behind_the_other() -> None:
    scene = scene_of(room=GABLE, framing=f"[{{{RUN}, members: [{{center: 1.05, surface: left slope}}]}}]")
    assert [one.mark.at for one in members(scene) if one.mark.found] == [1.05]
    assert not [one for one in members(scene, "right slope") if one.mark.found]
    plain = scene_of(room=GABLE, framing=f"[{{{RUN}}}]")
    there = [[one.mark.at for one in members(made, "right slope")] for made in (scene, plain)]
    assert there[0] == there[1]


def test_the_first_edge_is_half_a_member_before_the_first_center() -> None:
    edge = scene_of(room=GABLE, framing=f"[{{{RUN.replace('first_center: 8in', 'first_edge: 7-1/4in')}}}]")
    center = scene_of(room=GABLE, framing=f"[{{{RUN}}}]")
    one, other = ([member.mark.at for member in members(scene)] for scene in (edge, center))
    assert one == pytest.approx(other)


def test_strapping_laid_flat_is_as_wide_as_it_is_deep_on_edge() -> None:
    """PS 20: a 1x3 is 3/4 by 2-1/2 in."""
    (run,) = scene_of(framing=f"[{{{RUN.replace('2x8', '1x3')}, laid: flat}}]").framing
    assert (run.thickness / INCH, run.depth / INCH) == pytest.approx((2.5, 0.75))


def test_a_face_with_single_members_and_no_spacing() -> None:
    run = "name: posts, surface: front wall, member: 2x4, direction: up-slope, members: [{center: 3}, {center: 1}]"
    scene = scene_of(framing=f"[{{{run}}}]")
    assert [one.mark.at for one in members(scene, "front wall")] == [1, 3]


# --- hidden things

places = st.floats(0.5, 1.5)


@given(places, st.floats(0.5, 5.5), st.floats(0.05, 0.3))
def test_a_round_one_is_round_on_the_slope(left: float, front: float, diameter: float) -> None:
    (found,) = kept(f"kind: duct, at: {{from_left: {left}, from_front: {front}}}, diameter: {diameter}", GABLE)
    assert found.surface.name == "left slope"
    middle = found.surface.to_room(shapely.get_coordinates(found.shape.core)[0])
    np.testing.assert_allclose(middle, [left, -front, 2 + 0.75 * left], atol=1e-9)
    assert found.shape.radius == pytest.approx(diameter / 2)
    assert (found.keep_clear, found.behind) == (Clearances().of("duct"), None)


@given(places, st.floats(0.5, 4.5), st.floats(0.05, 0.3), st.floats(0.05, 0.9))
def test_a_patch_is_taped_along_the_slope(left, front, width, length) -> None:
    """As an opening in a ceiling: width up the slope, length along it, from the corner nearest the front left."""
    keys = f"kind: unknown, from_left: {left}, from_front: {front}, width: {width}, length: {length}"
    (found,) = kept(keys, GABLE)
    assert found.shape.core.area == pytest.approx(width * length)
    assert plan_of(found).bounds == pytest.approx((left, -front - length, left + width / SLOPE, -front))


ends = st.tuples(st.floats(0.3, 3.7), st.floats(0.3, 5.7))


@given(ends, ends)
def test_a_run_lies_behind_every_slope_that_it_passes(one, other) -> None:
    """On the plan the parts together are the strip between its ends; each face has the part below it."""
    if np.hypot(one[0] - other[0], one[1] - other[1]) < 0.3:
        return
    said = f"[[{one[0]}, {one[1]}], [{other[0]}, {other[1]}]]"
    found = kept(f"kind: pipe, between: {said}, width: 0.05", GABLE)
    line = shapely.LineString([(left, -front) for left, front in (one, other)])
    for part in found:
        under = line.intersection(part.surface.plan_area.buffer(-1e-3))
        assert under.is_empty or plan_of(part).buffer(1e-6).covers(under)
    faces = {part.surface.name for part in found}
    for name, side in (("left slope", min), ("right slope", max)):
        if abs(side(one[0], other[0]) - 2) > 0.1:
            assert (name in faces) == (side(one[0], other[0]) < 2 if side is min else side(one[0], other[0]) > 2)
    assert len(found) == len(faces)


def test_under_a_soffit_it_is_in_the_soffit() -> None:
    soffit = "[{name: soffit, kind: box, from_left: 0, from_front: 0, bottom: 2.2, width: 1, length: 6, height: 0.4}]"
    (found,) = kept("kind: cable, at: {from_left: 0.5, from_front: 3}, diameter: 0.02", fixtures=soffit)
    assert found.surface.name == "soffit"
    across = kept("kind: cable, between: [[0.5, 3], [3, 3]], width: 0.02", fixtures=soffit)
    assert sorted(part.surface.name for part in across) == ["ceiling", "soffit"]


@given(st.floats(0.2, 3.8), st.floats(0.25, 0.7), st.sampled_from(["front-to-back", "side-to-side"]))
def test_a_whole_bay_is_what_is_clear_between_two_members(at, spacing, direction) -> None:
    run = f"name: joists, surface: ceiling, member: 2x8, spacing: {spacing}, direction: {direction}, first_center: 0.1"
    place = f"from_left: {at}, from_front: 3" if direction == "front-to-back" else f"from_left: 2, from_front: {at}"
    near = (at - 0.1) / spacing
    if min(abs(near - np.floor(near)), abs(near - np.ceil(near))) * spacing < 0.75 * INCH + 1e-6 or near < 0:
        return
    low, high = (0.1 + step * spacing for step in (np.floor(near), np.floor(near) + 1))
    end, across = (4, 6) if direction == "front-to-back" else (6, 4)
    (found,) = kept(f"kind: duct, at: {{{place}}}, diameter: 0.1, whole_bay: true", framing=f"[{{{run}}}]")
    bay = (low + 0.75 * INCH, min(high - 0.75 * INCH, end))
    left, rear, right, front = plan_of(found).bounds
    got, along = ((left, right), front - rear) if direction == "front-to-back" else ((-front, -rear), right - left)
    assert got == pytest.approx(bay if high < end - 1e-9 else (bay[0], end), abs=1e-6)
    assert along == pytest.approx(across)


# --- old holes


def test_old_holes_are_where_they_are_on_a_slope_and_on_a_wall() -> None:
    holes = (
        "[{name: old can, at: {from_left: 3, from_front: 4}, cutout: 0.15},"
        " {name: outlet, wall: rear, from_left: 1, height: 1.2, cutout: 0.1 x 0.2},"
        " {name: vent, at: {from_left: 1, from_front: 2}, cutout: 0.1 x 0.3, long_axis: up-slope}]"
    )
    can, slot, vent = scene_of(room=GABLE, existing_holes=holes).existing_holes
    np.testing.assert_allclose(can.position, [3, -4, 2.75])
    assert (can.surface.name, can.shape.radius) == ("right slope", 0.075)
    np.testing.assert_allclose(slot.position, [1, -6, 1.2])
    corners = slot.surface.to_room(shapely.get_coordinates(slot.shape.core))
    np.testing.assert_allclose([np.ptp(corners[:, 0]), np.ptp(corners[:, 2])], [0.1, 0.2])
    plan = shapely.Polygon(vent.shape.edge_on(vent.surface)[:, :2])
    assert np.ptp(np.array(plan.exterior.coords), axis=0) == pytest.approx([0.3 / SLOPE, 0.1])

"""Hips, trays, flat tops, pitches and zones: closed forms, and the same rooms told in two ways."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from earshed.model.ceiling import flat, flat_top, gable, hip, moved
from earshed.model.cone import footprint
from earshed.model.plan import rectangle
from earshed.model.room import Room
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.sight import obstacle_between
from earshed.model.tray import tray
from earshed.model.zone import Zone
from tests.rooms import ceilings, metres, rectangles, sloped_area, slopes_of, volume_under

HEAD = "format: 1\ntitle: Zones\nprint_units: mm\n"


def read(room: str, rest: str = ""):
    return scene_from_tree(parse_tree(f"{HEAD}room: {room}\n{rest}", "zones.yaml"))


def test_hip_of_the_worked_example():
    """Equal pitch, W <= L: V = L W He + d W (3 L - W) / 6, area L W / cos(pitch) (prism and pyramid by parts)."""
    room = Room(rectangle(4.5, 6.0), hip(width=4.5, length=6.0, low=2.4, peak=3.6))
    assert room.volume == pytest.approx(76.95, abs=1e-9)
    assert room.ceiling_area == pytest.approx(30.6, abs=1e-9)


@given(width=metres(1, 9), length=metres(1, 9), low=metres(0.5, 3), rise=metres(0.1, 3))
def test_hip_by_its_closed_form_both_ways_round(width, length, low, rise):
    room = Room(rectangle(width, length), hip(width=width, length=length, low=low, peak=low + rise))
    short, long = sorted((width, length))
    assert room.air.watertight
    assert room.volume == pytest.approx(width * length * low + rise * short * (3 * long - short) / 6, rel=1e-9)
    assert room.ceiling_area == pytest.approx(width * length / math.cos(math.atan2(rise, short / 2)), rel=1e-9)


def test_trays_of_the_worked_examples():
    """Upright sides: V = L W H + a b t, area L W + 2 t (a + b). Sloped sides: the prismatoid t/6 (A1 + 4 Am + A2)."""
    border, middle = tray(width=4.5, length=6.0, height=2.4, rise=0.25, inset=0.6)
    upright = Room(rectangle(4.5, 6.0), border, own_ceilings=(middle,))
    assert upright.volume == pytest.approx(68.76, abs=1e-9)
    assert upright.ceiling_area == pytest.approx(31.05, abs=1e-9)
    border, middle = tray(width=4.5, length=6.0, height=2.4, rise=0.3, inset=0.6, run=0.3)
    sloped = Room(rectangle(4.5, 6.0), border, own_ceilings=(middle,))
    assert sloped.volume - 4.5 * 6.0 * 2.4 == pytest.approx(4.059, abs=1e-9)
    assert sloped.air.watertight
    assert upright.air.watertight


@given(width=metres(2, 9), length=metres(2, 9), rise=metres(0.05, 1), share=st.floats(0.05, 0.4))
def test_tray_with_upright_sides_by_its_closed_form(width, length, rise, share):
    inset = round(share * min(width, length), 3)
    border, middle = tray(width=width, length=length, height=2.4, rise=rise, inset=inset)
    room = Room(rectangle(width, length), border, own_ceilings=(middle,))
    wide, long = width - 2 * inset, length - 2 * inset
    assert room.volume == pytest.approx(width * length * 2.4 + wide * long * rise, rel=1e-9)
    assert room.ceiling_area == pytest.approx(width * length + 2 * rise * (wide + long), rel=1e-9)
    assert room.overhead(np.array([width / 2, -length / 2]))[0][2] == pytest.approx(2.4 + rise)
    assert room.overhead(np.array([inset / 2, -length / 2]))[0][2] == pytest.approx(2.4)


@st.composite
def zoned(draw: st.DrawFn) -> Room:
    """A rectangular room with one or two zones side by side, each under any ceiling."""
    plan = draw(rectangles())
    edges = sorted(draw(st.lists(st.integers(1, 99), min_size=4, max_size=4, unique=True)))
    lefts = np.array(edges) / 100 * plan.width
    front, rear = -plan.length * draw(st.integers(0, 40)) / 100, -plan.length * draw(st.integers(60, 100)) / 100
    zones = []
    for number, (left, right) in enumerate([lefts[:2], lefts[2:]][: draw(st.integers(1, 2))]):
        area = shapely.box(left, rear, right, front)
        zones.append(Zone(f"zone {number}", area, draw(ceilings(rectangle(plan.width, plan.length)))))
    return Room(plan, draw(ceilings(plan)), own_ceilings=tuple(zones))


@given(room=zoned())
def test_zones_join_watertight_and_their_volumes_add(room):
    """Each zone's volume and sloped area are taken alone, by clipping; no mesh is made for them."""
    parts = [(zone.outline, slopes_of(Room(room.plan, zone.planes))) for zone in room.zones]
    assert room.air.watertight
    assert room.volume == pytest.approx(sum(volume_under(area, slopes) for area, slopes in parts), rel=1e-7)
    level = sum(face.area for face in room.surfaces if face.kind == "ceiling")
    assert level == pytest.approx(sum(sloped_area(area, slopes) for area, slopes in parts), rel=1e-6)
    assert sum(face.area for face in room.surfaces) == pytest.approx(_mesh_area(room), rel=1e-6)


@given(room=zoned())
def test_zones_become_one_body(room):
    """No wall is left standing where zones meet."""
    assert len(room.solid.decompose()) == 1


def _mesh_area(room: Room) -> float:
    a, b, c = np.moveaxis(room.shell.corners, 1, 0)
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)


@given(room=zoned(), seed=st.integers(0, 2**32 - 1))
def test_a_line_of_sight_in_zones_by_dense_sampling(room, seed):
    """A line is free exactly if every point of it is in the room; lines that graze a surface are left out."""
    rng = np.random.default_rng(seed)
    low, high = room.shell.vertices.min(axis=0), room.shell.vertices.max(axis=0)
    ends = rng.uniform(low, high, (2, 3))
    along = np.linspace(0, 1, 2001)[:, None]
    points = ends[0] + along * (ends[1] - ends[0])
    over = points[:, 2] - room.ceiling_over(points[:, :2])
    assume(np.abs(over.max()) > 0.01)
    assert (obstacle_between(ends[0], ends[1], room) is None) == bool(np.all(over < 0))


def test_a_gable_told_as_two_zones_is_the_gable():
    whole = gable(width=5.0, length=6.0, ridge="front-to-back", low=2.0, peak=3.5, ridge_at=2.0, far_low=1.5)
    one = Room(rectangle(5.0, 6.0), whole)
    halves = (Zone("left", shapely.box(0, -6, 2, 0), whole[:1]), Zone("right", shapely.box(2, -6, 5, 0), whole[1:]))
    two = Room(rectangle(5.0, 6.0), flat(2.0), own_ceilings=halves)
    assert two.volume == pytest.approx(one.volume, rel=1e-12)
    assert two.ceiling_area == pytest.approx(one.ceiling_area, rel=1e-12)
    for xy in ([0.5, -1.0], [4.0, -5.0], [2.0, -3.0]):
        spot, face = two.overhead(np.array(xy))
        expected, same = one.overhead(np.array(xy))
        np.testing.assert_allclose(spot, expected, atol=1e-12)
        np.testing.assert_allclose(face.normal, same.normal, atol=1e-12)
    spots = [
        footprint(room, np.array([1.0, -2.0, 2.7]), np.array([0.6, 0, -0.8]), 0.7, 1.1).area for room in (one, two)
    ]
    assert spots[0] == pytest.approx(spots[1], rel=1e-9)


def test_a_gable_cut_off_level():
    """A flat top takes a triangular prism off the ridge: its height squared times length over the two pitches."""
    plain = gable(width=6.0, length=4.0, ridge="front-to-back", low=2.0, peak=3.5, ridge_at=None, far_low=None)
    room = Room(rectangle(6.0, 4.0), flat_top(plain, 3.0))
    assert room.volume == pytest.approx(6 * 4 * 2.75 - 0.5 * 2.0 * 0.5 * 4.0, abs=1e-9)
    assert {face.name for face in room.surfaces if face.kind == "ceiling"} == {"left slope", "right slope", "flat top"}


@given(room=zoned(), right=metres(-5, 5), back=metres(-5, 5))
def test_a_moved_ceiling_is_as_high_over_the_moved_place(room, right, back):
    spots = room.plan.corners
    for plane, other in zip(room.ceiling, moved(room.ceiling, right=right, back=back), strict=True):
        np.testing.assert_allclose(other.height(spots + np.array([right, -back])), plane.height(spots), atol=1e-9)


def test_pitch_stands_for_a_height_out_of_reach():
    """6 in 12 over a run of 2 m rises 1 m; a 45 degree shed rises its span."""
    room = read("{width: 4m, length: 6m, ceiling: {shape: gable, ridge: front-to-back, low: 2m, pitch: 6 in 12}}").room
    assert room.shell.vertices[:, 2].max() == pytest.approx(3.0, abs=1e-12)
    room = read("{width: 4m, length: 6m, ceiling: {shape: shed, rises: rear, low: 1m, pitch: 45deg}}").room
    assert room.shell.vertices[:, 2].max() == pytest.approx(7.0, abs=1e-12)
    room = read("{width: 4m, length: 6m, ceiling: {shape: hip, low: 2m, pitch: 3 in 12}}").room
    assert room.shell.vertices[:, 2].max() == pytest.approx(2.5, abs=1e-12)


def test_a_dormer_in_a_scene_file():
    """A flat dormer 1.2 m wide in the left slope of a gable: a box of air more, less what the slope had there."""
    zones = (
        "[{name: dormer, from_left: 0, from_front: 2m, width: 1m, length: 1.2m, ceiling: {shape: flat, height: 2.6m}}]"
    )
    gabled = "ceiling: {shape: gable, ridge: front-to-back, low: 1.5m, peak: 3.5m}"
    with_it = read(f"{{width: 4m, length: 6m, {gabled}, zones: {zones}}}").room
    without = read(f"{{width: 4m, length: 6m, {gabled}}}").room
    assert with_it.volume - without.volume == pytest.approx(1.2 * (2.6 - 2.0) * 1.0, rel=1e-9)
    assert with_it.surface("dormer").area == pytest.approx(1.2)
    assert with_it.air.watertight


@pytest.mark.parametrize(
    ("room", "words"),
    [
        ("{width: 4m, length: 6m, ceiling: {shape: hip, low: 3m, peak: 2m}}", "higher than the walls"),
        ("{width: 4m, length: 6m, ceiling: {shape: hip, low: 2m}}", "needs `peak` or `pitch`"),
        ("{width: 4m, length: 6m, ceiling: {shape: hip, low: 2m, peak: 3m, pitch: 4 in 12}}", "not both"),
        ("{width: 4m, length: 6m, ceiling: {shape: hip, low: 2m, pitch: 4 in 10}}", "6 in 12"),
        ("{width: 4m, length: 6m, ceiling: {shape: tray, height: 2m, rise: 1m, inset: 2m}}", "leave no middle"),
        ("{width: 4m, length: 6m, ceiling: {shape: gable, ridge: front-to-back, low: 2m, peak: 3m, flat_top: 4m}}",
         "below the peak"),
        ("{outline: [[0, 0], [4m, 0], [0, 4m]], ceiling: {shape: hip, low: 2m, peak: 3m}}", "needs a rectangle"),
        ("{width: 4m, length: 6m, ceiling: {shape: flat, height: 2m}, zones: [{name: bay, from_left: 3m, "
         "from_front: 0, width: 2m, length: 1m, ceiling: {shape: flat, height: 3m}}]}", "beyond the walls"),
        ("{width: 4m, length: 6m, ceiling: {shape: flat, height: 2m}, zones: [{name: a, from_left: 0, from_front: 0, "
         "width: 2m, length: 1m, ceiling: {shape: flat, height: 3m}}, {name: b, from_left: 1m, from_front: 0, "
         "width: 2m, length: 1m, ceiling: {shape: flat, height: 3m}}]}", "a and b overlap"),
        ("{width: 4m, length: 6m, ceiling: {shape: flat, height: 2m}, zones: [{name: a, outline: [[0, 0], [1m, 1m], "
         "[1m, 0], [0, 1m]], ceiling: {shape: flat, height: 3m}}]}", "crosses itself"),
    ],
)  # fmt: skip
def test_what_no_ceiling_can_be(room, words):
    with pytest.raises(SceneError, match=words):
        read(room)

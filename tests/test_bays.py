"""Bays and dormers that reach beyond the walls, soffits along them, and shafts: areas, volumes, names, refusals."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from earshed.model.ceiling import flat, gable
from earshed.model.plan import RECTANGLE_WALLS, Plan, outline, outlined_bay, rectangle, rectangular_bay
from earshed.model.room import Room
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.sight import obstacle_between
from earshed.model.soffit import ring_along, under_soffit
from earshed.model.zone import Zone
from tests.rooms import metres, plans, rectangles

HEAD = "format: 1\ntitle: Bays\nprint_units: mm\n"
SIZES = "width: 4m, length: 6m"
FLAT = "ceiling: {shape: flat, height: 2.5m}"
GABLE = "ceiling: {shape: gable, ridge: front-to-back, low: 1.5m, peak: 3.5m}"
DORMER = "{name: dormer, from_left: -1m, from_front: 2m, width: 1.5m, length: 2m, projects: true, %s}"


def read(room: str, rest: str = ""):
    return scene_from_tree(parse_tree(f"{HEAD}room: {room}\n{rest}", "bays.yaml"))


def with_dormer(more: str = "", rest: str = "", height: str = "2.2m"):
    dormer = DORMER % f"ceiling: {{shape: flat, height: {height}}}"
    return read(f"{{{SIZES}, {GABLE}, zones: [{dormer}{more}]}}", rest)


def test_a_dormer_beyond_the_knee_wall():
    """Floor: 24 + 1 x 2. Air: the gable's 60 less what it has over 0 to 0.5 m, plus 1.5 x 2 under 2.2 m."""
    room = with_dormer().room
    assert room.floor_area == pytest.approx(26.0)
    assert room.volume == pytest.approx(60 - 2 * 0.5 * (1.5 + 2.0) / 2 + 1.5 * 2 * 2.2, rel=1e-7)
    assert room.air.watertight
    assert [wall.name for wall in room.plan.walls] == [
        *RECTANGLE_WALLS, "dormer front wall", "dormer rear wall", "dormer left wall",
    ]  # fmt: skip
    assert room.surface("left wall").area == pytest.approx((6 - 2) * 1.5)
    assert room.surface("dormer left wall").area == pytest.approx(2 * 2.2)
    assert room.surface("dormer front wall").area == pytest.approx(1 * 2.2)


def test_places_are_measured_from_the_main_walls():
    rest = "seats: [{name: chair, at: {from_left: -0.5m, from_front: 3m}, ear_height: 1m}]\n"
    rest += "openings: [{name: pane, wall: dormer left wall, from_front: 2.4m, sill: 1m, width: 1m, height: 1m},\n"
    rest += "  {name: slit, wall: dormer front wall, from_left: -0.8m, sill: 1m, width: 0.3m, height: 1m}]"
    scene = with_dormer(rest=rest)
    np.testing.assert_allclose(scene.seats[0].ear, [-0.5, -3, 1])
    pane, slit = scene.openings
    np.testing.assert_allclose(np.sort(pane.corners[:, 1]), [-3.4, -3.4, -2.4, -2.4])
    np.testing.assert_allclose(pane.corners[:, 0], -1.0)
    np.testing.assert_allclose(np.sort(slit.corners[:, 0]), [-0.8, -0.8, -0.5, -0.5])


def test_what_one_sees_past_the_corner_of_a_dormer():
    room = with_dormer().room
    inside = np.array([-0.5, -3.0, 1.0])
    assert obstacle_between(inside, np.array([2.0, -3.0, 1.0]), room) is None
    assert obstacle_between(inside, np.array([0.2, -0.5, 1.0]), room) == "a wall"
    under_slope = np.array([0.55, -3.0, 2.04])  # where the slope begins, at 0.5 m, it is 2.0 m high
    assert obstacle_between(np.array([-0.5, -3.0, 2.1]), under_slope, room) == "the ceiling"
    assert obstacle_between(np.array([-0.5, -3.0, 1.0]), under_slope, room) is None


def test_a_bay_window_at_an_angle_is_the_same_room_as_an_outline():
    """A rectangle with a three-sided bay at the rear, told as a bay and as one outline."""
    bay = "{name: bay, outline: [[1m, 6m], [3m, 6m], [2.5m, 6.8m], [1.5m, 6.8m]], projects: true, "
    bay += FLAT + "}"
    told = read(f"{{{SIZES}, {FLAT}, zones: [{bay}]}}").room
    corners = [[0, 0], [4, 0], [4, 6], [3, 6], [2.5, 6.8], [1.5, 6.8], [1, 6], [0, 6]]
    walked = Room(outline(corners), flat(2.5))
    assert told.volume == pytest.approx(walked.volume, rel=1e-7)
    assert (
        shapely.equals(told.plan.polygon, walked.plan.polygon)
        or told.plan.polygon.symmetric_difference(walked.plan.polygon).area < 1e-12
    )
    assert [wall.name for wall in told.plan.walls[4:]] == ["bay wall 2", "bay wall 3", "bay wall 4"]
    assert told.surface("bay wall 3").area == pytest.approx(1.0 * 2.5)


@given(room=rectangles(), data=st.data())
def test_floor_and_air_of_any_bay(room, data):
    """A bay on the right under its own flat ceiling: the union of two rectangles, each under its height."""
    front = data.draw(metres(0, room.length - 0.5))
    size = np.array([data.draw(metres(0.3, 2)), data.draw(metres(0.3, room.length - front))])
    into = data.draw(metres(0, room.width - 0.2))
    low, high = np.array([room.width - into, -front - size[1]]), np.array([room.width + size[0], -front])
    corners = np.array([low, [high[0], low[1]], high, [low[0], high[1]]])
    plan = Plan(room.corners, room.wall_names, room.kind, (rectangular_bay("bay", corners),))
    zone = Zone("bay", shapely.box(*low, *high), flat(data.draw(metres(1, 4))))
    made = Room(plan, flat(2.5), own_ceilings=(zone,))
    outside, height = size[0] * size[1], zone.planes[0].at_origin
    own = room.width * room.length - into * size[1]
    assert made.floor_area == pytest.approx(room.width * room.length + outside, rel=1e-9)
    assert made.volume == pytest.approx(own * 2.5 + (outside + into * size[1]) * height, rel=1e-7)
    assert made.air.watertight
    names = {surface.name for surface in made.surfaces}
    assert {"bay front wall", "bay right wall", "bay rear wall"} <= names | {
        wall for wall, near in (("bay front wall", front == 0), ("bay rear wall", low[1] == -room.length)) if near
    }


@given(plan=plans(), width=metres(0.05, 0.6))
def test_a_soffit_all_round_leaves_the_plan_drawn_in(plan, width):
    """shapely's own inward offset with square corners, by another algorithm."""
    left = plan.polygon.buffer(-width, join_style="mitre", mitre_limit=50)
    assume(left.area > 0.1 and left.geom_type == "Polygon" and len(left.exterior.coords) == len(plan.corners) + 1)
    ring = ring_along(plan, plan.wall_names, width)
    assert plan.polygon.difference(ring).symmetric_difference(left).area < 1e-6 * plan.polygon.area


def test_a_soffit_along_two_walls_is_mitered_where_they_meet():
    plan = rectangle(4.0, 6.0)
    assert ring_along(plan, ["left wall", "rear wall"], 0.5).area == pytest.approx(0.5 * 6 + 0.5 * 4 - 0.25)
    assert ring_along(plan, ["left wall", "right wall"], 0.5).area == pytest.approx(6.0)
    with pytest.raises(ValueError, match="leaves nothing"):
        ring_along(plan, RECTANGLE_WALLS, 2.0)


def test_a_soffit_under_a_gable_keeps_the_ceiling_where_it_is_lower():
    """Along the left eave the ceiling falls to 1.5 m: a soffit at 2 m shows only where the slope is above it."""
    scene = read(f"{{{SIZES}, {GABLE}, soffits: [{{name: soffit, walls: [left], width: 1m, bottom: 2m}}]}}")
    names = {face.name for face in scene.room.surfaces if face.kind == "ceiling"}
    assert names == {"left slope", "right slope", "soffit underside", "soffit left slope"}
    assert scene.room.volume == pytest.approx(60 - 6 * 0.5 * 0.5 / 2, rel=1e-7)  # a triangle 0.5 by 0.5 goes


def test_a_soffit_in_a_file():
    scene = read(f"{{{SIZES}, {FLAT}, soffits: [{{name: soffit, width: 0.5m, bottom: 2.2m}}]}}")
    assert scene.room.volume == pytest.approx(4 * 6 * 2.5 - (24 - 15) * 0.3, rel=1e-7)
    assert scene.room.overhead(np.array([0.2, -3.0]))[1].name == "soffit"
    assert scene.room.air.watertight
    assert under_soffit(flat(2.5), 2.2, shapely.box(0, 0, 1, 1))[0].at_origin == 2.2


def test_a_soffit_gives_way_to_a_dormer():
    dormer = "zones: [" + DORMER % "ceiling: {shape: flat, height: 2.4m}" + "]"
    scene = read(f"{{{SIZES}, {FLAT}, {dormer}, soffits: [{{name: soffit, width: 0.4m, bottom: 2m}}]}}")
    assert scene.room.overhead(np.array([0.2, -3.0]))[1].name == "dormer"
    assert scene.room.overhead(np.array([0.2, -1.0]))[1].name == "soffit"


@given(by=metres(0.05, 2), x=metres(0.2, 1.2), y=metres(0.2, 4))
def test_a_shaft_lifts_the_ceiling_by_its_area(by, x, y):
    """Prisms of one base and parallel tops: the volume grows by the plan area times the lift (Cavalieri)."""
    shaft = f"{{name: shaft, from_left: {x}m, from_front: {y}m, width: 0.6m, length: 1.2m, ceiling: "
    room = read(f"{{{SIZES}, {GABLE}, zones: [{shaft}{{shape: raised, by: {by}m}}}}]}}").room
    assert room.volume == pytest.approx(60 + 0.72 * by, rel=1e-7)
    over = gable(width=4.0, length=6.0, ridge="front-to-back", low=1.5, peak=3.5, ridge_at=None, far_low=None)
    spot = np.array([x + 0.3, -y - 0.6])
    assert room.ceiling_over(spot) == pytest.approx(Room(rectangle(4.0, 6.0), over).ceiling_over(spot) + by)


REFUSED = [
    (f"{{{SIZES}, {FLAT}, zones: [{{name: dormer, from_left: -1m, from_front: 2m, width: 2m, length: 2m, {FLAT}}}]}}",
     ["dormer", "reaches beyond the walls", "projects: true"]),
    (f"{{{SIZES}, {FLAT}, zones: [{{name: shed, from_left: 5m, from_front: 2m, width: 2m, length: 2m, projects: true, "
     f"{FLAT}}}]}}", ["shed does not open into the room"]),
    (f"{{{SIZES}, ceiling: {{shape: raised, by: 1m}}}}", ["raised is for a zone"]),
    (f"{{{SIZES}, {FLAT}, soffits: [{{name: s, width: 2m, bottom: 2m}}]}}", ["soffit", "leaves nothing"]),
    (f"{{{SIZES}, {FLAT}, soffits: [{{name: s, width: 1m, bottom: 2.5m}}]}}", ["must be below the ceiling"]),
    (f"{{{SIZES}, {FLAT}, soffits: [{{name: s, walls: [lef], width: 1m, bottom: 2m}}]}}", ["no wall lef", "left"]),
    (f"{{{SIZES}, {FLAT}, soffits: [{{name: s, walls: [], width: 1m, bottom: 2m}}]}}", ["at least 1"]),
    (f"{{{SIZES}, ceiling: {{shape: flat, height: 2m, finish: plaster}}}}", ["board, deck", "not plaster"]),
    (f"{{{SIZES}, ceiling: {{shape: flat, height: 2m, finish: {{tiles: 24in}}}}}}", ["24in must be two sizes"]),
    (f"{{{SIZES}, ceiling: {{shape: flat, height: 2m, finish: {{tiles: 24in x 0in}}}}}}", ["0in must be more than 0"]),
    (f"{{{SIZES}, {GABLE.replace('{shape', '{finish: {tiles: 2ft x 2ft}, shape')}}}", ["level ceilings only"]),
]  # fmt: skip


@pytest.mark.parametrize(("room", "words"), REFUSED)
def test_what_cannot_be(room, words):
    with pytest.raises(SceneError) as caught:
        read(room)
    for word in words:
        assert word in str(caught.value)


def test_a_bay_that_does_not_fit_is_told_at_its_own_place():
    bays = [DORMER % FLAT, DORMER.replace("dormer", "far").replace("-1m", "5m") % FLAT]
    with pytest.raises(SceneError) as caught:
        read(f"{{{SIZES}, {FLAT}, zones: [\n{bays[0]},\n{bays[1]}]}}")
    assert (caught.value.mark.line, caught.value.message[:12]) == (6, 'room, zone "')


def test_outlined_bays_name_their_walls_by_number():
    bay = outlined_bay("bay", np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0]]))
    assert bay.wall_names == ("bay wall 1", "bay wall 2", "bay wall 3")


def test_a_bay_joins_walls_out_of_square_and_to_the_last_bit():
    walk = "walk: [{wall: 4m}, {wall: 6m}, {wall: 4m}, {wall: 6.02m}], " + FLAT
    bay = "{name: bay, from_left: -1m, from_front: 2m, width: 1m, length: 2m, projects: true, " + FLAT + "}"
    for side in (bay, bay.replace("from_left: -1m", "from_right: 0")):
        room = read(f"{{{walk}, zones: [{side}]}}").room
        assert room.air.watertight
        assert room.floor_area == pytest.approx(4 * 6 + 2, rel=0.01)
    post = "datums: {post: {from_left: 1.1m, from_front: 2m}}\n"
    edge = bay.replace("from_left: -1m, from_front: 2m", "datum: post, right: 2.2m")
    assert read(f"{{width: 3.3m, length: 6m, {FLAT}, zones: [{edge}]}}", post).room.floor_area == pytest.approx(21.8)


def test_one_ceiling_over_a_room_and_its_bay_has_no_crease_between():
    room = read(f"{{{SIZES}, {FLAT}, zones: [{DORMER.replace('-1m', '-1.5m') % FLAT}]}}").room
    assert room.creases == ()
    assert room.board(room.surface("ceiling")).area == pytest.approx(room.floor_area, rel=1e-4)


def test_a_zone_across_both_side_walls_has_two_front_walls():
    bay = "{name: cross, from_left: -1m, from_front: 2m, width: 6m, length: 2m, projects: true, " + FLAT + "}"
    names = [wall.name for wall in read(f"{{{SIZES}, {FLAT}, zones: [{bay}]}}").room.plan.walls[4:]]
    assert sorted(names) == sorted(
        ["cross front wall", "cross front wall 2", "cross right wall", "cross rear wall", "cross rear wall 2",
         "cross left wall"]
    )  # fmt: skip


@pytest.mark.parametrize("name", ["front wall", "floor", "ceiling"])
def test_a_zone_cannot_be_called_as_a_face(name):
    zone = f"{{name: {name}, from_left: 1m, from_front: 2m, width: 1m, length: 2m, {FLAT}}}"
    with pytest.raises(SceneError, match="a face of the room is called"):
        read(f"{{{SIZES}, {FLAT}, zones: [{zone}]}}")

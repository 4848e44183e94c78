"""Things dragged and pushed: they land on what they can be on, under the view's ray, on marks of the tape."""

from __future__ import annotations

import tempfile
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from earshed.model.editing.changes import NO_CHANGES, Changes
from earshed.model.editing.draft import Draft
from earshed.model.editing.ground import ground
from earshed.model.editing.moving import along_ray, moved, nudged
from earshed.model.editing.overlay import overlay_of
from earshed.model.editing.things import the
from earshed.model.geometry import unit
from earshed.model.moves import MARKS
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene
from earshed.model.seating import Seat
from earshed.model.units import INCH
from tests.editing_rooms import SCENES, drafts, every_way, place, put_in, things, write_room
from tests.rooms import rooms
from tests.scene_files import told


@cache
def all_scenes() -> list[tuple[Draft, str | None, Scene]]:
    with tempfile.TemporaryDirectory() as folder:
        return [(draft, scheme, draft.scene(scheme)) for draft, scheme in drafts(Path(folder))]


CASES = st.tuples(st.integers(0, 24), st.integers(0, 30))
"""Numbers of a scene and of a thing in it."""
SEEDS = st.integers(0, 2**32 - 1)


def chosen(case: tuple[int, int]) -> tuple[Draft, str | None, Scene, str]:
    draft, scheme, scene = all_scenes()[case[0]]
    names = list(things(scene))
    return draft, scheme, scene, names[case[1] % len(names)]


def some_point(scene: Scene, rng: np.random.Generator) -> np.ndarray:
    """Anywhere in the room or round it, above it too."""
    low, high = scene.room.plan.bounds
    return np.append(rng.uniform(low - 3, high + 3), rng.uniform(0.1, 6))


def check_lands(scene: Scene, name: str, spot: np.ndarray) -> None:
    """A place is one where that thing can be."""
    thing, room = the(scene, name), scene.room
    if isinstance(thing, Seat):
        assert room.plan.polygon.distance(shapely.Point(spot[:2])) < 1e-6
        assert spot[2] - room.floor_under(spot[:2]) == pytest.approx(thing.ear[2] - room.floor_under(thing.ear[:2]))
    elif thing.type.mount == "in-wall":
        walls = [face for face in room.surfaces if face.kind == "wall"]
        assert min(face.outline.distance(shapely.Point(face.to_face(spot))) + abs((spot - face.origin) @ face.normal)
                   for face in walls) < 1e-6  # fmt: skip
    else:
        assert room.plan.polygon.distance(shapely.Point(spot[:2])) < 1e-6
        over = room.overhead(spot[:2])[0][2] if thing.type.mount == "in-ceiling" else thing.position[2]
        assert spot[2] == pytest.approx(over, abs=1e-6)


def check_keys(draft: Draft, scheme: str | None, scene: Scene, name: str, spot: np.ndarray) -> Scene:
    """The keys that put a thing at a place put it there, to half a mark each way, and on the same face."""
    after = draft.scene(scheme, put_in(scene, name, moved(scene, name, spot)))
    now, mark = place(after, name), MARKS[scene.print_units]
    level = np.abs(now - spot)[:2]
    assert level.max() < mark + 1e-6
    thing = the(after, name)
    if not isinstance(thing, Seat) and thing.type.mount == "in-ceiling":
        assert thing.surface.name == scene.room.overhead(spot[:2])[1].name
    for other in things(scene):
        if other != name:
            assert np.array_equal(place(after, other), place(scene, other))
    return after


@settings(max_examples=40)
@given(CASES, SEEDS)
def test_a_ray_through_a_thing_leaves_it_where_it_is(case, seed):
    (draft, scheme, scene, name), rng = chosen(case), np.random.default_rng(seed)
    eye, now = some_point(scene, rng), place(scene, name)
    assert along_ray(scene, name, eye, now - eye) == pytest.approx(now, abs=1e-6)
    grip = rng.uniform(-0.1, 0.1, 3)
    assert along_ray(scene, name, eye, now + grip - eye, grip) == pytest.approx(now, abs=1e-6)
    after = draft.scene(scheme, put_in(scene, name, moved(scene, name, now)))
    assert place(after, name) == pytest.approx(now, abs=1e-9)


@settings(max_examples=50)
@given(CASES, SEEDS)
def test_a_drag_lands_on_what_the_ray_meets(case, seed):
    (draft, scheme, scene, name), rng = chosen(case), np.random.default_rng(seed)
    eye, way = some_point(scene, rng), rng.normal(size=3)
    spot = along_ray(scene, name, eye, way)
    check_lands(scene, name, spot)
    check_keys(draft, scheme, scene, name, spot)


@settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rooms(boxes=2, risers=2), SEEDS)
def test_a_drag_lands_in_rooms_of_any_shape(tmp_path, room, seed):
    rng = np.random.default_rng(seed)
    draft = Draft.open(write_room(tmp_path, room, rng))
    scene, changes = draft.scene(None), NO_CHANGES
    for name in ("up", "side", "floor", "seat"):
        spot = along_ray(scene, name, some_point(scene, rng), rng.normal(size=3))
        check_lands(scene, name, spot)
        check_keys(draft, None, scene, name, spot)
        changes = put_in(scene, name, moved(scene, name, spot), changes)
    assert told(saved(draft, changes)) == told(draft.scene(None, changes))


def saved(draft: Draft, changes: Changes) -> Scene:
    """The scene as an overlay beside the draft's file gives it."""
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / draft.based_on).write_text(draft.path.read_text(encoding="utf-8"), encoding="utf-8")
        over = Path(folder) / "over.yaml"
        over.write_text(overlay_of(draft, None, changes), encoding="utf-8")
        return read_scene(over)


@settings(max_examples=40)
@given(CASES, SEEDS)
def test_no_place_that_a_thing_can_have_is_nearer_to_the_ray(case, seed):
    """Held against many points of the same faces, and their corners."""
    (_, _, scene, name), rng = chosen(case), np.random.default_rng(seed)
    eye, way = some_point(scene, rng), unit(rng.normal(size=3))
    spot = along_ray(scene, name, eye, way)
    faces = ground(scene, the(scene, name))
    points = np.concatenate([some_points(face, rng) for face in faces])
    assert off(spot[None], eye, way)[0] <= off(points, eye, way).min() + 1e-4


def check_ground(scene: Scene, name: str, rng: np.random.Generator) -> None:
    """Over every point of the plan there is one face that a hand can put a ceiling speaker on: the lowest one there."""
    faces, (low, high) = ground(scene, the(scene, name)), scene.room.plan.bounds
    spots = rng.uniform(low, high, (200, 2))
    for xy in spots[scene.room.plan.contains(spots)]:
        over, face = scene.room.overhead(xy)
        here = [one for one in faces if shapely.intersects_xy(one.outline, *one.to_face(over))]
        assert face.name in [one.name for one in here if abs((over - one.origin) @ one.normal) < 1e-6], xy
        others = [one for one in faces if shapely.contains_xy(one.plan_area, *xy) and one.name != face.name]
        assert all(one.over(xy)[2] == pytest.approx(over[2], abs=1e-6) for one in others)  # two boxes of one height


def test_what_is_overhead_is_where_a_ceiling_speaker_can_be():
    for number in range(0, 25, 3):
        _, _, scene = all_scenes()[number]
        for speaker in scene.speakers:
            if speaker.type.mount == "in-ceiling":
                check_ground(scene, speaker.name, np.random.default_rng(number))
                break


@settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rooms(boxes=3), SEEDS)
def test_boxes_that_hang_partly_above_a_slope_are_below_it_elsewhere(tmp_path, room, seed):
    rng = np.random.default_rng(seed)
    scene = Draft.open(write_room(tmp_path, room, rng)).scene(None)
    check_ground(scene, "up", rng)


def some_points(face, rng):
    low, high = np.reshape(face.outline.bounds, (2, 2))
    uv = rng.uniform(low, high, (400, 2))
    uv = uv[shapely.contains_xy(face.outline, *uv.T)]
    return np.concatenate([face.to_room(uv), *face.rings()])


def off(points, eye, way):
    """How far points (N, 3) are from a ray."""
    reach = np.maximum(0, (points - eye) @ way)
    return np.linalg.norm(points - eye - reach[:, None] * way, axis=1)


def test_of_two_faces_that_a_ray_goes_through_the_nearer_one_counts_from_either_side():
    """The ray goes in through the left slope of a gable and out through the right one, from above and from below."""
    scene = Draft.open(next(path for path in SCENES if path.stem == "bonus-room")).scene("as found")
    left, right = place(scene, "upper front left"), place(scene, "upper front right")
    ends = left + (left - right), right + (right - left)
    for eye in ends:
        for name, there in (("upper front left", left), ("upper front right", right)):
            assert along_ray(scene, name, eye, (left + right) / 2 - eye) == pytest.approx(there, abs=1e-6)


def test_a_ray_that_is_none_moves_nothing():
    _, _, scene = all_scenes()[0]
    name = next(things(scene))
    for eye, way in (([0, 0, 0], [0, 0, 0]), ([0, 0, np.nan], [1, 0, 0]), ([0, 0, 0], [np.inf, 0, 0])):
        assert along_ray(scene, name, eye, way) is None
    for xyz in ([0, 0], [0, 0, np.nan], [0, np.inf, 0]):
        with pytest.raises(ValueError, match="three numbers"):
            moved(scene, name, xyz)
    with pytest.raises(ValueError, match="three numbers"):
        nudged(scene, name, right=np.nan)
    with pytest.raises(ValueError, match="no speaker or seat called"):
        along_ray(scene, "nobody", [0, 0, 0], [0, 0, 1])


def test_a_hole_in_a_wall_may_go_to_another_one():
    """Looked at from the middle of the room, at the left wall: taped from the front there, and as the scene tapes it
    where it comes back to."""
    draft = Draft.open(next(path for path in SCENES if path.stem == "bonus-room"))
    scene = draft.scene(None)
    eye = np.array([2.0, -3.0, 1.2])
    spot = along_ray(scene, "front left", eye, [-1, -0.2, -0.1])
    keys = moved(scene, "front left", spot)
    assert keys == {"wall": "left", "from_front": "11' 1-7/8\"", "height": "3' 3-3/8\""}
    changes = put_in(scene, "front left", keys)
    there = draft.scene(None, changes)
    assert the(there, "front left").surface.name == "left wall"
    keys = moved(there, "front left", [1.0, 0.0, 1.0])
    assert keys == {"wall": "front", "from_left": "3' 3-3/8\"", "height": "3' 3-3/8\""}
    assert place(draft.scene(None, put_in(there, "front left", keys, changes)), "front left")[1] == 0


@pytest.mark.parametrize("units", ["ft-in", "mm"])
def test_a_nudge_goes_as_far_as_it_says_along_the_tape(tmp_path, units):
    draft = Draft.open(every_way(tmp_path, units))
    scene = draft.scene(None)
    step, mark = (INCH, INCH / 16) if units == "ft-in" else (0.01, 0.001)
    aside = {"left": [0, 1, 0], "right": [0, -1, 0], "rear": [-1, 0, 0], "in the dormer": [0, 1, 0]}
    for name in things(scene):
        now = place(scene, name)
        after = place(draft.scene(None, put_in(scene, name, nudged(scene, name, right=step))), name)
        way = np.array(aside.get(name, [1, 0, 0]))
        assert (after - now)[:2] @ way[:2] == pytest.approx(step, abs=mark / 2 + 1e-9)
        assert abs((after - now)[:2] @ [way[1], way[0]]) < 1e-9
    for name, up in (("left", 1), ("right", 1), ("tower", 1), ("hung", -1)):
        after = place(draft.scene(None, put_in(scene, name, nudged(scene, name, up=up * step))), name)
        assert after - place(scene, name) == pytest.approx([0, 0, up * step], abs=mark / 2 + 1e-9)


def test_pushed_past_an_edge_a_thing_stays_in_the_room(tmp_path):
    draft = Draft.open(every_way(tmp_path))
    scene = draft.scene(None)
    for name in things(scene):
        for way in ({"right": 50.0}, {"right": -50.0}, {"back": 50.0}, {"back": -50.0}, {"up": 50.0}, {"up": -50.0}):
            after = draft.scene(None, put_in(scene, name, nudged(scene, name, **way)))
            spot = place(after, name)
            assert after.room.plan.polygon.distance(shapely.Point(spot[:2])) < 1e-6, (name, way)
            assert spot[2] >= 0

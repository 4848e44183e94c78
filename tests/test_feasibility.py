"""Feasibility maps: every point of a face has one answer, and it is the one that distances and angles give."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import get_args

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from earshed.model.aim import best_axis
from earshed.model.clear_area import gap_of, wanted_of
from earshed.model.face_shape import FaceShape
from earshed.model.geometry import angle_between
from earshed.model.hole import HoleShape
from earshed.model.listener import listener_of
from earshed.model.obstacle import Group
from earshed.model.scene_file.read import read_scene
from earshed.model.search.ask import Ask, lines_through
from earshed.model.search.asking import ask_of
from earshed.model.search.feasibility import REASONS, as_met, feasibility, in_order
from earshed.model.search.grading import GRADES, grades_of
from earshed.model.search.ground import deep_enough
from earshed.model.search.in_the_way import obstacles_for
from earshed.model.search.search import Search
from earshed.model.search.shared import shared_reasons
from earshed.model.seating import main_seats
from tests.feasibility_rooms import (
    DROP,
    FOLDER,
    RIM,
    SCENES,
    STEP,
    ask_for,
    assert_one_answer,
    loft,
    part_at,
    points_on,
    room_asks,
)
from tests.search_rooms import answer_one

# --- parts make up the face


@pytest.mark.parametrize("name", SCENES)
def test_every_point_has_one_answer(name: str) -> None:
    for ask in room_asks(name):
        search = Search(ask)
        for face in ask.faces:
            for offer in range(len(ask.offers)):
                found = feasibility(search, face, offer, STEP)
                assert_one_answer(found)
                clear = search.grounds.on(face, offer).clear
                assert shapely.union_all(list(found.can.values())).symmetric_difference(clear).area < 1e-6


# --- reasons, by distances


def moved(shape: HoleShape, by: NDArray[np.float64]) -> HoleShape:
    def to(part: FaceShape) -> FaceShape:
        return FaceShape(shapely.transform(part.core, lambda uv: uv + by), part.radius)

    return HoleShape(to(shape.cut), to(shape.rim), tuple(map(to, shape.clamps)))


@pytest.mark.parametrize("name", SCENES)
def test_the_reason_is_the_first_whose_distance_is_not_kept(name: str) -> None:
    """By exact distances between shapes, where the map has areas."""
    asked = 0
    for ask in room_asks(name):
        search = Search(ask)
        for face in ask.faces:
            offer = ask.offers[0]
            found = feasibility(search, face, 0, STEP)
            shape, obstacles = offer.shape(face, ask.scene.ahead), obstacles_for(ask, face, offer)
            for point in points_on(face.outline, 60):
                part = part_at(found.parts, point)
                if part is None:
                    continue
                asked += 1
                there = moved(shape, point)
                groups = {
                    one.group
                    for one in obstacles
                    for level in one.levels
                    if gap_of(level, there) < wanted_of(level, shape) + level.within
                }
                if not deep_enough(ask, face, offer):
                    groups.add("depth")
                first = next((reason for reason in REASONS if reason in groups), None)
                assert part == first if first else part in GRADES, (point, part, groups)
    assert asked > 50


def test_every_group_of_obstacles_is_a_reason() -> None:
    assert set(get_args(Group)) < set(REASONS)


def test_of_several_reasons_the_first_counts() -> None:
    square = shapely.box(0, 0, 2, 2)
    parts = in_order({"fixtures": square, "edges": shapely.box(0, 0, 1, 2), "framing": shapely.box(0, 0, 1, 1)})
    assert list(parts) == ["edges", "framing", "fixtures"]
    assert [area.area for area in parts.values()] == [2.0, 0.0, 2.0]


def test_a_face_too_shallow_is_so_all_over(tmp_path: Path) -> None:
    ask = ask_for(loft(tmp_path, "cavities: {ceiling: {depth: 0.08}}"), "one")
    found = feasibility(Search(ask), ask.faces[0], 0)
    assert {name: area.area for name, area in found.parts.items()} == pytest.approx({"depth": 30.0})


def test_what_is_kept_from_edges_is_a_rim_round_the_face(tmp_path: Path) -> None:
    scene = loft(tmp_path)
    ask = ask_for(scene, "one", "two")
    kept = RIM + scene.clearances.of("edge") + scene.clearances.tolerance
    found = feasibility(Search(ask), ask.faces[0], 0)
    free = (5 - 2 * kept) * (6 - 2 * kept)
    assert sum(area.area for area in found.can.values()) == pytest.approx(free, rel=1e-3)
    assert found.parts["edges"].area == pytest.approx(30 - free, rel=2e-3)


def test_what_is_not_in_line_is_all_but_a_band(tmp_path: Path) -> None:
    scene = loft(tmp_path)
    ask = ask_for(scene, "one", "two", lines=lines_through([("mark", np.array([1.5, -2.0]))]), align_within=0.1)
    found = feasibility(Search(ask), ask.faces[0], 0)
    kept = RIM + scene.clearances.of("edge") + scene.clearances.tolerance
    cross = 0.2 * (5 - 2 * kept) + 0.2 * (6 - 2 * kept) - 0.2 * 0.2
    assert sum(area.area for area in found.can.values()) == pytest.approx(cross, rel=1e-3)
    assert found.parts["alignment"].area == pytest.approx((5 - 2 * kept) * (6 - 2 * kept) - cross, rel=2e-3)


def test_who_keeps_to_old_holes_can_cut_nowhere_else(tmp_path: Path) -> None:
    hole = "existing_holes: [{name: old, at: {from_left: 2, from_front: 2}, cutout: 0.19}]"
    ask = ask_for(loft(tmp_path, hole), "one")
    usual, kept = (feasibility(Search(one), ask.faces[0], 0) for one in (ask, replace(ask, only_holes=True)))
    assert kept.can == {}
    assert kept.parts["new hole"].area == pytest.approx(sum(area.area for area in usual.can.values()))
    assert kept.parts["old holes"].equals(usual.parts["old holes"])


# --- grades


def test_a_flush_speaker_covers_its_seat_from_a_circle_over_it(tmp_path: Path) -> None:
    """Flush in a level ceiling the angle is atan(r / drop): covered to 45 / sqrt 2 degrees, fringe to 45 degrees."""
    ask = ask_for(loft(tmp_path), "one", "two", window=None, partner=None)
    found = feasibility(Search(ask), ask.faces[0], 0, 0.01)
    covered = math.pi * (DROP * math.tan(math.radians(45 / math.sqrt(2)))) ** 2
    fringe = math.pi * DROP**2 - covered
    assert found.parts["covered"].area == pytest.approx(covered, rel=5e-3)
    assert found.parts["fringe"].area == pytest.approx(fringe, rel=5e-3)


def test_finer_grids_come_nearer_to_the_circle(tmp_path: Path) -> None:
    ask = ask_for(loft(tmp_path), "one", "two", window=None, partner=None)
    radius = DROP * math.tan(math.radians(45 / math.sqrt(2)))
    circle = ask.faces[0].to_face([2.5, -3.0, 2.6])
    exact = shapely.Point(circle).buffer(radius, quad_segs=64)
    wrong = [
        feasibility(Search(ask), ask.faces[0], 0, step).parts["covered"].symmetric_difference(exact).area
        for step in (0.2, 0.1, 0.05)
    ]
    assert wrong[2] < 0.6 * wrong[1] < 0.36 * wrong[0]


@pytest.mark.parametrize("name", SCENES)
def test_grades_are_what_direction_and_angle_give(name: str) -> None:
    """Place by place, by the formulas for one speaker."""
    asked = 0
    for ask in room_asks(name):
        search, listener = Search(ask), listener_of(ask.scene)
        for face in ask.faces:
            found = feasibility(search, face, 0, STEP)
            kind = ask.offers[0].type
            for area in found.can.values():
                for point in points_on(area, 12):
                    spot = shapely.Point(point)
                    part = next(name for name, one in found.can.items() if one.intersects(spot))
                    if found.can[part].distance(spot) > 0 or any(
                        one.distance(spot) < 1.5 * STEP for other, one in found.can.items() if other != part
                    ):
                        continue
                    asked += 1
                    place = face.to_room(point)
                    if ask.window is not None and not ask.window.contains(*listener.sees(place)):
                        assert part == "window"
                        continue
                    assert part != "window"
                    if part in ("covered", "fringe", "outside"):
                        axis = best_axis(kind.aiming, face.normal, ask.ears - place)
                        worst = max(float(angle_between(axis, ear - place)) for ear in ask.ears)
                        assert kind.coverage.verdict(worst) == part
    assert asked > 20


@pytest.mark.parametrize("name", SCENES)
def test_the_map_agrees_with_the_search(name: str) -> None:
    for ask in room_asks(name):
        search = Search(ask)
        spots = search.finish()
        grades = grades_of(spots)
        for number, face in enumerate(ask.faces):
            mine = np.flatnonzero((spots.faces == number) & (spots.offers == 0))
            if len(mine) == 0:
                continue
            found = feasibility(search, face, 0)
            can = shapely.union_all(list(found.can.values())).buffer(1e-6)
            for index in mine[:: max(1, len(mine) // 60)]:
                spot = shapely.Point(face.to_face(spots.points[index]))
                assert can.intersects(spot)
                here = [name for name, area in found.can.items() if area.distance(spot) < 0.02]
                assert GRADES[grades[index]] in here


# --- what the page of one does not ask, and that of several does


def test_what_the_best_place_fails_is_not_asked(tmp_path: Path) -> None:
    """Under a window straight below, the best place is outside it, and the map tells the rest apart by verdict."""
    ask = ask_for(loft(tmp_path), "one", "two")
    assert as_met(ask, answer_one(_finished(ask), 1).choices[0][0]).relaxed == frozenset()
    below = replace(ask.window, elevations=(-1.5, -1.4))
    failing = replace(ask, window=below)
    met = as_met(failing, answer_one(_finished(failing), 1).choices[0][0])
    assert met.relaxed == {"azimuth", "elevation"}
    assert feasibility(Search(failing), ask.faces[0], 0).parts.keys() == {"edges", "window"}
    assert "covered" in feasibility(Search(met), ask.faces[0], 0).parts


def _finished(ask: Ask) -> Search:
    search = Search(ask, 0.2)
    search.finish()
    return search


def test_shared_reasons_keep_each_out(tmp_path: Path) -> None:
    """Nowhere that one of several can be cut is there a reason for all of them."""
    scene = read_scene(FOLDER / "bonus-room.yaml", "as found")
    asks = [ask_of(scene, one, moving=scene.speakers, seats=main_seats(scene.seats)) for one in scene.judged]
    asks = [(ask, offer) for ask in asks if ask.speaker.type.mount == "in-ceiling" for offer in ask.offers]
    for face in asks[0][0].faces:
        shared = shapely.union_all(list(shared_reasons(asks, face).values()))
        each = [shapely.union_all(list(feasibility(Search(ask), face, ask.offers.index(offer)).can.values()))
                for ask, offer in asks[:2]]  # fmt: skip
        assert shared.intersection(shapely.union_all(each)).area < 1e-6
        assert shared.area > 0

"""Feasibility maps of partners: where both can be cut, each the mirror image of the other."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from earshed.model.search.ask import picture_mirror
from earshed.model.search.feasibility import pair_feasibility
from earshed.model.search.grading import GRADES, grades_of
from earshed.model.search.pair_search import PairSearch
from tests.feasibility_rooms import RIM, SCENES, STEP, ask_for, assert_one_answer, loft, part_at, points_on, room_pair


@pytest.mark.parametrize("name", SCENES)
def test_every_point_has_one_answer_for_a_pair(name: str) -> None:
    search = room_pair(name)
    for face in search.first.faces:
        found = pair_feasibility(search, face, 0, STEP)
        assert_one_answer(found)
        clear = search.searches[0].grounds.on(face, 0).clear
        assert shapely.union_all(list(found.can.values())).difference(clear).area < 1e-6


@pytest.mark.parametrize("name", SCENES)
def test_a_pair_is_possible_where_the_image_is_clear_too(name: str) -> None:
    search = room_pair(name)
    one, other = search.searches
    clearances, kind = search.first.scene.clearances, search.first.offers[0].type
    need = kind.rim.widest + clearances.of("speaker") + clearances.tolerance
    asked = 0
    for face in search.first.faces:
        found = pair_feasibility(search, face, 0, STEP)
        clear = one.grounds.on(face, 0).clear
        if clear.is_empty:
            continue
        for point in points_on(clear, 100):
            part = part_at(found.parts, point)
            here = face.to_room(point)
            gaps = [
                float(np.linalg.norm(image - here))
                for that in search.second.faces
                for image in [that.over(search.mirror.image(here)[:2])]
                if other.grounds.on(that, 0).clear.intersects(shapely.Point(that.to_face(image)))
            ]
            if part is None or any(abs(gap - need) < 3 * STEP for gap in gaps):
                continue
            asked += 1
            assert part in GRADES if any(gap > need for gap in gaps) else part == "mirror"
    assert asked > 30


@pytest.mark.parametrize("name", SCENES)
def test_the_map_of_a_pair_agrees_with_the_search(name: str) -> None:
    search = room_pair(name)
    twins = search.finish()
    grades = grades_of(twins.both)
    offer = int(np.bincount(twins.first.offers).argmax())
    asked = 0
    for number, face in enumerate(search.first.faces):
        mine = np.flatnonzero((twins.first.faces == number) & (twins.first.offers == offer))
        if len(mine) == 0:
            continue
        found = pair_feasibility(search, face, offer)
        for index in mine[:: max(1, len(mine) // 60)]:
            spot = shapely.Point(face.to_face(twins.first.points[index]))
            here = [name for name, area in found.can.items() if area.distance(spot) < 0.02]
            assert GRADES[grades[index]] in here
            asked += 1
    assert asked > 20


def test_the_maps_of_two_partners_mirror_each_other(tmp_path: Path) -> None:
    scene = loft(tmp_path, "screen: {wall: front, diagonal: 2, aspect: 16:9, bottom: 0.7}")
    first, second = ask_for(scene, "one", "two"), ask_for(scene, "two", "one")
    mirror = picture_mirror(scene)
    face = first.faces[0]
    left, right = (pair_feasibility(PairSearch(*asks, mirror), face, 0) for asks in ((first, second), (second, first)))

    def image(uv: NDArray[np.float64]) -> NDArray[np.float64]:
        return face.to_face(mirror.image(face.to_room(uv)))

    assert left.parts.keys() == right.parts.keys()
    for part, area in left.parts.items():
        other = shapely.transform(area, image)
        assert other.symmetric_difference(right.parts[part]).area < 0.02 * max(area.length, 1.0)


def test_partners_are_too_near_on_a_strip_along_the_mirror(tmp_path: Path) -> None:
    scene = loft(tmp_path)
    search = PairSearch(ask_for(scene, "one", "two"), ask_for(scene, "two", "one"), picture_mirror(scene))
    found = pair_feasibility(search, search.first.faces[0], 0, 0.01)
    kept = RIM + scene.clearances.of("edge") + scene.clearances.tolerance
    apart = 2 * RIM + scene.clearances.of("speaker") + scene.clearances.tolerance
    assert found.parts["mirror"].area == pytest.approx(apart * (6 - 2 * kept), rel=0.1)

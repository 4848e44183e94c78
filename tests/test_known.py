"""What is kept of a scene: one search's work serves the next, and is let go with the last ask."""

from __future__ import annotations

import gc
import weakref
from dataclasses import replace

import pytest

from earshed.model.search import in_the_way
from earshed.model.search.asking import asks_of
from earshed.model.search.search import Search
from earshed.model.seating import main_seats
from tests.search_rooms import TYPES, read

SPEAKERS = (
    "{name: top, type: flush, at: {from_center: 0, from_front: 1}}, "
    "{name: other, type: pivot, at: {from_center: 0, from_front: 3}}"
)
LIGHTS = "fixtures: [{name: can, kind: can light, at: {from_left: 1, from_front: 1}, cutout: 0.1}]"


def scene_asks():
    scene = read(LIGHTS, speakers=SPEAKERS, types=TYPES)
    return scene, asks_of(scene, [(one,) for one in scene.speakers], seats=main_seats(scene.seats))


def test_asks_of_one_scene_work_each_area_out_once(monkeypatch: pytest.MonkeyPatch):
    """Types that take up the same count once, and what a later search gives up was worked out before."""
    done: list[str] = []
    work = in_the_way.blocked_area

    def counted(obstacle, shape):
        done.append(obstacle.name)
        return work(obstacle, shape)

    monkeypatch.setattr(in_the_way, "blocked_area", counted)
    _, ((one,), (other,)) = scene_asks()
    Search(one).finish()
    assert done.count("can") == len({offer.takes_up for offer in one.offers}) < len(one.offers)
    before = len(done)
    Search(other).finish()
    Search(replace(other, relaxed=frozenset({"fixtures"}))).within()
    Search(replace(other, relaxed=frozenset({"can"}))).within()
    assert len(done) == before


def test_nothing_holds_a_scene_once_its_asks_are_gone():
    scene, asks = scene_asks()
    Search(asks[0][0]).finish()
    there = weakref.ref(scene)
    del scene, asks
    gc.collect()
    assert there() is None

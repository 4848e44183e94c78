"""Places where a search once went wrong: at limits, above what hangs, out of sight, of partners that differ."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from earshed.model.checks.run import find_all
from earshed.model.pairs import seat_pairs
from earshed.model.scene_file.read import read_scene
from earshed.model.search.answer import found_one, found_pair
from earshed.model.search.ask import picture_mirror
from earshed.model.search.asking import ask_of
from earshed.model.search.pair_search import PairSearch
from earshed.model.search.search import Search
from earshed.model.seating import main_seats
from earshed.model.units import INCH
from tests.scene_files import put

FLUSH = "{mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 9-1/2in, bezel: 10-3/4in}"
LEAN = "{mount: in-ceiling, aiming: {angled: 25deg}, coverage: 90deg, cutout: 9-1/2in, bezel: 10-3/4in}"
FLAT = """format: 1
title: Eight foot flat
room: {{width: 12', length: 16', ceiling: {{shape: flat, height: 8'}}}}
framing:
  - {{name: joists, surface: ceiling, member: 2x10, spacing: 16in, direction: side-to-side, first_center: 8in}}
seats: [{{name: chair, at: {{from_left: 6', from_front: {seat}in}}, ear_height: 3' 4", main: true}}]
speaker_types: {{flush: {flush}}}
speakers: [{{name: top, type: flush, at: {{from_left: 6', from_front: 7'}}}}]
"""


def ask_for(path: Path, *names: str, **changes):
    scene = read_scene(path)
    moving = [speaker for speaker in scene.speakers if speaker.name in names]
    mirror = picture_mirror(scene)
    return [ask_of(scene, one, moving=moving, seats=main_seats(scene.seats), mirror=mirror) for one in moving]


@pytest.mark.parametrize("seat", [79, 81, 95, 97, 111, 113, 127])
def test_both_limits_of_a_bay_are_in(seat: int, tmp_path: Path) -> None:
    """Bays of 14-1/2 in about 80, 96, 112 ... in from the front: less 9-1/2 in, 1-1/4 in for clamps and 1/4 in of
    tolerance at both sides, 1 in of travel each way. The best place is straight over the seat, at either limit."""
    (ask,) = ask_for(put(tmp_path, flat=FLAT.format(seat=seat, flush=FLUSH)), "top")
    search = Search(ask)
    search.finish()
    ((place,), *_) = found_one(search, 1).choices
    assert -place.speaker.position[1] / INCH == pytest.approx(seat, abs=1e-6)


HUNG = """format: 1
title: Hung shelf
room: {{width: 12', length: 16', ceiling: {{shape: flat, height: 9'}}}}
fixtures: [{thing}]
seats: [{{name: chair, at: {{from_left: 6', from_front: 12'}}, ear_height: 3' 4", main: true}}]
speaker_types: {{lean: {lean}}}
speakers: [{{name: top, type: lean, at: {{from_left: 6', from_front: 2'}}, aim: {{seats: main}}}}]
"""
SHELF = """{name: it, kind: box, from_left: 4', from_front: 8', bottom: 7', width: 4', length: 2' 6", height: 6in}"""
BEAM = """{name: it, kind: beam, runs: side-to-side, center_from_front: 9', width: 6in, bottom: 7', depth: 8in}"""


@pytest.mark.parametrize("thing", [SHELF, BEAM])
def test_no_place_lies_over_what_hangs_below_the_ceiling(thing: str, tmp_path: Path) -> None:
    """A speaker taped there would go into its underside."""
    (ask,) = ask_for(put(tmp_path, hung=HUNG.format(thing=thing, lean=LEAN)), "top")
    spots = Search(ask).finish()
    block = ask.scene.room.boxes[0]
    overhead = spots.points[spots.points[:, 2] > block.top + 0.01]
    assert len(overhead)
    assert not block.over(overhead[:, :2]).any()


GABLE = """format: 1
title: Gable
room: {{width: 16', length: 20', ceiling: {{shape: gable, ridge: front-to-back, low: 7', peak: 11'}}}}
framing:
  - {{name: left rafters, surface: left slope, member: 2x8, spacing: 16in, direction: up-slope, first_center: 16in}}
  - {{name: right rafters, surface: right slope, member: 2x8, spacing: 16in, direction: up-slope,
     first_center: {first}}}
seats: [{{name: sofa, at: {{from_left: 8', from_front: 11'}}, ear_height: 3' 4", main: true}}]
screen: {{wall: front, diagonal: 110in, bottom: 2' 4"}}
speaker_types: {{flush: {flush}, lean: {lean}}}
speakers:
  - {{name: l, type: flush, channel: upper front left, at: {{from_left: 4', from_front: 6' 8"}}}}
  - {{name: r, type: flush, channel: upper front right, at: {{from_left: 12', from_front: 6' 8"}}}}
"""


@pytest.mark.parametrize("slack", [0.0, 1.0, 2.0, 3.0, 6.0])
@pytest.mark.parametrize("first", ["16in", "18in", "20in", "13in"])
def test_partners_that_may_differ_are_clear_of_wood_each(first: str, slack: float, tmp_path: Path) -> None:
    path = put(tmp_path, gable=GABLE.format(first=first, flush=FLUSH, lean=LEAN))
    one, other = ask_for(path, "l", "r")
    search = PairSearch(one, other, picture_mirror(one.scene), slack * INCH)
    search.finish()
    wanted = (1.25 + 0.25) * INCH
    for choice in found_pair(search, 4).choices:
        for place in choice:
            assert all(near.gap >= wanted - 1e-5 for near in place.wood)
            assert len({bool(near.way[1] > 0) for near in place.wood}) == len(place.wood)


ELL = """format: 1
title: Ell
room: {{outline: [[0, 0], [18', 0], [18', 9'], [10', 9'], [10', 20'], [0, 20']], ceiling: {{shape: flat, height: 8'}}}}
seats: [{{name: chair, at: {{from_left: 4', from_front: 14'}}, ear_height: 3' 4", main: true}}]
speaker_types: {{flush: {flush}}}
speakers:
  - {{name: top, type: flush, at: {{from_left: 16', from_front: 2'}}, window: {{azimuth: -61..-60, elevation: 0..1}}}}
"""


def test_a_place_that_the_seat_sees_goes_before_one_nearer_to_its_window_that_it_does_not(tmp_path: Path) -> None:
    (ask,) = ask_for(put(tmp_path, ell=ELL.format(flush=FLUSH)), "top")
    search = Search(ask)
    search.finish()
    ((place,), *_) = found_one(search, 1).choices
    assert not place.blocked
    assert np.degrees(place.off) > 0


def test_what_hangs_below_a_hole_is_told(tmp_path: Path) -> None:
    """9 in of bezel, 5 in from the edge of the shelf: half an inch over it."""
    text = HUNG.format(thing=SHELF, lean=LEAN).replace("from_front: 2'}", "from_front: 7' 7\"}")
    scene = read_scene(put(tmp_path, hung=text))
    (found,) = [one for one in find_all(scene, seat_pairs(scene)) if one.rule == "over-box"]
    assert "its bezel reaches over it, which hangs below it, by" in found.message


def test_a_cut_out_in_a_larger_old_hole_is_told_so(tmp_path: Path) -> None:
    """9-1/2 in in the middle of 11 in: nothing all round, where its clamps would hold."""
    hole = "existing_holes: [{name: well, at: {from_left: 6', from_front: 7'}, cutout: 11in}]\n"
    scene = read_scene(put(tmp_path, flat=FLAT.format(seat=80, flush=FLUSH).replace("framing:", hole + "framing:")))
    (found,) = [one for one in find_all(scene, seat_pairs(scene)) if one.rule == "meets-old-hole"]
    assert "its cut-out lies in the larger old hole well, so that its clamps find no board" in found.message

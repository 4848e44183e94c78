"""earshed place --json and what goes with it: nothing that the tables tell is missing from the documents."""

from __future__ import annotations

import pytest

from tests.test_place_command import SMALL, place, put

OLD = "existing_holes: [{name: old, at: {from_left: 2.4, from_front: 2.2}, cutout: 0.1 x 0.2, long_axis: level}]\n"


def test_a_hole_tells_each_way_in_which_a_rectangle_lies(tmp_path, capsys):
    scene = put(tmp_path, SMALL + OLD)
    _, found = place(scene, "--speaker", "upper right", "--keep-holes", capsys=capsys)
    rows = [(one["type"], one["long_axis"]) for one in found["holes"]["takes"]]
    assert len(set(rows)) == len(rows)
    assert {way for kind, way in rows if kind == "slot"} == {"up-slope", "level"}
    assert {way for kind, way in rows if kind == "flush"} == {None}


def test_what_shows_nearby_is_told_with_its_gap_to_the_bezel(tmp_path, capsys):
    _, found = place(put(tmp_path), "--speaker", "upper right", "--type", "flush", capsys=capsys)
    ((one,), *_) = found["answers"][0]["choices"]
    (near,) = [near for near in one["near"] if near["from"] == "bezel"]
    x, y, _ = one["position_m"]
    gaps = {"can": ((x - 0.8) ** 2 + (y + 1.4) ** 2) ** 0.5 - 0.12 - 0.15 / 2}
    gaps["up: left's"] = ((x - 0.8) ** 2 + (y + 1.6) ** 2) ** 0.5 - 0.12 - 0.12
    assert near["name"] == min(gaps, key=gaps.__getitem__)
    assert near["gap_m"] == pytest.approx(min(gaps.values()), abs=1e-3)


def test_what_is_given_up_is_a_group_or_a_thing_by_its_name(tmp_path, capsys):
    duct = "keep_outs: [{name: duct, kind: duct, from_left: 0, from_front: 0, width: 3.2, length: 4}, "
    duct += "{name: pipe, kind: pipe, from_left: 0.1, from_front: 0.1, width: 0.1, length: 0.1}]\n"
    _, found = place(put(tmp_path, SMALL + duct), "--speaker", "upper right", capsys=capsys)
    kinds = {one["condition"]: one["kind"] for one in found["answers"][0]["relax"]}
    assert kinds == {"hidden": "group", "duct": "thing"}

"""What it takes to get from one scene to another: holes, parts, and what moved."""

from __future__ import annotations

import numpy as np
import pytest

from earshed.model.compare.maps import RoomsDiffer, map_change
from earshed.model.compare.signals import match_signals
from earshed.model.listening_plane import PlaneTooFine
from earshed.model.scene_file.read import read_scene
from tests.compared_rooms import DEN, IDS, SCENES, change_of, held, mirrored, read, with_changes
from tests.response_files import TENS, table_text
from tests.scene_files import put
from tests.test_symmetry import flipped


def work(*lines: str) -> dict[str, str]:
    """What becomes of each hole of the den's ceiling."""
    found = with_changes(*lines)
    return {
        (hole.after or hole.before).name: hole.work
        for hole in found.holes
        if (hole.after or hole.before).name != "wall"
    }


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ("type: wide", {"top": "stays"}),  # the same cut-out
        ("type: large", {"top": "widen"}),  # 260 mm round the same middle takes in 200 mm
        ("{at: {from_left: 2.0, from_front: 2}}", {"top": "recut"}),  # 100 mm on: the holes meet
        ("{at: {from_left: 2.02, from_front: 2}, type: large}", {"top": "recut"}),
        ("{at: {from_left: 1.93, from_front: 2}, type: large}", {"top": "widen"}),  # 30 mm on: just all of it
    ],
)
def test_a_speaker_in_its_hole_or_beside_it(change, told):
    change = change if change.startswith("{") else f"{{{change}}}"
    assert work(f"speakers: {{top: {change}}}") == told


def test_a_hole_that_is_left_is_patched_and_a_new_one_cut():
    found = with_changes("speakers: {top: {at: {from_left: 3, from_front: 2}}}")
    assert [hole.work for hole in found.holes] == ["cut", "stays", "patch"]
    assert [hole.before.name for hole in found.holes if hole.work == "patch"] == ["top"]


def test_a_larger_hole_that_is_there_is_too_large():
    found = with_changes("speakers: {top: {type: large}}")
    back = held(found.after, found.before)
    assert [hole.work for hole in back.holes] == ["shrink", "stays"]
    assert found.holes[0].wider == pytest.approx(0.06, abs=1e-3)


def test_an_old_hole_stays_open_or_is_filled():
    text = DEN + "existing_holes:\n  - {name: old, at: {from_left: 3, from_front: 2}, cutout: 0.2}\n"
    filled = text.replace("from_left: 1.9, from_front: 2}", "from_left: 3, from_front: 2}")
    before, after = read(text), read(filled)
    assert [hole.work for hole in held(before, before).holes] == ["stays", "stays", "open"]
    found = held(before, after)
    assert [(hole.before.name, hole.work) for hole in found.holes] == [
        ("old", "stays"),
        ("wall", "stays"),
        ("top", "patch"),
    ]
    back = held(after, before)
    assert [hole.work for hole in back.holes] == ["cut", "stays", "patch"]


def test_a_speaker_under_another_name_keeps_its_hole():
    found = held(read(DEN), read(DEN.replace("name: top", "name: over there")))
    assert {hole.work for hole in found.holes} == {"stays"}
    assert found.same


def test_parts_are_counted_by_type():
    found = with_changes(
        "remove: [wall]", "speakers: {top: {type: wide}, more: {type: wide, at: {from_left: 4, from_front: 2}}}"
    )
    assert {part.type.name: (part.before, part.after, part.to_buy, part.left_over) for part in found.parts} == {
        "wide": (0, 2, 2, 0), "flush": (1, 0, 0, 1), "niche": (1, 0, 0, 1),
    }  # fmt: skip


def test_a_type_whose_facts_are_other_is_another_part():
    found = held(
        read(DEN),
        read(DEN.replace("angle: 90deg, band: 4kHz}, cutout: 0.2}", "angle: 80deg, band: 4kHz}, cutout: 0.2}")),
    )
    assert [(part.type.name, part.to_buy, part.left_over) for part in found.parts if part.to_buy or part.left_over] == [
        ("flush", 1, 0), ("flush", 0, 1),
    ]  # fmt: skip


def test_a_type_measured_is_the_same_as_often_as_its_table_is_read(tmp_path):
    """Each reading makes the table anew; with other figures in it the type is another."""
    table = table_text(
        {"": (TENS, np.outer(TENS, [-0.05, -0.1, -0.2, -0.3]))}, np.array([1000.0, 2000.0, 4000.0, 8000.0])
    )
    text = DEN.replace("type: flush, channel", "type: heard, channel").replace(
        "speaker_types:\n", "speaker_types:\n  heard: {mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 0.2, "
        "directivity: {measured: horn.csv}}\n",
    )  # fmt: skip
    path = put(tmp_path, den=text)
    (tmp_path / "horn.csv").write_text(table, encoding="utf-8")
    one, other = read_scene(path), read_scene(path)
    assert one.speakers[0].type == other.speakers[0].type
    assert hash(one.speakers[0].type) == hash(other.speakers[0].type)
    assert held(one, other).same
    (tmp_path / "horn.csv").write_text(table.replace("-9", "-8"), encoding="utf-8")
    found = held(one, read_scene(path))
    assert [(part.type.name, part.to_buy, part.left_over) for part in found.parts if part.before != part.after] == [
        ("heard", 1, 0), ("heard", 0, 1),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("line", "name", "words"),
    [
        (
            "seats: {bench: {at: {from_left: 1.5, from_front: 2.6}}}",
            "bench",
            "moved 500 mm towards the right and 400 mm towards the front",
        ),
        ("seats: {bench: {ear_height: 1.25}}", "bench", "moved 250 mm up"),
        ("fixtures: {lamp: {at: {from_left: 3.9, from_front: 4}}}", "lamp", "moved 100 mm towards the left"),
        ("fixtures: {lamp: {cutout: 0.12}}", "lamp", "of another size"),
        ("screen: {bottom: 0.7}", "the picture", "moved 100 mm up"),
        ("remove: [lamp]", "lamp", "taken out"),
    ],
)
def test_what_moved_is_told(line, name, words):
    (thing,) = with_changes(line).things
    assert (thing.name, thing.words("mm")) == (name, words)


# --- maps


@pytest.mark.parametrize("path", SCENES, ids=IDS)
def test_the_difference_of_maps_is_antisymmetric(path):
    there, back = (change_of(path, *names) for names in (("as found", "proposed"), ("proposed", "as found")))
    one, other = (map_change(found.before, found.after, found.signals) for found in (there, back))
    np.testing.assert_array_equal(one.inside, other.inside)
    np.testing.assert_array_equal(one.worst_change, -other.worst_change)
    np.testing.assert_array_equal(one.served_change, -other.served_change)
    assert np.isnan(one.worst_change[~one.inside]).all()
    assert not np.isnan(one.worst_change[one.inside]).any()
    assert one.shares_changed["nearer"] == other.shares_changed["farther"]
    for mine, its in zip(one.signals, other.signals, strict=True):
        np.testing.assert_array_equal(one.signal_change(mine), -other.signal_change(its))


@pytest.mark.parametrize("path", SCENES, ids=IDS)
def test_a_map_of_a_scheme_against_itself_is_of_nothing(path):
    found = change_of(path, "proposed", "proposed")
    maps = map_change(found.before, found.after, found.signals)
    assert np.abs(maps.worst_change[maps.inside]).max() == 0.0
    assert not maps.served_change.any()


def test_a_mirrored_room_has_the_mirrored_map():
    here, there = mirrored()
    one, other = (map_change(found.before, found.after, found.signals) for found in (here, there))
    np.testing.assert_allclose(flipped(one.before.plane.points)[:, ::-1], other.before.plane.points, atol=1e-9)
    np.testing.assert_array_equal(one.inside[:, ::-1], other.inside)
    np.testing.assert_allclose(one.worst_change[:, ::-1], other.worst_change, atol=1e-3)
    assert (one.served_change[:, ::-1] != other.served_change).mean() < 1e-3  # points on a limit, to the last bit


def test_the_map_at_a_seat_is_what_the_seat_gets():
    """At the grid point under an ear, the map's difference is the seat's."""
    found = with_changes("speakers: {top: {at: {from_left: 2.2, from_front: 2}}}")
    signal = next(one for one in found.signals if one.channel)
    change = map_change(found.before, found.after, [signal]).signal_change(signal)
    maps = map_change(found.before, found.after, [signal])
    spots = maps.before.plane.xy.reshape(-1, 2)
    (near,) = np.flatnonzero(np.hypot(*(spots - [1.05, -2.05]).T) < 1e-6)
    angles = np.degrees(np.arctan2(np.hypot(np.array([1.9, 2.2]) - 1.05, 0.05), 1.5))
    assert change.reshape(-1)[near] == pytest.approx(angles[1] - angles[0], abs=1e-3)


def test_what_came_or_went_is_no_change_of_the_rest():
    found = with_changes("remove: [wall]")
    maps = map_change(found.before, found.after, found.signals)
    assert [signal.key for signal in maps.signals] == ["U+045"]
    assert not maps.worst_change[maps.inside].any()


def test_rooms_of_about_the_same_size_share_a_grid():
    """The grid is over both; what lies in one of them alone is left out."""
    before, after = read(DEN), read(DEN.replace("width: 5", "width: 4.5"))
    maps = map_change(before, after, match_signals(before.judged, after.judged))
    x = maps.before.plane.x[maps.inside.any(axis=0)]
    assert maps.before.plane.x.max() > 4.9
    assert x.max() < 4.5
    np.testing.assert_array_equal(maps.before.plane.xy, maps.after.plane.xy)


def test_other_rooms_are_refused_with_the_reason():
    before, after = read(DEN), read(DEN.replace("width: 5", "width: 3.5"))
    with pytest.raises(RoomsDiffer, match="they share 70% of the floor, and at least 80% is needed"):
        map_change(before, after, ())


def test_too_fine_a_grid_is_refused():
    fine = read(DEN.replace("step: 0.1", "step: 0.002"))
    with pytest.raises(PlaneTooFine):
        map_change(fine, fine, ())


def test_of_a_room_without_speakers_all_that_comes_is_more():
    """Each point is served by as many more as the second scene has there, and nothing is said of angles."""
    bare = read(DEN[: DEN.index("speakers:\n  -")] + "listening_plane: {height: 1, step: 0.1}\n")
    full = read(DEN)
    maps = map_change(bare, full, match_signals(bare.judged, full.judged))
    np.testing.assert_array_equal(maps.served_change[maps.inside], maps.after.of_set.served[maps.inside])
    assert maps.served_change.max() == 2
    assert maps.signals == ()
    assert maps.shares_changed == {"nearer": 0.0, "farther": 0.0, "as before": 0.0}
    back = map_change(full, bare, match_signals(full.judged, bare.judged))
    np.testing.assert_array_equal(back.served_change, -maps.served_change)

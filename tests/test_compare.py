"""Before and after: what each seat gets in two scenes, in closed form, and laws of the whole."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.compare.compare import before_after
from earshed.model.compare.seats import SWAPPED, Gets, lags
from earshed.model.compare.signals import match_signals
from earshed.model.pairs import seat_pairs
from earshed.model.scene_file.read import read_scene
from tests.compared_rooms import DEN, IDS, SCENES, change_of, held, mirrored, read, shipped, top_at, with_changes

SAME_CABLE = {"same": "same", "other": "other", "new": "gone", "gone": "new", "longer": "shorter", "shorter": "longer"}


def of(change, seat, signal):
    (found,) = (one for one in change.given if one.seat == seat and one.signal.called == signal)
    return found


# --- closed forms


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        (1.9, 1.9, "as before"),
        (1.9, 2.2, "worse: was covered"),
        (2.2, 1.9, "now covered"),
        (3.4, 2.2, "now fringe"),
        (2.2, 3.4, "worse: was fringe"),
        # atan(1.6) is 57.99 and atan(2.4 / 1.5) 57.99; 4.0 m: atan(2) is 63.43
        (4.0, 3.4, "still outside, 5 degrees nearer"),
        (3.4, 4.0, "still outside, 5 degrees farther"),
        (1.2, 1.5, "still covered, 11 degrees farther"),  # atan(0.2 / 1.5) is 7.59, atan(0.5 / 1.5) 18.43
        (1.5, 1.506, "as before"),  # a fifth of a degree
    ],
)
def test_the_change_is_told_in_words(before, after, words):
    assert of(top_at(before, after), "stool", "upper front left").words == words


places = st.floats(1.05, 4.7)


@given(places, places)
def test_the_change_is_that_of_the_angles(before, after):
    """One angle is the arc tangent of how far aside the speaker is over how high; the change follows from both."""
    found = of(top_at(before, after), "stool", "upper front left")
    angles = [math.atan2(place - 1, 1.5) for place in (before, after)]
    assert found.turned == pytest.approx(angles[1] - angles[0], abs=1e-9)
    ranks = [sum(angle > math.radians(45) * part + 1e-9 for part in (1 / math.sqrt(2), 1.0)) for angle in angles]
    apart = angles[1] - angles[0]
    alike = "same" if abs(apart) < math.radians(0.5) else "nearer" if apart < 0 else "farther"
    told = alike if ranks[0] == ranks[1] else "better" if ranks[1] < ranks[0] else "worse"
    assert found.change == told


@given(places, places)
def test_back_again_is_the_contrary(before, after):
    there, back = top_at(before, after), top_at(after, before)
    for one, other in zip(there.given, back.given, strict=True):
        assert SWAPPED[one.change] == other.change
        assert one.turned == pytest.approx(-other.turned, abs=1e-12)
        assert one.louder == pytest.approx(-other.louder, abs=1e-9)


def test_level_is_that_of_the_way_and_of_the_beam_against_the_reference_position():
    """With one main seat that is the reference position, so the level against it is none, before and after; at the
    other seat it falls by the way and by the beam, both of which the widened beam leaves lower."""
    found = with_changes("speakers: {top: {type: wide}}")
    assert of(found, "stool", "upper front left").after.level == pytest.approx(0.0, abs=1e-9)
    assert of(found, "bench", "upper front left").louder > 0


REAR = "speakers: {rear: {type: flush, channel: U+135, at: {from_left: 1, from_rear: 2}}}"


def test_what_comes_and_goes_is_told():
    found = with_changes(
        "remove: [wall]", "speakers: {rear: {type: flush, channel: U+135, at: {from_left: 1, from_rear: 2}}}"
    )
    assert of(found, "stool", "wall").words == "taken out"
    assert of(found, "stool", "upper rear left").words == "new: outside"
    back = held(found.after, found.before)
    assert of(back, "stool", "wall").change == "new"
    assert of(back, "stool", "upper rear left").words == "taken out"


def test_what_comes_to_stand_in_the_way_is_told():
    block = (
        "{name: shelf, kind: box, from_left: 1.2, from_front: 1.7, bottom: 1.4, width: 0.3, length: 0.6, height: 0.4}"
    )
    found = with_changes(f"fixtures: {{shelf: {block}}}".replace("name: shelf, ", ""))
    one = of(found, "stool", "upper front left")
    assert (one.after.mark, one.change, one.words) == ("blocked", "worse", "worse: was covered")
    assert [thing.words("mm") for thing in found.things] == ["new"]


# --- all of a seat's signals together


def test_a_seat_gets_the_worst_of_all_it_gets():
    found = top_at(1.9, 2.2)
    (stool, bench) = found.seats
    # the wall's is atan(sqrt(1 + 0.04)) = 45.6 degrees off axis, past 50 / sqrt(2) and within 50
    assert (stool.before, stool.after) == (Gets(1, 1, 0), Gets(0, 2, 0))
    assert (stool.before.verdict, stool.change) == ("fringe", "worse")
    assert bench.main is False


def test_a_seat_with_less_than_the_best_lags():
    covered, fringe = Gets(3, 0, 0), Gets(2, 1, 0)
    assert lags(fringe, [covered, fringe])
    assert not lags(covered, [covered, fringe])
    assert not lags(fringe, [fringe])


def test_a_speaker_taken_out_does_no_seat_any_good():
    """Nor does a new one do harm: a seat is better or worse by what both have."""
    found = with_changes("remove: [wall]")
    (stool, _) = found.seats
    assert (stool.before, stool.after, stool.change) == (Gets(1, 1, 0), Gets(1, 0, 0), "same")
    back = held(found.after, found.before)
    assert [seat.change for seat in back.seats] == ["same", "same"]
    assert [seat.change for seat in with_changes("remove: [wall, top]", REAR).seats] == ["same", "same"]


# --- which speaker stands for which


def names(signals):
    return [([one.name for one in signal.before], [one.name for one in signal.after]) for signal in signals]


def test_channels_match_before_names():
    """Two speakers that change names, but not channels, stay what they are; one without a channel goes by its name."""
    before = read(DEN.replace("wall: left, from_front: 3", "channel: U-045, wall: left, from_front: 3"))
    swapped = DEN.replace("name: top,", "name: wall2,").replace(
        "wall: left, from_front: 3", "channel: U-045, wall: left, from_front: 3"
    )
    after = read(swapped.replace("name: wall,", "name: top,"))
    assert names(match_signals(before.judged, after.judged)) == [(["top"], ["wall2"]), (["wall"], ["top"])]
    assert all(one.same for signal in match_signals(before.judged, after.judged) for one in signal.speakers)


def test_a_speaker_that_changes_its_channel_is_known_by_its_name():
    after = read(DEN.replace("channel: U+045", "channel: U+090"))
    (signal, _) = match_signals(read(DEN).judged, after.judged)
    assert (signal.key, [one.rewired for one in signal.speakers]) == ("U+090", [True])


# --- laws


@pytest.mark.parametrize("path", SCENES, ids=IDS)
def test_a_scheme_against_itself_is_no_change(path):
    for scheme in ("base", *shipped(path, "base").schemes):
        found = held(shipped(path, scheme), read_scene(path, scheme))
        assert found.same
        assert {one.change for one in found.given} <= {"same"}
        assert {one.change for one in found.seats} <= {"same"}
        assert {hole.work for hole in found.holes} <= {"stays", "open"}
        assert not found.changed
        assert all(one.before == one.after for one in found.evenness)


@pytest.mark.parametrize("path", SCENES, ids=IDS)
def test_as_found_and_proposed_are_each_others_contrary(path):
    there, back = change_of(path, "as found", "proposed"), change_of(path, "proposed", "as found")
    turned = {(one.seat, one.signal.key): one for one in back.given}
    assert {(one.seat, one.signal.key) for one in there.given} == set(turned)
    for one in there.given:
        other = turned[one.seat, one.signal.key]
        assert SWAPPED[one.change] == other.change
        assert one.turned == pytest.approx(-other.turned, abs=1e-9)
    assert [SWAPPED[one.change] for one in there.seats] == [one.change for one in back.seats]
    assert {one.type.name: (one.to_buy, one.left_over) for one in there.parts} == {
        one.type.name: (one.left_over, one.to_buy) for one in back.parts
    }
    assert {one.name: SAME_CABLE[one.change] for one in there.runs} == {one.name: one.change for one in back.runs}
    work, undone = ([hole.work for hole in found.holes] for found in (there, back))
    assert work.count("cut") == undone.count("patch")
    assert work.count("patch") == undone.count("cut")
    assert work.count("widen") == undone.count("shrink")


@pytest.mark.parametrize("path", SCENES, ids=IDS)
def test_every_shipped_proposal_is_worth_it(path):
    """No seat is worse, every main seat is covered by all, and what was found is only what the scheme says."""
    found = change_of(path, "as found", "proposed")
    assert not [one.seat for one in found.seats if one.change == "worse"]
    assert {one.after.verdict for one in found.main_seats} == {"covered"}
    assert {one.before.verdict for one in found.main_seats} != {"covered"}
    assert found.changed
    assert not found.things


def test_a_mirrored_room_has_the_same_changes():
    here, there = mirrored()
    assert len({one.words for one in here.given}) > 5
    for one, other in zip(here.given, there.given, strict=True):
        assert (one.seat, one.words) == (other.seat, other.words)
        if one.turned is not None:
            assert one.turned == pytest.approx(other.turned, abs=1e-6)
            assert one.louder == pytest.approx(other.louder, abs=1e-4)
    assert [one.change for one in here.seats] == [one.change for one in there.seats]
    assert [hole.work for hole in here.holes] == [hole.work for hole in there.holes]
    assert {"cut", "patch", "stays"} <= {hole.work for hole in here.holes}
    flipped = [
        thing.words("mm")
        .translate(str.maketrans({}))
        .replace("left", "LEFT")
        .replace("right", "left")
        .replace("LEFT", "right")
        for thing in here.things
    ]
    assert flipped == [thing.words("mm") for thing in there.things]


def test_runs_are_longer_or_shorter_by_what_is_cut(tmp_path):
    """A speaker 6 ft nearer to the left has another way to the rack; the others' runs stay."""
    barn = next(path for path in SCENES if path.stem == "barn").read_text("utf-8")
    path = tmp_path / "barn.yaml"
    there, here = (f"{{from_left: {left}' 5\", from_front: 7' 2\"}}" for left in (12, 6))
    path.write_text(barn.replace(there, here), "utf-8")
    found = held(read_scene(path, "proposed"), read_scene(path, "as built"))
    runs = {run.name: run for run in found.runs}
    moved = runs.pop("upper right")
    assert moved.longer == pytest.approx(moved.after.cut - moved.before.cut)
    assert np.sign(moved.longer) == {"longer": 1, "shorter": -1}[moved.change]
    assert all(run.longer == 0.0 and run.change in ("same", "other") for run in runs.values())


def test_without_seats_there_is_nothing_to_judge():
    bare = replace(read(DEN), seats=())
    found = before_after((bare, seat_pairs(bare)), (bare, seat_pairs(bare)))
    assert found.given == found.seats == ()

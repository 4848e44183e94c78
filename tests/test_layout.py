"""Layouts and the places proposed for them: directions by the standard, clear holes, mirror images, the best type.

Directions, labels and allowed ranges: Rec. ITU-R BS.2051-3 (05/2022), Tables 1, 4, 5, 6, 11 and 12, and section 3.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from earshed.model.aim import best_axis
from earshed.model.checks.run import find_all
from earshed.model.clearance import KEPT_CLEAR
from earshed.model.geometry import angle_between
from earshed.model.layout import LAYOUTS, WITHIN
from earshed.model.listener import listener_of
from earshed.model.pairs import seat_pairs
from earshed.model.placing import FROM_EARS
from earshed.model.proposal import METRIC_MARK, OVERHEAD_TYPES, WALL_TYPES, Proposal, Proposed, propose
from earshed.model.scene import Scene
from earshed.model.speaker_type import Fixed, SpeakerType
from earshed.model.units import INCH
from tests.proposal_rooms import TYPES, Plain, plain_rooms

SOME = settings(max_examples=40)

ALLOWED = {  # of each system the left and middle ones: label, azimuths, elevations, degrees
    "five at ear height": [("M+000", 0, 0, 0, 0), ("M+030", 30, 30, 0, 0), ("M+110", 100, 120, 0, 15)],  # Table 4
    "five and two above": [  # Table 5
        ("M+000", 0, 0, 0, 0), ("M+030", 30, 30, 0, 0), ("M+110", 100, 120, 0, 15), ("U+030", 30, 45, 30, 55),
    ],
    "five and four above": [  # Table 6
        ("M+000", 0, 0, 0, 0), ("M+030", 30, 30, 0, 0), ("M+110", 100, 120, 0, 0), ("U+030", 30, 45, 30, 55),
        ("U+110", 100, 135, 30, 55),
    ],
    "seven at ear height": [  # Table 11
        ("M+000", 0, 0, 0, 0), ("M+030", 30, 45, 0, 0), ("M+090", 85, 110, 0, 0), ("M+135", 120, 150, 0, 0),
    ],
    "seven and four above": [  # Table 12
        ("M+000", 0, 0, 0, 0), ("M+030", 30, 45, 0, 0), ("M+090", 85, 110, 0, 0), ("M+135", 120, 150, 0, 0),
        ("U+045", 30, 45, 30, 55), ("U+135", 100, 150, 30, 55),
    ],
}  # fmt: skip
BOTH_SIDES = {
    "front three": "M+000 M+030 M-030",
    "five at ear height": "M+000 M+030 M-030 M+110 M-110",
    "five and two above": "M+000 M+030 M-030 M+110 M-110 U+030 U-030",
    "five and four above": "M+000 M+030 M-030 M+110 M-110 U+030 U-030 U+110 U-110",
    "seven at ear height": "M+000 M+030 M-030 M+090 M-090 M+135 M-135",
    "seven and four above": "M+000 M+030 M-030 M+090 M-090 M+135 M-135 U+045 U-045 U+135 U-135",
}  # Table 1, without the low-frequency channels


def heard_from(scene: Scene, point: np.ndarray) -> tuple[float, float]:
    """Azimuth and elevation (degrees) from the mean of the main seats, by the sines and cosines of section 3 alone."""
    ear = np.mean([seat.ear for seat in scene.seats if seat.main], axis=0)
    ahead = scene.screen.center - ear if scene.screen else np.array([0.0, 1.0, 0.0])
    turn = math.degrees(math.atan2(ahead[0], ahead[1]))  # how far right of front the picture is
    right, front, up = point - ear
    azimuth = math.degrees(math.atan2(-right, front)) + turn
    return (azimuth + 180) % 360 - 180, math.degrees(math.asin(up / math.dist(point, ear)))


def radius(kind: SpeakerType) -> float:
    return kind.rim.across / 2


def by_label(proposed: Proposed) -> dict[str, Proposal]:
    return {proposal.direction.channel.label: proposal for proposal in proposed.proposals}


# --- the standard's directions


@pytest.mark.parametrize("name", ALLOWED)
def test_directions_allowed_are_those_of_the_standard(name: str) -> None:
    found = {direction.channel.label: direction for direction in LAYOUTS[name].directions}
    for label, az_low, az_high, el_low, el_high in ALLOWED[name]:
        direction = found.pop(label)
        assert np.degrees([*direction.azimuths, *direction.elevations]) == pytest.approx(
            [az_low, az_high, el_low, el_high]
        )
        assert math.degrees(direction.azimuth) == pytest.approx(int(label[-4:]))
        assert math.degrees(direction.elevation) == pytest.approx(30 if label[0] == "U" else 0)
    assert found == {}


@pytest.mark.parametrize("name", BOTH_SIDES)
def test_each_layout_holds_the_channels_of_its_system(name: str) -> None:
    labels = [direction.channel.label for direction in LAYOUTS[name].all_directions]
    assert sorted(labels) == sorted(BOTH_SIDES[name].split())
    assert set(BOTH_SIDES) == set(LAYOUTS)


@pytest.mark.parametrize("layout", LAYOUTS.values(), ids=lambda layout: layout.name)
def test_a_mirrored_direction_mirrored_is_itself(layout) -> None:
    for direction in layout.directions:
        other = direction.mirrored
        assert other.mirrored == direction
        assert other.azimuth == -direction.azimuth
        assert other.azimuths == (-direction.azimuths[1], -direction.azimuths[0])
        assert other.elevations == direction.elevations
        assert (other == direction) == (direction.channel.label == "M+000")


def test_limits_count_as_allowed_and_what_is_past_them_does_not() -> None:
    rear = next(d for d in LAYOUTS["seven and four above"].directions if d.channel.label == "U+135")
    past = WITHIN + math.radians(0.01)
    for limit, sign in ((100, -1), (150, 1)):
        assert rear.allows_azimuth(math.radians(limit))
        assert not rear.allows_azimuth(math.radians(limit) + sign * past)
    for limit, sign in ((30, -1), (55, 1)):
        assert rear.allows_elevation(math.radians(limit))
        assert not rear.allows_elevation(math.radians(limit) + sign * past)


# --- the reference position


def test_azimuth_is_positive_to_the_left() -> None:
    """Section 3: 30 degrees is on the listener's left; sine and cosine of 30 degrees."""
    listener = listener_of(Plain(4, 6, {"shape": "flat", "height": 2.5}, None, ((0, 4, 1),)).scene)
    assert listener.toward(math.radians(30), 0.0) == pytest.approx([-0.5, math.sqrt(3) / 2, 0])
    assert listener.toward(0.0, math.radians(90)) == pytest.approx([0, 0, 1], abs=1e-12)


@SOME
@given(plain_rooms(), st.integers(-179, 180), st.integers(-80, 80), st.integers(1, 50))
def test_a_direction_is_seen_where_it_leads(room: Plain, azimuth: int, elevation: int, tenths: int) -> None:
    listener = listener_of(room.scene)
    way = listener.toward(math.radians(azimuth), math.radians(elevation))
    seen = np.degrees(listener.sees(listener.ear + tenths / 10 * way))
    assert seen == pytest.approx([azimuth, elevation], abs=1e-6)


def test_without_seats_there_is_no_reference() -> None:
    scene = Plain(4, 6, {"shape": "flat", "height": 2.5}, None, ()).scene
    with pytest.raises(ValueError, match="without seats"):
        propose(scene, LAYOUTS["front three"], TYPES)


# --- laws of what is proposed


@SOME
@given(plain_rooms(), st.sampled_from(list(LAYOUTS)))
def test_each_channel_is_placed_or_said_to_be_left_out(room: Plain, name: str) -> None:
    proposed = propose(room.scene, LAYOUTS[name], TYPES)
    placed = [proposal.direction.channel.label for proposal in proposed.proposals]
    left_out = [each.channel.label for each in proposed.left_out]
    assert sorted(placed + left_out) == sorted(BOTH_SIDES[name].split())
    assert all(each.reason for each in proposed.left_out)


@SOME
@given(plain_rooms(), st.sampled_from(list(LAYOUTS)))
def test_holes_keep_clear_of_edges_the_picture_and_one_another(room: Plain, name: str) -> None:
    """Rounding to the tape's marks may take half a mark each way from the clearance, no more."""
    scene = room.scene
    proposals = propose(scene, LAYOUTS[name], TYPES).proposals
    slack = METRIC_MARK
    for proposal in proposals:
        speaker = proposal.speaker
        assert speaker.surface.room_to_edge(speaker.position) >= radius(speaker.type) + KEPT_CLEAR - slack
        if scene.screen and speaker.surface.name == "front wall":
            x, _, z = speaker.position
            left, right = scene.screen.corners[:, 0].min(), scene.screen.corners[:, 0].max()
            outside = math.hypot(max(left - x, x - right, 0), max(scene.screen.bottom - z, z - scene.screen.top, 0))
            assert outside >= radius(speaker.type) + KEPT_CLEAR - slack
    for one, other in combinations([proposal.speaker for proposal in proposals], 2):
        apart = math.dist(one.position, other.position)
        assert (
            apart >= radius(one.type) + radius(other.type) + KEPT_CLEAR - 2 * slack or one.surface is not other.surface
        )


@SOME
@given(plain_rooms(), st.sampled_from(list(LAYOUTS)))
def test_nothing_proposed_is_an_error(room: Plain, name: str) -> None:
    scene = room.scene
    speakers = tuple(proposal.speaker for proposal in propose(scene, LAYOUTS[name], TYPES).proposals)
    full = Scene(**{**vars(scene), "speakers": speakers})
    subjects = {speaker.name for speaker in speakers}
    found = find_all(full, seat_pairs(full))
    assert [finding for finding in found if finding.severity == "error" and finding.subject in subjects] == []
    assert [finding for finding in found if finding.rule == "channel-side"] == []


@SOME
@given(plain_rooms(), st.sampled_from(list(LAYOUTS)))
def test_each_is_heard_from_where_it_says_and_allowed_is_as_the_standard_has_it(room: Plain, name: str) -> None:
    scene = room.scene
    for proposal in propose(scene, LAYOUTS[name], TYPES).proposals:
        azimuth, elevation = heard_from(scene, proposal.speaker.position)
        assert math.degrees(proposal.azimuth) == pytest.approx(azimuth, abs=1e-6)
        assert math.degrees(proposal.elevation) == pytest.approx(elevation, abs=1e-6)
        label = proposal.direction.channel.label
        sign = -1 if "-" in label else 1
        limits = {row[0]: row[1:] for row in ALLOWED.get(name, ALLOWED["five at ear height"])}
        az_low, az_high, el_low, el_high = limits[label.replace("-", "+")]
        slack = math.degrees(WITHIN)
        inside = az_low - slack <= sign * azimuth <= az_high + slack and el_low - slack <= elevation <= el_high + slack
        assert proposal.allowed == inside


@SOME
@given(plain_rooms(), st.sampled_from(list(LAYOUTS)))
def test_ear_height_goes_on_walls_and_upper_in_ceilings(room: Plain, name: str) -> None:
    for label, proposal in by_label(propose(room.scene, LAYOUTS[name], TYPES)).items():
        assert proposal.speaker.surface.kind == ("ceiling" if label[0] == "U" else "wall")
        assert (proposal.speaker.type.mount == "in-ceiling") == (label[0] == "U")
        if label == "M+000":
            assert proposal.speaker.surface.name == "front wall"


@SOME
@given(plain_rooms(), st.sampled_from(list(LAYOUTS)))
def test_a_mirrored_room_gives_mirrored_places(room: Plain, name: str) -> None:
    here, there = (by_label(propose(each.scene, LAYOUTS[name], TYPES)) for each in (room, room.mirrored))
    swap = str.maketrans("+-", "-+")
    assert {label if label == "M+000" else label.translate(swap) for label in here} == set(there)
    for label, proposal in here.items():
        other = there[label if label == "M+000" else label.translate(swap)]
        x, y, z = other.speaker.position
        assert proposal.speaker.position == pytest.approx([room.width - x, y, z], abs=1e-6)
        assert other.speaker.type == proposal.speaker.type
        assert other.worst.off_axis == pytest.approx(proposal.worst.off_axis, abs=1e-6)


@SOME
@given(plain_rooms(), st.sampled_from(list(LAYOUTS)))
def test_a_symmetric_room_gives_pairs_that_mirror_each_other(room: Plain, name: str) -> None:
    middled = [(round(x - np.mean([s[0] for s in room.seats]), 6), y, z) for x, y, z in room.seats]
    ceiling = dict(room.ceiling)
    assume(ceiling.get("rises") not in ("left", "right"))
    if ceiling.get("ridge") == "front-to-back":
        ceiling |= {"ridge_at": room.width / 2, "far_low": ceiling["low"]}
        ceiling["peak"] = float(ceiling["low"]) + 1
    even = Plain(room.width, room.length, ceiling, room.picture, tuple(middled))
    found = by_label(propose(even.scene, LAYOUTS[name], TYPES))
    for label, proposal in found.items():
        if "+" in label and label != "M+000":
            x, y, z = found[label.replace("+", "-")].speaker.position
            assert proposal.speaker.position == pytest.approx([room.width - x, y, z], abs=1e-6)


@SOME
@given(plain_rooms(), st.sampled_from(list(LAYOUTS)))
def test_a_pair_is_of_one_type_and_no_other_serves_it_better(room: Plain, name: str) -> None:
    """Every type in the list is tried in the same holes: the verdict of the worst main seat is the best there is, and
    a fixed type is taken wherever it does as well."""
    scene = room.scene
    ears = np.array([seat.ear for seat in scene.seats])
    pairs: dict[tuple[str, int], list[Proposal]] = {}
    for proposal in propose(scene, LAYOUTS[name], TYPES).proposals:
        label = proposal.direction.channel.label
        pairs.setdefault((label[0], abs(int(label[1:]))), []).append(proposal)
    for (layer, _), pair in pairs.items():
        assert len({proposal.speaker.type.name for proposal in pair}) == 1
        ranks = {}
        for type_name in OVERHEAD_TYPES if layer == "U" else WALL_TYPES:
            kind = TYPES[type_name]
            angles = []
            for proposal in pair:
                ways = ears - proposal.speaker.position
                axis = best_axis(kind.aiming, proposal.speaker.normal, ways)
                angles.append(float(angle_between(axis, ways).max()))
            verdict = ("covered", "fringe", "outside").index(kind.coverage.verdict(max(angles)))
            ranks[type_name] = (verdict, not isinstance(kind.aiming, Fixed))
            if kind == pair[0].speaker.type:
                assert max(p.worst.off_axis for p in pair) == pytest.approx(max(angles), abs=1e-9)
                assert pair[int(np.argmax(angles))].worst.verdict == ("covered", "fringe", "outside")[verdict]
        chosen = ranks[pair[0].speaker.type.name]
        assert chosen[0] == min(rank[0] for rank in ranks.values())
        if chosen[0] < 2:
            assert chosen == min(ranks.values())


# --- worked by hand


BIG = Plain(12, 14, {"shape": "flat", "height": 3.0}, (3.0, 0.8), ((-0.6, 7.0, 1.1), (0.6, 7.0, 1.1)))
"""A room so large and level that every nominal direction meets its face: upper ones at 45 degrees, where they are as
far off in plan as above the ears, 1.9 m."""


def test_places_in_a_large_level_room_are_those_of_trigonometry() -> None:
    found = by_label(propose(BIG.scene, LAYOUTS["seven and four above"], TYPES))
    off = 1.9 / math.sqrt(2)
    worked = {
        "U+045": (6 - off, -7 + off, 3.0), "U-045": (6 + off, -7 + off, 3.0),
        "U+135": (6 - off, -7 - off, 3.0), "U-135": (6 + off, -7 - off, 3.0),
        "M+030": (6 - 7 * math.tan(math.radians(30)), 0, 1.1), "M+090": (0, -7, 1.1), "M-090": (12, -7, 1.1),
        "M+135": (0, -13, 1.1),
    }  # fmt: skip
    for label, place in worked.items():
        assert found[label].speaker.position == pytest.approx(place, abs=METRIC_MARK), label
        assert found[label].allowed


def test_the_center_goes_below_the_picture_by_its_rim_and_two_inches() -> None:
    found = by_label(propose(BIG.scene, LAYOUTS["front three"], TYPES))["M+000"]
    rim = 10.75 / 2 * INCH  # of the larger wall type, since either may be chosen
    assert found.speaker.position == pytest.approx([6, 0, 0.8 - rim - 2 * INCH], abs=METRIC_MARK)
    assert not found.allowed


def test_where_the_wall_is_in_the_way_the_elevation_is_raised() -> None:
    """Ears 1.4 m under the ceiling and the wall 1.0 m to the left: at 45 degrees up and aside the ray would reach the
    ceiling 0.99 m to the left, in the wall's clearance; steeper it gets there nearer."""
    narrow = Plain(2.0, 8, {"shape": "flat", "height": 2.5}, None, ((0, 5, 1.1),))
    found = by_label(propose(narrow.scene, LAYOUTS["seven and four above"], TYPES))["U+045"]
    assert found.allowed
    assert math.degrees(found.azimuth) == pytest.approx(45, abs=0.5)
    clear = 1.0 - 9.5 / 2 * INCH - 2 * INCH
    steepest = math.degrees(math.atan(1.4 / (clear / math.sin(math.radians(45)))))
    assert steepest - 0.5 <= math.degrees(found.elevation) <= steepest + 1.5


def test_a_wall_too_low_for_a_hole_at_the_ears_takes_it_lower() -> None:
    attic = Plain(
        5, 7, {"shape": "gable", "ridge": "front-to-back", "ridge_at": 2.5, "low": 0.9, "far_low": 0.9, "peak": 2.9},
        None, ((0, 4, 1.0),),
    )  # fmt: skip
    found = by_label(propose(attic.scene, LAYOUTS["seven at ear height"], TYPES))["M+090"]
    x, _, z = found.speaker.position
    assert x == 0
    assert z <= 0.9 - 10.75 / 2 * INCH - 2 * INCH + METRIC_MARK
    assert not found.allowed


def test_a_room_with_no_wall_to_speak_of_leaves_speakers_out() -> None:
    closet = Plain(0.6, 0.7, {"shape": "flat", "height": 2.4}, None, ((0, 0.4, 1.0),))
    proposed = propose(closet.scene, LAYOUTS["seven and four above"], TYPES)
    assert "upper front left" in [each.channel.words for each in proposed.left_out]
    assert by_label(proposed)["M+000"].speaker.surface.name == "front wall"


def test_front_speakers_stay_on_the_screen_wall_where_30_degrees_lead_past_it() -> None:
    """Seen from 5 m, 30 degrees are 2.9 m aside; the wall ends 1.5 m aside, less the rim and two inches."""
    narrow = Plain(3.0, 8, {"shape": "flat", "height": 2.5}, (1.6, 0.8), ((0, 5, 1.1),))
    found = by_label(propose(narrow.scene, LAYOUTS["front three"], TYPES))
    end = (10.75 / 2 + 2) * INCH
    assert found["M+030"].speaker.position == pytest.approx([end, 0, 1.1], abs=METRIC_MARK)
    assert found["M-030"].speaker.position == pytest.approx([3 - end, 0, 1.1], abs=METRIC_MARK)
    assert not found["M+030"].allowed


def test_front_speakers_go_round_the_corner_where_the_picture_fills_its_wall() -> None:
    filled = Plain(3.0, 8, {"shape": "flat", "height": 2.5}, (2.9, 0.05), ((0, 4, 1.1),))
    found = by_label(propose(filled.scene, LAYOUTS["front three"], TYPES))
    assert found["M+030"].speaker.surface.name == "left wall"
    assert found["M+030"].allowed


def test_a_surround_turns_within_its_window_until_every_seat_is_in_reach() -> None:
    """Nominal 135 degrees end on the side wall, 45 degrees off square to it for the middle seat and past the limit of
    50 for the far one, which sees it at atan((2.25 + 0.66) / 1.59) = 61 degrees from the wall: 125 degrees will do."""
    room = Plain(4.5, 6.5, {"shape": "flat", "height": 2.5}, None, ((-0.66, 3.7, 1.0), (0, 3.7, 1.0), (0.66, 3.7, 1.0)))
    types = {**TYPES, "wall 8 in": replace(TYPES["wall 6 in"], name="wall 8 in")}
    found = by_label(propose(room.scene, LAYOUTS["seven at ear height"], types))["M+135"]
    assert found.allowed
    assert found.worst.verdict == "fringe"
    assert math.degrees(found.azimuth) < 134


def test_a_surround_keeps_off_the_ear_beside_it_where_its_window_lets_it() -> None:
    """The outer seat's ear is 0.4 m from the wall, straight across from where 90 degrees end; 110 degrees end 0.47 m
    behind it, 0.62 m away."""
    narrow = Plain(2.6, 6, {"shape": "flat", "height": 2.5}, None, ((-0.9, 4, 1.0), (0, 4, 1.0), (0.9, 4, 1.0)))
    scene = narrow.scene
    found = by_label(propose(scene, LAYOUTS["seven at ear height"], TYPES))["M+090"]
    assert found.allowed
    assert math.dist(found.speaker.position, scene.seats[0].ear) >= FROM_EARS - METRIC_MARK


@pytest.mark.parametrize(("width", "length", "share"), [(0.8, 1.0, 0.3), (0.8, 1.0, 0.6), (0.8, 1.2, 0.3)])
def test_in_a_closet_holes_keep_out_of_one_anothers_way(width: float, length: float, share: float) -> None:
    """Where each by itself would be cut into its neighbor's place."""
    closet = Plain(width, length, {"shape": "flat", "height": 1.6}, None, ((0, length * share, 1.0),))
    speakers = [each.speaker for each in propose(closet.scene, LAYOUTS["seven and four above"], TYPES).proposals]
    assert len(speakers) > 8
    for one, other in combinations(speakers, 2):
        if one.surface is other.surface:
            apart = math.dist(one.position, other.position)
            assert apart >= radius(one.type) + radius(other.type) + KEPT_CLEAR - 2 * METRIC_MARK

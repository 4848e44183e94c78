"""Aims set by hand: as far as a type goes and no farther, in words that read back, kept by another type as it can."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.aim import AtSeats
from earshed.model.editing.aiming import (
    aim_state,
    aimed_at,
    aimed_at_all,
    aimed_at_main,
    aimed_at_point,
    bearing,
    faced,
    straight,
    turned,
)
from earshed.model.editing.changes import NO_CHANGES
from earshed.model.editing.draft import Draft
from earshed.model.editing.retyping import hole_way, is_rectangular, retyped, types_for
from earshed.model.editing.things import the_speaker
from earshed.model.geometry import angle_between, square_to, tilted, unit
from earshed.model.seating import main_seats
from earshed.model.speaker_type import Angled, Fixed, Pivoting
from earshed.model.units import parse_angle
from tests.editing_rooms import drafts, every_way, place, put_in

READS_BACK = math.radians(0.01)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("aims")


@pytest.fixture(scope="module")
def ways(folder):
    return Draft.open(every_way(folder))


def bases(folder: Path):
    """Each scene under its last scheme."""
    for draft in dict.fromkeys(draft for draft, _ in drafts(folder)):
        yield draft, draft.schemes[-1], draft.scene(draft.schemes[-1])


def all_together(draft, scheme, scene, change):
    """The scene with every speaker changed that can be, in one reading, and the names of those."""
    changes, names = NO_CHANGES, []
    for speaker in scene.speakers:
        try:
            keys = change(speaker)
        except ValueError:  # which is what the tests of refusals look at
            continue
        changes = put_in(scene, speaker, keys, changes)
        names.append(speaker.name)
    return draft.scene(scheme, changes), names


def test_a_tilt_and_a_heading_are_what_they_are_set_to(folder):
    rng = np.random.default_rng(4)
    for draft, scheme, scene in bases(folder):
        for _ in range(2):
            asked = {one.name: (rng.uniform(0.01, 1.2), rng.uniform(-4, 4)) for one in scene.speakers}
            after, names = all_together(
                draft, scheme, scene, lambda one, asked=asked, scene=scene: turned(scene, one, *asked[one.name])
            )
            assert all(one.name in names for one in scene.speakers if not isinstance(one.type.aiming, Fixed))
            for name in names:
                now, (tilt, heading) = the_speaker(after, name), asked[name]
                way = np.array([math.sin(heading), math.cos(heading), 0.0])
                match now.type.aiming:
                    case Angled(angle):
                        expected = tilted(now.normal, way, angle)
                    case Pivoting(limit):
                        expected = tilted(now.normal, way, min(tilt, limit))
                    case Fixed():
                        expected = way
                assert angle_between(now.axis, expected) < READS_BACK, (draft.path.name, name)


def test_aimed_at_a_point_it_goes_as_near_as_it_can(folder):
    """The least angle to the point over a cone is the difference of angles to its axis (spherical trigonometry)."""
    rng = np.random.default_rng(5)
    for draft, scheme, scene in bases(folder):
        for _ in range(2):
            at = np.array([rng.uniform(0, 5), -rng.uniform(0, 6), rng.uniform(0, 3)])
            after, names = all_together(
                draft, scheme, scene, lambda one, at=at, scene=scene: aimed_at_point(scene, one, at)
            )
            for name in names:
                now = the_speaker(after, name)
                way = unit(at - now.position)
                off = angle_between(now.normal, way)
                match now.type.aiming:
                    case Angled(angle):
                        least = abs(off - angle)
                    case Pivoting(limit):
                        least = max(0.0, off - limit)
                    case Fixed():
                        assert bearing(now.axis) == pytest.approx(bearing(way), abs=READS_BACK)
                        continue
                assert angle_between(now.axis, way) < least + READS_BACK


def test_aimed_at_seats_it_says_so(folder):
    for draft, scheme, scene in bases(folder):
        for aim, seats in (
            (lambda one, scene=scene: aimed_at_main(scene, one), main_seats(scene.seats)),
            (lambda one, scene=scene: aimed_at_all(scene, one), scene.seats),
        ):
            after, names = all_together(draft, scheme, scene, aim)
            for name in names:
                now = the_speaker(after, name)
                if not isinstance(now.type.aiming, Fixed):
                    assert now.aim == AtSeats(tuple(seat.name for seat in seats))
                    assert set(aim_state(now).seats) == {seat.name for seat in seats}
        seat = scene.seats[0]
        after, names = all_together(draft, scheme, scene, lambda one, s=scene, n=seat.name: aimed_at(s, one, n))
        for name in names:
            now = the_speaker(after, name)
            if isinstance(now.type.aiming, Fixed):
                assert bearing(now.normal) == pytest.approx(bearing(seat.ear - now.position), abs=1e-4)
            else:
                assert seat.name in now.aim.names


def test_made_straight_it_is_square_to_its_face(folder):
    for draft, scheme, scene in bases(folder):
        after, names = all_together(draft, scheme, scene, lambda one, scene=scene: straight(scene, one))
        for speaker in scene.speakers:
            assert (speaker.name in names) != isinstance(speaker.type.aiming, Angled)
        for name in names:
            assert aim_state(the_speaker(after, name)).tilt == 0.0


def test_what_stays_unsaid_stays(ways):
    scene = ways.scene(None)
    one = the_speaker(scene, "one")
    leaned = the_speaker(ways.scene(None, put_in(scene, "one", turned(scene, "one", "5 deg"))), "one")
    assert leaned.tilt == pytest.approx(math.radians(5), abs=READS_BACK)
    assert math.remainder(aim_state(leaned).heading - aim_state(one).heading, math.tau) == pytest.approx(
        0, abs=READS_BACK
    )
    aside = the_speaker(ways.scene(None, put_in(scene, "one", turned(scene, "one", heading="left"))), "one")
    assert aside.tilt == pytest.approx(one.tilt, abs=READS_BACK)
    assert square_to(aside.axis, one.normal) @ square_to(np.array([-1.0, 0, 0]), one.normal) == pytest.approx(1)


@given(st.floats(-179, 179))
def test_a_heading_reads_back_from_a_slope(ways, degrees):
    """Closed form: what leans along the shadow of a level heading on a face is said to be turned to that heading."""
    scene = ways.scene(None)
    one = the_speaker(scene, "one")
    assert 0.05 < abs(one.normal[2]) < 0.999  # on a slope, where the plan direction of the lean is another one
    after = the_speaker(
        ways.scene(None, put_in(scene, "one", turned(scene, "one", heading=math.radians(degrees)))), "one"
    )
    assert math.remainder(aim_state(after).heading - math.radians(degrees), math.tau) == pytest.approx(0, abs=2e-3)


def test_a_straight_one_that_is_turned_leans(ways):
    changes = put_in(ways.scene(None), "one", straight(ways.scene(None), "one"))
    scene = ways.scene(None, changes)
    after = ways.scene(None, put_in(scene, "one", turned(scene, "one", heading="rear"), changes))
    assert the_speaker(after, "one").tilt == pytest.approx(math.radians(18), abs=READS_BACK)


def test_what_a_type_cannot_do_is_refused_in_words(ways):
    scene = ways.scene(None)
    for change, words in (
        (lambda: turned(scene, "four", 0.1), "is fixed: it cannot be tilted|square to its face"),
        (lambda: turned(scene, "four", heading="left"), "square to its face"),
        (lambda: aimed_at_main(scene, "four"), "square to its face"),
        (lambda: straight(scene, "two"), "leans 25.0° by its build"),
        (lambda: turned(scene, "two", "10deg"), "no more and no less"),
        (lambda: turned(scene, "one", "40deg"), "past what pivot can do: 0 to 18.0°"),
        (lambda: turned(scene, "one", "steep"), "not an angle"),
        (lambda: turned(scene, "one", heading="sideways"), "not a heading"),
        (lambda: turned(scene, "left", heading="right"), "already faces that way"),
        (lambda: turned(scene, "one", heading=math.nan), "angle from front"),
        (lambda: aimed_at(scene, "one", "throne"), "no seat called throne"),
        (lambda: aimed_at_point(scene, "one", place(scene, "one")), "where it is"),
        (lambda: faced(scene, "one", "left"), "as its face does"),
        (lambda: aimed_at_main(scene, "chair"), "no speaker or seat called chair"),
        (lambda: retyped(scene, "one", "pivott"), "did you mean pivot"),
        (lambda: retyped(scene, "one", "wall"), "wall is in-wall, and one in-ceiling: there it can be"),
    ):
        with pytest.raises(ValueError, match=words):
            change()


def test_a_seat_called_as_a_heading_is_faced_where_it_is(tmp_path):
    path = every_way(tmp_path)
    path.write_text(path.read_text().replace("name: stool", "name: Rear"))
    draft = Draft.open(path)
    scene = draft.scene(None)
    after = draft.scene(None, put_in(scene, "tower", aimed_at(scene, "tower", "Rear")))
    assert bearing(the_speaker(after, "tower").normal) == pytest.approx(
        bearing(place(scene, "Rear") - place(scene, "tower")), abs=READS_BACK
    )


def test_of_another_type_it_is_where_it_was_and_aimed_as_it_can(folder):
    for draft, scheme, scene in bases(folder):
        kinds = max(len(types_for(scene, speaker)) for speaker in scene.speakers)
        for number in range(kinds):
            wanted = {one.name: types_for(scene, one)[number % len(types_for(scene, one))] for one in scene.speakers}
            after, names = all_together(
                draft, scheme, scene, lambda one, w=wanted, scene=scene: retyped(scene, one, w[one.name].name)
            )
            assert len(names) == len(scene.speakers)
            for before, now in zip(scene.speakers, after.speakers, strict=True):
                assert now.type.name == wanted[now.name].name
                assert now.position == pytest.approx(before.position, abs=1e-9)
                if before.long_axis is not None and is_rectangular(now.type):
                    assert hole_way(now) == hole_way(before)
                if isinstance(before.aim, AtSeats):
                    assert now.aim == before.aim
                elif not isinstance(now.type.aiming, Fixed) and before.tilt > 1e-6:
                    lean = square_to(before.axis, before.normal)
                    assert square_to(now.axis, now.normal) == pytest.approx(lean, abs=1e-3)


def test_there_and_back_again_it_is_aimed_as_before(ways):
    scene = ways.scene(None)
    changes = put_in(scene, "left", retyped(scene, "left", "wall fixed"))
    there = ways.scene(None, changes)
    assert the_speaker(there, "left").tilt == 0.0
    back = ways.scene(None, put_in(there, "left", retyped(there, "left", "wall"), changes))
    assert the_speaker(back, "left").axis == pytest.approx(the_speaker(scene, "left").axis)


def test_headings_are_what_the_scene_file_says():
    for text, way in (("0", [0, 1, 0]), ("90", [1, 0, 0]), ("-90", [-1, 0, 0])):
        assert bearing(np.array(way)) == pytest.approx(parse_angle(text))
    assert bearing(np.array([0.0, 0, -1])) is None

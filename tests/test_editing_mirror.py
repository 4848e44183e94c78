"""Partners that mirror each other, and places that a hand may mean."""

from __future__ import annotations

import numpy as np
import pytest

from earshed.model.editing.draft import Draft
from earshed.model.editing.mirroring import mirrored, mirrored_place
from earshed.model.editing.moving import moved
from earshed.model.editing.snapping import snapped
from earshed.model.editing.things import section_of, the, the_speaker
from earshed.model.framing import members_on
from earshed.model.geometry import angle_between
from earshed.model.moves import MARKS
from earshed.model.search.ask import picture_mirror, room_mirror
from earshed.model.seating import Seat
from earshed.model.speaker_window import partner_of
from tests.editing_rooms import drafts, every_way, place, put_in, things

DEN = """\
format: 1
title: Den
print_units: UNITS
room: {width: 5.0005m, length: 6m, ceiling: {shape: gable, ridge: front-to-back, low: 2m, peak: 3m}}
screen: {wall: front, diagonal: 100in, aspect: 16:9, bottom: 2'}
seats:
  - {name: one, at: {from_center: -2', from_front: 4m}, ear_height: 1m, main: true}
  - {name: two, at: {from_center: 2', from_front: 4m}, ear_height: 1m, main: true}
  - {name: far, at: {from_center: 5', from_front: 3m}, ear_height: 1m}
speaker_types:
  pivot: {mount: in-ceiling, aiming: {pivoting: 18deg}, coverage: 100deg, cutout: 8in}
  flush: {mount: in-ceiling, aiming: fixed, coverage: 100deg, cutout: 8in}
  slot: {mount: in-ceiling, aiming: {angled: 30deg}, coverage: 80deg, cutout: 5in x 12in}
  wall: {mount: in-wall, aiming: {pivoting: 12deg}, coverage: 110deg, cutout: 7in}
  tower: {mount: stand, aiming: fixed, coverage: 100deg}
speakers:
  - {name: a, type: pivot, channel: U+045, at: {from_left: 1.2503m, from_front: 2m},
     aim: {tilt: 10, toward: 20deg right of rear}}
  - {name: b, type: flush, channel: U-045, at: {from_left: 4m, from_rear: 3m}}
  - {name: c, type: slot, channel: U+135, at: {from_left: 1m, from_front: 5m}, long_axis: level, aim: {seat: one}}
  - {name: d, type: pivot, channel: U-135, at: {from_center: 1m, from_front: 5.5m}, aim: {seats: main}}
  - {name: e, type: wall, channel: M+090, wall: left, from_front: 4.001m, height: 1.1m, aim: {seat: far}}
  - {name: f, type: wall, channel: M-090, wall: right, from_rear: 1m, height: 1m}
  - {name: g, type: tower, channel: M+030, at: {from_left: 1m, from_front: 1m}, height: 1m, faces: one}
  - {name: h, type: tower, channel: M-030, at: {from_right: 2m, from_front: 1m}, height: 0.9m, faces: rear}
"""


@pytest.fixture(params=["ft-in", "mm"])
def den(request, tmp_path):
    path = tmp_path / "den.yaml"
    path.write_text(DEN.replace("UNITS", request.param), encoding="utf-8")
    return Draft.open(path)


def turned_over(direction, mirror):
    aside = np.append(mirror.aside, 0.0)
    return direction - 2 * (direction @ aside) * aside


@pytest.mark.parametrize("name", list("abcdefgh"))
def test_a_partner_becomes_the_mirror_image(den, name):
    scene = den.scene(None)
    one = the_speaker(scene, name)
    partner, keys = mirrored(scene, name)
    assert partner == partner_of(scene, one).name
    if (one.type.mount, one.long_axis is None) == ("in-ceiling", True) and "long_axis" in keys:
        assert keys["long_axis"] == "none"
    after = den.scene(None, put_in(scene, partner, keys))
    now, mirror = the_speaker(after, partner), picture_mirror(scene)
    assert now.type == one.type
    assert np.abs(now.position - mirror.image(one.position))[:2].max() < MARKS[scene.print_units] / 2 + 1e-6
    assert now.normal == pytest.approx(turned_over(one.normal, mirror), abs=1e-4)
    if name in "abcdgh":  # f and the seat "far" have nothing at their mirror images to be aimed at in the same way
        assert np.degrees(angle_between(now.axis, turned_over(one.axis, mirror))) < 0.05


@pytest.mark.parametrize("name", list("abcdefgh"))
def test_mirrored_back_nothing_changes(den, name):
    scene = den.scene(None)
    partner, keys = mirrored(scene, name)
    changes = put_in(scene, partner, keys)
    there = den.scene(None, changes)
    again, keys = mirrored(there, partner)
    assert again == name
    back = the_speaker(den.scene(None, put_in(there, name, keys, changes)), name)
    before = the_speaker(scene, name)
    assert np.array_equal(back.position, before.position)
    assert np.degrees(angle_between(back.axis, before.axis)) < 0.02
    assert back.type == before.type


def test_a_partner_in_a_lopsided_room_is_on_the_face_that_is_there(tmp_path):
    for draft in dict.fromkeys(draft for draft, _ in drafts(tmp_path)):
        scheme = draft.schemes[-1]
        scene = draft.scene(scheme)
        for speaker in scene.speakers:
            try:
                partner, keys = mirrored(scene, speaker)
            except ValueError:  # which another test looks at
                continue
            after = draft.scene(scheme, put_in(scene, partner, keys))
            image = mirrored_place(scene, speaker)
            assert np.abs(place(after, partner) - image)[:2].max() < MARKS[scene.print_units] + 1e-6


def test_about_the_room_where_that_is_asked(tmp_path):
    draft = Draft.open(every_way(tmp_path))  # its picture is off the middle
    scene = draft.scene(None)
    for mirror in (picture_mirror(scene), room_mirror(scene)):
        _, keys = mirrored(scene, "one", mirror)
        after = draft.scene(None, put_in(scene, "two", keys))
        assert mirror.left_of(place(after, "two")) == pytest.approx(
            -mirror.left_of(place(scene, "one")), abs=MARKS["ft-in"]
        )


def test_what_has_no_mirror_image_says_why(tmp_path):
    scene = Draft.open(every_way(tmp_path)).scene(None)
    for name, words in (
        ("tower", "no channel"), ("bass", "its own mirror image"), ("left", "on no wall"), ("chair", "no speaker"),
    ):  # fmt: skip
        with pytest.raises(ValueError, match=words):
            mirrored(scene, name)


# --- places that may be meant


def along_face(thing, spot, step):
    """A place a step (2,) away on the face of a thing, or on its level."""
    face = None if isinstance(thing, Seat) else thing.surface
    return spot + (np.append(step, 0.0) if face is None else np.array(step) @ face.frame)


def test_a_snap_is_near_and_says_what_is_true_of_it(tmp_path):
    rng = np.random.default_rng(7)
    for draft, scheme in drafts(tmp_path):
        scene = draft.scene(scheme)
        for name in things(scene):
            thing, reach = the(scene, name), 0.1
            near = along_face(thing, place(scene, name), rng.uniform(-0.3, 0.3, 2))
            snap = snapped(scene, name, near, reach)
            assert np.linalg.norm(snap.xyz - near) < 1.5 * reach
            assert bool(snap.reasons) == bool(np.linalg.norm(snap.xyz - near) > 0)
            for reason in snap.reasons:
                check_reason(scene, thing, snap.xyz, reason)


def check_reason(scene, thing, spot, reason):
    if reason.startswith("in line with "):
        called = reason.removeprefix("in line with ")
        others = [*scene.fixtures, *scene.speakers]
        there = next((one.position for one in others if one.name == called), None)
        there = place(scene, called) if there is None else there
        assert np.abs(there - spot)[:2].min() < 1e-4
    elif reason.startswith("level with "):
        assert spot[2] == pytest.approx(place(scene, reason.removeprefix("level with "))[2], abs=1e-4)
    elif reason.startswith("mirrors "):
        image = mirrored_place(scene, reason.removeprefix("mirrors "))
        mirror = picture_mirror(scene)
        apart = [(spot - image)[:2] @ mirror.aside, (spot - image)[:2] @ mirror.run]
        assert np.abs(apart).max() < 1e-4
        assert thing.type.mount != "in-wall" or spot[2] == pytest.approx(image[2], abs=1e-4)
    elif reason.startswith("as far from the center line as "):
        partner, mirror = place(scene, reason.removeprefix("as far from the center line as ")), picture_mirror(scene)
        assert mirror.left_of(spot) == pytest.approx(-mirror.left_of(partner), abs=1e-4)
    elif reason.startswith("middle of the "):
        face = thing.surface if thing.type.mount == "in-wall" else scene.room.overhead(spot[:2])[1]
        uv, clear = face.to_face(spot), []
        for run in scene.framing:
            if f" between {run.name} at " not in reason or face.name not in [one.name for one in run.surfaces]:
                continue
            sides = []
            for member in members_on(run, face):
                way = (member.line[1] - member.line[0]) / np.linalg.norm(member.line[1] - member.line[0])
                off = float((uv - member.line[0]) @ [-way[1], way[0]])
                sides.append((abs(off) - member.mark.thickness / 2, off > 0))
            left, right = (min((gap for gap, side in sides if side == which), default=9) for which in (True, False))
            clear.append(abs(left - right))
        assert min(clear) < 1e-4
    else:
        assert reason in ("on the picture's center line", "on the room's center line")
        assert picture_mirror(scene).left_of(spot) == pytest.approx(0, abs=1e-4)


def test_a_snap_survives_the_tape(tmp_path):
    """To the marks of the tape, what it was meant for is still there to half a mark."""
    draft = Draft.open(every_way(tmp_path))
    scene = draft.scene(None)
    snap = snapped(scene, "one", place(scene, "one") + np.array([0.05, 0.05, 0]), 0.2)
    after = draft.scene(None, put_in(scene, "one", moved(scene, "one", snap.xyz)))
    assert place(after, "one")[:2] == pytest.approx(snap.xyz[:2], abs=MARKS["ft-in"] / 2 + 1e-9)


def test_nothing_near_is_the_place_itself(tmp_path):
    scene = Draft.open(every_way(tmp_path)).scene(None)
    here = place(scene, "tower") + np.array([0.31, -0.17, 0])
    for reach in (0.0, -1.0, 1e-9):
        snap = snapped(scene, "tower", here, reach)
        assert np.array_equal(snap.xyz, here)
        assert snap.reasons == ()
    assert section_of(scene, "tower") == "speakers"


def test_what_is_true_of_one_way_alone_is_not_called_a_mirror_image(den):
    """b is pulled near where a has its mirror image only front to back, then both ways; e and f are on side walls."""
    scene = den.scene(None)

    def reasons(name, image, *step):
        near = image + np.array(step)
        return snapped(scene, name, scene.room.overhead(near[:2])[0] if name == "b" else near, 0.05).reasons

    image = mirrored_place(scene, "a")
    assert reasons("b", image, 0.7, 0.02, 0) == ("in line with a",)
    assert reasons("b", image, 0.02, -0.4, 0) == ("as far from the center line as a",)
    assert reasons("b", image, 0.02, 0.03, 0) == ("mirrors a",)
    image = mirrored_place(scene, "e")
    assert reasons("f", image, 0, 0.02, 0.4) == ("in line with e",)
    assert reasons("f", image, 0, 0.4, 0.02) == ("level with e",)
    assert reasons("f", image, 0, 0.02, 0.02) == ("mirrors e",)

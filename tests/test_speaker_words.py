"""What becomes of a speaker, in words: each kind is told as one turns it by hand."""

from __future__ import annotations

import pytest

from earshed.viewer.compare.speaker_words import speaker_words
from earshed.viewer.compare.work_words import work_list
from tests.compared_rooms import DEN, change_of, held, read
from tests.compared_rooms import SCENES as SHIPPED

KINDS = """\
  angled: {mount: in-ceiling, aiming: {angled: 20deg}, coverage: 90deg, cutout: 0.2}
  pivot: {mount: in-ceiling, aiming: {pivoting: 25deg}, coverage: 90deg, cutout: 0.2}
  cabinet: {mount: stand, aiming: fixed, coverage: 90deg, bezel: 0.2 x 0.3}
  bracket: {mount: stand, aiming: {pivoting: 25deg}, coverage: 90deg, bezel: 0.2 x 0.3}
  bass: {mount: stand, aiming: fixed, subwoofer: true, bezel: 0.4 x 0.4}
"""
PLACED = """\
  - {name: lean, type: angled, at: {from_left: 2, from_front: 4}, aim: {tilt: 20deg, toward: front}}
  - {name: turn, type: pivot, at: {from_left: 3, from_front: 4}, aim: {tilt: 10deg, toward: front}}
  - {name: box, type: cabinet, at: {from_left: 4, from_front: 1}, height: 1, faces: rear}
  - {name: swivel, type: bracket, at: {from_left: 0.5, from_front: 1}, height: 1, faces: rear,
     aim: {tilt: 10deg, toward: left}}
  - {name: sub, type: bass, at: {from_left: 2.5, from_front: 0.5}, height: 0.3, faces: rear}
"""
ROOM = DEN.replace("speaker_types:\n", f"speaker_types:\n{KINDS}").replace(
    "listening_plane", f"{PLACED}listening_plane"
)


def told(line: str) -> dict[str, str]:
    """What becomes of the speakers of the room when its line `line` is laid over it."""
    found = held(read(ROOM), read(f"{ROOM}schemes:\n  new: {{{line}}}\n", "new"))
    return {one.name: speaker_words(one, "mm") for one in found.speakers if not one.same}


def one(name: str, change: str) -> str:
    found = told(f"speakers: {{{name}: {{{change}}}}}")
    assert list(found) == [name]
    return found[name]


@pytest.mark.parametrize(
    ("name", "change", "words"),
    [
        ("box", "faces: 30deg left of rear", "turned to face 30 degrees left of rear; it faced rear"),
        ("box", "faces: down", "turned to face straight down; it faced rear"),
        ("sub", "faces: right", "turned to face right; it faced rear"),
        ("lean", "aim: {tilt: 20deg, toward: rear}",
         "turned in its frame: tilted 20.0\u00b0, leans and points rear; "
         "it was tilted 20.0\u00b0, leans and points front"),
        ("turn", "aim: {tilt: 25deg, toward: front}",
         "aimed otherwise: tilted 25.0\u00b0, leans and points front; "
         "it was tilted 10.0\u00b0, leans and points front"),
        ("turn", "aim: none", "aimed otherwise: square to its face, points straight down; "
         "it was tilted 10.0\u00b0, leans and points front"),
        ("swivel", "aim: {tilt: 20deg, toward: left}",
         "aimed otherwise: turned 20.0\u00b0 to the left, points 20 degrees left of rear; "
         "it was turned 10.0\u00b0 to the left, points 10 degrees left of rear"),
        ("box", "height: 1.2", "moved 200 mm up"),
        ("top", "type: large", "large in place of flush"),
        ("turn", "type: angled, aim: {tilt: 20deg, toward: left}",
         "angled in place of pivot, tilted 20.0\u00b0, leans and points left"),
        ("top", "channel: U-045", "on upper front right"),
    ],
)  # fmt: skip
def test_each_kind_is_told_as_it_is_turned(name, change, words):
    assert one(name, change) == words


def test_a_cabinet_that_turns_tells_how_it_is_aimed_too():
    words = one("swivel", "faces: right, aim: {tilt: 10deg, toward: rear}")
    assert words == (
        "turned to face right; it faced rear, turned 10.0\u00b0 to the rear, points 10 degrees rear of right"
    )


def test_what_comes_and_goes_is_told_with_its_type():
    assert told("remove: [box]") == {"box": "taken out, cabinet"}
    back = held(read(ROOM.replace(PLACED.splitlines()[2] + "\n", "")), read(ROOM))
    assert [speaker_words(each, "mm") for each in back.speakers if not each.same] == ["new, cabinet, facing rear"]


def test_what_only_moves_has_turned_with_its_face_alone():
    """Over a ridge the axis of a fixed speaker is another, though nobody turns it."""
    ridge = ROOM.replace("{shape: flat, height: 2.5}", "{shape: gable, ridge: front-to-back, low: 2, peak: 3}")
    found = held(read(ridge), read(ridge.replace("from_left: 1.9,", "from_left: 3.1,")))
    (moved,) = (each for each in found.speakers if not each.same)
    assert moved.turned > 0.3
    assert speaker_words(moved, "mm") == "moved 1200 mm towards the right"


def test_nothing_is_said_of_what_is_the_same():
    found = held(read(ROOM), read(ROOM))
    assert {speaker_words(each, "mm") for each in found.speakers} == {""}
    assert all(each.same for each in found.speakers)


@pytest.mark.parametrize("path", SHIPPED, ids=[path.stem for path in SHIPPED])
def test_the_list_of_work_names_every_speaker_that_is_other(path):
    found = change_of(path, "as found", "proposed")
    lines = next((work.lines for work in work_list(found) if work.title == "Fitting"), ())
    other = [each for each in found.speakers if not each.same]
    assert other
    assert [line.split(":")[0] for line in lines] == [each.name for each in other]
    for each, line in zip(other, lines, strict=True):
        if not each.retyped and each.faced > 0.01:
            assert "turned to face" in line

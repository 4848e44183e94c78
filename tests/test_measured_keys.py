"""What a scene says of readings: keys and units, schemes and overlays, photos, slips, and what check says of it."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from earshed.model.checks.run import find_all
from earshed.model.finding import Finding
from earshed.model.mark_out.hung import Wish
from earshed.model.mark_out.mark_out import mark_out
from earshed.model.measured import Measured, Photo
from earshed.model.pairs import seat_pairs
from earshed.model.ruler import ruler_of
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import read_scene
from tests.measured_rooms import HALL, hall
from tests.scene_files import put, put_marked
from tests.test_json_schema import both
from tests.test_scenes import ROOT

ALL_KEYS = (
    "resistance: 6.1ohm, polarity: normal, distance: 2.05m, delay: 3.4ms, trim: -2.5dB, level: 78.5dB, "
    "levels: {bench: 77 dB(A)}, photo: near.jpg, date: 2026-11-26, by: RS"
)
RULES = {
    "photo-missing", "readings-unused", "circuit-shorted", "circuit-open", "polarity-reversed", "level-differs",
    "setting-differs",
}  # fmt: skip


def measured(path: Path, scheme: str | None = None, name: str = "near") -> Measured | None:
    return next(one.measured for one in read_scene(path, scheme).speakers if one.name == name)


def found(path: Path, scheme: str | None = None) -> list[Finding]:
    scene = read_scene(path, scheme)
    return [one for one in find_all(scene, seat_pairs(scene)) if one.rule in RULES]


# --- what they mean


def test_every_key_is_read_in_its_unit(tmp_path: Path) -> None:
    photo = tmp_path / "near.jpg"
    photo.write_bytes(b"")
    assert measured(put(tmp_path, hall=hall(near=ALL_KEYS))) == Measured(
        6.1, "normal", 2.05, pytest.approx(0.0034), -2.5, 78.5, {"bench": 77.0}, Photo("near.jpg", photo), "2026-11-26",
        "RS",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("{}", Measured()),
        ("{resistance: open}", Measured(ohm=math.inf)),
        ("{resistance: OPEN}", Measured(ohm=math.inf)),
        ("{resistance: 0}", Measured(ohm=0.0)),
        ("{resistance: 6.1 Ω}", Measured(ohm=6.1)),
        ("{trim: +1.5 dB}", Measured(trim=1.5)),
        ("{trim: 0}", Measured(trim=0.0)),
        ("{level: 78dBC}", Measured(level=78.0)),
        ("{distance: 8.5ft}", Measured(distance=pytest.approx(8.5 * 0.3048))),
        ("{polarity: reversed}", Measured(polarity="reversed")),
    ],
)
def test_what_a_display_shows_can_be_written_as_it_is(text: str, said: Measured, tmp_path: Path) -> None:
    scene = hall(near="date: 2026-11-26").replace("{date: 2026-11-26}", text)
    assert measured(put(tmp_path, hall=scene)) == said
    assert both(scene) == []


def test_without_the_key_nothing_was_measured(tmp_path: Path) -> None:
    assert measured(put(tmp_path, hall=hall())) is None


def test_schemes_and_overlays_say_it_and_replace_it_whole(tmp_path: Path) -> None:
    text = hall(near="level: 78dB, trim: -1dB") + (
        "schemes:\n  as built: {speakers: {near: {measured: {level: 70dB}}}}\n"
        "  cleared: {speakers: {near: {measured: {}}}}\n"
    )
    over = "format: 1\nbased_on: hall.yaml\nscheme: as built\nspeakers: {far: {measured: {trim: -3dB}}}\n"
    path = put(tmp_path, hall=text, site=over)
    assert measured(path) == Measured(level=78.0, trim=-1.0)
    assert measured(path, "as built") == Measured(level=70.0)
    assert measured(path, "cleared") == Measured()
    assert measured(tmp_path / "site.yaml") == Measured(level=70.0)
    assert measured(tmp_path / "site.yaml", name="far") == Measured(trim=-3.0)
    assert both(text) == []


# --- slips


@pytest.mark.parametrize(
    ("value", "says"),
    [
        ("resistance: ¦-1ohm", "resistance: -1ohm must be from 0 to 10000 ohm, written like 6.1ohm, or open where"),
        ("resistance: ¦12k", "resistance: 12k must be from 0 to 10000 ohm"),
        ("resistance: ¦nan", "resistance: nan must be from 0"),
        ("level: ¦900dB", "level: 900dB must be from 20 to 140 dB, written like 78.5dB"),
        ("level: ¦loud", "level: loud must be from 20 to 140 dB"),
        ("levels: {bench: ¦900dB}", "levels, bench: 900dB must be from 20 to 140 dB"),
        ("levels: {¦bensh: 70dB}", "there is no seat called bensh; did you mean bench?"),
        ("levels: ¦70dB", "levels: needs keys, not 70dB"),
        ("trim: ¦+80dB", "trim: +80dB must be from -60 to 20 dB, written like -2.5dB"),
        ("delay: ¦5 s", "delay: 5 s must be from 0 to 200 ms, written like 3.4ms"),
        ("delay: ¦-1ms", "delay: -1ms must be from 0 to 200 ms"),
        ("distance: ¦7.2", "distance: 7.2 has no unit"),
        ("distance: ¦-2m", "distance: -2m must be more than 0"),
        ("polarity: ¦+ to -", "polarity: must be normal or reversed, not + to -"),
        ("photo: ¦../near.jpg", "photo: ../near.jpg is not a plain file name; photos stand beside"),
        ("photo: ¦C:\\near.jpg", "photo: C:\\near.jpg is not a plain file name"),
        ("photo: ¦''", "photo: is empty; it must be a file name"),
        ("date: ¦26.11.2026", "date: 26.11.2026 is not a date; write year, month and day, as in 2026-11-26"),
        ("date: ¦2026-02-30", "date: 2026-02-30 is not a date"),
        ("¦polarty: normal", "`polarty` is not a key here; did you mean `polarity`?"),
    ],
)
def test_slips_are_told_with_their_place_and_what_is_allowed(value: str, says: str, tmp_path: Path) -> None:
    path, mark = put_marked(tmp_path, hall=hall(near=value))
    with pytest.raises(SceneError) as caught:
        read_scene(path)
    assert 'speaker "near", measured' in caught.value.message
    assert says in caught.value.message
    assert caught.value.mark == mark


# --- what check says


def test_what_is_as_expected_is_not_told(tmp_path: Path) -> None:
    good = "resistance: 6ohm, polarity: normal"
    levels = {"near": "trim: -12dB, level: 70dB", "left": "trim: -6dB, level: 70dB", "far": "trim: 0dB, level: 70dB"}
    assert found(put(tmp_path, hall=hall(**{name: f"{good}, {read}" for name, read in levels.items()}))) == []


@pytest.mark.parametrize(
    ("near", "severity", "rule", "says"),
    [
        ("resistance: 1.2ohm", "warning", "circuit-shorted", "1.2 ohm at the rack, and 6.0 ohm are expected: under 3"),
        ("resistance: 2.9ohm", "warning", "circuit-shorted", "something is shorted; connect no amplifier"),
        ("resistance: 12.1ohm", "warning", "circuit-open", "12.1 ohm at the rack, and 6.0 ohm are expected: over 12"),
        ("resistance: open", "warning", "circuit-open", "reads endless at the rack"),
        ("polarity: reversed", "warning", "polarity-reversed", "change + and - over at one end of its cable"),
        ("delay: 3ms", "note", "setting-differs", "its delay is set to 3.0 ms, and 8.7 ms was worked out for it: more"),
        ("distance: 1.3m", "note", "setting-differs", "distance is set to 1.30 m, and 1.00 m was worked out for it"),
        ("trim: -6dB", "note", "setting-differs", "its trim is set to -6.0 dB, and -12.0 dB was worked out for it"),
        ("photo: near.jpg", "note", "photo-missing", "its photo near.jpg is not in the folder of the scene"),
    ],
)  # fmt: skip
def test_what_is_not_as_expected_is_told(near: str, severity: str, rule: str, says: str, tmp_path: Path) -> None:
    (told,) = found(put(tmp_path, hall=hall(near=near)))
    assert (told.severity, told.rule, told.subject) == (severity, rule, "near")
    assert says in told.message


def test_a_photo_that_is_there_is_not_told(tmp_path: Path) -> None:
    (tmp_path / "near.jpg").write_bytes(b"")
    assert found(put(tmp_path, hall=hall(near="photo: near.jpg"))) == []


def test_levels_past_three_decibels_are_a_warning_and_within_are_not(tmp_path: Path) -> None:
    levels = {"left": "level: 70dB, trim: -6dB", "right": "level: 70dB, trim: -6dB"}
    assert found(put(tmp_path, hall=hall(**levels, far="level: 72.9dB, trim: 0dB"))) == []
    (told,) = found(put(tmp_path, hall=hall(**levels, far="level: 73.2dB, trim: 0dB")))
    assert (told.severity, told.rule, told.subject) == ("warning", "level-differs", "far")
    assert "at the reference position it reads 73.2 dB, 3.2 dB more than the others lead one to expect, past 3 dB" in (
        told.message
    )


def test_two_that_may_be_swapped_are_told_as_something_to_look_at(tmp_path: Path) -> None:
    """At 1 and 4 m with trims of -12 and 0 dB, changed over at the rack: 12 dB too little, and 12 too much."""
    levels = {"near": "level: 58dB, trim: -12dB", "far": "level: 82dB, trim: 0dB", "left": "level: 70dB, trim: -6dB"}
    one, other = found(put(tmp_path, hall=hall(**levels)))
    assert [one.subject, other.subject] == ["near", "far"]
    assert "; it would fit if it and far are swapped: play one of them and listen" in one.message
    assert "it would fit if it and near are swapped" in other.message


def test_a_subwoofer_and_a_room_without_seats_are_held_against_nothing(tmp_path: Path) -> None:
    (told,) = found(put(tmp_path, hall=hall(subwoofer="polarity: reversed, level: 90dB")))
    assert (told.severity, told.rule, told.subject) == ("note", "readings-unused", "rumble")
    bare = hall(near="polarity: reversed").replace("faces: chair", "faces: rear")
    start, end = bare.index("seats:"), bare.index("speaker_types:")
    (told,) = found(put(tmp_path, bare=bare[:start] + bare[end:]))
    assert (told.severity, told.rule, told.subject) == ("note", "readings-unused", "Hall")


def test_they_are_no_concern_of_who_marks_a_hole() -> None:
    scene = read_scene(ROOT / "scenes" / "barn.yaml", "as built")
    made = mark_out(scene, ruler_of(None, scene.print_units), Wish(None, None))
    assert "level-differs" in {one.rule for one in made.findings}
    assert not any(one.rule in RULES for hole in made.holes for one in made.cares(hole.speaker))


def test_the_barn_as_built_has_one_speaker_to_look_at() -> None:
    told = found(ROOT / "scenes" / "barn.yaml", "as built")
    assert {(one.rule, one.subject) for one in told} == {("level-differs", "upper left")}
    assert [one for scheme in (None, "proposed") for one in found(ROOT / "scenes" / "barn.yaml", scheme)] == []


def test_the_hall_is_a_scene() -> None:
    assert both(HALL.replace("speakers:\n", "")) == []

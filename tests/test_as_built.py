"""What changed against a design: distances by Pythagoras, angles by arc tangents."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.as_built import compare
from earshed.model.pairs import seat_pairs
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_design
from earshed.viewer.cli import run
from tests.den import DEN, den, read
from tests.scene_files import put

# --- against a design


def against(before: Scene, after: Scene) -> Any:
    return compare(before, after, seat_pairs(after))


places = st.integers(500, 4500)


def steps(angle: float) -> int:
    """How many of its two limits a speaker of 90 degrees leaves behind at an angle."""
    return sum(angle > limit + 1e-9 for limit in (math.pi / 4 / math.sqrt(2), math.pi / 4))


@given(places, places, places, places)
def test_distances_and_angles_are_those_of_two_places(x, y, to_x, to_y):
    """And the other way about the distance is the same and the change of angle its opposite."""
    one, other = (
        read(den(f"s: {{speakers: {{top: {{at: {{from_left: {a}mm, from_front: {b}mm}}}}}}}}"), "s")
        for a, b in ((x, y), (to_x, to_y))
    )
    there, back = against(one, other), against(other, one)
    if (x, y) == (to_x, to_y):
        assert there.speakers == ()
    else:
        (change,), (again,) = there.speakers, back.speakers
        assert change.moved == again.moved == pytest.approx(math.hypot(to_x - x, to_y - y) / 1000)
        sides = [(to_x - x, "right", "left"), (y - to_y, "front", "rear")]
        words = [f"{abs(part)} mm towards the {ahead if part > 0 else behind}" for part, ahead, behind in sides if part]
        assert change.way_words("mm") == ", ".join(words)
    for pair, opposite in zip(there.pairs, back.pairs, strict=True):
        assert pair.change == pytest.approx(-opposite.change)
        if pair.before.speaker.name == "top" and pair.before.seat.name == "stool":
            far = [math.hypot(a - 1000, b - 2000) for a, b in ((x, y), (to_x, to_y))]
            then, now = (math.atan2(aside, 1500) for aside in far)
            assert pair.change == pytest.approx(now - then)
            assert pair.holds == (steps(now) <= steps(then))
            assert opposite.holds == (steps(then) <= steps(now))
    assert there.lost == tuple(pair for pair in there.pairs if not pair.holds)


def test_a_scene_against_itself_is_as_designed() -> None:
    comparison = against(read(DEN + "  a: {}\n"), read(DEN + "  a: {}\n"))
    assert (comparison.speakers, comparison.seats, comparison.lost) == ((), (), ())
    assert len(comparison.pairs) == 4
    assert all(pair.holds and pair.change == 0 for pair in comparison.pairs)


SHED = "ceiling: {shape: shed, low: 2.2, high: 4.2, rises: SIDE}"


@pytest.mark.parametrize(
    ("side", "base", "to", "words"),
    [
        # over 6 m of length, or 5 m of width, the shed rises 2 m: 300 mm on the plan are 316.2 or 323.1 on the slope
        ("rear", (2000, 2000), (2000, 2300), "316 mm up the slope"),
        ("front", (2000, 2000), (1900, 2300), "100 mm towards the left, 316 mm down the slope"),
        ("right", (2000, 2000), (2300, 2100), "100 mm towards the rear, 323 mm up the slope"),
        ("left", (2000, 2000), (2300, 1900), "100 mm towards the front, 323 mm down the slope"),
        ("left", (2000, 2000), (2000.2, 2000), "by less than the tape shows (0.2 mm)"),
    ],
)
def test_on_a_slope_the_way_is_taped_along_it(side, base, to, words) -> None:
    room = f"room: {{{SHED.replace('SIDE', side)}}}"
    before, after = (
        read(den(f"s: {{{room}, speakers: {{top: {{at: {{from_left: {x}mm, from_front: {y}mm}}}}}}}}"), "s")
        for x, y in (base, to)
    )
    (change,) = against(before, after).speakers
    assert change.way_words("mm") == words


@pytest.mark.parametrize(
    ("changes", "name", "words"),
    [
        ("speakers: {wall: {from_front: 3.1, height: 1.15}}", "wall", "100 mm towards the rear, 50 mm down"),
        ("speakers: {wall: {wall: right, from_front: 3}}", "wall", "5000 mm towards the right"),
        ("room: {ceiling: {shape: flat, height: 2.6}}", "top", "100 mm up"),
        ("speakers: {top: {at: {from_left: 2.6, from_front: 2}}}, "
         "fixtures: {soffit: {kind: box, from_left: 2, from_front: 0, bottom: 2.3, width: 1, length: 6, height: 0.2}}",
         "top", "700 mm towards the right, 200 mm down"),
    ],
)  # fmt: skip
def test_on_a_wall_and_from_face_to_face(changes: str, name: str, words: str) -> None:
    (change,) = against(read(DEN + "  a: {}\n"), read(den(f"s: {{{changes}}}"), "s")).speakers
    assert (change.name, change.way_words("mm")) == (name, words)


def test_turns_types_comings_and_goings() -> None:
    turned = "top: {type: turned, aim: {tilt: 12deg, toward: rear}}"
    changes = (
        f"speakers: {{{turned}, new: {{type: flush, at: {{from_left: 4, from_front: 4}}}}}}, remove: [wall, bench]"
    )
    comparison = against(read(DEN + "  a: {}\n"), read(den(f"s: {{{changes}}}"), "s"))
    top, wall, new = comparison.speakers
    assert (top.moved, top.retyped, top.turned) == (0, True, pytest.approx(math.radians(12)))
    assert (wall.name, wall.after, new.name, new.before) == ("wall", None, "new", None)
    assert [(seat.name, seat.after) for seat in comparison.seats] == [("bench", None)]
    gone = [pair for pair in comparison.pairs if pair.after is None]
    assert {(pair.before.seat.name, pair.before.speaker.name) for pair in gone} == {("stool", "wall")}
    assert not any(pair.holds for pair in gone)


# --- as findings, tables and a document


def check(capsys, path: Path, *options: str) -> tuple[int, str]:
    code = run(["check", str(path), *options])
    return code, " ".join(capsys.readouterr().out.split())


def document(capsys, path: Path, *options: str) -> dict[str, Any]:
    run(["check", str(path), "--json", *options])
    return json.loads(capsys.readouterr().out)


def built(at: float, *more: str) -> str:
    place = f"{{at: {{from_left: {at}, from_front: 2}}}}"
    return den("proposed: {}", f"as built: {{builds_on: proposed, speakers: {{top: {place}}}}}", *more)


@pytest.mark.parametrize(
    ("at", "lost", "still"),
    [
        (1.8, False, "still covered"),
        (1.92, False, "still covered"),
        (1.95, True, "now fringe"),
        (2.49, True, "now fringe"),
        (2.51, True, "no longer covered"),
    ],
)
def test_a_main_seat_that_lost_its_verdict_is_warned_of(capsys, tmp_path, at, lost, still) -> None:
    path = put(tmp_path, den=built(at))
    found = [f for f in document(capsys, path, "--scheme", "as built")["findings"] if f["subject"] == "top"]
    (note,) = [finding for finding in found if finding["rule"] == "as-built-moved"]
    side = "left" if at < 1.9 else "right"
    assert note["severity"] == "note"
    moved = f"{abs(at - 1.9) * 1000:.0f} mm towards the {side}"
    assert note["message"] == f"moved {moved} from where the scheme proposed has it"
    warnings = [finding for finding in found if finding["rule"] == "verdict-lost"]
    assert len(warnings) == lost
    if lost:
        angle = math.degrees(math.atan2(at - 1, 1.5))
        assert warnings[0]["severity"] == "warning"
        assert (
            f"has stool covered, 31.0° off axis; it is now {'fringe' if at < 2.5 else 'outside'}, {angle:.1f}°"
            in (warnings[0]["message"])
        )
    code, printed = check(capsys, path, "--scheme", "as built")
    assert code == 0
    assert f"stool top 31.0° ● {math.degrees(math.atan2(at - 1, 1.5)):.1f}°" in printed
    assert still in printed
    if at != 1.92:  # where the bench, further off, loses its verdict alone
        assert ("Every verdict of the design still holds." in printed) != lost
    assert (f"top at stool ({still})" in printed) == lost


def test_another_speaker_of_the_channel_may_stand_in(capsys, tmp_path) -> None:
    """Renamed, or doubled: the signal still reaches the seat, and there is nothing to warn of."""
    other = "{type: flush, channel: CHANNEL, at: {from_left: 1.5, from_front: 2}}"
    scheme = f"as built: {{builds_on: base, remove: [top], speakers: {{spare: {other}}}}}"
    for channel, severity in (("U+045", "note"), ("U-045", "warning")):
        path = put(tmp_path, den=den(scheme.replace("CHANNEL", channel)))
        found = document(capsys, path, "--scheme", "as built")["findings"]
        (finding,) = [f for f in found if f["rule"] == "verdict-lost"]
        assert (finding["subject"], finding["severity"]) == ("top", severity)
        assert ("spare of the same channel gives it as much" in finding["message"]) == (severity == "note")


def test_what_comes_to_stand_in_the_way_loses_the_verdict(capsys, tmp_path) -> None:
    beam = "{kind: box, from_left: 1.1, from_front: 1, bottom: 1.4, width: 0.4, length: 2, height: 0.2}"
    path = put(tmp_path, den=den("proposed: {}", f"as built: {{builds_on: proposed, fixtures: {{shelf: {beam}}}}}"))
    found = document(capsys, path, "--scheme", "as built")
    assert [f["message"] for f in found["findings"] if f["rule"] == "verdict-lost" and f["subject"] == "top"] == [
        "proposed has stool covered, 31.0° off axis; it is now covered, 31.0°, behind shelf"
    ]
    assert "still covered, now blocked" in check(capsys, path, "--scheme", "as built")[1]


def test_what_was_outside_cannot_be_lost_and_what_carries_another_signal_is_told(capsys, tmp_path) -> None:
    """The stool is outside in the design: what then comes between takes nothing away."""
    far = "far: {speakers: {top: {at: {from_left: 4, from_front: 2}}}}"
    beam = "fixtures: {shelf: {kind: box, from_left: 2, from_front: 1, bottom: 1.4, width: 1, length: 2, height: 1}}"
    path = put(tmp_path, den=den(far, f"as built: {{builds_on: far, {beam}, speakers: {{top: {{channel: U-045}}}}}}"))
    told = document(capsys, path, "--scheme", "as built")
    (pair,) = [p for p in told["pairs"] if (p["seat"], p["speaker"]) == ("stool", "top")]
    assert (pair["verdict"], pair["visible"]) == ("outside", False)
    assert [p["holds"] for p in told["against"]["pairs"] if p["speaker"] == "top"] == [True, True]
    (speaker,) = told["against"]["speakers"]
    assert (speaker["channel_before"], speaker["channel_after"]) == ("U+045", "U-045")
    printed = check(capsys, path, "--scheme", "as built")[1]
    assert "top: carries upper front right (U-045) in place of upper front left (U+045)" in printed


def test_the_document_gains_a_key_where_it_is_compared_and_else_stays(capsys, tmp_path) -> None:
    path = put(tmp_path, den=built(2.51, "alone: {speakers: {top: {at: {from_left: 2.51, from_front: 2}}}}"))
    found, alone = (document(capsys, path, "--scheme", scheme) for scheme in ("as built", "alone"))
    assert "against" not in alone
    told = found.pop("against")
    rules = ("as-built-moved", "verdict-lost")
    found["findings"] = [finding for finding in found["findings"] if finding["rule"] not in rules]
    assert found == {**alone, "scheme": "as built"}
    assert (set(told), told["scheme"]) == ({"scheme", "seats", "speakers", "pairs"}, "proposed")
    (speaker,) = told["speakers"]
    assert speaker == {
        "name": "top",
        "moved_m": pytest.approx(0.61),
        "turned_deg": 0,
        "faced_deg": 0,
        "type_before": "flush",
        "type_after": "flush",
        "retyped": False,
        "channel_before": "U+045",
        "channel_after": "U+045",
        "face_before": "ceiling",
        "face_after": "ceiling",
    }
    assert told["seats"] == []
    assert [(pair["seat"], pair["speaker"]) for pair in told["pairs"]] == [
        (seat, name) for seat in ("stool", "bench") for name in ("top", "wall")
    ]
    assert told["pairs"][0] == {
        "seat": "stool",
        "speaker": "top",
        "off_axis_before_deg": pytest.approx(math.degrees(math.atan2(0.9, 1.5))),
        "off_axis_after_deg": pytest.approx(math.degrees(math.atan2(1.51, 1.5))),
        "verdict_before": "covered",
        "verdict_after": "outside",
        "visible_before": True,
        "visible_after": True,
        "holds": False,
    }
    again = document(capsys, path, "--scheme", "alone", "--against", "base")["against"]
    assert again == {**told, "scheme": "base"}


def test_any_scheme_is_held_against_any_other(capsys, tmp_path) -> None:
    path = put(tmp_path, den=built(2.2, "far: {speakers: {top: {at: {from_left: 2.6, from_front: 2}}}}"))
    for scheme, other, moved_by in (("as built", "far", 0.4), ("far", "as built", 0.4), ("base", "far", 0.7)):
        told = document(capsys, path, "--scheme", scheme, "--against", other)["against"]
        assert told["scheme"] == other
        assert [speaker["moved_m"] for speaker in told["speakers"]] == [pytest.approx(moved_by)]
    told = document(capsys, path, "--scheme", "far", "--against", "far")["against"]
    assert told["speakers"] == []
    assert all(pair["holds"] for pair in told["pairs"])
    code, printed = check(capsys, path, "--scheme", "far", "--against", "far")
    assert code == 0
    assert "no speaker and no seat" in printed
    assert "Every verdict of the design still holds." in printed
    run(["check", str(path), "--json", "--against", "nowhere"])
    error = json.loads(capsys.readouterr().out)["error"]
    assert 'no scheme "nowhere"; it has proposed, as built, far (base is' in error["message"]
    assert run(["check", str(path), "--against", "nowhere"]) == 2


def test_an_overlay_is_held_against_the_scene_under_it(capsys, tmp_path) -> None:
    over = "format: 1\nbased_on: den.yaml\nscheme: proposed\nspeakers: {top: {at: {from_left: 2.2, from_front: 2}}}\n"
    path = put(tmp_path, over=over, den=built(2.2))
    assert "against" not in document(capsys, path)
    told = document(capsys, path, "--against", "proposed")["against"]
    assert [speaker["moved_m"] for speaker in told["speakers"]] == [pytest.approx(0.3)]
    assert document(capsys, path, "--against", "as built")["against"]["speakers"] == []
    assert read_design(path, "base").title == "Den"
    laid_over = document(capsys, path, "--scheme", "as built")  # which builds on proposed, and says so by itself
    assert laid_over["against"]["scheme"] == "proposed"


def test_what_cannot_be_built_still_ends_with_1(capsys, tmp_path) -> None:
    scheme = "as built: {builds_on: base, speakers: {top: {at: {from_left: 20mm, from_front: 2}}}}"
    code, printed = check(capsys, put(tmp_path, den=den(scheme)), "--scheme", "as built")
    assert code == 1
    assert "moved 1880 mm" in printed

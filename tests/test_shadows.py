"""Shadows of a scene: seat backs, the screen and the shell, in pairs, shares, findings, files and pictures."""

from __future__ import annotations

import contextlib
import io
import json

import numpy as np
import pytest
from PIL import Image

from earshed.model.checks.run import find_all
from earshed.model.coverage import set_coverage
from earshed.model.coverage_map import map_coverage
from earshed.model.furniture import BACK_WIDTH, BEHIND_EARS, furniture
from earshed.model.listening_plane import lay_plane
from earshed.model.pairs import seat_pairs
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import read_scene, scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.sight import obstacle_between
from earshed.viewer import map_page
from earshed.viewer.cli import run
from earshed.viewer.shadow_drawing import named, strokes
from tests.page_words import assert_words_clear
from tests.scene_files import put

TYPES = """{
  flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 120, band: 4kHz}, cutout: 0.2, bezel: 0.24},
  square: {mount: in-wall, aiming: fixed, coverage: {angle: 170, band: 4kHz}, cutout: 0.2, bezel: 0.24},
  box: {mount: stand, aiming: fixed, coverage: {angle: 170, band: 4kHz}}}"""
ROOM = "{width: 4, length: 6, ceiling: {shape: flat, height: 2.6}}"
CHAIR = "[{name: chair, at: {from_left: 2, from_front: 3}, ear_height: 1.1, main: true}]"
OVER = "[{name: one, type: flush, at: {from_left: 2, from_front: 3}}]"
PILLAR = "[{name: pillar, kind: column, at: {from_left: 1.2, from_front: 2}, width: 0.5, length: 0.5, height: 2.6}]"
BESIDE = "[{name: one, type: square, wall: front, from_left: 0.6, height: 1.1}]"
SCREEN = "{wall: front, width: 2, bottom: 0.6"


def text(**sections):
    said = {"room": ROOM, "speaker_types": TYPES, "seats": CHAIR, "speakers": OVER,
            "listening_plane": "{height: 1.1, step: 0.1}"} | sections  # fmt: skip
    body = "".join(f"{key}: {value}\n" for key, value in said.items())
    return f"format: 1\ntitle: Plain room\nbare_lengths: m\nprint_units: mm\n{body}"


def scene(**sections):
    return scene_from_tree(parse_tree(text(**sections), "plain.yaml"))


def cover(made):
    return map_coverage(made, lay_plane(made.room, made.plane), made.judged)


def told(made, rule):
    return [(one.severity, one.subject, one.message) for one in find_all(made, seat_pairs(made)) if one.rule == rule]


def earshed(*line):
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run([str(word) for word in line])
    return code, out.getvalue(), err.getvalue()


# --- seat backs


def with_back(height, ears=1.1, speaker="from_front: 5, height: 1.3"):
    seat = f"[{{name: chair, at: {{from_left: 2, from_front: 3}}, ear_height: {ears}, back_height: {height}}}]"
    at, level = speaker.split(", height: ")
    return scene(
        seats=seat, speakers=f"[{{name: one, type: box, at: {{from_left: 2, {at}}}, height: {level}, faces: front}}]"
    )


@pytest.mark.parametrize(
    ("back", "speaker", "obstacle"),
    [
        (1.15, "from_front: 5, height: 1.3", "the back of chair"),
        (1.15, "from_front: 5, height: 2.5", None),  # over the top of it
        (1.15, "from_front: 1, height: 1.3", None),  # before the seat
        (1.0, "from_front: 5, height: 1.3", None),  # ears over the back
    ],
)
def test_a_back_that_comes_up_to_the_ears_hides_what_is_behind_it(back, speaker, obstacle):
    """From ears at 1.1 m, 0.127 m before a back, a speaker 2 m behind and 0.2 m up is seen over a back of up to
    1.1 + 0.2 * 0.127 / 2 = 1.113 m, and one 1.4 m up over one of up to 1.1 + 1.4 * 0.127 / 2 = 1.189 m."""
    made = with_back(back, speaker=speaker)
    (pair,) = seat_pairs(made)
    assert pair.obstacle == obstacle
    assert bool(told(made, "seat-blocked")) == (obstacle is not None)


def test_the_shadow_of_a_back_begins_at_its_front_and_is_as_wide_as_a_seat():
    made = with_back(1.3, speaker="from_front: 0.5, height: 1.2")
    (block,) = furniture(made)
    np.testing.assert_allclose(block.upper[:2], [2 + BACK_WIDTH / 2, -3 - BEHIND_EARS])
    found = cover(made)
    hidden = ~found.visible[0] & found.plane.inside
    assert found.plane.y[hidden.any(axis=1)].max() < -3 - BEHIND_EARS
    assert hidden[found.plane.y < -5, :].any()
    assert found.shadows.names == ("the back of chair",)
    assert found.hiders(0) == {"the back of chair": pytest.approx(hidden.sum() / found.plane.inside.sum())}


def test_without_a_stated_back_seats_hide_nothing():
    assert furniture(scene()) == ()
    assert cover(scene()).visible.all()


def test_a_reclined_seat_takes_its_back_with_it():
    """5 in lower and 10 in further from the picture; the other seats sit up."""
    seats = """[{name: chair, at: {from_left: 1, from_front: 3}, ear_height: 1.1, back_height: 1.2, reclined: true},
      {name: other, at: {from_left: 3, from_front: 3}, ear_height: 1.1, back_height: 1.2}]"""
    made = scene(seats=seats)
    upright, back, other = (furniture(made, seat) for seat in made.seats)
    assert [block.top for block in upright] == [block.top for block in other] == [1.2, 1.2]
    assert [block.top for block in back] == pytest.approx([1.2 - 0.127, 1.2])
    assert back[0].upper[1] == pytest.approx(upright[0].upper[1] - 0.254)
    assert {block.name for block in back} == {"the back of chair", "the back of other"}


# --- the screen


@pytest.mark.parametrize(("place", "behind"), [("2, height: 1.2", True), ("0.5, height: 1.2", False),
                                               ("2, height: 0.3", False), ("2, height: 2.2", False)])  # fmt: skip
def test_a_speaker_behind_the_screen_is_hidden_from_everywhere(place, behind):
    speaker = f"[{{name: one, type: square, wall: front, from_left: {place}}}]"
    made = scene(screen=f"{SCREEN}}}", speakers=speaker)
    found = cover(made)
    assert found.visible[0].any() != behind
    assert found.visible[0].all() != behind
    assert [pair.obstacle for pair in seat_pairs(made)] == (["the screen"] if behind else [None])
    assert found.speaker_shares["one"]["outside"] == (1.0 if behind else pytest.approx(0.0))
    clear = scene(screen=f"{SCREEN}, transparent: true}}", speakers=speaker)
    assert cover(clear).visible.all()
    assert seat_pairs(clear)[0].visible


def test_a_screen_that_sound_passes_has_nothing_against_a_speaker_behind_it():
    speaker = "[{name: one, type: square, wall: front, from_left: 2, height: 1.2}]"
    closed, open_ = (scene(screen=f"{SCREEN}, transparent: {said}}}", speakers=speaker) for said in ("false", "true"))
    assert told(closed, "behind-screen")
    assert told(closed, "seat-blocked") == [("warning", "one", "the screen stands between it and chair")]
    assert told(closed, "area-in-shadow") == [
        ("note", "one", "100% of the seating area lies in the shadow of the screen")
    ]
    for rule in ("behind-screen", "seat-blocked", "area-in-shadow", "too-near"):
        assert told(open_, rule) == []


# --- what is said


def test_the_map_sees_what_each_seat_sees():
    """In one scene with all that casts: each plane point asked one by one, with the backs of upright seats."""
    room = """{outline: [[0, 0], [6, 0], [6, 3], [3.5, 3], [3.5, 6], [0, 6]], ceiling: {shape: flat, height: 2.6},
      zones: [{name: low, from_left: 0, from_front: 4.5, width: 3.5, length: 1.5,
               ceiling: {shape: flat, height: 2}}]}"""
    seats = CHAIR.replace("main: true", "back_height: 1.3")
    speakers = """[{name: one, type: flush, at: {from_left: 5, from_front: 2.5}},
      {name: two, type: flush, at: {from_left: 1.5, from_front: 2.9}},
      {name: three, type: flush, at: {from_left: 0.7, from_front: 5.5}}]"""
    made = scene(room=room, seats=seats, fixtures=PILLAR, speakers=speakers)
    found, seen = cover(made), {}
    for number, speaker in enumerate(made.judged):
        for row, column in np.argwhere(found.plane.inside):
            point = found.plane.points[row, column]
            met = obstacle_between(point, speaker.position, made.room, furniture(made))
            assert (met is None) == found.visible[number, row, column], (point, met)
            seen[met] = seen.get(met, 0) + 1
    assert {None, "pillar", "the back of chair", "a wall"} <= seen.keys()
    assert not found.visible[:, ~found.plane.inside].any()


def test_much_of_the_seating_area_in_shadow_is_noted_with_what_casts_it():
    made = scene(fixtures=PILLAR, speakers=BESIDE)
    found = cover(made)
    share = found.hidden_shares["one"]["pillar"]
    assert share > 0.05
    assert found.speaker_shares["one"]["outside"] >= share - 1e-12
    ((severity, subject, message),) = told(made, "area-in-shadow")
    assert (severity, subject) == ("note", "one")
    assert message.endswith(" of the seating area lies in the shadow of pillar")
    assert float(message.split("%")[0]) / 100 == pytest.approx(share, abs=0.02)
    aside = scene(fixtures=PILLAR.replace("1.2", "3.6"), speakers=BESIDE)
    assert told(aside, "area-in-shadow") == []


def test_of_several_things_each_has_its_share():
    more = PILLAR[:-1] + ", " + PILLAR[1:].replace("pillar", "post").replace("1.2", "1.95")
    made = scene(fixtures=more, speakers=BESIDE)
    ((_, _, message),) = told(made, "area-in-shadow")
    total, *parts = [int(word.strip("(%),")) for word in message.split() if "%" in word]
    assert len(parts) == 2
    assert sum(parts) == pytest.approx(total, abs=1)


def test_a_speaker_outside_the_air_is_seen_from_nowhere():
    outside = "[{name: one, type: box, at: {from_left: 7, from_front: 2}, height: 1, faces: rear}]"
    made = scene(speakers=outside)
    assert not cover(made).visible.any()
    assert cover(made).hiders(0) == {"a wall": 1.0}


def test_where_a_speaker_is_not_seen_another_of_its_channel_serves():
    """One behind the pillar, its mate before the seat: together they serve it, alone the first does not."""
    mate = "{name: two, type: square, channel: center, wall: front, from_left: 3, height: 1.1}"
    first = BESIDE[1:-1].replace("one,", "one, channel: center,")
    fixtures = PILLAR.replace("1.2", "1.35")
    alone, both = (scene(fixtures=fixtures, speakers=f"[{words}]", system="H") for words in (first, f"{first}, {mate}"))
    one, two = cover(alone), cover(both)
    hidden = ~one.visible[0] & one.plane.inside & two.visible[1]
    assert hidden.any()
    assert (one.of_set.served[hidden] == 0).all()
    assert one.of_set.unseen[hidden].all()
    assert (two.of_set.served[hidden] == 1).all()
    assert not two.of_set.unseen[hidden].any()
    plain = set_coverage(one.speakers, one.angles, np.ones_like(one.visible), one.counts)
    np.testing.assert_array_equal(plain.served[~hidden & one.visible[0]], one.of_set.served[~hidden & one.visible[0]])
    assert told(alone, "seat-blocked")
    assert not told(both, "seat-blocked")


@pytest.mark.parametrize(
    ("section", "said", "words"),
    [
        ("seats", CHAIR.replace("main: true", "back_height: -1"), 'seat "chair", back_height: -1 must be more than 0'),
        ("seats", CHAIR.replace("main: true", "back_height: high"), 'seat "chair", back_height: high is not a length'),
        ("screen", f"{SCREEN}, transparent: woven}}", "screen, transparent: woven"),
    ],
)
def test_slips_are_told_with_their_place(section, said, words, tmp_path):
    path = put(tmp_path, slip=text(**{section: said}))
    with pytest.raises(SceneError) as told_of:
        read_scene(path, None)
    assert words in str(told_of.value)
    line = path.read_text().splitlines().index(f"{section}: {said}") + 1
    assert told_of.value.mark.line == line


# --- files and pictures


def test_the_document_says_what_hides_how_much(tmp_path):
    path = put(tmp_path, hall=text(fixtures=PILLAR, speakers=BESIDE))
    code, out, _ = earshed("map", path, "--out", tmp_path / "maps", "--json", "--size", "600x450")
    document, found = json.loads(out), cover(read_scene(path, None))
    assert code == 0
    assert document["hidden_by"] == {"one": pytest.approx(found.hidden_shares["one"])}
    assert document["visible"]["one"] == pytest.approx(1 - sum(found.hidden_shares["one"].values()))
    with np.load(tmp_path / "maps" / "coverage.npz") as arrays:
        np.testing.assert_array_equal(arrays["visible"], found.visible)


@pytest.mark.parametrize("every", [1, 3, 40])
def test_strokes_lie_on_hidden_cells_and_miss_none_of_their_lines(every):
    found = cover(scene(fixtures=PILLAR, speakers=BESIDE))
    plane, hidden = found.plane, ~found.visible[0] & found.plane.inside
    drawn = np.zeros(hidden.shape, dtype=bool)
    for start, end in strokes(plane, hidden, every):
        count = round((end[0] - start[0]) / plane.step)
        assert end - start == pytest.approx(np.array([1, -1]) * count * plane.step)
        middles = start + (np.arange(count)[:, None] + 0.5) * plane.step * [1, -1]
        drawn[np.searchsorted(plane.y, middles[:, 1] - 1e-6), np.searchsorted(plane.x, middles[:, 0] - 1e-6)] = True
    rows, columns = np.indices(hidden.shape)
    np.testing.assert_array_equal(drawn, hidden & ((columns + rows - len(hidden) + 1) % every == 0))


def pages_of(path, folder, monkeypatch):
    """The figures that `map` makes of a scene, a page per speaker and that of the set."""
    seen = []
    finish = map_page.finish_page
    monkeypatch.setattr(map_page, "finish_page", lambda figure, sheet: (seen.append(figure), finish(figure, sheet))[1])
    assert earshed("map", path, "--out", folder, "--size", "900x640", "--date", "2030-01-02")[0] == 0
    return seen


def words_of(figure):
    return " ".join(" ".join(text.get_text() for text in figure.texts).split())


def test_pages_say_what_casts_a_shadow_and_leave_it_out_where_there_is_none(tmp_path, monkeypatch):
    path = put(tmp_path, hall=text(fixtures=PILLAR, speakers=BESIDE))
    speaker, whole = pages_of(path, tmp_path / "one", monkeypatch)
    assert "in the shadow of pillar; counts as outside in the shares" in words_of(speaker)
    assert "in the shadow of pillar for a channel or more, which does not serve there" in words_of(whole)
    clear = put(tmp_path, clear=text(speakers=BESIDE))
    assert not any("in the shadow of" in words_of(page) for page in pages_of(clear, tmp_path / "two", monkeypatch))


@pytest.mark.parametrize("count", [1, 12, 24])
def test_the_key_of_shadows_runs_into_nothing_however_many_seats(count, tmp_path, monkeypatch):
    places = [(0.5 + 0.6 * (i % 6), 2.5 + 0.9 * (i // 6)) for i in range(count)]
    seats = ", ".join(f"{{name: s{i}, at: {{from_left: {x}, from_front: {y}}}, ear_height: 1.1, back_height: 1.3}}"
                      for i, (x, y) in enumerate(places))  # fmt: skip
    path = put(tmp_path, hall=text(fixtures=PILLAR, speakers=BESIDE, seats=f"[{seats}]"))
    for figure in pages_of(path, tmp_path / "maps", monkeypatch):
        assert_words_clear(figure)


def test_a_shadow_can_be_told_in_gray(tmp_path):
    """Among cells of one band of color those in shadow have dark strokes and light halos; the others are all alike."""
    path = put(tmp_path, hall=text(fixtures=PILLAR, speakers=BESIDE))
    other = put(tmp_path, clear=text(speakers=BESIDE))
    grays = []
    for number, scene_path in enumerate((path, other)):
        folder = tmp_path / str(number)
        assert earshed("map", scene_path, "--out", folder, "--size", "1400x1000", "--date", "2030-01-02")[0] == 0
        with Image.open(folder / "speaker-one.png") as opened:
            grays.append(np.asarray(opened.convert("L"), dtype=np.int64))
    changed = np.abs(grays[0] - grays[1])[120:940, 20:700]
    share = cover(read_scene(path, None)).hiders(0)["pillar"]
    assert share > 0.05
    dark, light = (grays[0] < grays[1] - 40)[120:940, 20:700], (grays[0] > grays[1] + 20)[120:940, 20:700]
    assert dark.sum() > 0.05 * share * changed.size
    assert light.sum() > 0.05 * share * changed.size


def test_names_in_the_key():
    shares = {name: 0.1 for name in ("post", "beam", "a wall", "soffit")}
    counts = [named(dict(list(shares.items())[:count])) for count in (1, 2, 3, 4)]
    assert counts == ["post", "post and beam", "post, beam and a wall", "post, beam and 2 more"]

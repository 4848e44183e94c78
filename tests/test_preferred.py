"""What is preferred to the angle: places of one verdict by evenness or level, and aims that `earshed aim` writes."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from earshed.model.geometry import angle_between
from earshed.model.scene_file.read import read_scene
from earshed.model.search.ask import PREFERRED, room_mirror
from earshed.model.search.asking import ask_of
from earshed.model.search.pair_search import PairSearch
from earshed.model.search.place import aimed
from earshed.model.search.search import Search
from earshed.model.search.spots import LEVEL_STEP, WORST_DIGITS
from earshed.model.seating import main_seats
from earshed.model.sound.served import served
from earshed.viewer.cli import run
from tests.search_rooms import STEP, asked, best, obstructed, read, search, seats
from tests.test_place_command import SMALL, put

BONUS = Path(__file__).resolve().parent.parent / "scenes" / "bonus-room.yaml"
ALONE = ("--seats", "sofa left")
ONLY = "--prefer evenness compares seats, and sofa left is the only one"
TABLES = 0.02
"""dB that the tables of a search may be off."""


def figure(ask, spots, index, preferred):
    """What a place is judged by, worked out for it alone."""
    speaker = aimed(ask, ask.offers[spots.offers[index]], ask.faces[spots.faces[index]], spots.points[index])
    found = served(ask.scene, speaker, ask.seats)
    return found.spread if preferred == "evenness" else -found.softest.speech


@pytest.mark.parametrize("preferred", ["evenness", "level"])
def test_places_are_judged_as_one_by_one(preferred):
    ask = asked(obstructed(), types=("flush", "angled", "pivot"), preferred=preferred)
    spots = Search(ask, 4 * STEP).finish()
    for index in np.random.default_rng(1).choice(len(spots), 40, replace=False):
        assert spots.wanting[index] == pytest.approx(figure(ask, spots, index, preferred), abs=TABLES)


@pytest.mark.parametrize("preferred", ["evenness", "level"])
def test_of_places_as_well_covered_the_first_is_the_most_even_or_the_loudest(preferred):
    """No other place that was tried with any type is as good in all that leads, and better by more than a step."""
    scene = obstructed()
    chosen = best(search(scene, step=2 * STEP, preferred=preferred))
    by_angle = best(search(scene, step=2 * STEP))
    leading = [key[0] for key in chosen.keys][:5]
    assert leading == [key[0] for key in by_angle.keys][:5]
    assert chosen.worst[0] >= by_angle.worst[0] - 10.0**-WORST_DIGITS
    every = search(scene, step=2 * STEP, preferred=preferred)
    same = np.all([key == first for key, first in zip(every.keys[:5], leading, strict=True)], axis=0)
    assert same.sum() > 20
    assert chosen.wanting[0] <= every.wanting[same].min() + LEVEL_STEP
    (index,) = np.flatnonzero(np.all(every.points == by_angle.points[0], axis=1))
    assert chosen.wanting[0] <= every.wanting[index] + LEVEL_STEP


def test_by_angle_nothing_is_put_before_it():
    spots = search(obstructed(), step=4 * STEP)
    assert np.all(spots.wanting == 0.0)
    assert PREFERRED[0] == "angle"


def test_for_one_seat_evenness_leaves_the_places_as_they_are():
    one, other = (search(read(), step=4 * STEP, preferred=preferred) for preferred in ("angle", "evenness"))
    np.testing.assert_array_equal(one.points[one.order], other.points[other.order])


def test_of_partners_the_less_even_counts():
    speakers = ", ".join(
        f"{{name: {name}, type: flush, channel: {channel}, at: {{{side}: 0.7, from_front: 1.4}}}}"
        for name, channel, side in (("l", "U+045", "from_left"), ("r", "U-045", "from_right"))
    )
    scene = read(seats=seats((-30, 210), (10, 200), (50, 205)), speakers=speakers)
    one, other = (
        replace(ask_of(scene, speaker, moving=scene.speakers, seats=main_seats(scene.seats)), preferred="evenness")
        for speaker in scene.speakers
    )
    pairs = PairSearch(one, other, room_mirror(scene), step=4 * STEP)
    twins = pairs.finish()
    assert len(twins.both) > 20
    np.testing.assert_array_equal(twins.both.wanting, np.maximum(twins.first.wanting, twins.second.wanting))
    assert np.any(twins.first.wanting > twins.second.wanting + 0.1)


@pytest.mark.parametrize("preferred", ["evenness", "level"])
def test_a_mirrored_room_has_its_first_place_mirrored(preferred):
    here = ((-30, 210), (10, 200), (50, 205))
    one, other = (
        best(search(read(seats=seats(*places)), step=2 * STEP, preferred=preferred))
        for places in (here, tuple((-x, y) for x, y in here))
    )
    width = 240 * STEP
    np.testing.assert_allclose(other.points[0], one.points[0] * [-1, 1, 1] + [width, 0, 0], atol=1e-9)
    assert other.wanting[0] == pytest.approx(one.wanting[0], abs=1e-9)


# --- the commands


def told(capsys: pytest.CaptureFixture[str], *line: object) -> dict:
    code = run([*map(str, line), "--json"])
    assert code == 0
    return json.loads(capsys.readouterr().out)


def test_place_tells_what_was_preferred_and_is_more_even_for_it(capsys):
    found = {}
    for preferred in PREFERRED:
        line = ("place", BONUS, "--speaker", "upper rear left", "--prefer", preferred, "--count", 1)
        (answer,) = told(capsys, *line)["answers"]
        assert answer["preferred"] == preferred
        ((found[preferred],),) = answer["choices"]
        assert found[preferred]["verdict"] == "covered"
    even, angle, loud = (found[name]["served"] for name in ("evenness", "angle", "level"))
    assert even["speech_spread_db"] <= min(angle["speech_spread_db"], loud["speech_spread_db"]) + LEVEL_STEP
    assert loud["softest_db"] >= max(angle["softest_db"], even["softest_db"]) - LEVEL_STEP
    assert found["angle"]["worst_off_axis_deg"] <= found["evenness"]["worst_off_axis_deg"] + 0.3
    for one in found.values():
        assert one["shadow"] == {"share": 0, "by": []}


def test_what_is_preferred_stands_in_the_head(capsys):
    assert run(["place", str(BONUS), "--speaker", "upper rear left", "--prefer", "evenness", "--count", "1"]) == 0
    out = capsys.readouterr().out
    assert "of places as well covered, the most even" in " ".join(out.split())
    assert "shadow" in out
    assert all(len(line) <= 100 for line in out.splitlines())


@pytest.mark.parametrize(
    ("line", "says"),
    [
        (["place", "--all", *ALONE, "--prefer", "evenness"], f"{ONLY}; name more by --seats"),
        (["place", "--all", "--prefer", "quiet"], "'quiet' is not one of 'angle', 'evenness', 'level'"),
        (["aim", *ALONE, "--prefer", "evenness", "--write", "aims.yaml"], ONLY),
        (["aim", "--prefer", "evenness"], "--prefer says which aims --write takes: it goes with --write FILE"),
        (["aim", "--prefer", "level", "--write", "aims.yaml"], "'level' is not one of 'angle', 'evenness'"),
    ],
)
def test_slips_are_told(tmp_path, capsys, line, says):
    scene = put(tmp_path, SMALL)
    line = [str(tmp_path / word) if word == "aims.yaml" else word for word in line]
    assert run([line[0], str(scene), *line[1:]]) == 2
    assert says in " ".join(capsys.readouterr().err.split())
    assert not (tmp_path / "aims.yaml").exists()


def test_the_overlay_of_even_aims_reads_back_as_even(tmp_path, capsys):
    scene = tmp_path / "room.yaml"
    scene.write_text(BONUS.read_text(encoding="utf-8"), encoding="utf-8")
    write = tmp_path / "even.yaml"
    asked_for = ("--scheme", "proposed", "--prefer", "evenness", "--write", write)
    before = {one["name"]: one for one in told(capsys, "aim", scene, *asked_for)["speakers"]}
    text = write.read_text(encoding="utf-8")
    assert "# spread 2.8 dB -> 1.9 dB: tilted 25.0°" in text
    even = {name for name, one in before.items() if one["most_even"]}
    assert even >= {"upper front right", "upper rear left"}
    for speaker in read_scene(write, None).judged:
        if speaker.name in even:
            apart = float(angle_between(speaker.axis, before[speaker.name]["most_even"]["axis"]))
            assert apart < math.radians(0.02)
    again = {one["name"]: one for one in told(capsys, "aim", write)["speakers"]}
    for name in even:
        spread = before[name]["most_even"]["served"]["speech_spread_db"]
        assert again[name]["today"]["served"]["speech_spread_db"] == pytest.approx(spread, abs=0.01)


def test_without_a_preference_the_better_angles_are_written(tmp_path):
    scene = tmp_path / "room.yaml"
    scene.write_text(BONUS.read_text(encoding="utf-8"), encoding="utf-8")
    text = []
    for number, words in enumerate(([], ["--prefer", "angle"])):
        write = tmp_path / f"{number}.yaml"
        assert run(["aim", str(scene), "--seats", "all", "--scheme", "proposed", *words, "--write", str(write)]) == 0
        text.append(write.read_text(encoding="utf-8") if write.exists() else "")
    assert text[0] == text[1]

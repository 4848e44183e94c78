"""earshed compare as it is asked: which two are taken, what is printed, the document, and how it ends."""

from __future__ import annotations

import contextlib
import io
import json
import math
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from earshed.viewer.cli import run
from tests.compared_rooms import DEN, IDS, SCENES
from tests.scene_files import put


def printed(*line: object) -> tuple[int, str, str]:
    """Exit code, stdout and stderr of a command line."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run([str(word) for word in line])
    return code, out.getvalue(), err.getvalue()


@cache
def document(*line: object) -> dict[str, Any]:
    code, out, err = printed(*line, "--json")
    assert code < 2, err
    return json.loads(out)


def one_line(text: str) -> str:
    return " ".join(text.split())


# --- shipped scenes


@pytest.mark.parametrize("path", SCENES, ids=IDS)
def test_as_found_and_proposed_are_taken_and_said(path):
    code, out, err = printed("compare", path)
    assert (code, err) == (0, "")
    text = one_line(out)
    assert "before: as found; after: proposed" in text
    assert "Every main seat is covered by every speaker. Before, n" in text  # none, or neither
    assert "What it takes" in text
    assert "buy " in text or path.stem == "timber"


@pytest.mark.parametrize("path", SCENES, ids=IDS)
def test_the_document_says_what_check_says_of_both(path):
    found = document("compare", path)
    for side, scheme in (("before", "as found"), ("after", "proposed")):
        checked = document("check", path, "--scheme", scheme)
        exact = {(pair["seat"], pair["speaker"]): pair for pair in checked["pairs"]}
        assert found[side]["findings"] == checked["findings"]
        assert found[side]["scheme"] == scheme
        for pair in found["pairs"]:
            given = pair[side]
            same = exact[pair["seat"], given["speaker"]]
            assert all(given[key] == same[key] for key in ("off_axis_deg", "verdict", "visible"))
    for pair in found["pairs"]:
        turned = pair["after"]["off_axis_deg"] - pair["before"]["off_axis_deg"]
        assert pair["off_axis_change_deg"] == pytest.approx(turned, abs=1e-9)
    shares = found["maps"]["shares_changed"]
    assert math.isclose(sum(shares.values()), 1.0)
    assert not found["same"]
    assert found["files"] == []


@pytest.mark.parametrize("path", SCENES, ids=IDS)
def test_levels_are_those_of_earshed_levels(path):
    found = document("compare", path)
    heard = {one["speaker"]: one for one in document("levels", path, "--scheme", "proposed")["speakers"]}
    for pair in found["pairs"]:
        one = heard[pair["after"]["speaker"]]
        (seat,) = (at for at in one["seats"] if at["seat"] == pair["seat"])
        told = seat["speech_db"] - one["reference"]["speech_db"]
        assert pair["after"]["level_db"] == pytest.approx(told, abs=1e-9)


def test_the_keys_of_the_document():
    found = document("compare", SCENES[0])
    assert list(found) == [
        "format", "scene", "before", "after", "same", "headline", "seats", "pairs", "channels", "speakers", "holes",
        "parts", "cables", "things", "maps", "files",
    ]  # fmt: skip
    assert found["format"] == 1
    assert list(found["seats"][0]["before"]) == ["channels", "served", "covered", "fringe", "outside", "verdict"]
    assert list(found["holes"][0]) == ["work", "before", "after", "wider_m"]


def test_a_scheme_against_itself_changes_nothing():
    code, out, _ = printed("compare", SCENES[0], "--before", "proposed", "--after", "proposed")
    assert code == 0
    assert "Nothing changes: every speaker and every seat is as before." in one_line(out)
    assert document("compare", SCENES[0], "--before", "proposed", "--after", "proposed")["same"] is True


BUDGET = "  budget: {remove: [wall]}\n"
MORE = "  more: {speakers: {new: {type: flush, channel: U+135, at: {from_left: 1.2, from_front: 3}}}}\n"


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        # the stool has the wall's on the fringe, the ceiling's covered; the new one, too, covers it
        (
            ["--before", "base", "--after", "budget"],
            "The main seat is covered by the speaker. Before, with 2, it was not.",
        ),
        (
            ["--before", "budget", "--after", "base"],
            "The main seat is not covered by both speakers; before, with 1, it was.",
        ),
        (
            ["--before", "base", "--after", "more"],
            "The main seat is not covered by all 3 speakers; before, with 2, it was not.",
        ),
        (["--before", "base", "--after", "more"], "New: upper rear left."),
        (["--before", "base", "--after", "budget"], "Taken out: wall."),
    ],
)
def test_where_there_are_more_or_fewer_it_says_so_first(asked, told, tmp_path):
    path = put(tmp_path, den=f"{DEN}schemes:\n{BUDGET}{MORE}")
    assert told in one_line(printed("compare", path, *asked)[1])


# --- which two


def den(folder: Path, *schemes: str) -> Path:
    return put(folder, den=DEN + "schemes:\n" + "".join(f"  {scheme}: {{}}\n" for scheme in schemes))


@pytest.mark.parametrize(
    ("schemes", "asked", "taken"),
    [
        (["only"], [], (None, "only")),
        (["as found", "proposed", "b"], [], ("as found", "proposed")),
        (["a", "b"], ["--after", "b"], (None, "b")),
        (["as found", "b"], ["--after", "b"], ("as found", "b")),
        (["as found", "b"], ["--after", "as found"], (None, "as found")),
        (["a", "proposed", "c"], ["--before", "a"], ("a", "proposed")),
        (["a", "c"], ["--before", "a"], ("a", "c")),
        (["a", "c"], ["--before", "c", "--after", "base"], ("c", None)),
    ],
)
def test_what_is_not_said_is_taken_as_is_usual(schemes, asked, taken, tmp_path):
    found = document("compare", den(tmp_path, *schemes), *asked)
    assert (found["before"]["scheme"], found["after"]["scheme"]) == taken


def test_where_it_is_not_clear_which_it_asks(tmp_path):
    code, _, err = printed("compare", den(tmp_path, "a", "b"))
    assert code == 2
    assert err.strip().endswith("which two? say --before NAME and --after NAME, of a, b, base")


def test_a_scene_without_schemes_wants_a_second_file(tmp_path):
    code, _, err = printed("compare", put(tmp_path, den=DEN))
    assert code == 2
    assert "has no schemes to compare; give a second file, or add some under schemes:" in err


def test_an_unknown_scheme_is_refused_in_the_readers_words(tmp_path):
    path = den(tmp_path, "a")
    code, _, err = printed("compare", path, "--before", "nowhere", "--after", "a")
    assert code == 2
    assert "nowhere" in err
    code, out, _ = printed("compare", path, "--before", "nowhere", "--after", "a", "--json")
    assert (code, json.loads(out)["error"]["file"]) == (2, str(path))


OVERLAY = "format: 1\nbased_on: den.yaml\nspeakers: {top: {at: {from_left: 3, from_front: 2}}}\n"


def test_an_overlay_alone_is_held_against_its_scene(tmp_path):
    put(tmp_path, den=DEN, moved=OVERLAY)
    code, out, _ = printed("compare", tmp_path / "moved.yaml")
    assert code == 0
    assert "before: as it stands; after: moved" in one_line(out)
    assert [hole["work"] for hole in document("compare", tmp_path / "moved.yaml")["holes"]] == ["cut", "stays", "patch"]


def test_two_files_go_by_their_names(tmp_path):
    put(tmp_path, den=DEN, moved=OVERLAY, other=DEN.replace("title: Den", "title: Other"))
    code, out, _ = printed("compare", tmp_path / "den.yaml", tmp_path / "moved.yaml")
    assert code == 0
    assert "before: den; after: moved" in one_line(out)
    assert one_line(printed("compare", tmp_path / "den.yaml", tmp_path / "other.yaml")[1]).startswith("Den / Other")


def test_a_speaker_without_a_partner_is_told(tmp_path):
    path = put(tmp_path, den=DEN, fewer="format: 1\nbased_on: den.yaml\nremove: [wall]\n")
    text = one_line(printed("compare", path, tmp_path / "fewer.yaml")[1])
    assert "taken out" in text
    assert "patch the hole of wall" in text
    pairs = document("compare", path, tmp_path / "fewer.yaml")["pairs"]
    assert [pair["after"] for pair in pairs if pair["channel"] == "wall"] == [None, None]


# --- endings


def test_an_error_in_either_scene_is_told_and_ends_with_1(tmp_path):
    text = DEN + "schemes:\n  clash: {speakers: {twin: {type: flush, at: {from_left: 1.95, from_front: 2}}}}\n"
    path = put(tmp_path, den=text)
    for asked in ([], ["--before", "clash", "--after", "base"]):
        code, out, _ = printed("compare", path, *asked)
        assert code == 1
        assert "clash: 1 error" in one_line(out) or "clash: 2 errors" in one_line(out)
        assert "as it stands: nothing that cannot be built as drawn" in one_line(out)


def test_other_rooms_have_tables_but_no_pictures(tmp_path):
    put(tmp_path, den=DEN, small=DEN.replace("width: 5", "width: 3.5"))
    both = tmp_path / "den.yaml", tmp_path / "small.yaml"
    code, out, _ = printed("compare", *both)
    assert code == 1  # the lamp is no longer in the room
    assert "No maps: their rooms are not the same" in one_line(out)
    assert "the room: of another shape" in one_line(out)
    assert "share 70%" in document("compare", *both)["maps"]["left_out"]
    code, _, err = printed("compare", *both, "--out", tmp_path / "page.html")
    assert code == 2
    assert "no pictures of den and small: their rooms are not the same" in one_line(err)
    assert not (tmp_path / "page.html").exists()


def test_too_fine_a_grid_is_told_with_a_step_that_would_do(tmp_path):
    path = put(tmp_path, den=DEN.replace("step: 0.1", "step: 0.002") + "schemes: {a: {}}\n")
    code, out, _ = printed("compare", path)
    assert code == 0
    told = (
        "No maps: the finer listening_plane has too small a step: 7,500,000 points are more than the 5,000,000 that a"
    )
    assert f"{told} map may have; a step of 3 mm would do." in one_line(out)


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("page.pdf", "a page is written as .html; without an ending it is a folder for pictures"),
        ("there.html", "exists already; add --force"),
    ],
)
def test_where_nothing_can_be_written(name, told, tmp_path):
    (tmp_path / "there.html").write_text("mine", encoding="utf-8")
    code, _, err = printed("compare", den(tmp_path, "a"), "--out", tmp_path / name)
    assert code == 2
    assert told in one_line(err)
    assert (tmp_path / "there.html").read_text(encoding="utf-8") == "mine"


def test_a_folder_that_has_a_page_is_refused_before_anything_is_drawn(tmp_path):
    (tmp_path / "compare.html").write_text("mine", encoding="utf-8")
    code, _, err = printed("compare", den(tmp_path, "a"), "--out", tmp_path)
    assert code == 2
    assert "exists already; add --force" in one_line(err)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["compare.html", "den.yaml"]


def test_a_name_with_brackets_is_printed_as_it_is(tmp_path):
    path = put(tmp_path, den=DEN.replace("name: top", "name: '[bold]top'") + "schemes: {a: {remove: ['[bold]top']}}\n")
    assert "patch the hole of upper front left ([bold]top)" in one_line(printed("compare", path)[1])


@pytest.mark.parametrize("command", ["compare", "check"])
def test_no_name_turns_what_is_printed(command, tmp_path):
    """Unicode UAX 9: signs that turn the direction of what stands beside them."""
    turned = '"to\\u202ep\\u2066x"'
    text = DEN.replace("name: top", f"name: {turned}") + f"schemes: {{a: {{remove: [{turned}]}}}}\n"
    code, out, err = printed(command, put(tmp_path, den=text))
    assert (code, err) == (0, "")
    assert "topx" in out
    assert not set("\u202e\u2066") & set(out)

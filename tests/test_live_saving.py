"""Saving from the live room: what reads back is what was shown, and no file that was there is touched."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest

from earshed.model.pairs import seat_pairs
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene
from earshed.viewer.live.acts import do
from earshed.viewer.live.asked import Asked, Refused
from earshed.viewer.live.desk import Desk
from earshed.viewer.live.saving import file_offers, save
from tests.live_rooms import LIVE_ROOM, live_room

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))


def ask(desk: Desk, act: str, **said: object) -> str:
    return do(desk, Asked.read({"act": act, **said}))


def saved(desk: Desk, kind: str, file: str, name: str = "") -> str:
    return save(desk, Asked.read({"act": "save", "as": kind, "file": file, "name": name}))


def same(one: Scene, other: Scene) -> None:
    assert [speaker.name for speaker in one.speakers] == [speaker.name for speaker in other.speakers]
    for mine, its in zip(one.speakers, other.speakers, strict=True):
        np.testing.assert_allclose(mine.position, its.position, atol=1e-12)
        np.testing.assert_allclose(mine.axis, its.axis, atol=1e-12)
    for mine, its in zip(seat_pairs(one), seat_pairs(other), strict=True):
        assert (mine.off_axis, mine.verdict, mine.obstacle) == (its.off_axis, its.verdict, its.obstacle)
        assert mine.level == its.level


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_every_scene_changed_and_saved_in_both_ways(path: Path, tmp_path: Path) -> None:
    mine = Path(shutil.copy(path, tmp_path))
    before = mine.read_bytes()
    desk = Desk.open(mine, "proposed")
    scene = desk.answer.scene
    overhead = next(one.name for one in scene.speakers if one.surface is not None)
    ask(desk, "nudge", thing=overhead, far='1"', right=2, up=1)
    ask(desk, "nudge", thing=scene.seats[0].name, far='1"', right=-2, up=3)
    ask(desk, "plane", metres=1.05)
    offers = file_offers(desk)
    assert offers["words"]
    assert "earshed check" in saved(desk, "overlay", offers["files"]["overlay"])
    assert desk.unsaved == 0
    same(read_scene(tmp_path / offers["files"]["overlay"]), desk.answer.scene)
    saved(desk, "scheme", offers["files"]["scheme"], offers["files"]["name"])
    same(read_scene(tmp_path / offers["files"]["scheme"], offers["files"]["name"]), desk.answer.scene)
    assert mine.read_bytes() == before


def test_an_overlay_is_opened_and_goes_on_as_both(tmp_path: Path) -> None:
    desk = Desk.open(live_room(tmp_path), "flush ones")
    ask(desk, "nudge", thing="top left", far="1'", right=1, up=0)
    saved(desk, "overlay", "first.yaml")
    again = Desk.open(tmp_path / "first.yaml", None)
    same(again.answer.scene, desk.answer.scene)
    assert again.unsaved == 0
    ask(again, "nudge", thing="top right", far="1'", right=-1, up=0)
    assert again.unsaved > 0
    saved(again, "overlay", "second.yaml")
    same(read_scene(tmp_path / "second.yaml"), again.answer.scene)
    saved(again, "scheme", "third.yaml", "both")
    same(read_scene(tmp_path / "third.yaml", "both"), again.answer.scene)
    assert (tmp_path / "third.yaml").read_text(encoding="utf-8").startswith("# The client's loft.")


@pytest.mark.parametrize("name", ["", "base", "flush ones", "a\nb", "x" * 5000])
def test_a_name_that_no_scheme_can_have_is_refused(tmp_path: Path, name: str) -> None:
    desk = Desk.open(live_room(tmp_path), None)
    ask(desk, "nudge", thing="top left", far="1'", right=1, up=0)
    with pytest.raises(Refused):
        saved(desk, "scheme", "new.yaml", name)
    assert [path.name for path in tmp_path.iterdir()] == ["loft.yaml"]


@pytest.mark.parametrize(
    "file", ["loft.yaml", "", ".", "a/b.yaml", "..\\up.yaml", "picture.png", "/tmp/x.yaml", "LOFT"]
)
def test_a_file_that_is_there_or_is_no_scenes_name_is_refused(tmp_path: Path, file: str) -> None:
    desk = Desk.open(live_room(tmp_path), None)
    ask(desk, "nudge", thing="top left", far="1'", right=1, up=0)
    with pytest.raises(Refused):
        saved(desk, "overlay", file)
    assert [path.name for path in tmp_path.iterdir()] == ["loft.yaml"]
    assert (tmp_path / "loft.yaml").read_text(encoding="utf-8") == LIVE_ROOM


def test_names_that_are_offered_are_free(tmp_path: Path) -> None:
    desk = Desk.open(live_room(tmp_path), "flush ones")
    first = file_offers(desk)["files"]
    for key in ("overlay", "scheme"):
        (tmp_path / first[key]).write_text("taken", encoding="utf-8")
    second = file_offers(desk)["files"]
    assert not {first["overlay"], first["scheme"]} & {second["overlay"], second["scheme"]}

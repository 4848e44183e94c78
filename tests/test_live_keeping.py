"""Unsaved work on disk: it outlives the run that did it, is found by the next, and is never another scene's."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from earshed.model.editing.changes import NO_CHANGES
from earshed.viewer.live.keeping import FOLDER, Keeper, state_folder
from earshed.viewer.output import OutputError

WORK = {None: NO_CHANGES.with_keys("speakers", "top left", {"aim": "none"}), "other": NO_CHANGES.without("can")}


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(FOLDER, str(tmp_path / "state"))


def test_work_of_a_run_that_ended_is_found(tmp_path: Path) -> None:
    first = Keeper(tmp_path / "loft.yaml")
    first.keep(WORK, "other")
    first.close()
    (kept,) = Keeper(tmp_path / "loft.yaml").left_behind()
    assert kept.work == WORK
    assert kept.scheme == "other"
    assert kept.count == 2


def test_work_of_a_run_that_goes_on_is_its_own(tmp_path: Path) -> None:
    first, second = Keeper(tmp_path / "loft.yaml"), Keeper(tmp_path / "loft.yaml")
    first.keep(WORK, None)
    assert second.left_behind() == []
    first.close()
    assert len(second.left_behind()) == 1


def test_work_on_another_scene_is_not_offered(tmp_path: Path) -> None:
    first = Keeper(tmp_path / "loft.yaml")
    first.keep(WORK, None)
    first.close()
    assert Keeper(tmp_path / "attic.yaml").left_behind() == []


def test_nothing_unsaved_leaves_nothing_on_disk(tmp_path: Path) -> None:
    keeper = Keeper(tmp_path / "loft.yaml")
    keeper.keep(WORK, None)
    keeper.keep({None: NO_CHANGES}, None)
    keeper.close()
    assert list(state_folder().iterdir()) == []


def test_what_is_set_aside_is_offered_even_while_the_run_goes_on(tmp_path: Path) -> None:
    first = Keeper(tmp_path / "loft.yaml")
    first.set_aside(WORK, None)
    (kept,) = Keeper(tmp_path / "loft.yaml").left_behind()
    assert kept.work == WORK


def test_what_is_let_go_is_gone(tmp_path: Path) -> None:
    first = Keeper(tmp_path / "loft.yaml")
    first.keep(WORK, None)
    first.close()
    second = Keeper(tmp_path / "loft.yaml")
    second.left_behind()[0].let_go()
    assert second.left_behind() == []
    second.close()
    assert list(state_folder().iterdir()) == []


@pytest.mark.parametrize("spoilt", ["", "{", "[]", '{"format": 2}', '{"format": 1, "scene": 3}', "nobody"])
def test_a_file_that_is_no_work_is_passed_over_and_left(tmp_path: Path, spoilt: str) -> None:
    first = Keeper(tmp_path / "loft.yaml")
    first.keep(WORK, None)
    first.close()
    (path,) = state_folder().glob("*.json")
    if spoilt == "nobody":
        spoilt = json.dumps({**json.loads(path.read_text()), "work": [{"scheme": None, "changes": {"speakers": 3}}]})
    path.write_text(spoilt, encoding="utf-8")
    assert Keeper(tmp_path / "loft.yaml").left_behind() == []
    assert path.read_text(encoding="utf-8") == spoilt


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("")
    monkeypatch.setenv(FOLDER, str(tmp_path / "file" / "state"))
    with pytest.raises(OutputError, match="cannot be kept"):
        Keeper(tmp_path / "loft.yaml")


def test_what_is_kept_already_is_not_written_again(tmp_path: Path) -> None:
    keeper = Keeper(tmp_path / "loft.yaml")
    keeper.keep(WORK, None)
    (place,) = state_folder().glob("*.json")
    place.write_text("as it lies", encoding="utf-8")
    keeper.keep(WORK, None)
    assert place.read_text(encoding="utf-8") == "as it lies"
    keeper.keep(WORK, "other")
    assert "speakers" in place.read_text(encoding="utf-8")

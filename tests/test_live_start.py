"""Where there is no scene yet: a first room by the page is the first room by `earshed new`."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from earshed.model.scene_file.read import read_scene
from earshed.viewer.commands.new import command as new
from earshed.viewer.live.asked import Asked, Refused
from earshed.viewer.live.first_room import form
from earshed.viewer.live.starting import begun, copied, shipped_scenes, start_document

ANSWERS = {
    "width": "14' 2\"", "length": "21' 6\"", "shape": "gable", "ridge": "front-to-back", "low": "5' 3\"",
    "peak": "8 in 12",
}  # fmt: skip


def ask(act: str, **said: object) -> Asked:
    return Asked.read({"act": act, **said})


def test_steps_are_asked_one_after_another() -> None:
    steps = [
        {question.step for question, *_ in form(said).asked} for said in ({}, {"width": "4m", "length": "5m"}, ANSWERS)
    ]
    assert steps[0] == {"the plan"}
    assert steps[1] == {"the plan", "the ceiling"}
    assert steps[2] == {"the plan", "the ceiling", "the picture", "the seats", "the speakers"}
    assert [form(said).complete for said in ({}, ANSWERS)] == [False, True]


def test_a_wrong_answer_is_told_beside_its_question_and_nothing_follows() -> None:
    found = form({**ANSWERS, "low": "as high as me"})
    (trouble,) = [(question.key, words) for question, _, _, words in found.asked if words]
    assert trouble[0] == "low"
    assert "as high as me" in trouble[1]
    assert not found.complete
    assert found.asked[-1][0].step == "the ceiling"


def test_it_writes_what_new_writes(tmp_path: Path) -> None:
    path = begun(tmp_path, ask("begin", answers={**ANSWERS, "title": "Loft"}, file="loft.yaml"))
    options = [f"--{'ceiling' if key == 'shape' else key}={text}" for key, text in ANSWERS.items()]
    other = tmp_path / "other" / "loft.yaml"
    result = CliRunner().invoke(new, [str(other), "--yes", "--title=Loft", *options])
    assert result.exit_code == 0, result.output
    assert path.read_text(encoding="utf-8") == other.read_text(encoding="utf-8")


def test_nothing_is_written_before_all_is_answered_nor_over_a_file(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="still open"):
        begun(tmp_path, ask("begin", answers={"width": "4m"}, file="loft.yaml"))
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "loft.yaml").write_text("mine", encoding="utf-8")
    with pytest.raises(Refused, match="exists already"):
        begun(tmp_path, ask("begin", answers=ANSWERS, file="loft.yaml"))
    assert (tmp_path / "loft.yaml").read_text(encoding="utf-8") == "mine"


def test_every_scene_that_comes_along_opens_as_a_copy_of_ones_own(tmp_path: Path) -> None:
    assert len(shipped_scenes()) >= 6
    for one in shipped_scenes():
        first, second = copied(tmp_path, ask("open", scene=one.file)), copied(tmp_path, ask("open", scene=one.file))
        assert (first.name, second.name) == (one.file, f"{Path(one.file).stem}-2.yaml")
        assert read_scene(first).title == one.title
        assert one.teaches
    with pytest.raises(Refused, match="no scene called"):
        copied(tmp_path, ask("open", scene="../../etc/passwd"))


def test_answers_that_are_none_are_passed_over(tmp_path: Path) -> None:
    document = start_document(tmp_path, {"width": 3, "length": ["5m"], "shape": None, "low": "9" * 10_000})
    assert not document["form"]["complete"]
    assert all(question["answer"] == "" for question in document["form"]["questions"])

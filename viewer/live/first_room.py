"""A first room from the answers to a page's questions, which are those of `earshed new`, tried in the same way."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from earshed.model.scene_file.answers import Refused
from earshed.model.scene_file.draft_text import draft_text
from earshed.model.scene_file.drafting import Drafted, drafted
from earshed.viewer.interview import tried, usual_answer
from earshed.viewer.letters import BOX
from earshed.viewer.output import file_name
from earshed.viewer.questions import QUESTIONS, Question
from earshed.viewer.section_sketch import section_sketch
from earshed.viewer.sketch import plan_sketch

TITLE = "A new room"


@dataclass(frozen=True, eq=False)
class Form:
    """The questions that arise, as far as the answers go; what those make so far, and whether that is all."""

    asked: tuple[tuple[Question, str, str | None, str], ...]
    """Each question, its answer, what answers it if nothing is said, and what is wrong with the answer."""
    made: Drafted | None
    complete: bool
    title: str

    @property
    def document(self) -> dict[str, Any]:
        sketch = (
            [] if self.made is None else [*plan_sketch(self.made.scene, BOX), *section_sketch(self.made.scene, BOX)]
        )
        return {
            "questions": [
                {
                    "key": question.key,
                    "step": question.step,
                    "words": question.words,
                    "choices": list(question.choices),
                    "answer": answer,
                    "usual": usual or "",
                    "trouble": trouble,
                }
                for question, answer, usual, trouble in self.asked
            ],
            "sketch": "\n".join(sketch),
            "notes": [] if self.made is None else list(self.made.notes),
            "complete": self.complete,
            "file": f"{file_name(self.title)}.yaml",
        }

    def text(self, name: str) -> str:
        """The scene file, called `name`. Only of a form that is complete."""
        assert self.made is not None
        return draft_text(self.made.draft, name)


def form(said: Mapping[str, str]) -> Form:
    """The form with answers by the keys of questions, as far as they were given; an empty one is none.

    Each step is asked once those before it are answered.
    """
    answers: dict[str, str] = {}
    asked: list[tuple[Question, str, str | None, str]] = []
    made: Drafted | None = None
    for step in dict.fromkeys(question.step for question in QUESTIONS):
        whole = True
        for question in (each for each in QUESTIONS if each.step == step):
            if not question.asked(answers):
                continue
            text = said.get(question.key, "").strip()
            usual = usual_answer(question, answers, TITLE) if whole else None
            trouble = ""
            try:
                if whole and (text or usual):
                    answers = tried(question, answers, text or usual or "")
                elif whole:
                    whole = False
            except Refused as refused:
                trouble, whole = str(refused), False
            asked.append((question, text, usual, trouble))
        if not whole:
            return Form(tuple(asked), made, complete=False, title=answers.get("title", TITLE))
        made = drafted(answers)
    return Form(tuple(asked), made, complete=True, title=answers["title"])

"""Asks for what a first scene needs, unless it came as options, and tries each answer as the reader of scenes would."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from earshed.model.scene_file.answers import Answers, Refused
from earshed.model.scene_file.drafting import Drafted, drafted
from earshed.model.scene_file.usual import usual
from earshed.viewer.output import OutputError
from earshed.viewer.questions import QUESTIONS, Question


@dataclass(frozen=True)
class Talk:
    """How to speak with whoever runs the command: `say` a line, `ask` for one (None where input has ended), and `show`
    what the answers make at the end of a step, with the step's name."""

    say: Callable[[str], None]
    ask: Callable[[str], str | None]
    show: Callable[[str, Drafted], None]


@dataclass(frozen=True)
class Given:
    """What is known before anything is asked: answers that came as options, the usual title, and whether the rest is
    to be answered in the usual way where there is one."""

    answers: Mapping[str, str]
    title: str
    takes_usual: bool


def interview(given: Given, talk: Talk) -> Drafted:
    """What the answers to all questions make. Raises OutputError for options that will not do, and where input ends
    before all is known."""
    answers = {key: given.answers[key] for key in ("bare_lengths",) if key in given.answers}
    steps = list(dict.fromkeys(question.step for question in QUESTIONS))
    for step in steps:
        for question in (each for each in QUESTIONS if each.step == step):
            if question.asked(answers):
                answers = _answered(question, answers, given, talk)
            elif question.key in given.answers:
                raise OutputError(f"{question.option} {given.answers[question.key]}: {question.unasked}")
        made = drafted(answers)
        talk.show(step, made)
    return made


def _answered(question: Question, answers: Answers, given: Given, talk: Talk) -> dict[str, str]:
    """The answers with one more: as given, as usual, or as asked for until it will do."""
    if question.key in given.answers:
        return _tried_option(question, answers, given.answers[question.key])
    ordinary = usual_answer(question, answers, given.title)
    if given.takes_usual and ordinary is not None:
        return _tried_option(question, answers, ordinary)
    prompt = question.prompt(ordinary)
    while True:
        text = talk.ask(prompt)
        if text is None:
            raise OutputError(_ended(question, answers, given))
        try:
            return tried(question, answers, text.strip() or ordinary or "")
        except Refused as refused:
            talk.say(f"  {refused}")


def _tried_option(question: Question, answers: Answers, text: str) -> dict[str, str]:
    try:
        return tried(question, answers, text)
    except Refused as refused:
        raise OutputError(f"{question.option} {text}: {refused}") from None


def tried(question: Question, answers: Answers, text: str) -> dict[str, str]:
    """The answers with one more, once a scene has been made of them. Raises Refused."""
    told = {**answers, question.key: question.read(text)}
    drafted(_with_rest_of_step(question, told))
    return told


def _with_rest_of_step(question: Question, answers: Answers) -> Answers:
    """The answers with usual ones to what is still to be asked in the same step, so that they can be tried."""
    told = dict(answers)
    after = QUESTIONS[QUESTIONS.index(question) + 1 :]
    for later in after:
        if later.step == question.step and later.has_usual and later.asked(told):
            told[later.key] = usual(later.key, told)
    return told


def usual_answer(question: Question, answers: Answers, title: str) -> str | None:
    """What a question is answered with if nothing is said; None where there is no such answer."""
    if question.key == "title":
        return title
    return usual(question.key, answers) if question.has_usual else None


def _ended(question: Question, answers: Answers, given: Given) -> str:
    """What to say where input ends at a question: what is still needed, and what could be taken as usual."""
    after = QUESTIONS[QUESTIONS.index(question) :]
    missing = [each for each in after if each.key not in given.answers and each.asked(answers)]
    needed = ", ".join(each.option for each in missing if not each.has_usual)
    others = ", ".join(each.option for each in missing if each.has_usual)
    words = [f"still needed: {needed}"] if needed else []
    words += [f"{'and' if needed else 'still to be answered:'} {others}, or --yes for the usual"] if others else []
    return f"input ended before the room was known, so nothing is written; {', '.join(words)}"

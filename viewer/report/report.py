"""A report put together: its head, and its sections in the order in which a client asks."""

from __future__ import annotations

from earshed.viewer.report.assumed import assumed, cautions, checked, glossary
from earshed.viewer.report.blocks import Block, Head, Report, Section, Words, tidied
from earshed.viewer.report.details import before_and_after, layout, speakers, the_room
from earshed.viewer.report.facts import Facts
from earshed.viewer.report.logos import logo_picture
from earshed.viewer.report.questions import questions
from earshed.viewer.report.shots import Shots
from earshed.viewer.report.summary import summary
from earshed.viewer.report.work import changes, handover
from earshed.viewer.wording import scheme_words


def head_of(facts: Facts) -> Head:
    """Raises SceneError for a logo that is no picture."""
    scene, letter = facts.scene, facts.scene.letterhead
    before = f", against {facts.before.scheme or 'the scene itself'}" if facts.before is not None else ""
    return Head(
        scene.title,
        f"{scheme_words(scene)}{before}" if scene.scheme else "as it stands",
        facts.date,
        letter.client,
        letter.installer,
        letter.contact,
        letter.color,
        logo_picture(letter.logo, "logo", facts.path),
        logo_picture(letter.client_logo, "client_logo", facts.path),
    )


def report_of(facts: Facts, shots: Shots, head: Head) -> Report:
    """Everything that is told, before any appendix."""
    first, *more = summary(facts)
    told: list[Block] = [
        Words(first, "first"),
        *(Words(one, "bad" if one.startswith("Not ready") else "plain") for one in more),
    ]
    sections = [
        Section("summary", "In short", tuple(told)),
        *questions(facts, shots),
        the_room(facts, shots),
        before_and_after(facts, shots),
        speakers(facts, shots),
        layout(facts),
        assumed(facts),
        checked(facts),
        cautions(),
        changes(facts),
        handover(facts, shots),
        glossary(),
    ]
    return tidied(Report(head, tuple(one for one in sections if one is not None)))

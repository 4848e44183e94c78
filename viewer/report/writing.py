"""A report from a scene to the bytes of a file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from earshed.model.scene import Scene
from earshed.viewer.collecting import free_pages
from earshed.viewer.pages.report_page import report_page
from earshed.viewer.report.appendix import appendix_pictures, appendix_sheets
from earshed.viewer.report.facts import Facts, facts_of
from earshed.viewer.report.paper import report_pdf
from earshed.viewer.report.report import head_of, report_of
from earshed.viewer.report.shots import steps_of, take_shots
from earshed.viewer.sheets.paper_size import PaperSize

STEPS = 100
"""Of the bar that shows how far one is: a part of them for each picture, the rest for what is found and written."""
FOUND, DRAWN = 12, 70


@dataclass(frozen=True)
class Wanted:
    """How a report is written: on paper of a size, or as a page; with an appendix or without."""

    on_paper: bool
    appendix: bool
    paper: PaperSize


class Bar(Protocol):
    """What shows how far one is."""

    def update(self, n_steps: int) -> None: ...


def written(path: Path, scene: Scene, before: Scene | None, date: str, wanted: Wanted, bar: Bar) -> tuple[Facts, bytes]:
    """What was found in a scene of a file, and its report. Raises SceneError."""
    facts = facts_of(path, scene, before, date, lambda: bar.update(FOUND // 2))
    head = head_of(facts)
    count, done = steps_of(facts), 0

    def advance() -> None:
        nonlocal done
        bar.update(DRAWN * (done + 1) // count - DRAWN * done // count)
        done += 1

    report = report_of(facts, take_shots(facts, advance), head)
    sheets = appendix_sheets(facts, wanted.paper) if wanted.appendix else []
    if wanted.on_paper:
        content = report_pdf(report, facts.scene, sheets, wanted.paper)
    else:
        content = report_page(report, appendix_pictures(sheets, facts.scene, date))
    free_pages()
    bar.update(STEPS)
    return facts, content

"""Documents of several sheets: a mark-out, a wiring schedule, and the whole pack."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from earshed.model.checks.run import find_all
from earshed.model.checks.wiring import schedule_findings
from earshed.model.finding import SEVERITIES, Finding
from earshed.model.mark_out.mark_out import MarkOut
from earshed.model.pairs import seat_pairs
from earshed.model.scene import Scene
from earshed.model.search.place import Place
from earshed.model.sound.early import Early, Reflections
from earshed.model.sound.reverberation import Reverberation
from earshed.model.wiring.schedule import Schedule, wire
from earshed.viewer.sheets.check_page import check_sheets
from earshed.viewer.sheets.commission_page import commission_sheets
from earshed.viewer.sheets.cover import cover_sheets
from earshed.viewer.sheets.files import pdf_of
from earshed.viewer.sheets.hole_page import hole_sheets
from earshed.viewer.sheets.label_page import label_sheets
from earshed.viewer.sheets.markout_page import markout_sheets
from earshed.viewer.sheets.paper_size import PaperSize
from earshed.viewer.sheets.photo_page import photo_sheets
from earshed.viewer.sheets.plans import PlanOptions, plan_sheets
from earshed.viewer.sheets.reflection_page import reflection_sheets
from earshed.viewer.sheets.sheet import Sheet
from earshed.viewer.sheets.title_block import stamp
from earshed.viewer.sheets.type_page import type_sheets
from earshed.viewer.sheets.wire_page import wire_sheets
from earshed.viewer.wire_rows import cables_at_speakers


@dataclass(frozen=True)
class Print:
    """The paper that sheets are printed on, and the date that stands on them."""

    paper: PaperSize
    date: str


def markout_pdf(made: MarkOut, seconds: Mapping[str, Place], print_: Print) -> bytes:
    """The pages of all holes together, and one for each to carry up."""
    return _pdf(made.scene, "mark-out", every_markout_sheet(made, seconds, print_.paper), print_)


def wire_pdf(schedule: Schedule, findings: Sequence[Finding], print_: Print) -> bytes:
    """The wiring schedule, and labels for its cables."""
    sheets = [*wire_sheets(schedule, findings, print_.paper), *label_sheets(schedule, print_.paper)]
    return _pdf(schedule.scene, "wiring", sheets, print_)


def commission_pdf(scene: Scene, print_: Print) -> bytes:
    """The sheet to fill in once all is wired, and the photos that were taken."""
    sheets = [*commission_sheets(scene, print_.paper), *photo_sheets(scene, print_.paper)]
    return _pdf(scene, "commissioning", sheets, print_)


def types_pdf(scene: Scene, print_: Print) -> bytes:
    """A page for each speaker type that is placed."""
    return _pdf(scene, "speaker types", type_sheets(scene, print_.paper), print_)


def reflections_pdf(
    heard: Reflections, early: Sequence[Early], lasts: Reverberation, findings: Sequence[Finding], print_: Print
) -> bytes:
    """The paths of each speaker, and how long sound lasts."""
    return _pdf(heard.scene, "reflections", reflection_sheets(heard, early, lasts, findings, print_.paper), print_)


def pack_sheets(
    scene: Scene, made: MarkOut | None, seconds: Mapping[str, Place], plans: PlanOptions, paper: PaperSize
) -> list[Sheet]:
    """Everything that goes up the ladder: the cover, what was checked, plans, the mark-out where there are holes, the
    wiring where the scene says where the rack is, and what to measure at the end where there are seats."""
    pairs = seat_pairs(scene)
    sheets = check_sheets(scene, pairs, find_all(scene, pairs), paper)
    sheets += plan_sheets(scene, plans).values()
    if made is not None:
        sheets += every_markout_sheet(made, seconds, paper)
    schedule = wire(scene)
    if schedule is not None and schedule.runs:
        findings = sorted(schedule_findings(schedule), key=lambda one: SEVERITIES.index(one.severity))
        sheets += [*wire_sheets(schedule, findings, paper), *label_sheets(schedule, paper)]
    if scene.seats and scene.judged:
        sheets += [*commission_sheets(scene, paper), *photo_sheets(scene, paper)]
    return [*cover_sheets(scene, sheets, paper), *sheets]


def pack_pdf(
    scene: Scene, made: MarkOut | None, seconds: Mapping[str, Place], plans: PlanOptions, print_: Print
) -> bytes:
    """The whole pack as one document."""
    return _pdf(scene, "pack", pack_sheets(scene, made, seconds, plans, print_.paper), print_)


def every_markout_sheet(made: MarkOut, seconds: Mapping[str, Place], paper: PaperSize) -> list[Sheet]:
    """The sheets of a mark-out, each hole with the cable that goes there where the scene says where the rack is."""
    schedule = wire(made.scene)
    cables = {} if schedule is None else cables_at_speakers(schedule)
    sheets = markout_sheets(made, paper)
    for mark in made.holes:
        name = mark.speaker.name
        sheets += hole_sheets(made, mark, seconds.get(name), paper, cables.get(name, ""))
    return sheets


def _pdf(scene: Scene, what: str, sheets: Sequence[Sheet], print_: Print) -> bytes:
    stamp(sheets, scene, print_.date)
    return pdf_of(sheets, f"{scene.title}: {what}")

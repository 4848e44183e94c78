"""A page of what was checked: directions of the speakers, the picture, what each seat gets, and what is not settled."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from earshed.model.directions import directions
from earshed.model.finding import Finding
from earshed.model.pairs import Pair
from earshed.model.picture_view import picture_views
from earshed.model.scene import Scene
from earshed.model.seating import upright_seats
from earshed.model.units import format_angle
from earshed.viewer import palette
from earshed.viewer.check_rows import PICTURE_HEADS, heard_row, picture_row, picture_title, system_words
from earshed.viewer.sheets.flow import Flow, Style
from earshed.viewer.sheets.paper_size import PaperSize
from earshed.viewer.sheets.sheet import Sheet, new_sheet
from earshed.viewer.wording import starred

HEAD, PART, PLAIN = Style(16.0, bold=True), Style(11.0, bold=True), Style(9.5)
DIM = Style(9.0, color=palette.SOFT_INK)
INKS = {"error": palette.LIMIT, "warning": palette.INK, "note": palette.SOFT_INK}
MOST_SEATS = 5
"""Columns of seats beside each other."""


def check_sheets(scene: Scene, pairs: Sequence[Pair], findings: Sequence[Finding], paper: PaperSize) -> list[Sheet]:
    """What `earshed check` prints, on as many pages as it needs."""
    flow = Flow(lambda: new_sheet(paper, "Checks"))
    flow.words("What was checked", HEAD)
    _unsettled(flow, findings)
    _seats(flow, scene, pairs)
    _directions(flow, scene)
    _picture(flow, scene)
    return flow.sheets


def _part(flow: Flow, title: str) -> None:
    flow.need(25.0)
    flow.gap(3.5)
    flow.words(title, PART)
    flow.gap(0.5)


def _unsettled(flow: Flow, findings: Sequence[Finding]) -> None:
    told = [one for one in findings if one.severity != "note"]
    _part(flow, "Not settled" if told else "No errors and no warnings")
    for finding in told:
        style = Style(PLAIN.size, bold=finding.severity == "error", color=INKS[finding.severity])
        flow.words(f"{finding.severity}: {finding.subject}: {finding.message}", style)
        flow.gap(0.6)


def _seats(flow: Flow, scene: Scene, pairs: Sequence[Pair]) -> None:
    seats = upright_seats(scene.seats)
    if not seats or not pairs:
        return
    by_names = {(pair.speaker.name, pair.seat.name): pair for pair in pairs}
    _part(flow, "What each seat gets: degrees off the axis, and the verdict")
    for part in np.array_split(np.arange(len(seats)), -(-len(seats) // MOST_SEATS)):
        shown = [seats[index] for index in part]
        rows = [
            [speaker.name, *(_verdict(by_names[speaker.name, seat.name]) for seat in shown)] for speaker in scene.judged
        ]
        flow.table(["", *map(starred, shown)], rows, [1.4, *(1.0 for _ in shown)], PLAIN)
        flow.gap(1.5)
    flow.words("covered: to -3 dB; fringe: to -6 dB; outside: beyond. * main seat", DIM)


def _verdict(pair: Pair) -> str:
    blocked = "" if pair.visible else f", behind {pair.obstacle}"
    return f"{format_angle(pair.off_axis)} {pair.verdict}{blocked}"


def _directions(flow: Flow, scene: Scene) -> None:
    heard = directions(scene)
    if not heard:
        return
    _part(flow, "Directions, from the middle of the main seats")
    heads = ["", "heard aside", "asked", "heard up", "asked", "", "at seats"]
    rows = [
        [row.name, row.aside, row.asked_aside, row.up, row.asked_up, row.verdict, row.seats]
        for row in map(heard_row, heard)
    ]
    flow.table(heads, rows, [1.5, 1.1, 1.5, 1.0, 1.3, 0.9, 0.8], PLAIN)
    if asked := system_words(scene, heard):
        flow.gap(0.8)
        flow.words(asked, DIM)


def _picture(flow: Flow, scene: Scene) -> None:
    views = picture_views(scene.screen, scene.seats) if scene.screen is not None else []
    if scene.screen is None or not views:
        return
    _part(flow, picture_title(scene.screen, scene.print_units))
    rows = [picture_row(view, scene.print_units) for view in views]
    flow.table(list(PICTURE_HEADS), rows, [1.5, 1.0, 0.8, 0.8, 1.2, 1.2, 0.8], PLAIN)

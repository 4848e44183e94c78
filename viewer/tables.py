"""Tables for people, in the terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence, Set
from pathlib import Path

import numpy as np
from rich.console import Console, ConsoleOptions, RenderableType
from rich.segment import Segment
from rich.table import Table
from rich.text import Text

from earshed.model.checks.survey import reading_name
from earshed.model.coverage_map import CoverageMap
from earshed.model.directions import Directions, directions
from earshed.model.finding import Finding
from earshed.model.heading import heading_words, lean_words
from earshed.model.pairs import Pair, best_of_seats
from earshed.model.picture_view import PictureView, picture_views
from earshed.model.room import Room
from earshed.model.scene import Scene
from earshed.model.screen import WallPatch
from earshed.model.seating import reclined_name, upright_seats
from earshed.model.survey import Survey
from earshed.model.units import FOOT, PrintUnits, format_angle, format_length, format_pitch
from earshed.viewer.cavity_table import CavityTable, cavity_table
from earshed.viewer.check_rows import PICTURE_HEADS, heard_row, picture_row, picture_title, system_words
from earshed.viewer.output import ReaderGone
from earshed.viewer.wording import UNDIRECTED, called, scheme_words, shortened, starred, with_degree_signs

VERDICT_MARKS = {"covered": ("●", "green"), "fringe": ("◐", "yellow"), "outside": ("✕", "red")}
SEVERITY_STYLES = {"error": "bold red", "warning": "yellow", "note": "dim"}
NOT_BROKEN = (
    "from left", "from front", "height", "tilt", "inside angle", "taped", "fitted", "difference",
    "designed", "as built", "change", "least", "as drawn", "most", "aside", "up",
)  # fmt: skip
"""Columns of figures, which make no sense in two lines."""
FINISH_WORDS = {"board": "", "deck": ", bare deck", "tiles": ", tiles in a grid"}
SPEAKER_COLUMN, SEAT_COLUMN = 16, 12
"""Letters of width under which a column of names, and one of verdicts, is no longer easy to read."""
LEVEL = 1e-6
"""Radians under which a face is called level."""


def print_check(scene: Scene, pairs: Sequence[Pair], findings: Sequence[Finding]) -> None:
    console = PlainConsole()
    console.print(Text(shortened(scene.title), style="bold"))
    console.print(Text(scheme_words(scene), style="dim"))
    console.print()
    console.print(_room_table(scene.room, scene.print_units))
    if scene.survey:
        _print_survey(console, scene, scene.survey)
    _print_cavities(console, cavity_table(scene))
    if scene.speakers:
        for table in _speaker_tables(scene):
            console.print(table)
    if pairs:
        for table in _seat_tables(scene, pairs, console.width):
            console.print(table)
        console.print(
            Text(
                "off-axis angle at each seat: ● covered (to -3 dB), ◐ fringe (to -6 dB), ✕ outside; "
                "* main seat; (blocked) no line of sight" + _brackets(pairs),
                style="dim",
            )
        )
        console.print()
    if heard := directions(scene):
        _print_directions(console, scene, heard)
    if scene.screen and (views := picture_views(scene.screen, scene.seats)):
        console.print(_picture_table(scene.screen, views, scene.print_units))
    print_findings(console, findings)


def print_map(files: Sequence[Path], cover: CoverageMap, findings: Sequence[Finding]) -> None:
    """What a map says in short, what stands against it, and where its files are."""
    console = PlainConsole()
    console.print(Text("Share of the seating area (the seats and 2 ft round them)", style="bold"))
    table = bare_table("", "", "covered", "fringe", "outside", "of it in shadow")
    for name, shares in cover.speaker_shares.items():
        hidden = sum(cover.hidden_shares[name].values())
        table.add_row(Text(name), *(f"{share:.0%}" for share in (*shares.values(), hidden)))
    of_set = (*cover.set_shares.values(), cover.unseen_share)
    table.add_row(Text("the set, by its worst channel"), *(f"{share:.0%}" for share in of_set))
    console.print(table)
    console.print()
    print_findings(console, [finding for finding in findings if finding.severity != "note"] or findings)
    console.print(Text("Written", style="bold"))
    for path in files:
        console.print(Text(f"  {path}"), soft_wrap=True)


ON_LINES = {sign: instead for sign, instead in UNDIRECTED.items() if sign != ord("\n")}
"""What becomes of signs that turn others or steer a terminal, in what is laid out in lines already."""


class PlainConsole(Console):
    """A console that prints names as they are, whatever brackets and colons they hold, but for signs that turn what
    stands beside them or steer the terminal."""

    def __init__(self) -> None:
        super().__init__(highlight=False, markup=False, emoji=False)

    def render(self, renderable: RenderableType, options: ConsoleOptions | None = None) -> Iterable[Segment]:
        for part in super().render(renderable, options):
            yield part if part.control else Segment(part.text.translate(ON_LINES), part.style)

    def on_broken_pipe(self) -> None:
        """Leaves it to the command line's end that the reader has gone."""
        raise ReaderGone


def print_findings(console: Console, findings: Sequence[Finding]) -> None:
    if not findings:
        console.print(Text("No findings.", style="green"))
        return
    for finding in findings:
        line = Text(f"{finding.severity}: ", style=SEVERITY_STYLES[finding.severity])
        line.append(f"{finding.subject}: ", style="bold")
        line.append(finding.message, style="")
        console.print(line)


def bare_table(title: str, *columns: str) -> Table:
    """A table without rules; columns of figures keep to one line."""
    table = Table(
        title=title or None, title_justify="left", title_style="bold", box=None, pad_edge=False, padding=(0, 2, 0, 0)
    )
    for column in columns:
        table.add_column(column, header_style="dim", overflow="fold", no_wrap=column in NOT_BROKEN)
    return table


def _room_table(room: Room, units: PrintUnits) -> Table:
    table = bare_table("Room", "", "")
    table.show_header = False
    table.add_row("plan", f"{format_length(room.plan.width, units)} by {format_length(room.plan.length, units)}")
    table.add_row("floor", _area(room.floor_area, units))
    table.add_row("ceiling", _area(room.ceiling_area, units))
    table.add_row("air", _volume(room.volume, units))
    for face in room.surfaces:
        if face.kind == "ceiling":
            slope = f"{format_angle(face.slope)}, {format_pitch(face.slope)}" if face.slope > LEVEL else "level"
            table.add_row(Text(face.name), slope + FINISH_WORDS[face.finish])
    table.add_row()
    return table


def _print_survey(console: Console, scene: Scene, survey: Survey) -> None:
    """The corners of a walked room as fitted, and how each reading fits them."""
    units, plan = scene.print_units, scene.room.plan
    corners = bare_table("Corners, the best fit", "", "from left", "from front", "inside angle")
    for name, (x, y), angle in zip(plan.corner_names, plan.corners, survey.inside_angles, strict=True):
        corners.add_row(
            name, format_length(float(x), units), format_length(float(-y), units), format_angle(float(angle))
        )
    readings = bare_table("Readings", "", "taped", "fitted", "difference")
    for position, figures in enumerate(zip(survey.notes.lengths, survey.fitted, survey.residuals, strict=True)):
        readings.add_row(reading_name(scene, position), *(format_length(float(figure), units) for figure in figures))
    for table in (corners, readings):
        table.add_row()
        console.print(table)


def _print_directions(console: Console, scene: Scene, heard: Sequence[Directions]) -> None:
    """From where each speaker is heard in the middle of the main seats, over what is asked, and at how many of those
    seats it is inside."""
    table = bare_table("Directions, from the middle of the main seats", "", "aside", "up", "", "at seats")
    for row in map(heard_row, heard):
        verdict = Text(row.verdict, style="green" if row.inside else "red")
        table.add_row(Text(row.name), row.aside, row.up, verdict, row.seats)
        table.add_row("  asked", row.asked_aside, row.asked_up, style="dim")
    console.print(table)
    if asked := system_words(scene, heard):
        console.print(Text(asked, style="dim"))
    console.print()


def _picture_table(screen: WallPatch, views: Sequence[PictureView], units: PrintUnits) -> Table:
    """How each seat sees the picture."""
    table = bare_table(picture_title(screen, units), *PICTURE_HEADS)
    for view in views:
        table.add_row(*map(Text, picture_row(view, units)))
    table.add_row()
    return table


def _print_cavities(console: Console, cavities: CavityTable) -> None:
    """What is behind the faces, where anything is known of it."""
    if not cavities.rows:
        return
    table = bare_table("Cavities", *cavities.heads)
    for row in cavities.rows:
        table.add_row(*map(Text, row))
    console.print(table)
    if cavities.remark:
        console.print(Text(cavities.remark, style="dim"))
    console.print()


def _area(square_metres: float, units: PrintUnits) -> str:
    return f"{square_metres / FOOT**2:.1f} sq ft" if units == "ft-in" else f"{square_metres:.2f} m²"


def _volume(cubic_metres: float, units: PrintUnits) -> str:
    return f"{cubic_metres / FOOT**3:,.0f} cu ft" if units == "ft-in" else f"{cubic_metres:.2f} m³"


def _speaker_tables(scene: Scene) -> Iterator[Table]:
    """Where each speaker is, then how those with a verdict are turned."""
    table = bare_table("Speakers", "name", "type", "from left", "from front", "height")
    for speaker in scene.speakers:
        x, y, z = speaker.position
        places = [format_length(float(value), scene.print_units) for value in (x, -y, z)]
        table.add_row(Text(called(speaker)), Text(f"{speaker.type.name}"), *places)
    table.add_row()
    yield table
    if scene.judged:
        turned = bare_table("", "", "tilt", "leans on its face", "points in plan")
        for speaker in scene.judged:
            words = (lean_words(speaker.normal, speaker.axis), heading_words(speaker.axis))
            turned.add_row(Text(speaker.name), format_angle(speaker.tilt), *map(with_degree_signs, words))
        turned.add_row()
        yield turned


def _seat_tables(scene: Scene, pairs: Sequence[Pair], width: int) -> Iterator[Table]:
    """A row for each speaker, a column for each seat, and where any reclines a second row; split to fit the width."""
    counted = set(best_of_seats(pairs))
    cells = {(pair.speaker.name, pair.seat.name): _seat_cell(pair, counted) for pair in pairs}
    seats = upright_seats(scene.seats)
    tables = -(-len(seats) // max(1, (width - SPEAKER_COLUMN) // SEAT_COLUMN))
    for part in np.array_split(np.arange(len(seats)), tables):
        shown = [seats[index] for index in part]
        title = "What each seat gets" if part[0] == 0 else ""
        table = bare_table(title, "", *map(starred, shown))
        for speaker in scene.judged:
            table.add_row(Text(speaker.name), *(cells[speaker.name, seat.name] for seat in shown))
            reclined = [cells.get((speaker.name, reclined_name(seat.name)), Text()) for seat in shown]
            if any(reclined):
                table.add_row(Text("  reclined", style="dim"), *reclined)
        if part[-1] < len(seats) - 1:
            table.add_row()
        yield table


def _brackets(pairs: Sequence[Pair]) -> str:
    told = "; in brackets where another speaker of the channel is louder, or as loud and nearer, and counts instead"
    return told if len(best_of_seats(pairs)) < len(pairs) else ""


def _seat_cell(pair: Pair, counted: Set[Pair]) -> Text:
    cell = verdict_text(pair)
    return cell if pair in counted else Text.assemble("(", cell, ")")


def verdict_text(pair: Pair | None) -> Text:
    """The off-axis angle of a pair and its verdict, by sign, word and color; nothing for none."""
    if pair is None:
        return Text()
    mark, style = VERDICT_MARKS[pair.verdict]
    cell = Text(f"{format_angle(pair.off_axis)} ")
    cell.append(f"{mark} {pair.verdict}", style=style)
    if not pair.visible:
        cell.append(" (blocked)", style="bold red")
    return cell

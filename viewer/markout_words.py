"""Phrases of a mark-out: where each tape begins, which way it goes, and what it reads."""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction

from earshed.model.geometry import PARALLEL
from earshed.model.heading import heading_words
from earshed.model.mark_out.edges import SLOPES
from earshed.model.mark_out.floor_mark import FloorMark, FloorTape
from earshed.model.mark_out.hole_mark import HoleMark
from earshed.model.mark_out.ruler import Ruler
from earshed.model.mark_out.tapes import Tapes
from earshed.model.moves import way_words
from earshed.model.neighbors import Near
from earshed.model.surface import Surface
from earshed.model.units import FOOT, INCH, PrintUnits, format_angle, format_length, format_pitch

LEANS_UP = 0.5
"""Share of a lean that goes up or down a slope, from which it is said to."""


def square_name(tapes: Tapes) -> str:
    """What the tape square to the base measures: "slope", "height", "out"."""
    face = tapes.base.face
    if face.kind == "wall":
        return "height"
    return "slope" if face.slope >= SLOPES and tapes.base.is_level else "out"


def square_from(tapes: Tapes) -> str:
    """Which way the tape square to the base goes, and from where: "up the slope from the low crease at wall 1"."""
    base, name = tapes.base, square_name(tapes)
    if name == "height":
        return f"{'up' if base.is_low else 'down'} from {base.name}"
    if name == "slope":
        return f"{'up' if base.is_low else 'down'} the slope from {base.name}"
    return f"square out from {base.name}"


def along_from(tapes: Tapes) -> str:
    """Which way the tape along the base goes, and from where."""
    start, face = tapes.start, tapes.base.face
    towards = way_words(face, tapes.way @ face.frame)
    if start.kind == "corner":
        return f"along {tapes.base.name} from its end at {start.name}, {towards}; then square to it"
    if tapes.on_start:
        return f"on {start.name}"
    if start.kind == "plane" and towards in ("towards the left", "towards the right"):
        return f"to the {towards.removeprefix('towards the ')} of {start.name}"
    return f"from {start.name}, {towards}"


def edge_words(metres: float, ruler: Ruler) -> str:
    """The nearer edge of the cut-out on the same tape."""
    return f"near edge {ruler.text(metres)}" if metres > 0 else f"near edge {ruler.text(-metres)} past it"


def along_words(tapes: Tapes, ruler: Ruler) -> str:
    """The level tape in full."""
    if tapes.on_start and tapes.start.kind != "corner":
        return along_from(tapes)
    return f"{ruler.text(tapes.along)} {along_from(tapes)}, {edge_words(tapes.along_edge, ruler)}"


def square_words(tapes: Tapes, ruler: Ruler) -> str:
    """The tape square to the base in full."""
    return f"{ruler.text(tapes.square)} {square_from(tapes)}, {edge_words(tapes.square_edge, ruler)}"


def check_words(tapes: Tapes, ruler: Ruler) -> Iterator[tuple[str, str]]:
    """Tapes that prove the two, each with its name: from the ends of the base, which show a corner that is not square,
    and from the edge across."""
    for way, length in tapes.checks:
        towards = heading_words(way) if abs(way[2]) < LEANS_UP else ("upper" if way[2] > 0 else "lower")
        yield "corner", f"{ruler.text(length)} from the {towards} end of {tapes.base.name}"
    if tapes.across is not None:
        edge, length = tapes.across
        yield "across", f"{ruler.text(length)} {way_words(edge.face, edge.inward @ edge.face.frame)} from {edge.name}"


def floor_words(floor: FloorMark, ruler: Ruler) -> str:
    """Where the plumb mark is, and how high the center is over it."""
    told = ", ".join(_floor_tape(tape, ruler) for tape in floor.tapes)
    where = "" if floor.on == "the floor" else f" on {floor.on}"
    return f"{told}{where}; the center is {ruler.text(floor.height)} up"


def _floor_tape(tape: FloorTape, ruler: Ruler) -> str:
    if ruler.rounded(tape.distance) == 0.0:
        return f"on {tape.start}"
    return f"{ruler.text(tape.distance)} {f'{tape.side} of' if tape.side else 'from'} {tape.start}"


def slope_words(face: Surface) -> str:
    """How steep a face is, in degrees and as rise in 12."""
    if face.kind == "wall":
        return "upright"
    return "level" if face.slope < SLOPES else f"{format_angle(face.slope)}, {format_pitch(face.slope)}"


def near_words(face: Surface, near: Near, ruler: Ruler) -> str:
    """How far from the edge of the cut something is, and which way."""
    if near.gap < 0:
        return f"runs into {near.name} by {ruler.text(-near.gap)}"
    return f"{ruler.text(near.gap)} {way_words(face, near.way)} to {near.name}"


def wood_words(mark: HoleMark, ruler: Ruler) -> str:
    """Wood, and what is hidden, on both sides of the cut."""
    return (
        "; ".join(near_words(mark.hole.surface, near, ruler) for near in mark.wood) or "none known: find it, and probe"
    )


def light_words(mark: HoleMark, ruler: Ruler) -> str:
    """The nearest light, rim to rim and center to center."""
    if mark.light is None:
        return "none on this face"
    light, way = mark.light, way_words(mark.hole.surface, mark.light.way)
    return f"{light.light.name}: {ruler.text(light.centers)} center to center, {way}; {ruler.text(light.gap)} clear"


def room_words(mark: HoleMark, ruler: Ruler) -> str:
    """How far the hole can be moved each way and stay clear of all that is known."""
    if mark.old is not None:
        return "none: the hole is there"
    told = []
    for slide in mark.slides:
        whole = _down(slide.distance, ruler)
        length = f"over {ruler.text(FOOT)}" if slide.distance > FOOT else (ruler.text(whole) if whole else "none")
        told.append(f"{length} {way_words(mark.hole.surface, slide.way)}")
    return ", ".join(told)


def _down(metres: float, ruler: Ruler) -> float:
    """Down to a mark: what there is room for, and no more."""
    return math.floor(metres / ruler.mark + 1e-6) * ruler.mark


def depth_words(mark: HoleMark, units: PrintUnits) -> str:
    """The depth that is needed behind the board, and what there is."""
    free = mark.cavity.free if mark.cavity.free is not None else mark.cavity.most
    if mark.needed is None:
        needed = "not stated: measure the speaker before you cut"
    else:
        needed = f"{format_length(mark.needed, units)} needed behind the board"
    if free is None:
        return f"{needed}; how deep it is there is not known: measure it in the test hole"
    if math.isinf(free):
        return f"{needed}; it is open there"
    held = mark.cavity.insulation is not None and mark.cavity.insulation.gives_way
    most = "at the most " if mark.cavity.free is None else ""
    return f"{needed}; {most}{format_length(free, units)} there{' with the insulation held back' if held else ''}"


def board_words(mark: HoleMark, units: PrintUnits) -> str:
    """What the saw goes through and meets."""
    cavity = mark.cavity
    board = format_length(cavity.board, units) + ("" if cavity.board_known else " taken, not known")
    told = [f"board {board}"]
    if cavity.insulation is not None:
        thick = cavity.insulation.thickness
        told.append(f"{cavity.insulation.kind} insulation {'full' if thick is None else format_length(thick, units)}")
    if cavity.vent_gap:
        told.append(f"keep {format_length(cavity.vent_gap, units)} open for the roof to breathe")
    return ", ".join(told)


def old_words(mark: HoleMark, units: PrintUnits) -> str:
    """What is to be done with a hole that is there; empty where there is none."""
    if mark.old is None:
        return ""
    if mark.old.larger == 0.0:
        return f"the hole is there: {mark.old.hole.name}; nothing is sawn"
    return f"{mark.old.hole.name} is there: cut it {format_length(mark.old.larger, units)} wider, about this center"


def downhill_words(mark: HoleMark) -> str:
    """Whether a speaker leans up or down the slope that it is in; empty where it does neither, or is in no slope."""
    speaker, face = mark.speaker, mark.hole.surface
    lean = speaker.axis - (speaker.axis @ speaker.normal) * speaker.normal
    length = float((lean @ lean) ** 0.5)
    if length < PARALLEL or face.kind == "wall" or face.slope < SLOPES:
        return ""
    up = float(lean @ face.frame[1]) / length
    return "" if abs(up) < LEANS_UP else f"{'up' if up > 0 else 'down'} the slope"


def leaves_words(ruler: Ruler) -> str:
    """What rounding leaves, and what a crease that is not straight does."""
    half = _half_mark(ruler)
    crooked = format_length(INCH / 4 if ruler.units == "ft-in" else 0.006, ruler.units)
    return (
        f"Printed to {ruler.text(ruler.mark)}: each figure is within {half} of the design. A crease that bows by "
        f"{crooked} moves what is taped from it by as much: sight along it first, and tape every slope from one crease "
        "and every level from one line."
    )


def _half_mark(ruler: Ruler) -> str:
    if ruler.units == "ft-in":
        return f'{Fraction(ruler.mark / INCH).limit_denominator(64) / 2}"'
    return f"{ruler.mark * 500:g} mm"

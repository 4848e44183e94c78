"""Phrases of a mark-out: what is round a hole and behind it, and how the speaker in it is turned."""

from __future__ import annotations

import math
from fractions import Fraction

from earshed.model.geometry import PARALLEL, Array
from earshed.model.mark_out.edges import SLOPES
from earshed.model.mark_out.floor_mark import FloorMark, FloorTape
from earshed.model.mark_out.hole_mark import HoleMark
from earshed.model.moves import way_words
from earshed.model.neighbors import Near
from earshed.model.ruler import Ruler
from earshed.model.surface import Surface
from earshed.model.units import FOOT, INCH, PrintUnits, format_angle, format_length, format_pitch
from earshed.viewer.wording import with_degree_signs

ASKEW = math.radians(30.0)
"""From the front, past which left and right of the picture are not those of the room."""
LEANS_UP = 0.5
"""Share of a lean that goes up or down a slope, from which it is said to."""


def floor_words(floor: FloorMark, ahead: Array, ruler: Ruler) -> str:
    """Where the plumb mark is, and how high the center is over it; `ahead` (2,) is the way that seats face."""
    told = ", ".join(_floor_tape(tape, ahead, ruler) for tape in floor.tapes)
    where = "" if floor.on == "the floor" else f" on {floor.on}"
    return f"{told}{where}; center {ruler.text(floor.height)} up"


def _floor_tape(tape: FloorTape, ahead: Array, ruler: Ruler) -> str:
    if ruler.rounded(tape.distance) == 0.0:
        return f"on {tape.start}"
    if not tape.side:
        return f"{ruler.text(tape.distance)} from {tape.start}"
    return f"{ruler.text(tape.distance)} {tape.side} of {tape.start}{facing_words(ahead)}"


def facing_words(ahead: Array) -> str:
    """What is added to a left or a right that is meant as one faces the picture, where that is not at the front, as the
    names of the walls have it; `ahead` (2,) is the way that seats face."""
    return "" if ahead[1] > math.cos(ASKEW) else " as you face the picture"


def slope_words(face: Surface) -> str:
    """How steep a face is, in degrees and as rise in 12; empty for a wall."""
    if face.kind == "wall":
        return ""
    return "level" if face.slope < SLOPES else f"{format_angle(face.slope)}, {format_pitch(face.slope)}"


def wood_words(mark: HoleMark, ruler: Ruler) -> str:
    """Wood, and what is hidden, on both sides of the cut."""
    told = [_near_words(mark.hole.surface, near, ruler) for near in mark.wood]
    return "; ".join(told) or "none known: find it, and probe"


def _near_words(face: Surface, near: Near, ruler: Ruler) -> str:
    if near.gap < 0:
        return f"runs into {near.name} by {ruler.text(-near.gap)}"
    way = _way(face, near.way)
    return f"{near.name} {ruler.text(near.gap)}{', ' if '°' in way else ' '}{way}"


def light_words(mark: HoleMark, ruler: Ruler) -> str:
    """The nearest light; empty where there is none on the face."""
    if mark.light is None:
        return ""
    light, way = mark.light, _way(mark.hole.surface, mark.light.way)
    return f"{light.light.name}: {ruler.text(light.centers)} center to center, {way}"


def room_words(mark: HoleMark, ruler: Ruler) -> str:
    """How far the hole can be moved each way and stay clear of all that is known."""
    if mark.old is not None:
        return "none: the hole is there"
    far = FOOT if ruler.units == "ft-in" else 0.3
    ways: dict[str, list[str]] = {}
    for slide in mark.slides:
        whole = _down(slide.distance, ruler)
        length = f"over {ruler.text(far)}" if slide.distance > far else (ruler.text(whole) if whole else "none")
        ways.setdefault(length, []).append(_way(mark.hole.surface, slide.way))
    told = ", ".join(f"{length} {' or '.join(some)}" for length, some in ways.items())
    return told.replace("up the slope or down the slope", "up or down the slope")


def _way(face: Surface, way: Array) -> str:
    """A way along a face in few words: "to the rear", "up the slope", "9° right of front"."""
    words = way_words(face, way).replace("towards the ", "to the ", 1)
    return with_degree_signs(words.removeprefix("towards "))


def sweep_words(mark: HoleMark, ruler: Ruler) -> str:
    """What has to be free behind the board, up to a mark."""
    free = ruler.text(math.ceil(mark.sweep / ruler.mark - 1e-6) * ruler.mark)
    return f"pilot hole at the center; a bent wire must sweep {free} free all round"


def face_words(mark: HoleMark) -> str:
    """The face that it is in, and how steep that is; of a wall that one faces with the front behind, which way left and
    right are meant."""
    face = mark.hole.surface
    turned = face.kind == "wall" and face.normal[1] > LEANS_UP
    sides = "left and right as you face the front of the room, not this wall" if turned else ""
    return ", ".join(filter(None, (f"in {face.called}", slope_words(face), sides)))


def _down(metres: float, ruler: Ruler) -> float:
    """Down to a mark: what there is room for, and no more."""
    return math.floor(metres / ruler.mark + 1e-6) * ruler.mark


def depth_words(mark: HoleMark, units: PrintUnits) -> str:
    """The depth that is needed behind the board, and what there is."""
    cavity = mark.cavity
    free = cavity.free if cavity.free is not None else cavity.most
    board = f"the {format_length(cavity.board, units)} board" if cavity.board_known else "the board"
    needed = "not stated, measure the speaker first"
    if mark.needed is not None:
        needed = f"{format_length(mark.needed, units)} needed behind {board}"
    if free is None:
        return f"{needed}; what is there is not known, measure it in the test hole"
    most = "at the most " if cavity.free is None else ""
    return f"{needed}, {most}{'open' if math.isinf(free) else format_length(free, units)} there"


def behind_words(mark: HoleMark, units: PrintUnits) -> str:
    """What else is behind the board; empty where nothing is known of it."""
    cavity, told = mark.cavity, []
    if cavity.insulation is not None:
        thick = cavity.insulation.thickness
        told.append(f"{cavity.insulation.kind} {'full depth' if thick is None else format_length(thick, units)}")
    if cavity.vent_gap:
        told.append(f"keep {format_length(cavity.vent_gap, units)} open to breathe")
    if told and mark.needed is not None:
        told.append("a back box that suits both")
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

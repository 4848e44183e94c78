"""The tapes of a hole in words: where each begins, which way it goes, what it reads, and what proves it."""

from __future__ import annotations

from dataclasses import dataclass

from earshed.model.heading import side_words
from earshed.model.mark_out.edges import SLOPES
from earshed.model.mark_out.tapes import Tapes
from earshed.model.moves import way_words
from earshed.model.ruler import Ruler


@dataclass(frozen=True)
class TapeWords:
    """One tape in words: its name, what it reads at the center, which way it goes from where, what it reads at the
    nearer edge of the cut-out, and what else it may be taped from."""

    name: str
    reads: str
    how: str
    near_edge: str
    else_from: str = ""

    @property
    def line(self) -> str:
        return ", ".join(filter(None, (f"{self.reads} {self.how}".strip(), self.near_edge, self.else_from)))


def tape_words(tapes: Tapes, ruler: Ruler) -> tuple[TapeWords, TapeWords]:
    """The tape square to the base, and the one along it."""
    square = TapeWords(
        _square_name(tapes),
        ruler.text(tapes.square),
        square_from(tapes),
        _edge_words(tapes.square_edge, ruler),
        footing_words(tapes, ruler),
    )
    name = "level" if tapes.base.is_level else "along"
    if tapes.on_start and tapes.start.kind != "corner":
        return square, TapeWords(name, "", along_from(tapes), "")
    return square, TapeWords(name, ruler.text(tapes.along), along_from(tapes), _edge_words(tapes.along_edge, ruler))


def _square_name(tapes: Tapes) -> str:
    face = tapes.base.face
    if face.kind == "wall":
        return "height"
    return "slope" if face.slope >= SLOPES and tapes.base.is_level else "out"


def footing_words(tapes: Tapes, ruler: Ruler) -> str:
    """The height over what stands at the foot of a wall and hides the floor there; empty where nothing does."""
    if tapes.footing is None or not tapes.base.is_low:
        return ""
    return f"that is {ruler.text(tapes.footing.below)} up from the top of {tapes.footing.name}"


def square_from(tapes: Tapes) -> str:
    """Which way the tape square to the base goes, and from where: "up the slope from the low crease at wall 1"."""
    base, name = tapes.base, _square_name(tapes)
    if name == "height":
        of_room = " of the room" if base.is_low and tapes.footing is not None else ""
        return f"{'up' if base.is_low else 'down'} from {base.name}{of_room}"
    if name == "slope":
        return f"{'up' if base.is_low else 'down'} the slope from {base.name}"
    return f"square out from {base.name}{', on the slope' if base.face.slope >= SLOPES else ''}"


def along_from(tapes: Tapes) -> str:
    """Which way the tape along the base goes, and from where."""
    start, face = tapes.start, tapes.base.face
    towards = way_words(face, tapes.way @ face.frame)
    if start.kind == "corner":
        at = "" if start.what == "wall" else f", at {start.name}"
        end = f"its {side_words(tapes.end_of(start))} end{at}"
        return f"along {base_words(tapes)} from {end}, {towards}; then square to it"
    if tapes.on_start:
        return f"on {start.name}"
    if start.kind == "plane" and towards in ("towards the left", "towards the right"):
        return f"to the {towards.removeprefix('towards the ')} of {start.name}"
    return f"from {start.name}, {towards}"


def base_words(tapes: Tapes) -> str:
    """The base as a line that has two ends, where its name is that of a wall or the floor."""
    name = tapes.base.name
    if name == "the floor":
        return "the foot of the wall"
    return name if tapes.base.is_crease else f"the edge at {name}"


def _edge_words(metres: float, ruler: Ruler) -> str:
    return f"near edge {ruler.text(metres)}" if metres > 0 else f"near edge {ruler.text(-metres)} past it"


def corner_words(tapes: Tapes, ruler: Ruler) -> str:
    """Tapes from the ends of the base, which show a corner that is not square; empty where there are none."""
    told = []
    for corner in tapes.checks:
        at = f" (at {corner.at})" if corner.at else ""
        told.append(f"{ruler.text(corner.length)} from the {side_words(corner.way)} end{at}")
    return f"{' and '.join(told)} of {base_words(tapes)}" if told else ""


def across_words(tapes: Tapes, ruler: Ruler) -> str:
    """The tape from the edge opposite the base; empty where there is none."""
    if tapes.across is None:
        return ""
    edge, length = tapes.across
    return f"{ruler.text(length)} {way_words(edge.face, edge.inward @ edge.face.frame)} from {edge.name}"

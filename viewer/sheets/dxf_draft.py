"""A drawing file at full size: lines, letters and dimensions on layers, as programs for drawing read them (DXF)."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

import ezdxf
import numpy as np
from ezdxf import units
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new
from numpy.typing import ArrayLike

from earshed.model.face_shape import FaceShape
from earshed.model.geometry import TOUCHING, Array
from earshed.model.ruler import Ruler
from earshed.model.surface import Surface
from earshed.model.units import INCH, PrintUnits
from earshed.viewer.hidden_drawing import Flat
from earshed.viewer.sheets.dimensions import Row, Running, spread

LAYERS: dict[str, tuple[int, str, int]] = {
    "WALLS": (7, "CONTINUOUS", 50),
    "RIDGE": (8, "DASHDOT", 25),
    "FRAMING": (8, "CONTINUOUS", 13),
    "LIGHTS": (30, "CONTINUOUS", 18),
    "CUTOUTS": (1, "CONTINUOUS", 50),
    "BEZELS": (1, "CONTINUOUS", 18),
    "CABINETS": (1, "DASHED", 25),
    "CENTERS": (1, "CONTINUOUS", 13),
    "SPEAKERS-TEXT": (1, "CONTINUOUS", 18),
    "SEATS": (150, "DASHED", 18),
    "SCREEN": (5, "CONTINUOUS", 35),
    "CENTER-LINE": (5, "CENTER", 18),
    "OPENINGS": (96, "CONTINUOUS", 35),
    "BOXES": (8, "CONTINUOUS", 25),
    "OVERHEAD": (8, "DASHED", 25),
    "HIDDEN": (6, "DASHED", 25),
    "DATUMS": (96, "CONTINUOUS", 25),
    "DIMENSIONS": (7, "CONTINUOUS", 13),
    "NOTES": (7, "CONTINUOUS", 18),
}
"""Color by the index of the format, one that shows on white and on black; linetype; line weight in 1/100 mm."""
LETTER = 0.1
"""Metres that letters are high: 2 mm at 1:50."""
FIRST_ROW, ROW = 0.5, 0.9
"""Metres from a drawing to the first row of its dimensions, and from one to the next."""
GAP = 0.17
"""Metres from one dimension's text to the next."""
STYLE = "EARSHED"
_PLAIN = str.maketrans({"×": "x", "·": "-", "–": "-", "—": "-", "\n": " ", "\r": " ", "\\": "/"})


class Draft:
    """A file in which drawings stand side by side in the unit of the scene, an inch or a millimetre, at 1:1.

    Points are in metres of the drawing that `begin` began; before that, of the first.
    """

    def __init__(self, print_units: PrintUnits, ruler: Ruler) -> None:
        self.inches = print_units == "ft-in"
        self.unit = INCH if self.inches else 0.001
        self.doc = _new_document(inches=self.inches, unit=self.unit, ruler=ruler)
        self.space = self.doc.modelspace()
        self.offset = np.zeros(2)

    @property
    def unit_words(self) -> str:
        return "inches" if self.inches else "mm"

    def begin(self, offset: ArrayLike) -> None:
        """Puts the origin of a drawing at a point (2,) of the file, metres."""
        self.offset = np.asarray(offset, dtype=np.float64)

    def at(self, points: ArrayLike) -> Array:
        """Points (..., 2) of the drawing in the unit of the file."""
        placed: Array = (np.asarray(points, dtype=np.float64) + self.offset) / self.unit
        return placed

    def line(self, points: Array, layer: str) -> None:
        self.space.add_lwpolyline(self.at(points).tolist(), dxfattribs={"layer": layer})

    def ring(self, corners: Array, layer: str) -> None:
        """A closed line through corners (N, 2); the first may be repeated last."""
        same = len(corners) > 1 and np.allclose(corners[0], corners[-1], atol=TOUCHING / 10)
        points = self.at(corners[:-1] if same else corners).tolist()
        self.space.add_lwpolyline(points, close=True, dxfattribs={"layer": layer})

    def shape(self, face: Surface, shape: FaceShape, flat: Flat, layer: str) -> None:
        """The edge of a shape on a face: a circle, an ellipse where that is what the drawing shows of one, or corners.

        A drawing is a parallel projection, and the frame of a face lies along its ellipse's axes.
        """
        if shape.core.geom_type != "Point":
            self.ring(flat(shape.edge_on(face)), layer)
            return
        middle = flat(face.to_room(np.array([shape.core.x, shape.core.y])))
        level, upslope = flat(face.frame) * shape.radius / self.unit
        long, short = sorted((level, upslope), key=lambda way: -float(np.hypot(*way)))
        ratio = float(np.hypot(*short) / np.hypot(*long))
        center = self.at(middle).tolist()
        if ratio > 1 - 1e-9:
            self.space.add_circle(center, shape.radius / self.unit, dxfattribs={"layer": layer})
        else:
            self.space.add_ellipse(center, [*long.tolist(), 0.0], max(ratio, 1e-6), dxfattribs={"layer": layer})

    def cross(self, middle: ArrayLike, half: float, layer: str) -> None:
        """A mark at a point (2,), `half` of it in metres."""
        for way in np.eye(2) * half:
            self.line(np.array([middle - way, middle + way]), layer)

    def text(self, middle: ArrayLike, lines: Sequence[str], layer: str) -> None:
        """Lines of text, the first hung from a point (2,) and all in the middle under it."""
        for number, words in enumerate(lines, start=1):
            spot = np.asarray(middle) - np.array([0.0, 1.5 * number * LETTER])
            entity = self.space.add_text(_safe(words), height=LETTER / self.unit, dxfattribs={"layer": layer})
            entity.set_placement(self.at(spot).tolist(), align=TextEntityAlignment.BOTTOM_CENTER)

    def note(self, spot: ArrayLike, words: str, size: float = 1.0) -> None:
        """A line of text from a point (2,) on, `size` in usual letters."""
        attributes = {"layer": "NOTES", "insert": self.at(spot).tolist()}
        self.space.add_text(_safe(words), height=size * LETTER / self.unit, dxfattribs=attributes)

    def dimensions(self, running: Running, bounds: Array, *, below: bool = False) -> float:
        """Distances along an axis as ordinate dimensions beside `bounds` (2, 2), at its left, or above or `below` it;
        gives how far out they go, metres."""
        axis = running.axis
        low, high = bounds[:, axis]
        sign = -1.0 if axis == 1 or below else 1.0
        edge = float(bounds[0 if sign < 0 else 1, 1 - axis])
        ticks = [(running.at(one.value), one, number) for number, row in enumerate(running.rows) for one in row.ticks]
        ticks.sort(key=lambda one: one[0])
        room = max(0.0, GAP * (len(ticks) - 1) - (high - low)) / 2 + GAP
        places = spread([level for level, *_ in ticks], GAP, low - room, high + room)
        origin = np.zeros(2)
        origin[axis] = running.origin
        origin[1 - axis] = edge
        for place, (level, tick, number) in zip(places, ticks, strict=True):
            feature = tick.points[int(np.argmax(np.abs(tick.points[:, 1 - axis] - edge)))].copy()
            feature[axis] = level
            end = np.zeros(2)
            end[axis], end[1 - axis] = place, edge + sign * (FIRST_ROW + ROW * number)
            self._ordinate(axis, origin, feature, end, tick.text, tick.value)
        for number, row in enumerate(running.rows):
            self._caption(row, running, low, edge + sign * (FIRST_ROW + ROW * number + 0.1))
        out = FIRST_ROW + ROW * len(running.rows) + 0.3
        self._whole(running, edge + sign * out)
        return out

    def encoded(self) -> bytes:
        """The file."""
        stream = io.StringIO()
        with _no_dates():
            self.doc.write(stream)
        return self.doc.encode(stream.getvalue())

    def _ordinate(self, axis: int, origin: Array, feature: Array, end: Array, text: str, value: float) -> None:
        add = self.space.add_ordinate_y_dim if axis else self.space.add_ordinate_x_dim
        from_there = ((end - feature) / self.unit).tolist()
        made = add(self.at(feature).tolist(), from_there, origin=self.at(origin).tolist(), text=text,
                   dimstyle=STYLE, dxfattribs={"layer": "DIMENSIONS"})  # fmt: skip
        made.render()
        made.dimension.dxf.actual_measurement = abs(value) / self.unit

    def _whole(self, running: Running, level: float) -> None:
        axis, points = running.axis, running.whole.points.copy()
        points[:, 1 - axis] = level
        start, end = self.at(points).tolist()
        made = self.space.add_linear_dim(start, start, end, text=running.whole.text, angle=90.0 * axis,
                                         dimstyle=STYLE, dxfattribs={"layer": "DIMENSIONS"})  # fmt: skip
        made.render()
        made.dimension.dxf.actual_measurement = running.whole.value / self.unit

    def _caption(self, row: Row, running: Running, low: float, level: float) -> None:
        if running.axis == 0:
            self.note((low - 1.6, level), f"{row.caption}, from {running.start}")
        else:
            self.text((level - 0.3, low - 0.15), [row.caption], "NOTES")


def _new_document(*, inches: bool, unit: float, ruler: Ruler) -> Drawing:
    with _no_dates():
        doc = new("R2010", setup=["linetypes"], units=units.IN if inches else units.MM)
    doc.header["$MEASUREMENT"] = 0 if inches else 1
    doc.header["$LUNITS"] = 4 if inches else 2
    doc.header["$LTSCALE"] = 0.15 / unit
    for name, (color, linetype, weight) in LAYERS.items():
        doc.layers.add(name, color=color, linetype=linetype, lineweight=weight)
    look = {"dimtxt": LETTER / unit, "dimasz": 0.06 / unit, "dimexo": 0.02 / unit, "dimexe": 0.05 / unit,
            "dimgap": 0.03 / unit, "dimtad": 0, "dimrnd": ruler.mark / unit, "dimlunit": 4 if inches else 2,
            "dimdec": 4 if inches else 0, "dimzin": 0, "dimtih": 0, "dimtoh": 0, "dimscale": 1.0}  # fmt: skip
    doc.dimstyles.add(STYLE, dxfattribs=look)
    return doc


def _safe(words: str) -> str:
    """Text that every reader shows as it is: no codes of the format but that of the degree sign."""
    return words.translate(_PLAIN).replace("%%", "% %").replace("°", "%%d").replace("^", "'")


@contextmanager
def _no_dates() -> Iterator[None]:
    """The same drawing gives the same bytes: the time of writing, and made-up numbers, are left out."""
    options = ezdxf.options  # type: ignore[attr-defined]
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before

"""A mark-out as a plain document, for --json: exact lengths in metres beside what is printed of them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from earshed.model.mark_out.hole_mark import HoleMark
from earshed.model.mark_out.mark_out import MarkOut, tapes_at
from earshed.model.mark_out.tapes import Tapes
from earshed.model.neighbors import Near
from earshed.model.ruler import Ruler
from earshed.model.search.place import Place
from earshed.model.speaker_type import Cutout, Round
from earshed.viewer.documents import degrees, finding_documents, numbers
from earshed.viewer.tape_words import along_from, square_from


def markout_document(made: MarkOut, seconds: Mapping[str, Place], files: Sequence[Path]) -> dict[str, Any]:
    """Everything that `earshed markout` finds, and the files that it wrote."""
    ruler = made.ruler
    return {
        "scene": made.scene.title,
        "scheme": made.scene.scheme,
        "step_m": ruler.mark,
        "holes": [_hole(made, mark, seconds.get(mark.speaker.name)) for mark in made.holes],
        "strings": [
            {
                "from": one.names[0],
                "to": one.names[1],
                "diagonal": one.is_diagonal,
                **_length(one.length, ruler),
            }
            for one in made.strings
        ],
        "mirrors": [
            {
                "speakers": list(one.names),
                "from_center_m": list(one.from_center),
                "ahead_m": one.ahead,
                "higher_m": one.higher,
                "mirror": one.is_mirror,
            }
            for one in made.twins
        ],
        "without_hole": [one.name for one in made.without],
        "findings": finding_documents(made.findings),
        "files": [str(path) for path in files],
    }


def _hole(made: MarkOut, mark: HoleMark, second: Place | None) -> dict[str, Any]:
    speaker, face, ruler = mark.speaker, mark.hole.surface, made.ruler
    free = mark.cavity.free
    return {
        "speaker": speaker.name,
        "channel": speaker.channel.label if speaker.channel is not None else None,
        "type": speaker.type.name,
        "face": face.name,
        "center_m": numbers(speaker.position),
        "slope_deg": degrees(face.slope),
        "rise_in_12": None if face.kind == "wall" else math.tan(face.slope) * 12,
        "cutout_m": _size(speaker.type.cutout),
        "bezel_m": _size(speaker.type.bezel),
        "depth_needed_m": mark.needed,
        "depth_there_m": free if free is not None and math.isfinite(free) else None,
        "open_behind": free is not None and math.isinf(free),
        **_tapes(mark.tapes, ruler),
        "floor": {
            "point_m": numbers(mark.floor.point),
            "on": mark.floor.on,
            "tapes": [
                {"from": tape.start, "side": tape.side or None, **_length(tape.distance, ruler)}
                for tape in mark.floor.tapes
            ],
            "center_up": _length(mark.floor.height, ruler),
        },
        "wood": [_near(one) for one in mark.wood],
        "light": None
        if mark.light is None
        else {"name": mark.light.light.name, "gap_m": mark.light.gap, "centers_m": mark.light.centers},
        "room_to_move": [{"way": numbers(one.way), "distance_m": one.distance} for one in mark.slides],
        "sweep_m": mark.sweep,
        "rim_mark": None if mark.rim is None else {"distance_m": mark.rim.distance, "towards": mark.rim.side},
        "axis": numbers(speaker.axis),
        "lands_m": None if mark.lands is None else numbers(mark.lands.point),
        "old_hole": None if mark.old is None else {"name": mark.old.hole.name, "wider_m": mark.old.larger},
        "second": None if second is None else _second(made, second),
    }


def _tapes(tapes: Tapes, ruler: Ruler) -> dict[str, Any]:
    """Both tapes, from where each begins to the center and to the nearer edge of the cut-out."""
    return {
        "square": {
            "from": tapes.base.name,
            "how": square_from(tapes),
            **_length(tapes.square, ruler),
            "near_edge": _length(tapes.square_edge, ruler),
        },
        "along": {
            "from": tapes.start.name,
            "how": along_from(tapes),
            **_length(tapes.along, ruler),
            "near_edge": _length(tapes.along_edge, ruler),
        },
        "corners": [{"way": numbers(one.way), **_length(one.length, ruler)} for one in tapes.checks],
    }


def _second(made: MarkOut, second: Place) -> dict[str, Any]:
    speaker = second.speaker
    return {
        "face": speaker.surface.name if speaker.surface is not None else None,
        "center_m": numbers(speaker.position),
        "worst_off_axis_deg": degrees(second.worst.off_axis),
        "verdict": second.worst.verdict,
        **_tapes(tapes_at(made.scene, speaker, made.wish), made.ruler),
    }


def _length(metres: float, ruler: Ruler) -> dict[str, Any]:
    return {"exact_m": metres, "printed": ruler.text(metres)}


def _size(cut: Cutout | None) -> float | list[float] | None:
    """A diameter, or the short and the long side."""
    if cut is None:
        return None
    return cut.diameter if isinstance(cut, Round) else [cut.short, cut.long]


def _near(near: Near) -> dict[str, Any]:
    return {"name": near.name, "gap_m": near.gap, "way": numbers(near.way)}

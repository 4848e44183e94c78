"""Builds what was read of a speaker on site from the checked keys of a file."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path as FilePath

from earshed.model.measured import Measured, Photo
from earshed.model.scene_file.messages import Path
from earshed.model.scene_file.places import suggest
from earshed.model.scene_file.problem import Misfit
from earshed.model.scene_file.schema_measured import MeasuredFile
from earshed.model.seating import Seat


def build_measured(entry: MeasuredFile | None, path: Path, seats: Sequence[Seat], folder: FilePath) -> Measured | None:
    """What was read of a speaker; its photo is looked for in `folder`. Raises Misfit for a seat that there is not.

    A photo that is not there is no reason to refuse a scene: nothing is worked out from it, and scenes are sent about
    without them.
    """
    if entry is None:
        return None
    known = {seat.name: seat for seat in seats}
    for name in entry.levels:
        if name not in known:
            raise Misfit(f"there is no seat called {name}{suggest(name, known)}", (*path, "levels", name), at_key=True)
    file = folder / entry.photo if entry.photo is not None else None
    photo = Photo(file.name, file if os.path.isfile(file) else None) if file is not None else None
    return Measured(
        entry.resistance, entry.polarity, entry.distance, entry.delay, entry.trim, entry.level, entry.levels, photo,
        entry.date, entry.by,
    )  # fmt: skip

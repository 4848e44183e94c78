"""The numbers behind the maps, as files for other programs."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Sequence
from typing import Any, BinaryIO

import numpy as np

from earshed.model.coverage_map import CoverageMap
from earshed.model.pairs import Pair, best_of_seats
from earshed.model.sound.plane_levels import PlaneLevels
from earshed.viewer.documents import degrees

FAST = 1
"""Level of deflate: 6 takes more than twice as long for a map, and makes it no smaller by more than a percent."""
SEAT_COLUMNS = (
    "seat", "main", "speaker", "channel", "off_axis_deg", "verdict", "visible", "blocked_by", "distance_m",
    "azimuth_deg", "elevation_deg", "level_db", "counts",
)  # fmt: skip


def write_arrays(file: BinaryIO, cover: CoverageMap, sound: PlaneLevels | None) -> None:
    """coverage.npz: cell centers, height and inside of the plane, speaker names, off-axis angles in degrees, and which
    points see which speaker; with levels the bands, Hz, and what each speaker gives in them, dB."""
    plane = cover.plane
    arrays: dict[str, Any] = {
        "x": plane.x,
        "y": plane.y,
        "height": plane.height,
        "inside": plane.inside,
        "speakers": np.array([speaker.name for speaker in cover.speakers]),
        "off_axis_deg": cover.angles,
        "visible": cover.visible,
    }
    if sound is not None:
        arrays |= {"bands_hz": np.array(sound.bands.nominal), "level_db": sound.levels}
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=FAST) as archive:  # numpy knows no level but 6
        for name, array in arrays.items():
            with archive.open(f"{name}.npy", "w", force_zip64=True) as entry:
                np.lib.format.write_array(entry, np.asanyarray(array), allow_pickle=False)


def seats_csv(pairs: Sequence[Pair]) -> bytes:
    """seats.csv: one row for each seat and speaker, exact, not read off the map."""
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(SEAT_COLUMNS)
    counted = set(best_of_seats(pairs))
    for pair in pairs:
        speaker = pair.speaker
        named = (pair.seat.name, _yes(pair.seat.main), speaker.name, speaker.channel.label if speaker.channel else "")
        judged = (f"{degrees(pair.off_axis):.3f}", pair.verdict, _yes(pair.visible), pair.obstacle or "")
        placed = (f"{pair.distance:.4f}", f"{degrees(pair.azimuth):.3f}", f"{degrees(pair.elevation):.3f}")
        rows.writerow((*named, *judged, *placed, f"{pair.level:.2f}", _yes(pair in counted)))
    return text.getvalue().encode()


def _yes(answer: bool) -> str:
    return "yes" if answer else "no"

"""The table of directions, row by row against open data: tests/data/bs2051.csv, which names its source."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from earshed.model.bs2051 import SYSTEMS

LINES = (Path(__file__).parent / "data" / "bs2051.csv").read_text(encoding="utf-8").splitlines()
ROWS = list(csv.DictReader(line for line in LINES if not line.startswith("#")))
LEFT_OPEN = ("LFE", "M+SC", "M-SC")
"""Labels of which the Recommendation itself leaves the place open, or puts it at the edges of the picture."""


@pytest.mark.parametrize("letter", "ABCDEFGHIJ")
def test_a_system_has_the_labels_of_the_data_and_no_others(letter):
    labels = {row["label"] for row in ROWS if row["system"] == letter}
    assert set(SYSTEMS[letter].allowed) == labels


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['system']} {row['label']}")
def test_nominal_and_allowed_directions_are_those_of_the_data(row):
    allowed = SYSTEMS[row["system"]].allowed[row["label"]]
    if row["label"].startswith(LEFT_OPEN):
        assert allowed is None
        return
    assert allowed is not None
    assert math.degrees(allowed.elevation) == pytest.approx(float(row["el_nominal_deg"]))
    elevations = [math.degrees(limit) for limit in allowed.elevations]
    assert elevations == pytest.approx([float(row["el_min_deg"]), float(row["el_max_deg"])])
    if row["label"] == "T+000":
        return  # straight overhead there is no azimuth
    assert math.degrees(allowed.azimuth) == pytest.approx(float(row["az_nominal_deg"]))
    azimuths = [math.degrees(limit) for limit in allowed.azimuths]
    assert azimuths == pytest.approx([float(row["az_min_deg"]), float(row["az_max_deg"])])


def test_the_data_are_all_there():
    assert len(ROWS) == 107

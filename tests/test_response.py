"""Measured directivity: tables reproduce what they were made from, by band and between planes; slips are told."""

from __future__ import annotations

import contextlib
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.sound.bands import OCTAVES, THIRDS
from earshed.model.sound.directivity import Symmetric, directions_at
from earshed.model.sound.piston import Piston
from earshed.model.sound.response import MeasuredPlanes, band_weights
from earshed.model.sound.response_table import read_response
from earshed.model.sound.table_rows import BadResponse
from tests.response_files import OCTAVE_HZ, TENS, piston_levels, random_directions, table_text
from tests.test_readme import block_after

ALL_ROUND = np.arange(-170.0, 181.0, 10.0)
FINE_HZ = np.geomspace(80.0, 24_000.0, 400)


def read(text: str):
    return read_response(text.encode(), "horn.csv")


def table(degrees=TENS, hertz=OCTAVE_HZ, radius=0.03) -> str:
    return table_text({"": (degrees, piston_levels(radius, degrees, np.array(hertz)))}, np.array(hertz))


# --- it is what was measured


def test_a_table_of_a_piston_is_that_piston_at_its_angles() -> None:
    """Columns by octaves come out as they are, nulls and all."""
    beam = read(table()).in_bands(OCTAVES)
    assert isinstance(beam, Symmetric)
    levels = piston_levels(0.03, TENS, np.array(OCTAVE_HZ))
    np.testing.assert_allclose(beam.level_at(np.radians(TENS)), levels, atol=1e-5)
    assert not any(beam.guessed)


@pytest.mark.parametrize("bands", [OCTAVES, THIRDS])
def test_a_fine_table_of_a_piston_is_that_piston_by_band(bands) -> None:
    """400 columns and a row each degree, against Gauss's rule on the closed form."""
    degrees = np.arange(0.0, 181.0)
    beam = read(table(degrees, FINE_HZ)).in_bands(bands)
    at = np.radians(np.linspace(0.5, 89.5, 50))
    exact = Piston(0.03).in_bands(bands).level_at(at)
    np.testing.assert_allclose(np.maximum(beam.level_at(at), -25.0), np.maximum(exact, -25.0), atol=0.1)


def test_finer_rows_are_nearer() -> None:
    at = np.radians(np.linspace(1.0, 89.0, 200))
    hertz = np.array([4000.0])
    exact = piston_levels(0.05, np.degrees(at), hertz)
    off = []
    for step in (10.0, 5.0, 2.5):
        degrees = np.arange(0.0, 90.1, step)
        read_back = read(table(degrees, radius=0.05))
        column = np.interp(np.degrees(at), degrees, read_back.levels[:, 0, 5])
        off.append(np.abs(column - exact[:, 0]).max())
    assert off[0] > 3 * off[1] > 9 * off[2]


@given(st.floats(-60.0, 120.0))
def test_absolute_levels_are_set_to_the_axis(over: float) -> None:
    lifted = table_text({"": (TENS, piston_levels(0.03, TENS, np.array(OCTAVE_HZ)) + over)}, np.array(OCTAVE_HZ))
    np.testing.assert_allclose(read(lifted).levels, read(table()).levels, atol=3e-6)


def test_other_ways_to_write_it() -> None:
    said = table()
    hertz_named = said.replace("1000,", "1kHz,").replace("125,", "125 Hz,")
    for same in (said.replace(",", ";"), said.replace(",", "\t"), "\ufeff" + said, "# by us\n\n" + said, hertz_named,
                 said.replace("\n90,", "\n90deg,"), said.replace("\n", "\r\n")):  # fmt: skip
        np.testing.assert_array_equal(read(same).levels, read(said).levels)


def test_the_table_of_the_readme() -> None:
    beam = read(block_after("<!-- a table of directivity -->")).in_bands(OCTAVES)
    assert beam.guessed == (True, True, *(False,) * 5, True)
    assert beam.level_at(math.radians(30))[OCTAVES.index(4000)] == pytest.approx(-2.9)


# --- by band


@given(st.lists(st.floats(math.log(20), math.log(20000)), min_size=2, max_size=40, unique_by=lambda x: round(x, 2)))
def test_weights_add_up_to_one(logs: list[float]) -> None:
    hertz = np.exp(np.sort(logs))
    try:
        weights, measured = band_weights(hertz, THIRDS)
    except ValueError:
        return
    np.testing.assert_allclose(weights.sum(axis=0), 1.0)
    assert weights.min() >= 0
    assert len(measured) == len(THIRDS)


def test_a_table_by_bands_comes_out_as_it_is() -> None:
    for bands in (OCTAVES, THIRDS):
        weights, measured = band_weights(np.array(bands.nominal), bands)
        np.testing.assert_allclose(weights, np.eye(len(bands)), atol=1e-12)
        assert all(measured)


def test_bands_beyond_the_table_are_guessed_from_the_nearest() -> None:
    beam = read(table(hertz=OCTAVE_HZ[2:7])).in_bands(OCTAVES)
    assert beam.guessed == (True, True, False, False, False, False, False, True)
    at = np.radians(45.0)
    assert beam.level_at(at)[0] == beam.level_at(at)[1] == beam.level_at(at)[2]
    assert beam.level_at(at)[7] == beam.level_at(at)[6]


def test_powers_are_averaged_and_not_decibels() -> None:
    """Two columns of one octave, 0 and -20 dB: 10 lg((1 + 0.01) / 2) = -2.967 dB, not -10."""
    hertz = [
        500.0,
        1000.0,
        *(1995.3 * 2.0 ** np.array([-0.25, 0.25])),
        4000.0,
        8000.0,
    ]
    levels = np.zeros((len(TENS), len(hertz)))
    levels[1:, 3] = -20.0
    beam = read(table_text({"": (TENS, levels)}, np.array(hertz))).in_bands(OCTAVES)
    assert beam.level_at(np.radians(50.0))[OCTAVES.index(2000)] == pytest.approx(-2.967, abs=0.05)


# --- two planes


def two_planes(degrees=ALL_ROUND, across=0.03, upright=0.03) -> str:
    hertz = np.array(OCTAVE_HZ)
    planes = {name: (degrees, piston_levels(radius, (degrees + 180) % 360 - 180, hertz))
              for name, radius in (("horizontal", across), ("vertical", upright))}  # fmt: skip
    return table_text(planes, hertz)


def test_equal_planes_are_all_round() -> None:
    """A piston mirrors behind its baffle in this table, so both sides of both planes agree all round."""
    planes, one = read(two_planes()).in_bands(OCTAVES), read(table()).in_bands(OCTAVES)
    assert isinstance(planes, MeasuredPlanes)
    toward = random_directions(300, 5)
    np.testing.assert_allclose(planes.level_toward(toward), one.level_toward(toward), atol=1e-5)


def test_between_planes_it_is_elliptical() -> None:
    """L = horizontal cos^2 + vertical sin^2 of the angle round the axis, in dB."""
    beam = read(two_planes(upright=0.06)).in_bands(OCTAVES)
    angles, rolls = np.radians([20.0, 40.0, 65.0])[:, None], np.radians(np.arange(0.0, 360.0, 15.0))
    across, upright = beam.level_toward(directions_at(angles, 0.0)), beam.level_toward(directions_at(angles, np.pi / 2))
    share = np.sin(rolls)[:, None] ** 2
    np.testing.assert_allclose(
        beam.level_toward(directions_at(angles, rolls)), across * (1 - share) + upright * share, atol=1e-5
    )


def test_plus_is_to_the_right_and_up() -> None:
    text = two_planes()
    lines = text.splitlines()
    right = next(i for i, line in enumerate(lines) if line.startswith("90,"))
    lines[right] = "90," + ",".join("-40" for _ in OCTAVE_HZ)
    down = len(lines) - 1 - next(i for i, line in enumerate(reversed(lines)) if line.startswith("-90,"))
    lines[down] = "-90," + ",".join("-50" for _ in OCTAVE_HZ)
    beam = read("\n".join(lines)).in_bands(OCTAVES)
    assert beam.level_toward([0.0, 1.0, 0.0]) == pytest.approx(-40.0)
    assert beam.level_toward([0.0, 0.0, -1.0]) == pytest.approx(-50.0)
    assert beam.level_toward([0.0, -1.0, 0.0]).min() > -30
    assert beam.level_toward([0.0, 0.0, 1.0]).min() > -30


@pytest.mark.parametrize("degrees", [np.arange(0.0, 351.0, 10.0), np.arange(0.0, 361.0, 10.0)])
def test_orbits_all_the_way_round(degrees) -> None:
    found, said = read(two_planes(degrees, upright=0.06)), read(two_planes(upright=0.06))
    toward = random_directions(300, 6)
    np.testing.assert_allclose(
        found.in_bands(OCTAVES).level_toward(toward), said.in_bands(OCTAVES).level_toward(toward), atol=1e-9
    )


# --- slips

GOOD = table()
SLIPS = [
    ("\n20,", "\n10,", r"row 4, column 1: 10 degrees comes after 10; angles must rise"),
    ("\n20,", "\n5,", r"row 4, column 1: 5 degrees comes after 10"),
    ("\n0,", "\n1,", r"rows 2 to 20: there is no row of 0 degrees"),
    ("angle,125", "angle,abc", r"row 1, column 2: abc is no frequency"),
    ("1000,2000,", "1000,,", r"row 1, column 6: it is empty; the first row holds frequencies"),
    ("1000,2000,", "2000,1000,", r"row 1, column 5.*no band between 500 and 2000 Hz"),
    ("1000,2000,", "1000,900,", r"row 1, column 6: 900 comes after 1000 Hz; frequencies must rise"),
    ("\n30,", "\n30,x", r"row 5, column 2 \(125 Hz\): x-?\d.* is no level"),
    ("\n30,", "\n30,nan,", r"row 5: it has 9 levels, and there are 8 frequencies"),
    ("\n30,", "\nthirty,", r"row 5, column 1: thirty must be an angle from -180 to 360"),
    ("\n30,", "\n400,", r"row 5, column 1: 400 must be an angle"),
    ("\n30,", "\nhorizontal\n30,", r"row 5, column 1: horizontal comes too late"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "words"), SLIPS, ids=range(len(SLIPS)))
def test_slips_are_told_with_row_column_and_value(old: str, new: str, words: str) -> None:
    assert old in GOOD
    with pytest.raises(BadResponse, match=rf"^horn\.csv, {words}"):
        read(GOOD.replace(old, new, 1))


def rows(*degrees: float, level: float = -1.0) -> str:
    return "a,1000,2000,4000,8000\n" + "".join(f"{d:g}" + f",{level if d else 0:g}" * 4 + "\n" for d in degrees)


WHOLE = [
    ("", "is empty; it needs a row of frequencies"),
    ("angle,1000,2000,4000,8000\n", "has no rows of angles"),
    ("angle,2000,4000,8000\n", r", row 1: frequencies must reach at least from 1000 to 8000 Hz; they reach from 2000"),
    (rows(0, 20, 60, 90), r", row 4, column 1: nothing between 20 and 60 degrees; steps are 30 at most"),
    (rows(0, 30, 60), r", row 4, column 1: angles end at 60 degrees off the axis on one side; 90 is the least"),
    (rows(-30, 0, 30, 60, 90), r"angles end at 30 degrees"),
    (rows(-90, -60, -30, 0, 30, 60, 90), "has two sides of one plane"),
    (rows(0, 30, 60, 90).replace("\n", "\nhorizontal\n", 1), "needs rows of the vertical plane"),
    (rows(0, 30, 60, 90, level=9), r", row 3, column 2 \(1000 Hz\): 9 is 9 dB over the axis; what is down has a minus"),
    (rows(0, 30, 60, 90, level=0.5).replace("\n0,0,0,0,0", "\n0,1,1,1,1"), r", row 2, column 2.*look like ratios"),
    (rows(0, 30, 60, 90, level=0.5).replace("\n0,0,0,0,0", "\n0,1.09,.92,1,1"), r", row 2, column 2.*like ratios"),
    (rows(0, 30, 60, 90).replace("-1", ""), r", row 3, column 2 \(1000 Hz\): an empty cell is no level"),
    (rows(0, 30, 60, 90, level=-1e300), r"row 3, column 2 \(1000 Hz\): -1e\+300 is no level"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "words"), WHOLE, ids=range(len(WHOLE)))
def test_what_is_no_table_of_directivity(text: str, words: str) -> None:
    with pytest.raises(BadResponse, match=words) as told:
        read(text)
    assert str(told.value).startswith("horn.csv")


def test_bytes_that_are_no_text() -> None:
    with pytest.raises(BadResponse, match=r"horn\.csv, row 2: it is not UTF-8 text"):
        read_response(b"a,1000\n\xff", "horn.csv")


@given(st.text(max_size=200))
def test_any_text_is_read_or_told(text: str) -> None:
    with contextlib.suppress(BadResponse):
        assert read(text).levels.ndim == 3

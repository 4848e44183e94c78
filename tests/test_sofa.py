"""AES69 files: what is read is what an independent reader finds in them, and what they were made from."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

pytest.importorskip("sofar", reason="the extra sofa (package sofar) is not installed")
netCDF4 = pytest.importorskip("netCDF4", reason="netCDF4, which sofar brings, is not installed")

from earshed.model.sound.bands import OCTAVES, THIRDS  # noqa: E402
from earshed.model.sound.beam_width import UPRIGHT, beam_width  # noqa: E402
from earshed.model.sound.directivity import directions_at  # noqa: E402
from earshed.model.sound.sofa import read_sofa  # noqa: E402
from earshed.model.sound.table_rows import BadResponse  # noqa: E402
from tests.aes69_files import oval, put_aes69  # noqa: E402
from tests.response_files import random_directions  # noqa: E402

HERTZ = np.geomspace(100.0, 20000.0, 70)


def test_it_is_what_an_independent_reader_finds(tmp_path: Path) -> None:
    """At measured directions on the grid, straight from netCDF: the dB of each re the one on the axis."""
    path = tmp_path / "oval.sofa"
    put_aes69(path, HERTZ)
    found = read_sofa(path, path.name)
    with netCDF4.Dataset(path) as file:
        pressure = np.abs(file["Data.Real"][0] + 1j * file["Data.Imag"][0])
        azimuth, elevation = np.radians(np.asarray(file["ReceiverPosition"])[:, :2, 0]).T
    x, y, z = np.cos(elevation) * np.cos(azimuth), np.cos(elevation) * np.sin(azimuth), np.sin(elevation)
    measured = np.stack([x, -y, z], axis=-1)  # azimuth turns to the left
    levels = 20 * np.log10(pressure / pressure[measured[:, 0].argmax()])
    for side, roll in ((0, 0.0), (18, np.pi / 2)):
        grid = directions_at(found.angles[::2], roll)
        nearest = (grid @ measured.T).argmax(axis=1)
        np.testing.assert_allclose(measured[nearest], grid, atol=1e-9)
        np.testing.assert_allclose(found.levels[::2, side], levels[nearest], atol=1e-6)


@pytest.mark.parametrize("view", [(1.0, 0.0, 0.0), (0.0, 1.0, 0.0)], ids=["ahead", "left"])
def test_it_is_what_it_was_made_from(tmp_path: Path, view: tuple[float, float, float]) -> None:
    """At random angles, between measurements that are 10 degrees apart."""
    path = tmp_path / "oval.sofa"
    hertz = np.array(THIRDS.exact)
    put_aes69(path, hertz)
    if view != (1.0, 0.0, 0.0):  # the same speaker turned left, and its measurements with it
        turned = tmp_path / "turned.sofa"
        with netCDF4.Dataset(path) as file:
            spherical = np.asarray(file["ReceiverPosition"])[..., 0]
        put_aes69(turned, hertz, SourceView=view, ReceiverPosition=spherical + np.array([90.0, 0.0, 0.0]))
        path = turned
    beam = read_sofa(path, path.name).in_bands(THIRDS)
    toward = random_directions(800, 1)
    off = np.abs(beam.level_toward(toward) - oval(toward, hertz))
    assert off.max() < 0.6
    assert off.mean() < 0.1
    assert not any(beam.guessed)


def test_a_finer_file_is_nearer_to_what_it_was_made_from(tmp_path: Path) -> None:
    hertz, toward = np.array(OCTAVES.exact), random_directions(500, 3, np.pi / 2)
    off = []
    for step in (15.0, 5.0):
        path = tmp_path / f"{step:g}.sofa"
        put_aes69(path, hertz, step=step)
        off.append(
            np.abs(read_sofa(path, path.name).in_bands(OCTAVES).level_toward(toward) - oval(toward, hertz)).max()
        )
    assert off[1] < off[0] / 2


def test_it_is_wider_across_than_upright(tmp_path: Path) -> None:
    path = tmp_path / "oval.sofa"
    put_aes69(path, HERTZ)
    beam = read_sofa(path, path.name).in_bands(OCTAVES)
    assert np.all(beam_width(beam)[4:] > 1.4 * beam_width(beam, UPRIGHT)[4:])


def test_the_front_half_is_enough(tmp_path: Path) -> None:
    path = tmp_path / "front.sofa"
    put_aes69(path, HERTZ, behind=False)
    assert np.degrees(read_sofa(path, path.name).angles[-1]) == pytest.approx(90)


WRONG = [
    (
        {"GLOBAL_SOFAConventions": "SimpleFreeFieldHRTF", "GLOBAL_SOFAConventionsVersion": "1.0"},
        "follows the convention SimpleFreeFieldHRTF; directivity is read from FreeFieldDirectivityTF",
    ),
    ({"step": 40.0}, "no measurement is nearer than"),
    ({"hertz": np.array([500.0, 1000.0, 2000.0])}, "must rise from 1000 or less to 8000 Hz or more"),
    ({"hertz": np.array([1000.0, 8000.0])}, "an octave apart at the most"),
]


@pytest.mark.parametrize(("changes", "words"), WRONG, ids=range(len(WRONG)))
def test_what_it_cannot_be(tmp_path: Path, changes: dict[str, object], words: str) -> None:
    path = tmp_path / "oval.sofa"
    changes = dict(changes)
    put_aes69(path, changes.pop("hertz", HERTZ), **changes)
    with pytest.raises(BadResponse, match=words) as told:
        read_sofa(path, path.name)
    assert str(told.value).startswith("oval.sofa")


def test_a_silent_frequency(tmp_path: Path) -> None:
    path = tmp_path / "oval.sofa"
    directions = put_aes69(path, HERTZ)
    pressure = 10 ** (oval(directions, HERTZ) / 20)
    pressure[:, 5] = 0.0
    put_aes69(path, HERTZ, pressure=pressure)
    with pytest.raises(BadResponse, match=f"at {HERTZ[5]:g} Hz it holds nothing"):
        read_sofa(path, path.name)


@pytest.mark.parametrize("changes", [{"SourceView": (0.0, 0.0, 0.0)}, {"SourceView": (0.0, 0.0, 1.0)}])
def test_a_source_that_looks_nowhere(tmp_path: Path, changes: dict[str, object]) -> None:
    path = tmp_path / "oval.sofa"
    put_aes69(path, HERTZ, **changes)
    with pytest.raises(BadResponse, match=r"^oval\.sofa lacks something that FreeFieldDirectivityTF asks for"):
        read_sofa(path, path.name)


def test_a_file_without_its_values(tmp_path: Path) -> None:
    path = tmp_path / "oval.sofa"
    put_aes69(path, HERTZ)
    with netCDF4.Dataset(path, "a") as file:
        file.renameVariable("Data.Real", "Data.Other")
    with pytest.raises(BadResponse, match=r"^oval\.sofa (lacks something|cannot be read)"):
        read_sofa(path, path.name)


def test_no_level_is_made_up_beyond_what_was_measured(tmp_path: Path) -> None:
    path = tmp_path / "front.sofa"
    directions = put_aes69(path, HERTZ, behind=False)
    measured = oval(directions, HERTZ)
    found = read_sofa(path, path.name).levels
    axis = oval(np.array([1.0, 0.0, 0.0]), HERTZ)
    assert np.all(found <= (measured - axis).max(axis=0) + 1e-6)
    assert np.all(found >= (measured - axis).min(axis=0) - 1e-6)


def test_what_is_no_such_file(tmp_path: Path) -> None:
    path = tmp_path / "text.sofa"
    path.write_text("angle,1000\n")
    with pytest.raises(BadResponse, match=r"text\.sofa cannot be read as AES69"):
        read_sofa(path, path.name)
    with pytest.raises(BadResponse, match=r"gone\.sofa cannot be read as AES69"):
        read_sofa(tmp_path / "gone.sofa", "gone.sofa")


def test_without_the_library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "sofar", None)
    with pytest.raises(BadResponse, match=r"pip install 'earshed\[sofa\]'"):
        read_sofa(tmp_path / "any.sofa", "any.sofa")

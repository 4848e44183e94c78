"""earshed map: which files it writes, what is in them, and that they agree with earshed check --json."""

from __future__ import annotations

import contextlib
import csv
import io
import json
import math
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from earshed.model import listening_plane
from earshed.model.ceiling import flat
from earshed.model.listening_plane import MOST_POINTS, grid_size
from earshed.model.plan import rectangle
from earshed.model.room import Room
from earshed.viewer.cli import run

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))
ATTIC = """\
format: 1
title: Attic studio
bare_lengths: m
print_units: mm
room: {width: 4.3, length: 5.6, ceiling: {shape: shed, low: 1.05, high: 3.2, rises: right}}
fixtures:
  - {name: chimney, kind: box, from_left: 3.1, from_front: 2.2, bottom: 0, width: 0.5, length: 0.7, height: 3}
risers: [{name: step, from_left: 0, from_front: 3.9, width: 4.3, length: 1.7, height: 0.25}]
seats:
  - {name: "near, left", at: {from_left: 1.3, from_front: 3.1}, ear_height: 1.0, main: true}
  - {name: far right, at: {from_left: 3.7, from_front: 4.4}, ear_height: 1.1}
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: 124deg, cutout: 0.2}
  angled: {mount: in-ceiling, aiming: {angled: 22deg}, coverage: 110deg, cutout: 0.2}
  sub: {mount: stand, aiming: fixed, subwoofer: true}
speakers:
  - {name: Upper left, type: flush, channel: U+045, at: {from_left: 1.1, from_front: 1.4}}
  - {name: upper-left, type: angled, at: {from_left: 1.2, from_front: 4.6}, aim: {seats: all}}
  - {name: right, type: angled, at: {from_left: 3.4, from_front: 1.6}, aim: {seat: far right}}
  - {name: thump, type: sub, at: {from_left: 3, from_front: 0.4}, height: 0.2, faces: rear}
listening_plane: {height: 1.0, step: 0.15}
"""
NAMES = ["Upper left", "upper-left", "right"]
FILES = {"speaker-upper-left.png", "speaker-upper-left-2.png", "speaker-right.png", "set.png", "coverage.npz",
         "seats.csv"}  # fmt: skip
SMALL = ("--size", "400x300", "--date", "2030-01-02")
STEP = 0.15


def earshed(*line: object) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run([str(word) for word in line])
    return code, out.getvalue(), err.getvalue()


@pytest.fixture(scope="session")
def attic(tmp_path_factory: pytest.TempPathFactory) -> Path:
    scene = tmp_path_factory.mktemp("attic") / "attic.yaml"
    scene.write_text(ATTIC, encoding="utf-8")
    return scene


@pytest.fixture(scope="session")
def folder(attic: Path) -> Path:
    """The files of one run."""
    made = attic.parent / "maps"
    code, _, err = earshed("map", attic, "--out", made, *SMALL)
    assert (code, err) == (0, "")
    return made


@pytest.fixture(scope="session")
def arrays(folder: Path) -> dict[str, NDArray[Any]]:
    with np.load(folder / "coverage.npz") as loaded:
        return dict(loaded)


@pytest.fixture(scope="session")
def checked(attic: Path) -> dict[str, Any]:
    return json.loads(earshed("check", attic, "--json")[1])


def size_of(picture: Path) -> tuple[int, int]:
    with Image.open(picture) as opened:
        return opened.size


def rows_of(table: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(table.read_text(encoding="utf-8"), newline="")))


def angle_deg(axis: Sequence[float], way: Sequence[float]) -> float:
    """Angle between a unit axis and a way, from the parts of the way along the axis and across it."""
    along = math.fsum(a * b for a, b in zip(axis, way, strict=True))
    return math.degrees(math.atan2(math.dist(way, [along * a for a in axis]), along))


def snapshot(folder: Path) -> dict[str, tuple[bytes, int]]:
    return {path.name: (path.read_bytes(), path.stat().st_mtime_ns) for path in folder.iterdir()}


# --- which files


def test_the_promised_files_and_nothing_else(folder: Path) -> None:
    assert {path.name for path in folder.iterdir()} == FILES


def test_every_picture_has_the_asked_size(folder: Path) -> None:
    assert {size_of(path) for path in folder.glob("*.png")} == {(400, 300)}


@pytest.mark.parametrize("size", [(401, 500), (413, 503), (1001, 303), (400, 1300)])
def test_any_size_comes_out_to_the_pixel(size: tuple[int, int], attic: Path, tmp_path: Path) -> None:
    code, _, _ = earshed("map", attic, "--out", tmp_path / "m", "--speaker", "right", "--size", f"{size[0]}x{size[1]}")
    assert code == 0
    assert {size_of(path) for path in (tmp_path / "m").glob("*.png")} == {size}


def test_folders_are_made_and_the_default_is_named_after_the_scene(
    attic: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert earshed("map", attic, "--speaker", "right", *SMALL)[0] == 0
    assert earshed("map", attic, "--speaker", "right", "--out", "one/two/three", *SMALL)[0] == 0
    names = {"speaker-right.png", "set.png", "coverage.npz", "seats.csv"}
    assert {path.name for path in (tmp_path / "attic-map").iterdir()} == names
    assert {path.name for path in (tmp_path / "one/two/three").iterdir()} == names


def test_speaker_restricts_every_file(attic: Path, tmp_path: Path, checked: dict[str, Any]) -> None:
    made = tmp_path / "some"
    wanted = ["right", "Upper left"]
    line = [part for name in [*wanted, "right"] for part in ("--speaker", name)]  # one of them twice
    assert earshed("map", attic, "--out", made, *line, *SMALL)[0] == 0
    assert {path.name for path in made.glob("speaker-*")} == {"speaker-right.png", "speaker-upper-left.png"}
    with np.load(made / "coverage.npz") as loaded:
        assert sorted(loaded["speakers"].tolist()) == sorted(wanted)
    rows = rows_of(made / "seats.csv")
    assert {(row["seat"], row["speaker"]) for row in rows} == {
        (seat["name"], name) for seat in checked["seats"] for name in wanted
    }
    assert len(rows) == 4


# --- coverage.npz


def test_arrays_have_the_promised_keys_kinds_and_shapes(arrays: dict[str, NDArray[Any]]) -> None:
    assert {"x", "y", "height", "inside", "speakers", "off_axis_deg", "visible"} <= arrays.keys()
    columns, rows = len(arrays["x"]), len(arrays["y"])
    kinds = {"x": ("f8", (columns,)), "y": ("f8", (rows,)), "height": ("f8", (rows, columns)),
             "inside": ("b1", (rows, columns)), "off_axis_deg": ("f4", (3, rows, columns)),
             "visible": ("b1", (3, rows, columns))}  # fmt: skip
    for key, (kind, shape) in kinds.items():
        assert (arrays[key].dtype, arrays[key].shape) == (np.dtype(kind), shape), key
    assert arrays["speakers"].dtype.kind == "U"
    assert arrays["speakers"].tolist() == NAMES  # no subwoofer
    assert not any(array.dtype.hasobject for array in arrays.values())


def test_arrays_are_packed_without_the_hour(folder: Path) -> None:
    """So that the same map gives the same bytes at any time."""
    with zipfile.ZipFile(folder / "coverage.npz") as packed:
        assert {entry.date_time for entry in packed.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_cells_fill_the_plan(arrays: dict[str, NDArray[Any]]) -> None:
    """Centers ascend by the step; the first and last cells reach the walls, and reach past them alike."""
    for axis, low, high in (("x", 0.0, 4.3), ("y", -5.6, 0.0)):
        centers = arrays[axis]
        assert np.diff(centers) == pytest.approx(STEP, abs=1e-12)
        before, after = low - (centers[0] - STEP / 2), centers[-1] + STEP / 2 - high
        assert before == pytest.approx(after, abs=1e-12)
        assert -1e-12 <= before < STEP / 2 + 1e-12


def test_height_follows_the_riser_and_inside_is_the_air(arrays: dict[str, NDArray[Any]]) -> None:
    """Worked point by point from the measures in the scene; a point within a hair of a face may fall either way."""
    seen = set()
    for row, y in enumerate(arrays["y"]):
        for column, x in enumerate(arrays["x"]):
            up = 0.25 if y <= -3.9 else 0.0
            assert arrays["height"][row, column] == pytest.approx(1.0 + up, abs=1e-12)
            ceiling = 1.05 + (3.2 - 1.05) * x / 4.3
            margins = [x, 4.3 - x, -y, 5.6 + y, ceiling - 1.0 - up]
            chimney = min(x - 3.1, 3.6 - x, -y - 2.2, 2.9 + y)
            if min(abs(margin) for margin in [*margins, chimney]) > 1e-6:
                inside = min(margins) > 0 and chimney < 0
                assert arrays["inside"][row, column] == inside, (x, y)
                seen.add((inside, chimney > 0, up > 0))
    assert len(seen) >= 4  # in and out, in the chimney, on the riser and off it


def test_angles_are_nan_exactly_outside(arrays: dict[str, NDArray[Any]]) -> None:
    for angles in arrays["off_axis_deg"]:
        assert np.array_equal(np.isnan(angles), ~arrays["inside"])
    assert 0 < arrays["inside"].sum() < arrays["inside"].size


def test_angles_follow_from_positions_and_axes(arrays: dict[str, NDArray[Any]], checked: dict[str, Any]) -> None:
    """A plain loop over the plane with the positions and axes of check --json, in double precision."""
    speakers = {speaker["name"]: speaker for speaker in checked["speakers"]}
    rows, columns = np.nonzero(arrays["inside"])
    for index, name in enumerate(arrays["speakers"].tolist()):
        place, axis = speakers[name]["position_m"], speakers[name]["axis"]
        for row, column in zip(rows[::3], columns[::3], strict=True):
            point = arrays["x"][column], arrays["y"][row], arrays["height"][row, column]
            worked = angle_deg(axis, [b - a for a, b in zip(place, point, strict=True)])
            assert arrays["off_axis_deg"][index, row, column] == pytest.approx(worked, abs=1e-3)


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.stem)
def test_shipped_maps_follow_from_check(scene: Path, tmp_path: Path) -> None:
    """A sample of points of a shipped room, and its seats."""
    scheme = ("--scheme", "proposed")
    document = json.loads(earshed("check", scene, *scheme, "--json")[1])
    name = document["pairs"][-1]["speaker"]
    assert earshed("map", scene, *scheme, "--speaker", name, "--out", tmp_path / "m", *SMALL)[0] == 0
    speaker = next(speaker for speaker in document["speakers"] if speaker["name"] == name)
    with np.load(tmp_path / "m" / "coverage.npz") as loaded:
        arrays = dict(loaded)
    rows, columns = np.nonzero(arrays["inside"])
    for pick in np.random.default_rng(7).integers(0, len(rows), 400):
        row, column = rows[pick], columns[pick]
        point = arrays["x"][column], arrays["y"][row], arrays["height"][row, column]
        worked = angle_deg(speaker["axis"], [b - a for a, b in zip(speaker["position_m"], point, strict=True)])
        assert arrays["off_axis_deg"][0, row, column] == pytest.approx(worked, abs=1e-3)
    pairs = {pair["seat"]: pair for pair in document["pairs"] if pair["speaker"] == name}
    for seat in rows_of(tmp_path / "m" / "seats.csv"):
        assert float(seat["off_axis_deg"]) == pytest.approx(pairs[seat["seat"]]["off_axis_deg"], abs=0.0005 + 1e-9)


# --- seats.csv and the JSON document


def test_seats_csv_says_what_check_says(folder: Path, checked: dict[str, Any]) -> None:
    rows = rows_of(folder / "seats.csv")
    assert len(rows) == len(checked["pairs"]) == 6
    channels = {speaker["name"]: speaker["channel"] or "" for speaker in checked["speakers"]}
    main = {seat["name"]: seat["main"] for seat in checked["seats"]}
    for row, pair in zip(rows, checked["pairs"], strict=True):
        assert (row["seat"], row["speaker"], row["verdict"]) == (pair["seat"], pair["speaker"], pair["verdict"])
        assert row["visible"] == ("yes" if pair["visible"] else "no")
        assert row["blocked_by"] == ("" if pair["visible"] else "chimney")
        assert row["main"] == ("yes" if main[pair["seat"]] else "no")
        assert row["channel"] == channels[pair["speaker"]]
        for key in ("off_axis_deg", "azimuth_deg", "elevation_deg"):
            assert float(row[key]) == pytest.approx(pair[key], abs=0.0005 + 1e-9)
        assert float(row["distance_m"]) == pytest.approx(pair["distance_m"], abs=0.00005 + 1e-9)
    assert {pair["visible"] for pair in checked["pairs"]} == {True, False}


def test_json_lists_the_files_and_the_shares(attic: Path, tmp_path: Path, arrays: dict[str, NDArray[Any]]) -> None:
    """Shares of the seating area (within 2 ft of the line between the two seats), counted in a plain loop."""
    code, out, err = earshed("map", attic, "--out", tmp_path / "m", "--json", *SMALL)
    document = json.loads(out)
    assert (code, err, document["format"]) == (0, "", 1)
    assert {Path(path) for path in document["files"]} == set((tmp_path / "m").iterdir())
    (ax, ay), (bx, by) = (1.3, -3.1), (3.7, -4.4)
    counts = {name: [0, 0, 0] for name in (*NAMES, "set")}
    for row, column in zip(*np.nonzero(arrays["inside"]), strict=True):
        x, y = arrays["x"][column], arrays["y"][row]
        t = ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / ((bx - ax) ** 2 + (by - ay) ** 2)
        t = min(1.0, max(0.0, t))
        if math.hypot(x - ax - t * (bx - ax), y - ay - t * (by - ay)) > 0.6096:
            continue
        verdicts = []
        there = arrays["off_axis_deg"][:, row, column], arrays["visible"][:, row, column]
        for name, half, angle, seen in zip(NAMES, (62, 55, 55), *there, strict=True):
            verdicts.append(int(angle > half / math.sqrt(2)) + int(angle > half) if seen else 2)
            counts[name][verdicts[-1]] += 1
        counts["set"][max(verdicts)] += 1  # no two speakers share a channel, so the worst counts
    found = {**document["shares"]["speakers"], "set": document["shares"]["set"]}
    for name, numbers in counts.items():
        shares = [number / sum(numbers) for number in numbers]
        assert len([share for share in shares if share]) > 1, name
        assert [found[name][verdict] for verdict in ("covered", "fringe", "outside")] == pytest.approx(shares), name


# --- what is refused


def test_an_existing_file_is_refused_and_untouched(attic: Path, folder: Path) -> None:
    before = snapshot(folder)
    code, out, err = earshed("map", attic, "--out", folder, *SMALL)
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert "--force" in err
    assert snapshot(folder) == before


@pytest.mark.parametrize("there", ["seats.csv", "set.png", "speaker-right.png", "coverage.npz"])
def test_one_file_in_the_way_is_enough_and_force_replaces_it(there: str, attic: Path, tmp_path: Path) -> None:
    (tmp_path / there).write_bytes(b"mine")
    (tmp_path / "notes.txt").write_bytes(b"mine")
    line = ["map", attic, "--out", tmp_path, "--speaker", "right", *SMALL]
    assert earshed(*line)[0] == 2
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {there: b"mine", "notes.txt": b"mine"}
    assert earshed(*line, "--force")[0] == 0
    assert (tmp_path / there).read_bytes() != b"mine"
    assert (tmp_path / "notes.txt").read_bytes() == b"mine"
    assert len(list(tmp_path.iterdir())) == 5


def refused(tmp_path: Path, *changes: tuple[str, str], more: tuple[str, ...] = ()) -> str:
    """The message for the attic with some changes; nothing may have been written."""
    scene, text = tmp_path / "changed.yaml", ATTIC
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    scene.write_text(text, encoding="utf-8")
    code, out, err = earshed("map", scene, "--out", tmp_path / "m", *SMALL, *more)
    assert (code, out) == (2, "")
    assert not (tmp_path / "m").exists()
    return err


def test_a_room_of_100_metres_is_refused(tmp_path: Path) -> None:
    assert "60" in refused(tmp_path, ("width: 4.3, length: 5.6", "width: 4.3, length: 100"))


def test_an_unknown_speaker_is_told_which_there_are(tmp_path: Path) -> None:
    message = refused(tmp_path, more=("--speaker", "lower left"))
    assert "lower left" in message
    assert all(name in message for name in NAMES)
    assert "thump" in refused(tmp_path, more=("--speaker", "thump"))  # a subwoofer has no map


def test_no_speakers_is_told_where_to_add_them(tmp_path: Path) -> None:
    for cut in (ATTIC.index("speakers:\n"), ATTIC.index("  - {name: Upper left")):
        end = ATTIC.index("  - {name: thump") if cut != ATTIC.index("speakers:\n") else ATTIC.index("listening_plane")
        assert "speakers" in refused(tmp_path, (ATTIC[cut:end], ""))


def test_too_fine_a_step_says_one_that_works(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    changes = ("step: 0.15", "step: 0.0005")
    message = refused(tmp_path, changes)
    assert f":{1 + ATTIC[: ATTIC.index('step: 0.15')].count(chr(10))}:" in message  # the line of the step
    assert f"{MOST_POINTS:,}" in message
    monkeypatch.setattr(listening_plane, "MOST_POINTS", 900)  # so that what works is quickly drawn
    step = refused(tmp_path, changes).rpartition("a step of ")[2].removesuffix(" would do\n")
    scene = tmp_path / "mended.yaml"
    scene.write_text(ATTIC.replace("step: 0.15", f"step: {step}"), encoding="utf-8")
    assert earshed("map", scene, "--out", tmp_path / "m", *SMALL)[0] == 0
    with np.load(tmp_path / "m" / "coverage.npz") as loaded:
        assert 600 < loaded["inside"].size <= 900  # works, and is hardly coarser than it must be


@given(width=st.integers(50, 60_000), length=st.integers(50, 60_000), step=st.floats(1e-5, 0.01))
def test_the_step_that_would_do_always_does(width: int, length: int, step: float) -> None:
    room = Room(rectangle(width / 1000, length / 1000), flat(2.5))
    if math.prod(grid_size(room, step)) <= MOST_POINTS:
        return
    with pytest.raises(listening_plane.PlaneTooFine) as refusal:
        listening_plane.lay_plane(room, listening_plane.PlaneSpec(1.0, step))
    assert math.prod(grid_size(room, refusal.value.enough)) <= MOST_POINTS
    assert refusal.value.enough > step


def test_a_scene_without_seats_is_mapped_all_the_same(tmp_path: Path) -> None:
    scene = tmp_path / "bare.yaml"
    start, end = ATTIC.index("seats:"), ATTIC.index("speaker_types:")
    flush = ATTIC[:start] + ATTIC[end:].replace("angled, ", "flush, ").replace(", aim: {seats: all}", "")
    scene.write_text(flush.replace(", aim: {seat: far right}", ""), encoding="utf-8")
    assert earshed("map", scene, "--out", tmp_path / "m", *SMALL)[0] == 0
    assert {path.name for path in (tmp_path / "m").iterdir()} == FILES
    assert (tmp_path / "m" / "seats.csv").read_text(encoding="utf-8").count("\n") == 1

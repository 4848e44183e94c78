"""Places by tape: partners read alike, a place is not moved by more than half a mark, and it reads back."""

from __future__ import annotations

import json
import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.scene_file.place_text import place_text
from earshed.model.taped import measured, tape_to
from earshed.model.units import INCH, parse_length
from earshed.viewer.cli import run
from tests.search_rooms import read

MARK = INCH / 16
ODD = "{width: 168-1/32in, length: 20ft, ceiling: {shape: gable, low: 7ft, peak: 9ft, ridge: front-to-back}}"
PLAN = read(room=ODD).room.plan
FACES = {face.name: face for face in read(room=ODD).room.surfaces}
SHARES = st.floats(0.02, 0.98)
OTHER = {"left wall": "right wall", "front wall": "front wall", "left slope": "right slope"}


def spot(name: str, across: float, up: float) -> np.ndarray:
    """A point (3,) of a face by shares of what it reaches over."""
    face = FACES[name]
    low, high = np.reshape(face.outline.bounds, (2, 2))
    return face.to_room(low + np.array([across, up]) * (high - low))


@given(name=st.sampled_from(sorted(OTHER)), across=SHARES, up=SHARES)
def test_mirrored_places_read_alike_and_lie_mirrored(name, across, up):
    here = spot(name, across, up)
    there = here * [-1, 1, 1] + [PLAN.width, 0, 0]
    one, other = (tape_to(p, FACES[n], PLAN, MARK) for p, n in ((here, name), (there, OTHER[name])))
    swap = {"left": "right", "right": "left"}
    assert [(swap.get(start, start), round(d / MARK)) for start, d in one.along] == [
        (start, round(d / MARK)) for start, d in other.along
    ]
    image = other.point(PLAN) * [-1, 1, 1] + [PLAN.width, 0, 0]
    np.testing.assert_allclose(one.point(PLAN), image, atol=1e-9)


@given(name=st.sampled_from(sorted(FACES.keys() - {"floor"})), across=SHARES, up=SHARES)
def test_a_place_is_where_it_was_measured_and_goes_to_the_nearest_mark(name, across, up):
    here, face = spot(name, across, up), FACES[name]
    np.testing.assert_allclose(measured(here, face, PLAN, MARK).point(PLAN), here, atol=1e-9)
    moved = tape_to(here, face, PLAN, MARK).point(PLAN) - here
    level = moved[:2] if face.kind != "wall" else moved
    assert np.abs(level).max() <= MARK / 2 * (1 + 1e-4)


@given(name=st.sampled_from(sorted(FACES.keys() - {"floor"})), across=SHARES, up=SHARES)
def test_what_is_taped_is_written_in_whole_marks_from_the_same_side(name, across, up):
    face = FACES[name]
    taped = tape_to(spot(name, across, up), face, PLAN, MARK)
    written = place_text(PLAN, face, taped.point(PLAN), "ft-in")
    keys = dict(re.findall(r"(from_\w+|height): ([^,}]+)", ", ".join(f"{k}: {v}" for k, v in written.items())))
    told = {f"from_{start}": distance for start, distance in taped.along}
    told |= {"height": taped.height} if taped.height is not None else {}
    assert keys.keys() == told.keys()
    for key, text in keys.items():
        assert "mm" not in text
        assert parse_length(text) == pytest.approx(told[key], abs=1e-9)


SCENE = f"""\
format: 1
title: Odd
room: {ODD}
seats: [{{name: sofa, at: {{from_center: 0ft, from_front: 12ft}}, ear_height: 40in, main: true}}]
speaker_types:
  pivot: {{mount: in-ceiling, aiming: {{pivoting: 20deg}}, coverage: 90deg, cutout: 8in, bezel: 9in}}
  wall: {{mount: in-wall, aiming: {{pivoting: 12deg}}, coverage: 110deg, cutout: 7in, bezel: 8in}}
speakers:
  - {{name: l, type: pivot, channel: U+045, at: {{from_left: 4ft, from_front: 9ft}}}}
  - {{name: r, type: pivot, channel: U-045, at: {{from_right: 4ft, from_front: 9ft}}}}
  - {{name: front left, type: wall, channel: M+030, wall: front, from_left: 3ft, height: 4ft}}
  - {{name: front right, type: wall, channel: M-030, wall: front, from_left: 10ft, height: 4ft}}
"""


@pytest.mark.parametrize("pair", ["l,r", "front left,front right"])
def test_what_is_printed_is_what_is_written_and_partners_read_alike(pair, tmp_path, capsys):
    scene, overlay = tmp_path / "odd.yaml", tmp_path / "placed.yaml"
    scene.write_text(SCENE, encoding="utf-8")
    assert run(["place", str(scene), "--pair", pair, "--write", str(overlay)]) == 0
    printed = " ".join(capsys.readouterr().out.split())
    rows = re.findall(r"where (.*?), in the", printed)[:2]
    text = overlay.read_text(encoding="utf-8")
    assert "mm" not in text
    written = [line for line in text.splitlines() if "from_" in line]
    for row, line, side in zip(rows, written, ("left", "right"), strict=True):
        length, rest = row.split(f" from the {side}, ")
        assert f"from_{side}: {length}" in line
        assert rest.split(" from the")[0].split(" high")[0] in line
    assert rows[0].replace("left", "right") == rows[1]
    run(["place", str(scene), "--pair", pair, "--json"])
    found = json.loads(capsys.readouterr().out)["answers"][0]["choices"][0]
    run(["check", str(overlay), "--json"])
    there = {one["name"]: one["position_m"] for one in json.loads(capsys.readouterr().out)["speakers"]}
    for one in found:
        assert there[one["speaker"]] == pytest.approx(one["position_m"], abs=1e-6)

"""Overlays as text: any name, and aims in words that come back as the same axis."""

import math
from typing import Any

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.aim import Tilt, axis_of
from earshed.model.geometry import UP, angle_between, tilted, unit
from earshed.model.heading import parse_heading
from earshed.model.scene_file.overlay_text import aim_text, overlay_text
from earshed.model.scene_file.tree import Table, parse_tree
from earshed.model.scene_file.tree import Text as Scalar
from earshed.model.speaker_type import Angled, Fixed, Pivoting

leans = st.tuples(st.floats(-1, 1), st.floats(-1, 1), st.floats(-1, 1)).filter(lambda v: math.hypot(*v) > 0.2)


@given(leans, leans, st.floats(0.01, 80), st.sampled_from(["slope", "level", "wall"]))
def test_an_aim_in_words_reads_back_to_the_same_axis(lean: Any, face: Any, degrees: float, kind: str) -> None:
    """On slopes up to 60 degrees, level faces and walls: within 0.01 degrees, and never past the limit."""
    normal = {
        "slope": unit(np.array([face[0] * 1.2, face[1] * 1.2, -1.0])), "level": -UP,
        "wall": unit([face[0], face[1] + 2, 0.0]),
    }[kind]  # fmt: skip
    along = np.array(lean) - (np.array(lean) @ normal) * normal
    if np.linalg.norm(along) < 0.05:
        return
    limit = math.radians(degrees)
    axis = tilted(normal, along, limit)
    read = parse_tree(f"aim: {aim_text(Pivoting(limit), normal, axis)}", "").get("aim")
    assert isinstance(read, Table)
    words = {key: read.get(key) for key in ("tilt", "toward")}
    assert isinstance(words["tilt"], Scalar)
    assert isinstance(words["toward"], Scalar)
    tilt = math.radians(float(words["tilt"].value.removesuffix("deg")))
    assert tilt <= limit + 1e-9
    back = axis_of(Pivoting(limit), normal, Tilt(tilt, parse_heading(words["toward"].value)), np.zeros((0, 3)))
    assert math.degrees(angle_between(axis, back)) < 0.01


def test_an_axis_square_to_its_face_is_no_aim_and_an_angled_one_needs_no_tilt() -> None:
    assert aim_text(Fixed(), -UP, -UP) == aim_text(Pivoting(0.3), -UP, -UP) == "none"
    assert aim_text(Angled(0.3), -UP, tilted(-UP, [1, 1, 0], 0.3)) == "{toward: 45deg right of front}"


names = st.text(max_size=20).map(lambda text: " ".join(text.split())).filter(lambda text: text and text.isprintable())


@given(st.dictionaries(names, st.just({"aim": "{seats: main}"}), max_size=4), st.text(max_size=30))
def test_an_overlay_keeps_any_name(changes: dict[str, dict[str, str]], note: str) -> None:
    text = overlay_text("den: #1.yaml", "as {found}", changes, notes=dict.fromkeys(changes, note), head=note)
    tree = parse_tree(text, "")
    assert [tree.get(key).value for key in ("format", "based_on", "scheme")] == ["1", "den: #1.yaml", "as {found}"]  # type: ignore[union-attr]
    speakers = tree.get("speakers")
    assert (list(speakers.entries) if isinstance(speakers, Table) else []) == list(changes)

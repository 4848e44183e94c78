"""Where the hole of what is chosen could go: the model on the face is the clear area itself."""

from __future__ import annotations

import json
import struct
from pathlib import Path

import numpy as np
import pytest
import shapely

from earshed.model.checks.elsewhere import places_of
from earshed.viewer.gltf.shapes import y_up
from earshed.viewer.live.asked import Look
from earshed.viewer.live.clear import clear_message, clear_model
from earshed.viewer.live.desk import Desk
from earshed.viewer.live.telling import Page
from earshed.viewer.meshes import PROUD
from tests.live_rooms import live_room
from tests.test_live_messages import unpacked

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))


def faces_of(glb: bytes) -> np.ndarray:
    """Triangles (T, 3, 3) of the first mesh of a .glb, read by the layout of the format (glTF 2.0, section 4.4)."""
    length = struct.unpack("<I", glb[12:16])[0]
    document, body = json.loads(glb[20 : 20 + length]), glb[28 + length :]
    primitive = document["meshes"][0]["primitives"][0]

    def numbers(index: int, kind: str, width: int) -> np.ndarray:
        accessor = document["accessors"][index]
        view = document["bufferViews"][accessor["bufferView"]]
        start = view.get("byteOffset", 0) + accessor.get("byteOffset", 0)
        return np.frombuffer(body, kind, accessor["count"] * width, start).reshape(-1, width)

    kind = {5123: "<u2", 5125: "<u4"}[document["accessors"][primitive["indices"]]["componentType"]]
    corners = numbers(primitive["indices"], kind, 1).reshape(-1, 3)
    return numbers(primitive["attributes"]["POSITION"], "<f4", 3)[corners]


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_the_model_covers_what_is_clear_and_lies_on_the_face(path: Path) -> None:
    desk = Desk.open(path, "proposed")
    for place in places_of(desk.answer.scene):
        area = sum(part.area for part in shapely.get_parts(place.clear_places) if part.area > 1e-5)
        model = clear_model(place.speaker, place)
        if model is None:
            assert area == 0
            continue
        triangles = faces_of(model).astype(float)
        across = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
        assert np.linalg.norm(across, axis=1).sum() / 2 == pytest.approx(area, rel=2e-3, abs=1e-4)
        face = place.hole.surface
        off = (triangles - y_up(face.origin)) @ y_up(face.normal)
        np.testing.assert_allclose(off, PROUD, atol=2e-5)


def test_it_is_told_once_and_again_when_something_changed(tmp_path: Path) -> None:
    desk, page = Desk.open(live_room(tmp_path), None), Page(Look(chosen="top left"))
    told, parts = unpacked(clear_message(desk.answer, page) or b"")
    assert (told["thing"], len(parts)) == ("top left", 1)
    assert clear_message(desk.answer, page) is None
    page.look = Look(chosen="bench")
    told, parts = unpacked(clear_message(desk.answer, page) or b"")
    assert (told["words"], parts) == ("", [])

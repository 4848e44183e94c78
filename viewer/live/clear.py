"""Where the hole of the chosen speaker could go on its face, as a model that lies on the face, and how far that is."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import manifold3d
import numpy as np
import pyvista as pv
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.checks.elsewhere import Places, places_of
from earshed.model.geometry import Array
from earshed.model.speaker import Speaker
from earshed.model.surface import Surface
from earshed.viewer import palette
from earshed.viewer.gltf.container import glb
from earshed.viewer.gltf.looks import sign_look
from earshed.viewer.gltf.shapes import Thing, solid_piece, tube_piece
from earshed.viewer.live.figures import Answer
from earshed.viewer.live.packet import packed
from earshed.viewer.live.telling import Page
from earshed.viewer.meshes import PROUD

FILL = sign_look(palette.VERDICT_FILL["covered"], opacity=0.35).both_sides()
EDGE = sign_look(palette.MARK_INK["covered"]).both_sides()
EDGE_RADIUS, SMALLEST = 0.004, 1e-5
"""Metres of the line round the area, and square metres under which a part of it is none."""


def clear_message(answer: Answer, page: Page) -> bytes | None:
    """Where the hole of what a page has chosen could go; None where the page has been told so.

    `words` say by how much to slide it to be clear of everything, where it is not.
    """
    scene = answer.scene
    speaker = next((one for one in scene.speakers if one.name == page.look.chosen and one.surface is not None), None)
    asked = (answer, speaker)
    if page.clear == asked:
        return None
    page.clear = asked
    document: dict[str, Any] = {"kind": "clear", "thing": page.look.chosen, "words": ""}
    if speaker is None:
        return packed(document)
    place = next(one for one in places_of(scene) if one.speaker is speaker)
    move = place.clear_of_all
    if move is not None and move.any():
        document["words"] = place.words(move)
    model = clear_model(speaker, place)
    return packed(document, [] if model is None else [model])


def clear_model(speaker: Speaker, place: Places) -> bytes | None:
    """The area in which the middle of the hole may be, laid on the face; None where there is none."""
    face = place.hole.surface
    parts = [part for part in _polygons(place.clear_places) if part.area > SMALLEST]
    if not parts:
        return None
    runs = [_on(face, np.array(ring.coords)) for part in parts for ring in (part.exterior, *part.interiors)]
    pieces = [solid_piece([_mesh(face, part) for part in parts], FILL), tube_piece(runs, EDGE_RADIUS, EDGE)]
    return glb([Thing(f"clear for {speaker.name}", pieces, facts={"kind": "clear"})], generator="Earshed", facts={})


def _mesh(face: Surface, part: shapely.Polygon) -> pv.PolyData:
    rings = [np.array(ring.coords)[:-1] for ring in (part.exterior, *part.interiors)]
    corners = manifold3d.triangulate(rings)
    return pv.PolyData.from_regular_faces(_on(face, np.concatenate(rings)), corners)


def _on(face: Surface, flat: Array) -> Array:
    lifted: Array = face.to_room(flat) + PROUD * face.normal
    return lifted


def _polygons(area: BaseGeometry) -> Iterator[shapely.Polygon]:
    for part in shapely.get_parts(area):
        if isinstance(part, shapely.Polygon):
            yield shapely.geometry.polygon.orient(part)

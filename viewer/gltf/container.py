"""The binary form of glTF 2.0: things to the bytes of one .glb file, always the same for the same things.

Khronos Group, glTF 2.0 Specification (ISO/IEC 12113:2022): 3.6 accessors and their alignment, 3.9 materials, 4.4 the
binary container; KHR_materials_unlit.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from earshed.viewer.gltf.looks import Look
from earshed.viewer.gltf.shapes import Piece, Thing

FLOAT, SHORT, INT = 5126, 5123, 5125
"""Component types of accessors: float32, uint16, uint32."""
VERTICES, INDICES = 34962, 34963
"""What a view of the buffer is for."""
TRIANGLES, LINES = 4, 1
NEAREST, LINEAR, TO_EDGE = 9728, 9729, 33071
"""Filters of a texture, and how it goes on past its edge."""
MOST_SHORTS = 65535
"""Points up to which their numbers fit in 16 bits; the last number is kept by the format."""
UNLIT = "KHR_materials_unlit"


def glb(things: Sequence[Thing], *, generator: str, facts: dict[str, Any]) -> bytes:
    """One file of some things; `facts` are kept with it as a whole. Things of nothing are left out."""
    writer = _Writer()
    roots = [writer.node(thing) for thing in things if thing.shows]
    return writer.file({"version": "2.0", "generator": generator, "extras": facts}, roots)


class _Writer:
    """Numbers everything as it comes, and gathers numbers of one kind in one view of the buffer each."""

    def __init__(self) -> None:
        self.nodes: list[dict[str, Any]] = []
        self.meshes: list[dict[str, Any]] = []
        self.accessors: list[dict[str, Any]] = []
        self.materials: list[dict[str, Any]] = []
        self.textures: list[dict[str, Any]] = []
        self.images: list[dict[str, Any]] = []
        self._looks: dict[Look, int] = {}
        self._views: list[bytearray] = []
        self._kinds: list[dict[str, int]] = []
        self._gathered: dict[tuple[int, int], int] = {}

    def node(self, thing: Thing) -> int:
        """A thing and all that belongs to it; its own number."""
        number = len(self.nodes)
        node: dict[str, Any] = {"name": thing.name}
        self.nodes.append(node)
        if thing.facts:
            node["extras"] = dict(thing.facts)
        primitives = [self._primitive(piece) for piece in thing.pieces if piece.shows]
        if primitives:
            node["mesh"] = len(self.meshes)
            self.meshes.append({"name": thing.name, "primitives": primitives})
        children = [self.node(part) for part in thing.parts if part.shows]
        if children:
            node["children"] = children
        return number

    def _primitive(self, piece: Piece) -> dict[str, Any]:
        attributes = {"POSITION": self._array(piece.points, VERTICES, limits=True)}
        if piece.normals is not None:
            attributes["NORMAL"] = self._array(piece.normals, VERTICES)
        if piece.places is not None:
            attributes["TEXCOORD_0"] = self._array(piece.places, VERTICES)
        small = len(piece.points) <= MOST_SHORTS
        numbers = piece.indices.ravel().astype(np.uint16 if small else np.uint32)
        return {
            "attributes": attributes,
            "indices": self._array(numbers, INDICES),
            "material": self._material(piece.look),
            "mode": TRIANGLES if piece.indices.shape[1] == 3 else LINES,
        }

    def _array(self, values: NDArray[Any], target: int, *, limits: bool = False) -> int:
        width = values.shape[1] if values.ndim == 2 else 1
        kind = {"f4": FLOAT, "u2": SHORT, "u4": INT}[values.dtype.str[1:]]
        view = self._gathered.setdefault((kind, width), len(self._views))
        if view == len(self._views):
            stride = {"byteStride": 4 * width} if target == VERTICES else {}
            self._new_view({**stride, "target": target})
        offset = len(self._views[view])
        self._views[view] += values.astype(values.dtype.newbyteorder("<")).tobytes()
        self._views[view] += bytes(-len(self._views[view]) % 4)
        accessor: dict[str, Any] = {"bufferView": view, "byteOffset": offset, "componentType": kind}
        accessor |= {"count": len(values), "type": {1: "SCALAR", 2: "VEC2", 3: "VEC3"}[width]}
        if limits:
            accessor |= {"min": values.min(axis=0).tolist(), "max": values.max(axis=0).tolist()}
        self.accessors.append(accessor)
        return len(self.accessors) - 1

    def _new_view(self, kind: dict[str, int]) -> None:
        self._views.append(bytearray())
        self._kinds.append(kind)

    def _material(self, look: Look) -> int:
        if look in self._looks:
            return self._looks[look]
        surface: dict[str, Any] = {"metallicFactor": 0.0, "roughnessFactor": look.roughness}
        surface["baseColorFactor"] = [*linear(look.color), look.opacity]
        material: dict[str, Any] = {"name": look.name, "pbrMetallicRoughness": surface}
        if look.picture is not None:
            surface["baseColorTexture"] = {"index": self._texture(look.name, look.picture)}
        if look.opacity < 1 or look.picture is not None:
            material["alphaMode"] = "BLEND"
        if look.two_sided:
            material["doubleSided"] = True
        if look.unlit:
            material["extensions"] = {UNLIT: {}}
        self._looks[look] = len(self.materials)
        self.materials.append(material)
        return self._looks[look]

    def _texture(self, name: str, picture: bytes) -> int:
        self._new_view({})
        self._views[-1] += picture
        self.images.append({"name": name, "mimeType": "image/png", "bufferView": len(self._views) - 1})
        self.textures.append({"sampler": 0, "source": len(self.images) - 1})
        return len(self.textures) - 1

    def file(self, asset: dict[str, Any], roots: list[int]) -> bytes:
        binary, views = bytearray(), []
        for content, kind in zip(self._views, self._kinds, strict=True):
            views.append({"buffer": 0, "byteOffset": len(binary), "byteLength": len(content), **kind})
            binary += content + bytes(-len(content) % 4)
        document: dict[str, Any] = {"asset": asset, "scene": 0, "scenes": [{"name": "room", "nodes": roots}]}
        if any("extensions" in material for material in self.materials):
            document["extensionsUsed"] = [UNLIT]
        if self.textures:
            nearest = {"magFilter": NEAREST, "minFilter": LINEAR, "wrapS": TO_EDGE, "wrapT": TO_EDGE}
            document |= {"samplers": [nearest], "textures": self.textures, "images": self.images}
        document |= {"nodes": self.nodes, "meshes": self.meshes, "materials": self.materials}
        document |= {"accessors": self.accessors, "bufferViews": views, "buffers": [{"byteLength": len(binary)}]}
        text = json.dumps(document, separators=(",", ":"), allow_nan=False).encode("ascii")
        text += b" " * (-len(text) % 4)
        chunks = struct.pack("<I4s", len(text), b"JSON") + text + struct.pack("<I4s", len(binary), b"BIN\0") + binary
        return struct.pack("<4sII", b"glTF", 2, 12 + len(chunks)) + chunks


def linear(color: str) -> list[float]:
    """Linear red, green and blue, 0 to 1, of an sRGB color "#rrggbb" (IEC 61966-2-1), as the format wants them."""
    parts = np.array([int(color[at : at + 2], 16) for at in (1, 3, 5)]) / 255
    return [float(value) for value in np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)]

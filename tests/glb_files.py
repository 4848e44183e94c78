"""Reads .glb files for the tests, by the specification alone: Khronos Group, glTF 2.0 (ISO/IEC 12113:2022)."""

from __future__ import annotations

import io
import json
import struct
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

KINDS = {5123: "<u2", 5125: "<u4", 5126: "<f4"}
WIDTHS = {"SCALAR": 1, "VEC2": 2, "VEC3": 3}


@dataclass(frozen=True, eq=False)
class Glb:
    """A file's document and its binary chunk."""

    document: dict[str, Any]
    binary: bytes

    @cached_property
    def nodes(self) -> dict[str, dict[str, Any]]:
        """By name; the last of those that share one."""
        return {node["name"]: node for node in self.document["nodes"]}

    def array(self, number: int) -> NDArray[Any]:
        """The numbers (N, width) of an accessor."""
        accessor = self.document["accessors"][number]
        view = self.document["bufferViews"][accessor["bufferView"]]
        start = view["byteOffset"] + accessor["byteOffset"]
        kind, width = np.dtype(KINDS[accessor["componentType"]]), WIDTHS[accessor["type"]]
        size = accessor["count"] * kind.itemsize * width
        assert view.get("byteStride", kind.itemsize * width) == kind.itemsize * width
        return np.frombuffer(self.binary[start : start + size], kind).reshape(-1, width)

    def parts(self, name: str) -> list[dict[str, Any]]:
        """The primitives of a node."""
        return self.document["meshes"][self.nodes[name]["mesh"]]["primitives"]

    def points(self, name: str, mode: int = 4) -> NDArray[np.float64]:
        """The points (N, 3) of a node's triangles, or of its lines (mode 1)."""
        found = [self.array(part["attributes"]["POSITION"]) for part in self.parts(name) if part["mode"] == mode]
        return np.concatenate(found).astype(np.float64)

    def triangles(self, name: str) -> NDArray[np.float64]:
        """Corners (T, 3, 3) of a node's triangles."""
        found = []
        for part in self.parts(name):
            if part["mode"] == 4:
                corners = self.array(part["attributes"]["POSITION"])
                found.append(corners[self.array(part["indices"]).reshape(-1, 3)])
        return np.concatenate(found).astype(np.float64)

    def children(self, name: str) -> list[str]:
        return [self.document["nodes"][number]["name"] for number in self.nodes[name].get("children", [])]

    def material(self, name: str) -> dict[str, Any]:
        """Of a node's first primitive."""
        return self.document["materials"][self.parts(name)[0]["material"]]

    def picture(self, name: str) -> NDArray[np.uint8]:
        """The texture (rows, columns, 4) of a node's first primitive, top row first."""
        surface = self.material(name)["pbrMetallicRoughness"]
        image = self.document["images"][self.document["textures"][surface["baseColorTexture"]["index"]]["source"]]
        view = self.document["bufferViews"][image["bufferView"]]
        content = self.binary[view["byteOffset"] : view["byteOffset"] + view["byteLength"]]
        with Image.open(io.BytesIO(content)) as opened:
            return np.asarray(opened.convert("RGBA"))


def read_glb(content: bytes) -> Glb:
    """Checks the container on the way: its marks, its lengths and their alignment."""
    magic, version, length = struct.unpack("<4sII", content[:12])
    assert (magic, version, length) == (b"glTF", 2, len(content))
    size, kind = struct.unpack("<I4s", content[12:20])
    assert kind == b"JSON"
    assert size % 4 == 0
    text = content[20 : 20 + size]
    rest = content[20 + size :]
    binary, kind = struct.unpack("<I4s", rest[:8])
    assert kind == b"BIN\0"
    assert binary % 4 == 0
    assert len(rest) == 8 + binary
    document = json.loads(text)
    assert document["buffers"] == [{"byteLength": binary}]
    return Glb(document, rest[8:])


def areas(triangles: NDArray[np.float64]) -> float:
    across = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    return float(np.linalg.norm(across, axis=1).sum() / 2)


def volume(triangles: NDArray[np.float64]) -> float:
    """By the divergence theorem; negative where the triangles are turned inwards."""
    return float(np.einsum("ti,ti->t", triangles[:, 0], np.cross(triangles[:, 1], triangles[:, 2])).sum() / 6)

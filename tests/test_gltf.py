"""The .glb of a room: sound by the format's own rules, true to the room's measures, every thing by its name."""

from __future__ import annotations

import math
import subprocess
import sys
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene, scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.viewer import palette
from earshed.viewer.gltf.container import glb, linear
from earshed.viewer.gltf.looks import Look
from earshed.viewer.gltf.room_file import Contents, room_glb
from earshed.viewer.gltf.shapes import Thing, line_piece, y_up
from tests.glb_files import KINDS, Glb, areas, read_glb, volume

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))
UNLIT = "KHR_materials_unlit"

# 4 m wide, 5 m long under a gable from 2 m to 3 m: 50 cubic metres. The foot of the speaker is 1 m from the left and
# 2 m from the front; the ceiling over it is 2.5 m up.
GABLE = """\
format: 1
title: Gable
bare_lengths: m
print_units: m
room: {width: 4, length: 5, ceiling: {shape: gable, ridge: front-to-back, low: 2, peak: 3}}
screen: {wall: front, diagonal: 2, aspect: "16:9", center_from_left: 2, bottom: 0.8}
seats: [{name: chair, at: {from_left: 3, from_front: 4}, ear_height: 1.1, main: true}]
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 80deg, band: 4kHz}, cutout: 0.2, bezel: 0.24}
speakers: [{name: left, type: flush, at: {from_left: 1, from_front: 2}}]
"""
FLAT = GABLE.replace("shape: gable, ridge: front-to-back, low: 2, peak: 3", "shape: flat, height: 2.5")


def scene_of(text: str) -> Scene:
    return scene_from_tree(parse_tree(text, "scene.yaml"))


@cache
def whole(path: Path) -> tuple[Scene, Glb]:
    """A shipped scene as proposed, and its file with all that can be in it."""
    scene = read_scene(path, "proposed")
    return scene, read_glb(room_glb(Contents(scene, *[scene.judged] * 4)))


shipped = pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)


# --- by the rules of the format


@shipped
def test_numbers_are_where_and_what_the_document_says(path: Path) -> None:
    _, file = whole(path)
    views = file.document["bufferViews"]
    for one, other in pairwise(views):
        assert one["byteOffset"] + one["byteLength"] <= other["byteOffset"]
    assert views[-1]["byteOffset"] + views[-1]["byteLength"] <= len(file.binary)
    for number, accessor in enumerate(file.document["accessors"]):
        view, values = views[accessor["bufferView"]], file.array(number)
        assert (view["byteOffset"] + accessor["byteOffset"]) % 4 == 0
        assert accessor["byteOffset"] + values.nbytes <= view["byteLength"]
        assert len(values) == accessor["count"] > 0
        if "min" in accessor:
            assert accessor["min"] == values.min(axis=0).tolist()
            assert accessor["max"] == values.max(axis=0).tolist()


@shipped
def test_every_mesh_is_drawn_as_its_corners_say(path: Path) -> None:
    """Indices stay within their points, no triangle is empty, and unit normals look where the corners turn."""
    _, file = whole(path)
    for mesh in file.document["meshes"]:
        for part in mesh["primitives"]:
            positions = file.document["accessors"][part["attributes"]["POSITION"]]
            assert {"min", "max"} <= set(positions)
            points = file.array(part["attributes"]["POSITION"]).astype(np.float64)
            numbers = file.array(part["indices"]).ravel()
            assert numbers.max() < len(points)
            assert KINDS[file.document["accessors"][part["indices"]]["componentType"]] != "<f4"
            if part["mode"] == 1:
                continue
            corners = points[numbers.reshape(-1, 3)]
            across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
            assert np.linalg.norm(across, axis=1).min() > 0, mesh["name"]
            unlit = UNLIT in file.document["materials"][part["material"]].get("extensions", {})
            assert ("NORMAL" in part["attributes"]) != unlit
            if not unlit:
                normals = file.array(part["attributes"]["NORMAL"]).astype(np.float64)
                assert np.abs(np.linalg.norm(normals, axis=1) - 1).max() < 1e-5
                facing = np.einsum("tci,ti->tc", normals[numbers.reshape(-1, 3)], across)
                assert facing.min() > 0, mesh["name"]


@shipped
def test_flat_faces_are_shaded_flat(path: Path) -> None:
    """Each wall and slope has one normal, whatever slivers its triangles leave where zones were joined."""
    scene, file = whole(path)
    for face in scene.room.surfaces:
        normals = file.array(file.parts(face.name)[0]["attributes"]["NORMAL"])
        assert normals == pytest.approx(np.broadcast_to(y_up(face.normal), normals.shape), abs=2e-4), face.name


@shipped
def test_every_node_is_reached_once(path: Path) -> None:
    _, file = whole(path)
    nodes = file.document["nodes"]
    reached = [*file.document["scenes"][0]["nodes"], *(child for node in nodes for child in node.get("children", []))]
    assert sorted(reached) == list(range(len(nodes)))
    assert sorted(node["mesh"] for node in nodes if "mesh" in node) == list(range(len(file.document["meshes"])))
    assert file.document["asset"]["version"] == "2.0"
    assert file.document["extensionsUsed"] == [UNLIT]


def test_the_same_scene_gives_the_same_bytes() -> None:
    def made() -> bytes:
        scene = read_scene(SCENES[0], "proposed")
        return room_glb(Contents(scene, *[scene.judged] * 4))

    assert made() == made()


def test_colors_are_put_in_linear_light() -> None:
    """IEC 61966-2-1: half gray, and both sides of the bend at 0.04045 (10 of 255 lies under it)."""
    assert linear("#808080") == pytest.approx([0.2158605] * 3, abs=1e-7)
    assert linear("#000a0b") == pytest.approx([0, 10 / 255 / 12.92, ((11 / 255 + 0.055) / 1.055) ** 2.4])
    assert linear("#ffffff") == [1, 1, 1]
    file = read_glb(room_glb(Contents(scene_of(GABLE))))
    wall = file.material("left wall")["pbrMetallicRoughness"]
    assert wall["baseColorFactor"] == [*linear(palette.WALL), 1.0]


@given(st.lists(st.text(st.characters(exclude_categories=["Cs"]), max_size=300), min_size=1, max_size=5))
def test_any_name_comes_back(names: list[str]) -> None:
    line = line_piece(np.zeros((1, 2, 3)), Look("ink", "#000000", unlit=True))
    file = read_glb(glb([Thing(name, [line]) for name in names], generator="test", facts={}))
    assert [node["name"] for node in file.document["nodes"]] == names


# --- true to the room


def test_front_is_far_right_is_right_and_up_is_up() -> None:
    """The model's axes, turned by -90 degrees about x; the front left corner on the floor stays the origin."""
    assert y_up(np.eye(3)).tolist() == [[1, 0, 0], [0, 0, -1], [0, 1, 0]]
    file = read_glb(room_glb(Contents(scene_of(GABLE))))
    walls = {"front wall": (2, 0), "rear wall": (2, 5), "left wall": (0, 0), "right wall": (0, 4), "floor": (1, 0)}
    for name, (axis, place) in walls.items():
        assert file.points(name)[:, axis] == pytest.approx(place, abs=1e-6)
    chair = file.points("chair")
    assert chair.mean(axis=0)[[0, 2]] == pytest.approx([3, 4], abs=0.35)
    assert chair[:, 1].max() == pytest.approx(1.1 + 0.095, abs=1e-3)  # ears, and the top of a head over them
    assert file.points("left").mean(axis=0) == pytest.approx([1, 2.5, 2], abs=0.02)
    assert np.ptp(file.points("screen"), axis=0) == pytest.approx(
        [2 * 16 / math.hypot(16, 9), 2 * 9 / math.hypot(16, 9), 0]
    )


def test_faces_have_their_areas_and_are_turned_into_the_room() -> None:
    file = read_glb(room_glb(Contents(scene_of(GABLE))))
    slope = 5 * math.hypot(2, 1)
    told = {"floor": 20, "left wall": 10, "right wall": 10, "front wall": 10, "rear wall": 10}
    told |= {"left slope": slope, "right slope": slope}
    assert {name: areas(file.triangles(name)) for name in told} == pytest.approx(told)
    assert sorted([*told, "edges of the room"]) == sorted(file.children("room"))
    assert volume(np.concatenate([file.triangles(name) for name in told])) == pytest.approx(-50, rel=1e-6)


@shipped
def test_the_room_is_as_large_as_its_shell_and_seen_into_from_all_sides(path: Path) -> None:
    scene, file = whole(path)
    faces = [name for name in file.children("room") if name != "edges of the room"]
    points = np.concatenate([file.points(name) for name in faces])
    shell = y_up(scene.room.shell.vertices)
    assert points.min(axis=0) == pytest.approx(shell.min(axis=0), abs=1e-4)
    assert points.max(axis=0) == pytest.approx(shell.max(axis=0), abs=1e-4)
    inner = -volume(np.concatenate([file.triangles(name) for name in faces]))
    stands = scene.room.shell.volume - scene.room.volume
    assert scene.room.volume - 1e-4 <= inner <= scene.room.volume + stands + 1e-4
    assert not any(file.material(name).get("doubleSided") for name in faces)


@shipped
def test_everything_is_there_by_its_name(path: Path) -> None:
    scene, file = whole(path)
    room = scene.room
    named = [*room.surfaces, *room.boxes, *room.risers, *scene.seats, *scene.speakers, *scene.fixtures]
    named += [*scene.openings, *scene.ceiling_openings, *scene.keep_outs, *scene.existing_holes]
    assert {thing.name for thing in named} <= set(file.nodes)
    assert {f"cone of {speaker.name}" for speaker in scene.judged} <= set(file.children("cones"))
    assert {f"off-axis angle of {speaker.name}" for speaker in scene.judged} <= set(file.children("listening plane"))
    for framing in scene.framing:
        assert any(name.startswith(f"{framing.name}, ") for name in file.children("framing"))
    assert file.document["asset"]["extras"] == {"title": scene.title, "scheme": "proposed"}


def test_a_cone_begins_at_its_speaker_and_ends_where_geometry_says() -> None:
    """On the floor of a flat room the cone of 80 degrees is a circle of radius height by tan 40 degrees, less what the
    walls cut off: here it stays within 5 mm of it, or lies on a wall. In ear height its limit is a smaller circle."""
    scene = scene_of(FLAT.replace("from_left: 1, from_front: 2", "from_left: 2, from_front: 2.5"))
    file = read_glb(room_glb(Contents(scene, cones=scene.judged, own_maps=scene.judged)))
    side = file.points("side of the cone of left")
    assert side.max(axis=0)[1] == pytest.approx(2.5, abs=1e-4)
    edge = side[side[:, 1] < 0.01]
    reach = np.hypot(edge[:, 0] - 2, edge[:, 2] - 2.5)
    assert len(edge) > 90
    assert reach.max() == pytest.approx(2.5 * math.tan(math.radians(40)), abs=5e-3)
    line = file.points("coverage limit of left")
    level = scene.plane.height
    radius = (2.5 - level) * math.tan(math.radians(40))
    assert line[:, 1] == pytest.approx(level, abs=0.03)
    assert np.hypot(line[:, 0] - 2, line[:, 2] - 2.5) == pytest.approx(radius, abs=0.015)


@pytest.mark.parametrize(
    "at", ["from_left: -1, from_front: 2", "from_left: 0, from_front: 0", "from_left: 9, from_front: 9"]
)
def test_a_speaker_that_is_not_in_the_room_spoils_no_file(at: str) -> None:
    """Its cone has no side or no rim, its limit no line; what is nothing is left out."""
    scene = scene_of(GABLE.replace("from_left: 1, from_front: 2", at))
    file = read_glb(room_glb(Contents(scene, *[scene.judged] * 4)))
    assert all(accessor["count"] > 0 for accessor in file.document["accessors"])
    assert all({"mesh", "children"} & set(node) for node in file.document["nodes"])
    assert {"left", "off-axis angle of left"} <= set(file.nodes)


@pytest.mark.parametrize("asked", [{}, {"cones": 1}, {"set_map": 1}, {"own_maps": 1}, {"lamps": 1}])
def test_only_what_is_asked_for_is_drawn(asked: dict[str, int]) -> None:
    scene = scene_of(GABLE)
    file = read_glb(room_glb(Contents(scene, **{name: scene.judged for name in asked})))
    assert ("cones" in file.nodes) == ("cones" in asked)
    assert ("listening plane" in file.nodes) == bool({"set_map", "own_maps", "lamps"} & set(asked))
    assert ("coverage limit of left" in file.nodes) == ("own_maps" in asked)
    assert ("edge of the light of left" in file.nodes) == ("lamps" in asked)


@settings(max_examples=8)
@given(st.floats(0.4, 3.6), st.floats(0.4, 4.6))
def test_moving_a_speaker_moves_its_grille_alone(left: float, front: float) -> None:
    """Along a flat ceiling by as much as it was moved; all else stays, to the last bit."""
    at = f"from_left: {left:.3f}, from_front: {front:.3f}"
    here = read_glb(room_glb(Contents(scene_of(FLAT))))
    there = read_glb(room_glb(Contents(scene_of(FLAT.replace("from_left: 1, from_front: 2", at)))))
    shift = there.points("left").mean(axis=0) - here.points("left").mean(axis=0)
    assert shift == pytest.approx([round(left, 3) - 1, 0, round(front, 3) - 2], abs=1e-5)
    for name in ("floor", "chair", "screen"):
        assert np.array_equal(here.points(name), there.points(name))


@pytest.mark.skipif(sys.platform != "linux", reason="looks up loaded libraries where Linux lists them")
def test_no_opengl_is_loaded(tmp_path: Path) -> None:
    code = f"""
import re
from pathlib import Path
from earshed.viewer.cli import run
assert run(["draw", {str(SCENES[0])!r}, "--out", {str(tmp_path / "a.glb")!r}]) < 2
assert run(["draw", {str(SCENES[0])!r}, "--out", {str(tmp_path / "a.html")!r}]) < 2
maps = Path("/proc/self/maps").read_text()
assert "libc.so" in maps
assert not re.search("lib(EGL|GLX?|OSMesa|OpenGL)[.]so", maps)
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr

"""Materials: the table against the open one that it quotes, and how a scene names them."""

from __future__ import annotations

import importlib.util
import json
from pathlib import Path

import numpy as np
import pytest

from earshed.model.scene import Scene
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import read_scene
from earshed.model.sound.bands import OCTAVES
from earshed.model.sound.materials import ASSUMED, MATERIALS, VORLANDER, material
from tests.scene_files import put, put_marked

OPEN_NAMES = {
    "double plasterboard": "plasterboard", "wood boards": "wooden_lining", "thin plywood": "plywood_thin",
    "wood door": "wooden_door", "brick": "brick_wall_rough", "concrete": "unpainted_concrete",
    "double glazing": "double_glazing_10mm", "carpet on pad": "carpet_1.35_kg_m2", "thin carpet": "carpet_thin",
    "ceramic tile": "ceramic_tiles", "linoleum": "linoleum_on_concrete", "cloth upholstery": "chairs_upholstered_cloth",
    "mineral wool 2 in": "rockwool_50mm_80kgm3", "acoustic ceiling tile": "ceiling_fissured_tile",
}  # fmt: skip
"""What the open table calls them."""
WOOL = "wool: {125Hz: 0.1, 250Hz: 0.3, 500Hz: 0.7, 1kHz: 0.9, 2kHz: 0.95, 4kHz: 1}"
ROOM = """format: 1
title: Den
room: {width: 4m, length: 6m, ceiling: {shape: flat, height: 2.5m}}
"""


def read(folder: Path, more: str, **files: str) -> Scene:
    return read_scene(put(folder, scene=ROOM + more, **files))


def test_the_table_is_the_open_one_row_by_row() -> None:
    """The annex of M. Vorländer's Auralization as pyroomacoustics brings it."""
    found = importlib.util.find_spec("pyroomacoustics")
    if found is None or found.origin is None:
        pytest.skip("pyroomacoustics, which brings the table, is not installed")
    table = json.loads((Path(found.origin).parent / "data" / "materials.json").read_text(encoding="utf-8"))
    rows = {name: row["coeffs"] for group in table["absorption"].values() for name, row in group.items()}
    assert table["center_freqs"] == [125, 250, 500, 1000, 2000, 4000, 8000]
    assert {name for name, one in MATERIALS.items() if one.source == VORLANDER} == set(OPEN_NAMES)
    for name, theirs in OPEN_NAMES.items():
        mine = MATERIALS[name]
        assert mine.absorption[: mine.stated].tolist() == rows[theirs], name


def test_every_material_has_six_octaves_or_seven_a_source_and_shares() -> None:
    for name, one in MATERIALS.items():
        assert one.name == name
        assert one.stated in (6, 7)
        assert one.source
        assert one.absorption.shape == (len(OCTAVES),)
        assert np.all((one.absorption > 0) & (one.absorption < 1))
        assert np.all(one.absorption[one.stated :] == one.absorption[one.stated - 1])
    assert set(ASSUMED.values()) <= set(MATERIALS)


def test_what_is_lost_is_the_share_that_does_not_come_back() -> None:
    """By hand: half absorbed is 3.0103 dB, nine tenths 10 dB, and all of it is told as 60 dB."""
    one = material("half", [0.0, 0.5, 0.9, 1.0], "by hand")
    np.testing.assert_allclose(one.loss_db[:4], [0.0, -3.0103, -10.0, -60.0], atol=1e-4)
    assert np.all(one.loss_db[4:] == one.loss_db[3])


@pytest.mark.parametrize(("values", "words"), [([], "from 1 to 8"), ([0.1] * 9, "from 1 to 8"), ([1.1], "outside 0")])
def test_a_material_that_cannot_be_is_refused(values: list[float], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        material("odd", values, "by hand")


# --- in a scene


def test_faces_boxes_openings_and_the_picture_say_of_what_they_are(tmp_path: Path) -> None:
    scene = read(
        tmp_path,
        f"""materials: {{{WOOL}}}
surfaces: {{floor: wood floor, walls: brick, rear wall: wool, ceiling: double plasterboard}}
fixtures:
  - {{name: case, kind: box, from_left: 0, from_front: 2m, bottom: 0, width: 1m, length: 1m, height: 1m,
     material: wool}}
  - {{name: post, kind: column, at: {{from_left: 3m, from_front: 3m}}, diameter: 0.3m, material: concrete}}
  - {{name: beam, kind: beam, runs: side-to-side, center_from_front: 1m, width: 0.2m, depth: 0.2m, spacing: 2m,
     count: 2, material: wood boards}}
openings:
  - {{name: door, wall: rear, from_left: 1m, sill: 0, width: 0.9m, height: 2m, material: plate glass}}
  - {{name: hatch, wall: ceiling, from_left: 1m, from_front: 4m, width: 0.6m, length: 0.6m, material: thin plywood}}
risers: [{{name: step, from_left: 0, from_front: 4m, width: 4m, length: 2m, height: 0.2m, material: carpet on pad}}]
screen: {{wall: front, diagonal: 2m, bottom: 0.6m, material: light curtain}}
""",
    )
    named = {name: one.name for name, one in scene.surfaces.items()}
    assert named == {
        "floor": "wood floor", "walls": "brick", "rear wall": "wool", "ceiling": "double plasterboard",
    }  # fmt: skip
    of = {block.name: block.material and block.material.name for block in (*scene.room.boxes, *scene.room.risers)}
    assert of == {
        "case": "wool", "post": "concrete", "beam 1": "wood boards", "beam 2": "wood boards", "step": "carpet on pad",
    }  # fmt: skip
    (door,), (hatch,) = scene.openings, scene.ceiling_openings
    assert [one and one.name for one in (door.material, hatch.material)] == ["plate glass", "thin plywood"]
    assert scene.screen is not None
    assert scene.screen.material is not None
    assert scene.screen.material.name == "light curtain"
    wool = scene.surfaces["rear wall"]
    assert wool.absorption.tolist() == [0.1, 0.3, 0.7, 0.9, 0.95, 1.0, 1.0, 1.0]
    assert (wool.source, wool.stated) == ("the scene", 6)


def test_a_catalog_brings_materials_and_a_scenes_own_stand_before(tmp_path: Path) -> None:
    catalog = f"format: 1\ncatalog: Panels\nmaterials: {{{WOOL.replace('1}', '1, 8kHz: 0.9, source: data sheet}')}}}\n"
    said = "catalogs: [panels.yaml]\nsurfaces: {walls: wool, ceiling: brick}\nmaterials: {brick: {125Hz: 0.2, "
    said += "250Hz: 0.2, 500Hz: 0.2, 1kHz: 0.2, 2kHz: 0.2, 4kHz: 0.2}}\n"
    scene = read(tmp_path, said, panels=catalog)
    assert (scene.surfaces["walls"].source, scene.surfaces["walls"].absorption[6]) == ("data sheet", 0.9)
    assert scene.surfaces["ceiling"].absorption[0] == 0.2


def test_a_scheme_changes_what_one_face_is_of(tmp_path: Path) -> None:
    path = put(
        tmp_path,
        scene=f"{ROOM}surfaces: {{floor: wood floor, walls: brick}}\nschemes:\n  treated:\n    materials: {{{WOOL}}}\n"
        "    surfaces: {walls: wool}\n",
    )
    named = {name: one.name for name, one in read_scene(path, "treated").surfaces.items()}
    assert named == {"floor": "wood floor", "walls": "wool"}


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ("surfaces: {floor: ¦carpet on pat}", "there is no material called carpet on pat; did you mean carpet on pad?"),
        ("surfaces: {¦flor: brick}", "there is no face called flor; did you mean floor?"),
        (f"materials: {{{WOOL.replace('1}', '¦1.05}')}}}", 'material "wool", 4kHz: 1.05 must be from 0 to 1; where a'),
        (f"materials: {{{WOOL.replace('1}', '¦-0.1}')}}}", "-0.1 must be from 0 to 1, written like 0.35"),
        (f"materials: {{wool: ¦{{{WOOL.split('{')[1].replace('125Hz: 0.1, ', '')}}}", "needs `125Hz`"),
        ("materials: {wool: {¦63Hz: 0.1}}", "`63Hz` is not a key here"),
        ("screen: {wall: front, diagonal: 2m, bottom: 0.6m, material: ¦gloss}", "there is no material called gloss"),
        (
            "openings: [{name: d, wall: rear, from_left: 1m, sill: 0, width: 0.9m, height: 2m, material: ¦wod door}]",
            "did you mean wood door?",
        ),
    ],
)
def test_slips_are_told_with_their_place(more: str, words: str, tmp_path: Path) -> None:
    path, place = put_marked(tmp_path, scene=f"{ROOM}{more}\n")
    with pytest.raises(SceneError) as caught:
        read_scene(path)
    assert words in str(caught.value)
    assert caught.value.mark == place

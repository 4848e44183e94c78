"""Plans as DXF, read back: what lies where, on which layer, and what its dimensions say."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from ezdxf.document import Drawing
from ezdxf.entities import DXFGraphic

from earshed.model.ruler import ruler_of
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene
from earshed.model.units import parse_length
from earshed.viewer.cli import run
from earshed.viewer.face_views import from_inside
from earshed.viewer.hidden_drawing import overhead
from earshed.viewer.sheets.dxf_draft import LAYERS
from earshed.viewer.sheets.dxf_file import dxf_of
from earshed.viewer.sheets.measured import ceiling_dimensions, wall_dimensions
from earshed.viewer.sheets.plans import PlanOptions

FOLDER = Path(__file__).resolve().parent.parent / "scenes"
SCENES = sorted(FOLDER.glob("*.yaml"))
DATE = "2030-01-02"
INCH = 0.0254
METRIC = """\
format: 1
title: "Größe %%d {x} \\\\P"
print_units: mm
bare_lengths: mm
room:
  outline: [[0, 0], [5000, 0], [5000, 3000], [3000, 3000], [3000, 6000], [0, 6000]]
  ceiling: {shape: shed, low: 2200, high: 3600, rises: left}
fixtures: [{name: spot, kind: can light, at: {from_left: 2500, from_front: 1203}, cutout: 95, body: 110}]
seats: [{name: stool, at: {from_left: 1000, from_front: 4000}, ear_height: 1000}]
speaker_types: {flush: {mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 210, bezel: 240}}
speakers: [{name: "one^two", type: flush, channel: U+045, at: {from_left: 1200, from_front: 2000}}]
"""


def drawn(scene: Scene, which: str = "all") -> Drawing:
    return ezdxf.read(io.StringIO(dxf_of(scene, PlanOptions(which=which), DATE).decode()))


def on(doc: Drawing, layer: str, kind: str = "*") -> list[DXFGraphic]:
    return list(doc.modelspace().query(f'{kind}[layer=="{layer}"]'))


def dimension_values(doc: Drawing) -> list[tuple[str, float]]:
    """The text of each dimension and what its own points measure, in the file's unit."""
    found = []
    for one in doc.modelspace().query("DIMENSION"):
        dxf = one.dxf
        if one.dimtype == 6:
            axis = 0 if dxf.dimtype & 64 else 1
            found.append((dxf.text, abs(dxf.defpoint2[axis] - dxf.defpoint[axis])))
        else:
            found.append((dxf.text, (dxf.defpoint3 - dxf.defpoint2).magnitude))
        assert dxf.actual_measurement == pytest.approx(found[-1][1], abs=1e-6)
    return found


@pytest.fixture(scope="module")
def bonus() -> Scene:
    return read_scene(FOLDER / "bonus-room.yaml", "proposed")


@pytest.fixture
def metric(tmp_path: Path) -> Scene:
    path = tmp_path / "metric.yaml"
    path.write_text(METRIC, encoding="utf-8")
    return read_scene(path)


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_every_room_is_a_file_without_errors(path: Path) -> None:
    doc = drawn(read_scene(path, "proposed"))
    auditor = doc.audit()
    assert not auditor.errors
    assert not auditor.fixes
    assert {entity.dxf.layer for entity in doc.modelspace()} <= set(LAYERS)
    for layer in LAYERS:
        assert doc.layers.get(layer).dxf.linetype in doc.linetypes


def test_units_are_those_of_the_tape(bonus: Scene, metric: Scene) -> None:
    assert [drawn(bonus).header[key] for key in ("$INSUNITS", "$MEASUREMENT", "$LUNITS")] == [1, 0, 4]
    assert [drawn(metric).header[key] for key in ("$INSUNITS", "$MEASUREMENT", "$LUNITS")] == [4, 1, 2]


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_holes_in_the_ceiling_lie_where_the_scene_has_them(path: Path) -> None:
    """Ellipses with the axes that a circle on a slope has from below: whole along it, its cosine across."""
    scene = read_scene(path, "proposed")
    doc = drawn(scene, "ceiling")
    cut = [one for one in scene.speakers if one.surface is not None and overhead(one.surface)]
    round_holes = [one for one in cut if one.long_axis is None and one.type.cutout is not None]
    found = on(doc, "CUTOUTS", "CIRCLE ELLIPSE".replace(" ", " "))
    assert len(on(doc, "CUTOUTS")) == len([one for one in cut if one.type.cutout is not None])
    for speaker in round_holes:
        assert speaker.surface is not None
        assert speaker.hole is not None
        center = speaker.position[:2] / INCH
        entity = next(one for one in found if np.allclose(one.dxf.center.vec2, center, atol=1e-6))
        radius, across = speaker.hole.radius / INCH, abs(float(speaker.surface.normal[2]))
        if entity.dxftype() == "CIRCLE":
            assert entity.dxf.radius == pytest.approx(radius, abs=1e-6)
            assert across == pytest.approx(1.0)
        else:
            assert entity.dxf.major_axis.magnitude == pytest.approx(radius, abs=1e-6)
            assert entity.dxf.ratio == pytest.approx(across, abs=1e-9)
            assert entity.dxf.major_axis.dot(tuple(speaker.surface.normal * (1, 1, 0))) == pytest.approx(0, abs=1e-9)
    for speaker in set(cut) - set(round_holes):
        assert speaker.surface is not None
        assert speaker.hole is not None
        corners = speaker.hole.edge_on(speaker.surface)[:-1, :2] / INCH
        rings = [np.array([point[:2] for point in one.get_points()]) for one in on(doc, "CUTOUTS", "LWPOLYLINE")]
        assert any(ring.shape == corners.shape and np.allclose(ring, corners, atol=1e-6) for ring in rings)


def test_walls_and_lights_lie_where_the_scene_has_them(metric: Scene) -> None:
    doc = drawn(metric, "ceiling")
    (outline,) = on(doc, "WALLS")
    assert np.allclose([point[:2] for point in outline.get_points()], metric.room.plan.corners * 1000, atol=1e-6)
    assert outline.closed
    (light,) = on(doc, "LIGHTS", "ELLIPSE")
    assert np.allclose(light.dxf.center, (2500, -1203, 0), atol=1e-6)


def test_a_wall_stands_apart_with_its_holes_in_place(bonus: Scene) -> None:
    doc = drawn(bonus)
    wall = bonus.room.surface("front wall")
    flat = from_inside(wall)
    middles = np.array(
        [flat(one.position) for one in bonus.speakers if one.surface is wall or one.type.mount == "in-wall"]
    )
    circles = np.array([one.dxf.center.vec2 for one in on(doc, "CUTOUTS", "CIRCLE")]) * INCH
    offsets = circles[:, :1] - middles[:, 0]
    assert np.allclose(np.sort(circles[:, 1]), np.sort(middles[:, 1]), atol=1e-7)
    shift = circles[:, 0].min() - middles[:, 0].min()
    assert np.allclose(np.sort(circles[:, 0]), np.sort(middles[:, 0] + shift), atol=1e-7)
    assert offsets.min() > 0
    assert circles[:, 0].min() > bonus.room.plan.width


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_each_dimension_measures_what_it_says(path: Path) -> None:
    scene = read_scene(path, "proposed")
    ruler = ruler_of(None, scene.print_units)
    for text, measured in dimension_values(drawn(scene)):
        assert ruler.bare(measured * INCH) == text.removeprefix("-")
        assert parse_length(text.removeprefix("-")) == pytest.approx(measured * INCH, abs=ruler.mark / 2 + 1e-9)


def test_dimensions_are_those_of_the_sheets(bonus: Scene, metric: Scene) -> None:
    ruler = ruler_of(None, "ft-in")
    sides = [*ceiling_dimensions(bonus, ruler), *wall_dimensions(bonus, bonus.room.surface("front wall"), ruler),
             *wall_dimensions(bonus, bonus.room.surface("rear wall"), ruler)]  # fmt: skip
    told = sorted(text for side in sides for text in (side.whole.text, *(tick.text for tick in side.ticks)))
    assert sorted(text for text, _ in dimension_values(drawn(bonus))) == told
    assert {"1200", "2500", "3000", "5000"} < {text for text, _ in dimension_values(drawn(metric, "ceiling"))}


def test_letters_cannot_be_taken_for_codes(metric: Scene) -> None:
    texts = [one.dxf.text for one in drawn(metric).modelspace().query("TEXT")]
    assert "one'two" in texts
    title = next(text for text in texts if text.startswith("Gr"))
    assert title.startswith("Größe % %d {x} /P - ")
    assert any("1/8" in text or "1 mm" in text for text in texts)
    assert any("%%d" in text for text in texts)  # the sign of a degree, of the slope


def test_names_and_cautions_are_in_it(bonus: Scene) -> None:
    texts = " ".join(one.dxf.text for one in drawn(bonus).modelspace().query("TEXT"))
    for words in (
        "Reflected ceiling plan",
        "scheme: proposed",
        DATE,
        "full size",
        "never cut framing",
        "mirror on the",
    ):
        assert words in texts
    for named in (*bonus.speakers, *bonus.seats, *bonus.fixtures, *bonus.openings, *bonus.keep_outs):
        assert named.name in texts


def test_the_same_scene_gives_the_same_bytes(bonus: Scene) -> None:
    assert dxf_of(bonus, PlanOptions(), DATE) == dxf_of(bonus, PlanOptions(), DATE)
    assert dxf_of(bonus, PlanOptions(), DATE) != dxf_of(bonus, PlanOptions(), "2030-01-03")


def test_without_its_library_it_says_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in [name for name in sys.modules if name.startswith("earshed.viewer.sheets.dxf")]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, "ezdxf", None)
    assert run(["plans", str(SCENES[0]), "--out", str(tmp_path / "plan.dxf")]) == 2
    assert "a DXF needs the library ezdxf: pip install 'earshed[dxf]'" in capsys.readouterr().err
    assert not list(tmp_path.iterdir())


def test_paper_and_scale_are_not_of_a_dxf(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["plans", str(SCENES[0]), "--out", str(tmp_path / "plan.dxf"), "--paper", "A3"]) == 2
    assert "full size, on no paper; leave out --scale and --paper" in capsys.readouterr().err

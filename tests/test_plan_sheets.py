"""The ceiling plan and the elevations on paper: their scale, their words, and that nothing lies on anything else."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.transforms import Bbox
from numpy.typing import NDArray

from earshed.model.ruler import ruler_of
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene
from earshed.viewer.cautions import BEFORE_CUTTING
from earshed.viewer.cli import run
from earshed.viewer.sheets.files import pdf_of
from earshed.viewer.sheets.fit import place
from earshed.viewer.sheets.measured import ceiling_dimensions, wall_dimensions
from earshed.viewer.sheets.paper_size import PAPERS
from earshed.viewer.sheets.plans import PlanOptions, plan_sheets, subjects
from earshed.viewer.sheets.sheet import Sheet
from earshed.viewer.sheets.title_block import stamp
from earshed.viewer.sheets.trade_scale import parse_scale
from tests.page_words import assert_apart, boxes_on

FOLDER = Path(__file__).resolve().parent.parent / "scenes"
DATE = "2030-01-02"
DPI = 300
SMALLEST, NAMES = 7.0, 8.0
"""Points."""
METRIC = """\
format: 1
title: L-shaped loft
print_units: mm
bare_lengths: mm
room:
  outline: [[0, 0], [5200, 0], [5200, 3600], [3400, 3600], [3400, 6800], [0, 6800]]
  ceiling: {shape: shed, low: 2250, high: 3600, rises: left}
datums: {stair nosing: {from_left: 3400, from_front: 3600}}
framing:
  - {name: rafters, surface: ceiling, member: 2x8, spacing: 600, direction: up-slope, first_center: 300}
fixtures:
  - {name: spot 1, kind: can light, at: {from_left: 1200, from_front: 1203}, cutout: 95, body: 110}
  - {name: spot 2, kind: can light, at: {from_left: 4300, from_front: 1203}, cutout: 95, body: 110}
openings: [{name: stair door, wall: 6, along: 1500, sill: 0, width: 800, height: 2000}]
screen: {wall: 1, diagonal: 2200, aspect: 16:9, center_along: 2600, bottom: 700}
seats:
  - {name: sofa left, at: {from_left: 2200, from_front: 3100}, ear_height: 1000, main: true}
  - {name: sofa right, at: {from_left: 3000, from_front: 3100}, ear_height: 1000, main: true}
speaker_types:
  round: {mount: in-ceiling, aiming: {angled: 25deg}, coverage: 90deg, cutout: 240, bezel: 270}
  slot: {mount: in-wall, aiming: fixed, coverage: 90deg, cutout: 180 x 420, bezel: 200 x 440}
speakers:
  - {name: upper left, type: round, channel: U+045, at: {from_left: 1200, from_front: 2000}, aim: {seats: main}}
  - {name: upper right, type: round, channel: U-045, at: {from_left: 4000, from_front: 2003}, aim: {seats: main}}
  - {name: left, type: slot, channel: M+030, wall: 1, along: 1100, height: 1200}
"""


def every_scheme() -> Iterator[tuple[str, str | None]]:
    for path in sorted(FOLDER.glob("*.yaml")):
        yield path.stem, None
        for scheme in read_scene(path).schemes:
            yield path.stem, scheme
    yield "metric", None


EVERY = list(every_scheme())


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("metric")
    (folder / "metric.yaml").write_text(METRIC, encoding="utf-8")
    return folder


@pytest.fixture
def scene(request: pytest.FixtureRequest, folder: Path) -> Scene:
    name, scheme = request.param
    return read_scene((folder if name == "metric" else FOLDER) / f"{name}.yaml", scheme)


def every_scene(function):
    return pytest.mark.parametrize("scene", EVERY, indirect=True, ids=lambda one: f"{one[0]}-{one[1]}")(function)


@cache
def bonus() -> Scene:
    return read_scene(FOLDER / "bonus-room.yaml", "proposed")


def lengths_on(scene: Scene) -> dict[str, list[str]]:
    """By sheet, the distances that are to stand on it."""
    ruler = ruler_of(None, scene.print_units)
    sides = {"ceiling": ceiling_dimensions(scene, ruler)}
    for wall in (face for face in scene.room.surfaces if face.kind == "wall"):
        sides[wall.name] = wall_dimensions(scene, wall, ruler)
    return {name: [text for side in pair for text in (side.whole.text, *(tick.text for tick in side.ticks))]
            for name, pair in sides.items()}  # fmt: skip


# --- nothing lies on anything else


@every_scene
def test_all_lies_in_its_place_and_no_words_on_others(scene: Scene) -> None:
    """Drawings, dimensions and legends within the margins and over the foot; every word apart from others."""
    sheets = plan_sheets(scene, PlanOptions())
    names = {one.name for one in (*scene.speakers, *scene.seats)}
    for sheet in sheets.values():
        sheet.figure.set_dpi(DPI)
        left, low, right, high = np.array(sheet.area) / 25.4 * DPI
        for box in drawn_boxes(sheet):
            assert box.x0 >= left - 1
            assert box.y0 >= low - 1
            assert box.x1 <= right + 1
            assert box.y1 <= high + 1
    stamp(list(sheets.values()), scene, DATE)
    for sheet in sheets.values():
        boxes = boxes_on(sheet.figure)
        assert len(boxes) > 10
        assert_apart(boxes, boxes)
        assert min(text.get_fontsize() for text in boxes) >= SMALLEST
        assert all(text.get_fontsize() >= NAMES for text in boxes if text.get_text() in names)


def drawn_boxes(sheet: Sheet) -> Iterator[Bbox]:
    """Where all is that is drawn on a sheet. Lines and shapes of a drawing are clipped to its axes, arrows are not."""
    renderer = FigureCanvasAgg(sheet.figure).get_renderer()
    yield from (one.get_window_extent(renderer) for one in (*sheet.axes.lines, *sheet.axes.patches, *sheet.axes.texts))
    for axes in sheet.figure.axes:
        if axes is not sheet.axes:
            yield axes.get_window_extent(renderer)
            yield from (one.get_window_extent(renderer) for one in axes.texts)


@every_scene
def test_every_name_stands_on_the_ceiling_plan(scene: Scene) -> None:
    """Or it is told that there was no room for it."""
    sheet = plan_sheets(scene, PlanOptions(which="ceiling"))["ceiling"]
    words = [text.get_text() for text in sheet.axes.texts]
    fixed = [one.name for one in scene.speakers if one.surface is None or one.surface.kind != "wall"]
    told = " ".join(word for word in words if word.startswith("No room to name"))
    for name in (*fixed, *(seat.chair for seat in scene.seats), *scene.datums, *(one.name for one in scene.openings)):
        assert name in words or name in told
    for one in scene.speakers:
        assert one.channel is None or one.name not in fixed or one.channel.label in words


# --- the scale is true


def pages(content: bytes) -> list[NDArray[np.uint8]]:
    return [np.asarray(page.render(scale=DPI / 72).to_pil().convert("L")) for page in pypdfium2.PdfDocument(content)]


def runs_of(row: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First and last pixel after of each run."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(np.int8), [0]])))
    return list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))


def outer_lines(page: NDArray[np.uint8], box: tuple[int, int, int, int]) -> float:
    """Pixels between the middles of the outermost heavy lines across a part of a page: the median over its rows."""
    left, top, right, low = box
    found = []
    for row in page[top:low, left:right] < 110:
        heavy = [(start + end) / 2 for start, end in runs_of(row) if 11 <= end - start <= 16]
        if len(heavy) > 1:
            found.append(heavy[-1] - heavy[0])
    assert len(found) > 20
    return float(np.median(found))


@pytest.mark.parametrize(
    ("scale", "paper"), [("1/4in", "Letter"), ("1/2in", "Tabloid"), ("1:50", "A4"), ("1:25", "A3")]
)
def test_walls_on_a_print_are_as_far_apart_as_the_scale_says(scale: str, paper: str) -> None:
    scene = read_scene(FOLDER / "basement.yaml", "proposed")
    options = PlanOptions(parse_scale(scale), PAPERS[paper], "front")
    ((subject,), ratio) = list(subjects(scene, options)), parse_scale(scale).ratio
    where = place(subject, scene.print_units, options.scale, options.paper)
    sheet = plan_sheets(scene, options)["front wall"]
    stamp([sheet], scene, DATE)
    (page,) = pages(pdf_of([sheet], scene.title))
    millimetre = DPI / 25.4
    left, low, right, high = np.array(where.drawing) * millimetre
    box = (int(left), int(page.shape[0] - high), int(right), int(page.shape[0] - low))
    assert outer_lines(page, box) == pytest.approx(scene.room.plan.width * 1000 / ratio * millimetre, abs=1.0)
    flipped = np.ascontiguousarray(page.T)
    turned = (box[1], box[0], box[3], box[2])
    height = float(subject.bounds[1, 1])
    assert outer_lines(flipped, turned) == pytest.approx(height * 1000 / ratio * millimetre, abs=1.0)


def test_the_plan_is_to_scale_and_so_is_the_bar_to_check_it_by() -> None:
    scene = bonus()
    sheets = plan_sheets(scene, PlanOptions(which="ceiling"))
    (subject,) = subjects(scene, PlanOptions(which="ceiling"))
    where = place(subject, scene.print_units, None, None)
    stamp(list(sheets.values()), scene, DATE)
    (page,) = pages(pdf_of(list(sheets.values()), scene.title))
    millimetre = DPI / 25.4
    left, low, right, high = np.array(where.drawing) * millimetre
    box = (int(left), int(page.shape[0] - high), int(right), int(page.shape[0] - low))
    wide = scene.room.plan.width * 1000 / where.scale.ratio * millimetre
    assert outer_lines(page, box) == pytest.approx(wide, abs=1.0)
    bar = [
        runs
        for row in page[-int(22 * millimetre) : -int(17 * millimetre)] < 110
        for runs in [runs_of(row)]
        if len(runs) == 3
    ]
    assert np.median([runs[-1][1] - runs[0][0] for runs in bar]) == pytest.approx(2 * DPI, abs=4)


# --- what is written


@pytest.mark.parametrize("scene", [one for one in EVERY if one[1] in (None, "proposed")], indirect=True, ids=str)
def test_the_pdf_can_be_searched_for_all_that_matters(scene: Scene) -> None:
    sheets = plan_sheets(scene, PlanOptions())
    stamp(list(sheets.values()), scene, DATE)
    document = pypdfium2.PdfDocument(pdf_of(list(sheets.values()), scene.title))
    told = lengths_on(scene)
    assert len(document) == len(sheets)
    for number, (name, sheet) in enumerate(sheets.items(), start=1):
        text = " ".join(document[number - 1].get_textpage().get_text_bounded().split())
        for words in (sheet.title, scene.title, f"scheme: {scene.scheme}" if scene.scheme else "as it stands", DATE,
                      sheet.scale, f"page {number} of {len(sheets)}", *BEFORE_CUTTING.split()):  # fmt: skip
            assert words in text
        for length in told[name]:
            assert length in text


def test_the_plan_says_how_it_is_read_and_what_its_signs_are() -> None:
    sheet = plan_sheets(bonus(), PlanOptions(which="ceiling"))["ceiling"]
    words = [text.get_text() for text in sheet.axes.texts]
    told = " ".join(words)
    assert "mirror on the floor: left stays left" in told
    assert "longer than on this plan" in told
    assert "8-3/8 in 12 · 35.0°" in words
    assert "7-1/8 in 12 · 30.8°" in words
    assert "front wall / screen wall" in words
    for sign in ("cut-out (heavy), bezel, center", "pipe", "picture's center line", "datum", "ridge or crease"):
        assert sign in words
    level = plan_sheets(read_scene(FOLDER / "office.yaml"), PlanOptions(which="ceiling"))["ceiling"]
    told = " ".join(text.get_text() for text in level.axes.texts)
    assert "longer than on this plan" not in told
    assert "ring with a star: a sprinkler" in told
    assert "datum" not in told


# --- which paper and scale


@every_scene
def test_the_scale_is_the_largest_that_fits(scene: Scene) -> None:
    for subject in subjects(scene, PlanOptions()):
        where = place(subject, scene.print_units, None, None)
        inches = scene.print_units == "ft-in"
        assert where.paper.name == ("Letter" if inches else "A4")
        again = place(subject, scene.print_units, where.scale, None)
        assert again == where
        width, height = (np.ptp(subject.bounds, axis=0) * 1000 / where.scale.ratio).tolist()
        left, low, right, high = where.drawing
        assert right - left >= width
        assert high - low >= height


def test_a_larger_room_goes_on_larger_paper(folder: Path) -> None:
    path = folder / "hall.yaml"
    path.write_text(METRIC.replace("6800]", "21800]").replace("5200,", "12200,"), encoding="utf-8")
    (subject,) = subjects(read_scene(path), PlanOptions(which="ceiling"))
    assert place(subject, "mm", None, None).paper.name == "A3"


# --- the command


def command(*words: object) -> int:
    return run(["plans", str(FOLDER / "bonus-room.yaml"), *map(str, words), "--date", DATE])


def test_files_are_named_after_their_sheets(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert command("--out", tmp_path / "new" / "plan.svg", "--json", "--scheme", "proposed") == 0
    told = json.loads(capsys.readouterr().out)
    names = ["plan-ceiling.svg", "plan-front-wall.svg", "plan-rear-wall.svg"]
    assert [Path(path).name for path in told["written"]] == names
    assert sorted(path.name for path in (tmp_path / "new").iterdir()) == names
    assert told["sheets"][0] == {"title": "Reflected ceiling plan", "scale": '1/4" = 1\'-0" (1:48)', "paper": "Letter"}
    assert "upper front left" in (tmp_path / "new" / "plan-ceiling.svg").read_text(encoding="utf-8")


def test_one_sheet_is_one_file_and_the_same_bytes_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for kind in ("svg", "pdf"):
        contents = []
        for name in ("one", "two"):
            assert command("--out", tmp_path / f"{name}.{kind}", "--sheet", "front") == 0
            contents.append((tmp_path / f"{name}.{kind}").read_bytes())
        assert contents[0] == contents[1]
    assert "Front wall, as seen from inside the room" in capsys.readouterr().out


def test_a_step_of_a_sixteenth_is_printed(tmp_path: Path) -> None:
    for step, words in (
        ("1/16in", "to the nearest 1/16"),
        ("1/8in", "to the nearest 1/8"),
        ("1mm", "to the nearest 1 mm"),
    ):
        path = tmp_path / f"{step[2]}.svg"
        assert command("--out", path, "--sheet", "front", "--step", step) == 0
        text = re.sub(r"<[^>]*>", " ", path.read_text(encoding="utf-8"))
        assert words in " ".join(text.split())


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--out", "plan.png"], r"plan.png: plans are written as .pdf, .svg or .dxf"),
        (["--out", "p.pdf", "--scale", "1:33"], r"--scale 1:33 is no scale that sheets .*write one of 1:10,"),
        (["--out", "p.pdf", "--sheet", "roof"], r"no sheet roof; say ceiling, walls, all, or a wall: front"),
        (
            ["--out", "p.pdf", "--paper", "Letter", "--scale", "1/2in", "--sheet", "ceiling"],
            r"not fit on Letter at 1/2.* \(1:24\).*; at that scale Tabloid or A3 takes it; Letter takes it at 1/4",
        ),
        (["--out", "p.pdf", "--scale", "1in", "--sheet", "ceiling"], r"no paper takes it so large; Letter takes it at"),
        (["--out", "p.pdf", "--paper", "A5"], r"A5"),
    ],
)
def test_what_cannot_be_drawn_is_said(
    words: list[str], told: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert command(*words) == 2
    printed = capsys.readouterr()
    assert re.search(told, " ".join(printed.err.split()))
    assert not list(tmp_path.iterdir())


def test_no_file_is_written_where_one_is_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "plan-rear-wall.svg").write_text("mine", encoding="utf-8")
    assert command("--out", tmp_path / "plan.svg") == 2
    assert "plan-rear-wall.svg exists already" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["plan-rear-wall.svg"]
    assert command("--out", tmp_path / "plan.svg", "--force") == 0
    assert len(list(tmp_path.iterdir())) == 3


def test_a_wall_with_nothing_on_it_is_drawn_when_it_is_asked_for() -> None:
    sheets = plan_sheets(bonus(), PlanOptions(which="left wall"))
    assert list(sheets) == ["left wall"]
    assert "left wall" not in plan_sheets(bonus(), PlanOptions())

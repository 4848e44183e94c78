"""What the pages of `earshed place` show, read back from their pixels: areas, positions, words."""

from __future__ import annotations

import contextlib
import io
import itertools
import json
import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest
import shapely
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text
from numpy.typing import NDArray
from PIL import Image
from shapely.geometry.base import BaseGeometry

from earshed.model.surface import Surface
from earshed.viewer import place_page
from earshed.viewer.area_styles import STYLES
from earshed.viewer.cautions import BEFORE_CUTTING
from earshed.viewer.cli import run
from earshed.viewer.face_views import FaceView
from tests.page_words import assert_apart, boxes_on

FOLDER = Path(__file__).resolve().parent.parent / "scenes"
DEN = """\
format: 1
title: Den
print_units: ft-in
room: {width: 16', length: 18', ceiling: {shape: flat, height: 9'}}
keep_outs:
  - {name: water pipe, kind: pipe, between: [[2', 2'], [9', 2']], width: 2in}
existing_holes: [{name: old, at: {from_left: 2' 6", from_front: 15'}, cutout: 8in}]
fixtures:
  - {name: can, kind: can light, at: {from_left: 12', from_front: 3'}, cutout: 6in, keep_clear: 8in}
openings: [{name: attic hatch, wall: ceiling, from_left: 11', from_front: 14', width: 22in, length: 30in}]
screen: {wall: front, diagonal: 100in, aspect: 16:9, center_from_left: 8', bottom: 2'}
seats:
  - {name: sofa left, at: {from_left: 6' 6", from_front: 12'}, ear_height: 3' 3", main: true}
  - {name: sofa right, at: {from_left: 9' 6", from_front: 12'}, ear_height: 3' 3", main: true}
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 100deg, band: 4kHz}, cutout: 8-1/2in, bezel: 9-3/4in}
  wall: {mount: in-wall, aiming: {pivoting: 15deg}, coverage: {angle: 90deg, band: 4kHz}, cutout: 8in, bezel: 9in}
speakers:
  - {name: upper left, type: flush, channel: upper front left, at: {from_left: 5', from_front: 7'}}
  - {name: upper right, type: flush, channel: upper front right, at: {from_left: 11', from_front: 7'}}
  - {name: left, type: wall, channel: front left, wall: front, from_left: 2', height: 3', aim: {seats: main}}
  - {name: right, type: wall, channel: front right, wall: front, from_left: 14', height: 3', aim: {seats: main}}
"""
SIZE = (1400, 1000)
DATE = "2030-01-02"


@dataclass
class Seen:
    """What was drawn: the figure, and each area as it lies on its axes."""

    figures: list[Figure] = field(default_factory=list)
    areas: list[tuple[FaceView, Surface, str, BaseGeometry]] = field(default_factory=list)


@contextlib.contextmanager
def spied() -> Iterator[Seen]:
    seen = Seen()
    png, paint = place_page.page_png, place_page._paint

    def spy_paint(view, areas):
        paint(view, areas)
        seen.areas.extend((view, areas.face, name, view.area(areas.face, area)) for name, area in areas.parts.items())

    def spy_png(figure):
        seen.figures.append(figure)
        return png(figure)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(place_page, "page_png", spy_png)
        patch.setattr(place_page, "_paint", spy_paint)
        yield seen


def printed(*line: object) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run([str(word) for word in line])
    return code, out.getvalue(), err.getvalue()


def page_of(scene: Path, folder: Path, *options: object, size: tuple[int, int] = SIZE) -> tuple[bytes, Seen]:
    page = folder / "page.png"
    line = ["--out", page, "--force", "--date", DATE, "--size", "{}x{}".format(*size), *options]
    with spied() as seen:
        code, _, err = printed("place", scene, *line)
    assert code in (0, 1)
    assert err == ""
    return page.read_bytes(), seen


def den(folder: Path, text: str = DEN) -> Path:
    scene = folder / "den.yaml"
    scene.write_text(text, encoding="utf-8")
    return scene


def pixels(png: bytes) -> NDArray[np.int64]:
    with Image.open(io.BytesIO(png)) as opened:
        return np.asarray(opened.convert("RGB"), dtype=np.int64)


def rgb(color: str) -> tuple[int, ...]:
    return tuple(int(color[i : i + 2], 16) for i in (1, 3, 5))


def gray(color: str) -> float:
    """Luma 0 to 1 (Rec. ITU-R BT.601, as Pillow turns a picture gray)."""
    return sum(share * value for share, value in zip((0.299, 0.587, 0.114), rgb(color), strict=True)) / 255


# --- areas


def test_every_kind_of_area_has_a_pattern_of_its_own_or_a_gray_of_its_own() -> None:
    for one, other in itertools.combinations(STYLES.values(), 2):
        assert one.hatch != other.hatch or abs(gray(one.fill) - gray(other.fill)) > 0.05, (one, other)
        assert one.words != other.words
    for style in STYLES.values():
        if style.hatch:
            assert abs(gray(style.fill) - gray(style.ink)) > 0.1, style


@pytest.mark.parametrize(
    ("options", "least"),
    [
        (("--speaker", "upper left"), {"edges", "hidden", "fixtures", "window", "old holes", "openings"}),
        (("--pair", "upper left,upper right"), {"edges", "hidden", "fixtures", "window", "mirror"}),
        (("--pair", "upper left,upper right", "--anywhere"), {"edges", "covered", "fringe", "outside"}),
        (("--speaker", "upper left", "--speaker", "upper right"), {"edges", "hidden", "fixtures", "free"}),
        (("--speaker", "left"), {"edges", "screen"}),
    ],
    ids=["one", "pair", "anywhere", "several", "wall"],
)
def test_areas_have_their_colors_and_patterns(options: tuple[str, ...], least: set[str], tmp_path: Path) -> None:
    """In the largest circle that fits in each area, away from marks, the fill is the commonest color, and the pattern
    is there."""
    text = DEN.replace("sofa", "s")
    png, seen = page_of(den(tmp_path, text), tmp_path, *options, size=(2100, 1500))
    picture = pixels(png)
    found = set()
    for view, _, name, area in seen.areas:
        bare = area.difference(shapely.union_all(list(_marked(seen))).buffer(0.02))
        middle, radius = _inner_circle(bare)
        if radius < 0.04:
            continue
        found.add(name)
        patch = _patch(picture, view, middle, 0.7 * radius)
        counted = Counter(map(tuple, patch))
        style = STYLES[name]
        share = counted[rgb(style.fill)] / len(patch)
        assert share > 0.3, (name, share)
        if style.hatch:
            assert share < 0.995, name
            inkier = [abs(gray("#{:02x}{:02x}{:02x}".format(*c)) - gray(style.fill)) > 0.04 for c in counted]
            assert any(inkier), name
        else:
            assert share > 0.95, (name, share)
    assert found >= least, found


def _marked(seen: Seen) -> Iterator[BaseGeometry]:
    """All that is drawn over areas, as boxes on the axes of the view."""
    (view,) = {id(view): view for view, *_ in seen.areas}.values()
    axes = view.axes
    renderer = FigureCanvasAgg(seen.figures[-1]).get_renderer()
    for artist in (*axes.texts, *axes.lines, *axes.patches):
        if artist.get_zorder() <= 3.3:
            continue
        box = artist.get_window_extent(renderer)
        if hasattr(artist, "get_path") and artist.get_zorder() == 8:
            continue  # the outline of the room
        corners = axes.transData.inverted().transform([(box.x0, box.y0), (box.x1, box.y1)])
        yield shapely.box(*corners.ravel())


def _inner_circle(area: BaseGeometry) -> tuple[NDArray[np.float64], float]:
    parts = [part for part in shapely.get_parts(area) if isinstance(part, shapely.Polygon) and part.area > 1e-4]
    circles = [shapely.maximum_inscribed_circle(part) for part in parts]
    if not circles:
        return np.zeros(2), 0.0
    largest = max(circles, key=lambda circle: circle.length)
    return shapely.get_coordinates(largest)[0], largest.length


def _patch(picture: NDArray[np.int64], view: FaceView, middle: NDArray[np.float64], radius: float) -> NDArray[np.int64]:
    """Pixels (N, 3) of a disc on the axes."""
    across, up = view.axes.transData.transform(middle)
    (x0, _), (x1, _) = view.axes.transData.transform([(0, 0), (radius, 0)])
    reach = x1 - x0
    rows, columns = np.mgrid[: picture.shape[0], : picture.shape[1]]
    inside = np.hypot(columns + 0.5 - across, picture.shape[0] - rows - 0.5 - up) < reach
    return picture[inside]


def test_the_plan_is_not_mirrored(tmp_path: Path) -> None:
    """Left in the room is left on the page, in plan and on the front wall seen from inside."""
    for name in ("upper left", "left"):
        _, seen = page_of(den(tmp_path), tmp_path, "--speaker", name)
        view = seen.areas[0][0]
        left, right = view.axes.transData.transform(view.flat(np.array([[1.0, 0.0, 1.0], [4.0, 0.0, 1.0]])))
        assert left[0] < right[0]


def test_a_rear_wall_is_seen_from_inside(tmp_path: Path) -> None:
    """Facing the rear wall, the room's left is on the right."""
    text = DEN.replace("wall: front, from_left: 2'", "wall: rear, from_left: 2'")
    _, seen = page_of(den(tmp_path, text), tmp_path, "--speaker", "left", "--anywhere")
    view = seen.areas[0][0]
    left, right = view.axes.transData.transform(view.flat(np.array([[1.0, -5.0, 1.0], [4.0, -5.0, 1.0]])))
    assert left[0] > right[0]


def test_each_partner_has_its_areas_on_its_side(tmp_path: Path) -> None:
    _, seen = page_of(den(tmp_path), tmp_path, "--pair", "upper left,upper right")
    for _, _, name, area in seen.areas:
        if name in ("covered", "fringe", "outside"):
            low, high = area.bounds[0], area.bounds[2]
            assert low + high == pytest.approx(2 * 8 * 0.3048, abs=0.05)


# --- words and positions


def words_on(figure: Figure) -> list[str]:
    return [text.get_text() for text in figure.findobj(Text) if text.get_text().strip()]


def test_the_page_says_what_it_shows(tmp_path: Path) -> None:
    _, seen = page_of(den(tmp_path), tmp_path, "--speaker", "upper left")
    told = "\n".join(words_on(seen.figures[-1]))
    for word in (
        "upper left",
        "U+045",
        "flush",
        '9-3/4"',
        "mirror on the floor",
        "today",
        "Den",
        DATE,
        "heard",
        "clear",
    ):
        assert word in told, word
    assert " ".join(BEFORE_CUTTING.split()) in " ".join(told.split())
    for name in {name for _, _, name, _ in seen.areas}:
        assert STYLES[name].words in told
    absent = set(STYLES) - {name for _, _, name, _ in seen.areas}
    assert not any(STYLES[name].words in told.splitlines() for name in absent)


def test_positions_stand_where_the_search_puts_them(tmp_path: Path) -> None:
    """The words 1, 2, 3 each nearest to the place of that number among all."""
    scene = den(tmp_path)
    _, seen = page_of(scene, tmp_path, "--speaker", "upper left")
    document = json.loads(printed("place", scene, "--speaker", "upper left", "--json")[1])
    places = [np.array(one[0]["position_m"][:2]) for one in document["answers"][0]["choices"]]
    axes = seen.areas[0][0].axes
    for number, place in enumerate(places, start=1):
        word = next(text for text in axes.texts if text.get_text() == str(number))
        away = [math.dist(word.get_position(), other) for other in places]
        assert int(np.argmin(away)) == number - 1
        assert away[number - 1] < 0.6
        ring = [
            np.array(patch.get_xy())
            for patch in axes.patches
            if hasattr(patch, "get_xy") and patch.get_zorder() in (12, 20.5)
        ]
        spans = [np.ptp(one, axis=0) for one in ring if np.allclose(one[:-1].mean(axis=0), place, atol=1e-3)]
        assert any(np.allclose(span, 9.75 * 0.0254, atol=1e-3) for span in spans)  # the bezel at its true size


def assert_words_stand_clear(seen: Seen) -> None:
    """Nothing runs off the page, and no two words beside or on the plan lie on each other."""
    figure = seen.figures[-1]
    boxes = boxes_on(figure)
    views = {id(view): view for view, *_ in seen.areas}.values()
    assert_apart(figure.texts, boxes)
    for view in views:
        assert_apart([text for text in view.axes.texts if text.get_zorder() == 21], boxes)


PAGES = [
    *((name, ("--all",)) for name in ("attic", "barn", "basement", "bonus-room", "office")),
    ("attic", ("--pair", "upper left,upper right")), ("attic", ("--pair", "front left,front right")),
    ("barn", ("--speaker", "upper left", "--speaker", "left")), ("barn", ("--pair", "upper left,upper right")),
    ("basement", ("--speaker", "upper front left")), ("bonus-room", ("--speaker", "upper front left")),
    ("bonus-room", ("--pair", "upper front left,upper front right")), ("bonus-room", ("--speaker", "center")),
    ("office", ("--pair", "side left,side right")), ("timber", ("--pair", "front left,front right")),
]  # fmt: skip


@pytest.mark.parametrize(("name", "options"), PAGES, ids=[" ".join((name, *more)) for name, more in PAGES])
def test_words_stand_clear(name: str, options: tuple[str, ...], tmp_path: Path) -> None:
    _, seen = page_of(FOLDER / f"{name}.yaml", tmp_path, "--scheme", "as found", *options, size=(700, 500))
    assert_words_stand_clear(seen)


@pytest.mark.parametrize("size", [(800, 600), (400, 300), (1600, 900), (900, 1200)])
def test_words_stand_clear_at_any_size(size: tuple[int, int], tmp_path: Path) -> None:
    _, seen = page_of(den(tmp_path), tmp_path, "--pair", "upper left,upper right", size=size)
    assert_words_stand_clear(seen)


def test_where_nothing_fits_the_page_says_so(tmp_path: Path) -> None:
    text = (
        DEN.replace("bezel: 9-3/4in}", "bezel: 9-3/4in, mounting_depth: 9in}") + "cavities: {ceiling: {depth: 5in}}\n"
    )
    scene = den(tmp_path, text)
    for options in (("--speaker", "upper left"), ("--pair", "upper left,upper right"), ("--all",)):
        _, seen = page_of(scene, tmp_path, *options)
        assert {name for _, _, name, _ in seen.areas} == {"depth"}
        assert any("nothing fits" in words for words in words_on(seen.figures[-1]))
        assert_words_stand_clear(seen)


def test_a_best_place_out_of_its_window_is_told(tmp_path: Path) -> None:
    _, seen = page_of(den(tmp_path), tmp_path, "--speaker", "upper left", "--elevation", "-80..-70")
    told = " ".join(words_on(seen.figures[-1]))
    assert "outside its window" in told
    assert "the areas do not ask for that" in " ".join(told.split())
    assert "covered" in {name for _, _, name, _ in seen.areas}


# --- files


def test_same_question_gives_the_same_bytes_and_another_others(tmp_path: Path) -> None:
    scene = den(tmp_path)
    first, _ = page_of(scene, tmp_path, "--speaker", "upper left", size=(700, 500))
    assert page_of(scene, tmp_path, "--speaker", "upper left", size=(700, 500))[0] == first
    other, _ = page_of(scene, tmp_path, "--speaker", "upper left", "--anywhere", size=(700, 500))
    changed = np.abs(pixels(first) - pixels(other)).max(axis=-1) > 24
    assert changed.mean() > 0.05
    assert pixels(first).shape == (500, 700, 3)


def test_a_page_that_is_there_is_not_replaced(tmp_path: Path) -> None:
    scene, page = den(tmp_path), tmp_path / "page.png"
    page.write_bytes(b"mine")
    code, _, err = printed("place", scene, "--speaker", "upper left", "--out", page)
    assert code == 2
    assert "--force" in err
    assert page.read_bytes() == b"mine"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["den.yaml", "page.png"]


TITLES = ["[red]Den[/red]", "Den of lions " * 800, "Den 🎬 視聴室", "Den $x^2$ $\\frac{", "Den {0} %s \\n"]


@pytest.mark.filterwarnings("ignore:Glyph")
@pytest.mark.parametrize("title", TITLES, ids=range(len(TITLES)))
def test_any_title_and_name_will_do(title: str, tmp_path: Path) -> None:
    name = json.dumps(title.strip()[:80], ensure_ascii=False)
    text = DEN.replace("title: Den", f"title: {json.dumps(title, ensure_ascii=False)}")
    text = text.replace("name: upper left", f"name: {name}")
    png, seen = page_of(den(tmp_path, text), tmp_path, "--speaker", json.loads(name), size=(700, 500))
    assert_words_stand_clear(seen)
    assert pixels(png).shape == (500, 700, 3)

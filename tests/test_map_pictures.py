"""What the map pages show, read back from their pixels: bands, limits, places, words."""

from __future__ import annotations

import contextlib
import io
import itertools
import json
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Text
from numpy.typing import NDArray
from PIL import Image, ImageFilter

from earshed.viewer import map_page, palette
from earshed.viewer.cli import run
from earshed.viewer.wording import undirected
from tests.page_words import assert_words_clear

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))
# Two flush speakers in a flat ceiling: at a distance r in plan from one, the off-axis angle is atan(r / drop).
LOFT = """\
format: 1
title: TITLE
bare_lengths: m
print_units: m
room: {width: 5, length: 6, ceiling: {shape: flat, height: 2.6}}
seats: [{name: stool, at: {from_left: 4.3, from_front: 5.3}, ear_height: 1, main: true}]
speaker_types: {flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 90deg, band: 4kHz}, cutout: 0.18}}
speakers:
  - {name: one, type: flush, channel: U+045, at: {from_left: ONE, from_front: 2.4}}
  - {name: two, type: flush, channel: U-045, at: {from_left: 3.1, from_front: 3.6}}
listening_plane: {height: 1, step: 0.05}
schemes: {shelved: {}}
"""
DROP, LIMIT = 1.6, 45.0
STEP = 0.05
ONE, TWO, STOOL = (1.8, -2.4), (3.1, -3.6), (4.3, -5.3)
SIZE = (1400, 1000)

NAMED = 0.45
"""Metres round a speaker within which its mark and its name may stand."""

Point = tuple[float, float]


@dataclass(frozen=True)
class Pages:
    """Pictures by file name, (h, w, 3), and the axes of their plans."""

    pictures: dict[str, NDArray[np.int64]]
    axes: dict[str, Axes]

    def color(self, picture: str, axes: str, point: Point) -> tuple[int, ...]:
        across, up = self.axes[axes].transData.transform(point)
        height = self.pictures[picture].shape[0]
        return tuple(self.pictures[picture][height - 1 - math.floor(up), math.floor(across)])

    def named(self, axes: str, point: Point) -> bool:
        """Whether the name of a limit, which stands on its line, covers a point."""
        names = [text for text in self.axes[axes].texts if text.get_text().startswith(("limit ", "covered to "))]
        at = self.axes[axes].transData.transform(point)
        return any(text.get_window_extent().padded(3).contains(*at) for text in names)


@contextlib.contextmanager
def spied(seen: list[Axes]) -> Iterator[None]:
    """While it lasts, every plan that a page is drawn on is kept."""
    plan_axes = map_page.plan_axes

    def spy(*arguments, **more):
        seen.append(plan_axes(*arguments, **more))
        return seen[-1]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(map_page, "plan_axes", spy)
        yield


def printed(*line: object) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run([str(word) for word in line])
    return code, out.getvalue(), err.getvalue()


def loft(folder: Path, *, one: float = ONE[0], title: str = "Loft") -> Path:
    scene = folder / "loft.yaml"
    scene.write_text(
        LOFT.replace("ONE", str(one)).replace("TITLE", json.dumps(title, ensure_ascii=False)), encoding="utf-8"
    )
    return scene


def pictures_of(scene: Path, *options: str, size: tuple[int, int] = SIZE) -> dict[str, bytes]:
    folder = scene.parent / "maps"
    line = ["--out", folder, "--force", "--date", "2030-01-02", "--size", "{}x{}".format(*size), *options]
    code, _, err = printed("map", scene, *line)
    assert (code, err) == (0, "")
    return {path.stem: path.read_bytes() for path in folder.glob("*.png")}


def pixels(png: bytes) -> NDArray[np.int64]:
    with Image.open(io.BytesIO(png)) as opened:
        return np.asarray(opened.convert("RGB"), dtype=np.int64)


@pytest.fixture(scope="session")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Pages:
    seen: list[Axes] = []
    with spied(seen):
        pictures = pictures_of(loft(tmp_path_factory.mktemp("loft")), "--scheme", "shelved")
    axes = dict(zip(("speaker-one", "speaker-two", "served", "worst"), seen, strict=True))
    return Pages({name: pixels(png) for name, png in pictures.items()}, axes)


def rgb(color: str) -> NDArray[np.int64]:
    return np.array([int(color[i : i + 2], 16) for i in (1, 3, 5)])


# --- plain geometry of the loft


def away(point: Point, place: Point) -> float:
    return math.hypot(point[0] - place[0], point[1] - place[1])


def angle(point: Point, place: Point) -> float:
    return math.degrees(math.atan2(away(point, place), DROP))


def clear_of_edges(point: Point, place: Point, edges: list[float], clearance: float) -> bool:
    """Whether no circle of equal angle round a place comes within a clearance, metres."""
    radius = away(point, place)
    return all(abs(radius - DROP * math.tan(math.radians(edge))) > clearance for edge in edges if edge < 90)


def cell_centers() -> Iterator[Point]:
    """Cells away from walls, speakers, and the seat with its words and its seating area."""
    for i, j in itertools.product(range(100), range(120)):
        point = (STEP * (i + 0.5), -STEP * (j + 0.5))
        clear_of_walls = 0.1 < point[0] < 4.9 and -5.9 < point[1] < -0.1
        if clear_of_walls and min(away(point, place) for place in (ONE, TWO)) > NAMED and away(point, STOOL) > 0.75:
            yield point


CONTOURS = [10.0 * k for k in range(1, 9)]
LINES = [LIMIT, LIMIT / math.sqrt(2)]
LABEL, LINE = 0.14, 0.06
"""Metres kept clear of contours, whose labels stand on them, and of plain lines."""


# --- bands


def test_the_plan_is_to_scale_and_where_the_axes_say(pages: Pages) -> None:
    for picture, name in (("speaker-one", "speaker-one"), ("set", "served"), ("set", "worst")):
        axes = pages.axes[name]
        corners = axes.transData.transform([(0, 0), (5, 0), (5, -6)])
        width, length = np.hypot(*(corners[1] - corners[0])), np.hypot(*(corners[2] - corners[1]))
        assert width / 5 == pytest.approx(length / 6, rel=1e-6)
        outline = [(x, y) for x in np.linspace(0, 5, 40) for y in (0, -6)] + [
            (x, y) for y in np.linspace(0, -6, 40) for x in (0, 5)
        ]
        for point in outline:
            assert np.abs(pages.color(picture, name, point) - rgb(palette.INK)).max() <= 40, point


@pytest.mark.parametrize(("name", "place"), [("speaker-one", ONE), ("speaker-two", TWO)])
def test_every_cell_has_the_color_of_its_band(pages: Pages, name: str, place: Point) -> None:
    seen = set()
    for point in cell_centers():
        clear = clear_of_edges(point, place, CONTOURS, LABEL) and clear_of_edges(point, place, LINES, LINE)
        if clear and not pages.named(name, point):
            band = int(angle(point, place) // 10)
            off = np.abs(pages.color(name, name, point) - rgb(palette.OFF_AXIS_COLORS[band])).max()
            assert off <= 1, (point, angle(point, place))
            seen.add(band)
    assert seen >= {2, 3, 4, 5, 6}


def test_the_set_counts_the_channels_that_serve(pages: Pages) -> None:
    """As near to the edge of a count as the fine line lets on, which is the limit of a channel."""
    colors = palette.ramp(3)[::-1]
    seen = []
    for point in cell_centers():
        if all(clear_of_edges(point, place, [LIMIT], LINE / 2) for place in (ONE, TWO)):
            served = sum(angle(point, place) <= LIMIT for place in (ONE, TWO))
            assert np.abs(pages.color("set", "served", point) - rgb(colors[served])).max() <= 1, point
            seen.append(served)
    assert set(seen) == {0, 1, 2}
    assert len(seen) > 5000


def test_the_set_shows_the_worst_angle(pages: Pages) -> None:
    seen = []
    for point in cell_centers():
        farther = max(ONE, TWO, key=lambda place: away(point, place))
        if clear_of_edges(point, farther, CONTOURS, 1.5 * LABEL):  # this plan is smaller, and words are not
            band = int(angle(point, farther) // 10)
            assert np.abs(pages.color("set", "worst", point) - rgb(palette.OFF_AXIS_COLORS[band])).max() <= 1, point
            seen.append(band)
    assert len(set(seen)) >= 3
    assert len(seen) > 1000


# --- limits


def share_of_limit_color(pages: Pages, name: str, place: Point, half_angle: float, shift: float = 0.0) -> float:
    """Share of a circle of equal angle, moved outwards by `shift` metres, that has the color of the limit."""
    radius = DROP * math.tan(math.radians(half_angle)) + shift
    hits, count = 0, 0
    for turn in np.radians(np.arange(0, 360, 0.5)):
        point = (place[0] + radius * math.cos(turn), place[1] + radius * math.sin(turn))
        inside = 0.1 < point[0] < 4.9 and -5.9 < point[1] < -0.1
        apart = inside and min(away(point, other) for other in (ONE, TWO)) > NAMED and away(point, STOOL) > 0.75
        if apart and not pages.named(name, point):
            count += 1
            hits += np.abs(pages.color(name, name, point) - rgb(palette.LIMIT)).max() < 60
    assert count > 100
    return hits / count


@pytest.mark.parametrize(("name", "place"), [("speaker-one", ONE), ("speaker-two", TWO)])
def test_the_limit_is_drawn_where_the_angle_is_the_limit(pages: Pages, name: str, place: Point) -> None:
    """Whole at h, broken at h / sqrt 2 where a square-law beam is down 3 dB; nowhere 5 cm to either side."""
    assert share_of_limit_color(pages, name, place, LIMIT) > 0.98
    assert 0.4 < share_of_limit_color(pages, name, place, LIMIT / math.sqrt(2)) < 0.9
    for half, shift in itertools.product((LIMIT, LIMIT / math.sqrt(2)), (-0.05, 0.05)):
        assert share_of_limit_color(pages, name, place, half, shift) == 0
    names = [text.get_text() for text in pages.axes[name].texts]
    assert {"limit 45.0°", f"covered to {LIMIT / math.sqrt(2):.1f}°"} <= set(names)


# --- one picture and another


def differing(one: bytes, other: bytes) -> float:
    """Share of pixels that differ by more than 24 in any channel after a 3 by 3 blur."""
    blurred = []
    for png in (one, other):
        with Image.open(io.BytesIO(png)) as opened:
            blurred.append(np.asarray(opened.convert("RGB").filter(ImageFilter.BoxBlur(1)), dtype=np.int64))
    return float(np.mean(np.abs(blurred[0] - blurred[1]).max(axis=-1) > 24))


def test_same_scene_date_and_size_give_the_same_bytes_and_a_moved_speaker_others(tmp_path: Path) -> None:
    small = (700, 500)
    first = pictures_of(loft(tmp_path), size=small)
    assert pictures_of(loft(tmp_path), size=small) == first
    moved = pictures_of(loft(tmp_path, one=ONE[0] + 0.4), size=small)
    assert differing(first["speaker-two"], moved["speaker-two"]) < 0.002  # but for the other speaker's own mark
    assert differing(first["speaker-one"], moved["speaker-one"]) > 0.01
    assert differing(first["set"], moved["set"]) > 0.01


# --- words


def words_on(axes: Axes) -> list[Text]:
    return [text for text in axes.figure.findobj(Text) if text.get_text().strip()]


def test_every_page_says_what_it_shows(pages: Pages) -> None:
    """Speaker, scheme, quantity and unit; scene, date and scale; each seat's verdict in a word."""
    for name, speaker in (("speaker-one", "one"), ("speaker-two", "two"), ("worst", "The set")):
        page = "\n".join(text.get_text() for text in words_on(pages.axes[name]))
        for word in (speaker, "shelved", "off-axis angle", "Loft", "2030-01-02", "1 m", "stool", "share", "scale"):
            assert word in page, (name, word)
    pair = angle(STOOL, ONE)
    told = [text.get_text() for text in words_on(pages.axes["speaker-one"])]
    assert any(f"{pair:.1f}°" in text and "outside" in text for text in told)
    assert {"10°", "20°", "30°", "40°", "50°", "60°"} <= {text.get_text() for text in pages.axes["speaker-one"].texts}


def test_what_stands_in_the_way_is_told(tmp_path: Path) -> None:
    """A post between the seat and one of the speakers: in a word, by name, on both pages and in the table."""
    scene = loft(tmp_path)
    place = "from_left: 3.3, from_front: 3.9, bottom: 0, width: 0.2, length: 0.2, height: 2.6"
    text = scene.read_text(encoding="utf-8").replace("0.05}", "0.25}")
    scene.write_text(f"{text}fixtures: [{{name: post, kind: box, {place}}}]\n", encoding="utf-8")
    pairs = json.loads(printed("check", scene, "--json")[1])["pairs"]
    blocked = [pair["speaker"] for pair in pairs if not pair["visible"]]
    assert blocked == ["two"]
    assert "(blocked)" in printed("check", scene)[1]
    seen: list[Axes] = []
    with spied(seen):
        pictures_of(scene, size=(400, 300))
    pages = ["\n".join(text.get_text() for text in words_on(axes)) for axes in seen[:2]]
    assert ["blocked" in page for page in pages] == [False, True]
    assert "by post" in pages[1]


def assert_words_stand_clear(scene: Path, *options: object) -> None:
    """Every word of every page is on it, and none of those beside the plans runs into another."""
    seen: list[Figure] = []
    finish: Callable[..., bytes] = map_page.finish_page
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(map_page, "finish_page", lambda figure, sheet: (finish(figure, sheet), seen.append(figure))[0])
        document = json.loads(printed("check", scene, "--json")[1])
        one = next(pair["speaker"] for pair in reversed(document["pairs"]))
        assert printed("map", scene, "--speaker", one, "--size", "700x500", *options)[0] == 0
    assert len(seen) == 2
    for figure in seen:
        assert_words_clear(figure)


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.stem)
def test_words_stand_clear(scene: Path, tmp_path: Path) -> None:
    assert_words_stand_clear(scene, "--scheme", "proposed", "--out", tmp_path)


def test_words_stand_clear_of_many_seats(tmp_path: Path) -> None:
    """Fifteen seats: more than the page lists, which it says."""
    rows = "".join(
        f"  - {{name: row {row} seat {seat}, at: {{from_left: {seat}, from_front: {2 + row}}}, ear_height: 1}}\n"
        for row, seat in itertools.product((1, 2, 3), (0.6, 1.6, 2.5, 3.4, 4.4))
    )
    scene = loft(tmp_path)
    text = scene.read_text(encoding="utf-8").replace("name: one", "name: upper front left").replace("0.05}", "0.25}")
    start, end = text.index("seats:"), text.index("speaker_types:")
    scene.write_text(f"{text[:start]}seats:\n{rows}{text[end:]}", encoding="utf-8")
    assert_words_stand_clear(scene, "--out", tmp_path / "maps")


TITLES = {
    "brackets": "[red]Den[/red] [link=x]", "long": "Den of lions " * 800, "emoji": "Den 🎬 視聴室",
    "right to left": "\u202eחדר \u200f", "formula": "Den $x^2$ $\\frac{", "braces": "Den {0} {title} %s \\n",
}  # fmt: skip


@pytest.mark.parametrize("kind", TITLES)
def test_any_title_will_do(kind: str, tmp_path: Path) -> None:
    """And any name: nothing is taken for markup, nothing is warned of, nothing breaks."""
    title = TITLES[kind]
    scene = loft(tmp_path, title=title)
    name = json.dumps(title.strip()[:80], ensure_ascii=False)
    scene.write_text(
        scene.read_text(encoding="utf-8").replace("name: stool", f"name: {name}").replace("0.05}", "0.25}"), "utf-8"
    )
    pictures = pictures_of(scene, "--speaker", "one", size=(400, 300))
    assert pictures.keys() == {"speaker-one", "set"}
    code, out, err = printed("check", scene, "--json")
    assert (code, err) == (0, "")
    assert json.loads(out)["scene"] == title.strip()
    code, out, err = printed("check", scene)
    assert (code, err) == (0, "")
    assert undirected(title).split()[0] in out.splitlines()[0]

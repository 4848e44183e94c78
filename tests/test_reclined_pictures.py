"""How both postures of a seat show: one chair and two heads, one frame and two marks, two rows, nothing in the way."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Polygon

from earshed.model.pairs import seat_pairs
from earshed.model.scene import Scene
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.seating import upright_seats
from earshed.viewer import palette, picture
from earshed.viewer.annotate import Label, Sheet
from earshed.viewer.camera import find_view
from earshed.viewer.cli import run
from earshed.viewer.legend import FOOT, MOST_ROWS, RECLINED_ROW, Column, draw_footer, rows_shown
from earshed.viewer.map_axes import MapSheet, furnish, plan_axes
from earshed.viewer.picture import Shot
from earshed.viewer.plan_drawing import mark_of, seat_labels
from earshed.viewer.plane import plane_of
from earshed.viewer.stage import set_stage

DEN = """\
format: 1
title: Den
room: {width: 6m, length: 8m, ceiling: {shape: flat, height: 2.6m}}
screen: {wall: WALL, width: 2m, bottom: 60cm}
seats:
SEATS
speaker_types: {flush: {mount: in-ceiling, aiming: fixed, coverage: 90}}
speakers:
  - {name: upper front left, type: flush, at: {from_left: 2m, from_front: 3m}}
  - {name: upper front right, type: flush, at: {from_left: 4m, from_front: 3m}}
listening_plane: {step: 20cm}
"""
SEAT = "  - {{name: {}, at: {{from_left: {}m, from_front: {}m}}, ear_height: 1m, main: {}, reclined: {}}}"
EIGHT = [(f"row {row} seat {n}", 1.2 + n, 4 + 1.2 * row) for row in (0, 1) for n in range(4)]


def text_of(seats: list[tuple[str, float, float]], *, reclined: str = "true", wall: str = "front") -> str:
    lines = [SEAT.format(*seat, "true" if seat[2] < 5 else "false", reclined) for seat in seats]
    return DEN.replace("WALL", wall).replace("SEATS", "\n".join(lines))


def den(seats: list[tuple[str, float, float]], *, reclined: str = "true", wall: str = "front") -> Scene:
    return scene_from_tree(parse_tree(text_of(seats, reclined=reclined, wall=wall), "den.yaml"))


def brightness(color: str) -> float:
    return sum(weight * int(color[i : i + 2], 16) for weight, i in ((0.2126, 1), (0.7152, 3), (0.0722, 5)))


# --- in three dimensions


class Stage:
    """Stands in for a plotter and keeps what is put on it."""

    def __init__(self) -> None:
        self.solids: list[tuple[str, np.ndarray]] = []

    def add_mesh(self, mesh, *, color=None, **style) -> None:
        if color is not None:
            self.solids.append((color, np.array(mesh.bounds).reshape(3, 2)))


def solids(scene: Scene, color: str, seen_from=None) -> list[np.ndarray]:
    stage = Stage()
    set_stage(stage, scene, replace(find_view(scene, "corner", 1.4), seat=seen_from))
    return [bounds for found, bounds in stage.solids if found == color]


def heads(scene: Scene, color: str, seen_from=None) -> list[tuple[float, ...]]:
    """The middles of the balls of that color, to the millimetre."""
    bounds = solids(scene, color, seen_from)
    balls = [found for found in bounds if np.allclose(np.ptp(found, axis=1), 0.19, atol=1e-3)]
    return sorted(tuple(np.round(ball.mean(axis=1), 3).tolist()) for ball in balls)


def ears(scene: Scene, *, reclined: bool) -> list[tuple[float, ...]]:
    seats = [seat for seat in scene.seats if (seat.reclined_from is not None) == reclined]
    return sorted(tuple(np.round(seat.ear, 3).tolist()) for seat in seats)


def test_one_chair_a_seat_and_a_paler_head_where_it_reclines():
    plain, both = den(EIGHT[:3], reclined="false"), den(EIGHT[:3])
    chairs = solids(both, palette.FABRIC_MAIN)
    assert len(chairs) == 3
    np.testing.assert_allclose(chairs, solids(plain, palette.FABRIC_MAIN))
    assert heads(both, palette.INK) == ears(both, reclined=False) == heads(plain, palette.INK)
    assert heads(both, palette.HEAD_RECLINED) == ears(both, reclined=True)
    assert heads(plain, palette.HEAD_RECLINED) == []
    assert brightness(palette.HEAD_RECLINED) > brightness(palette.INK) + 80


@pytest.mark.parametrize("name", ["row 0 seat 1", "row 0 seat 1, reclined"])
def test_seen_from_either_posture_the_seat_itself_is_not_there(name):
    scene = den(EIGHT[:3])
    view = find_view(scene, name, 1.4)
    (seat,) = (seat for seat in scene.seats if seat.name == name)
    np.testing.assert_array_equal(view.place, seat.ear)
    assert view.words.startswith(f"{name}, ")
    assert len(solids(scene, palette.FABRIC_MAIN, view.seat)) == 2
    assert len(heads(scene, palette.INK, view.seat)) == len(heads(scene, palette.HEAD_RECLINED, view.seat)) == 2


def test_a_picture_says_what_a_paler_head_is_and_names_each_seat_once(monkeypatch):
    said, named = [], []
    monkeypatch.setattr(picture, "_render", lambda shot, view, size: picture.Image.new("RGB", size))
    monkeypatch.setattr(Sheet, "heading", lambda self, title, under: said.append(under))
    monkeypatch.setattr(Sheet, "labels", lambda self, labels, *rest: named.append([one.words for one in labels]))
    for reclined, view in (("true", "corner"), ("false", "corner"), ("true", "row 0 seat 1, reclined")):
        scene = den(EIGHT[:3], reclined=reclined)
        picture.take(Shot(scene, view, scene.judged, None, (1400, 1000), "2030-01-02"))
    assert [under.endswith(" · paler heads: reclined") for under in said] == [True, False, True]
    for names in named:
        assert max(Counter(names).values()) == 1
        assert not [name for name in names if "reclined" in name]
    assert [sum(name.startswith("row") for name in names) for names in named] == [3, 3, 2]


def test_labels_keep_off_heads_without_names():
    """With nothing to keep off, the label stands straight above its point; there the nameless head is, so it moves."""
    sheets = [Sheet((1400, 1000), [], "") for _ in range(2)]
    label = Label("sofa left", 700, 500)
    head = (700.0, 465.0)
    for sheet, points in zip(sheets, [(), (head,)], strict=True):
        sheet.labels([label], points)
    covers = [box[0] < head[0] < box[2] and box[1] < head[1] < box[3] for (box,) in (sheet._taken for sheet in sheets)]
    assert covers == [True, False]


# --- on the plan


def drawn(scene: Scene, size: tuple[int, int] = (1400, 1000)):
    """The axes of a plan with seats, marks and labels, on a page that is drawn."""
    figure = Figure(figsize=(14, 10), dpi=100)
    canvas = FigureCanvasAgg(figure)
    sheet = MapSheet(scene, size, "2030-01-02", plane_of(scene, Path("den.yaml")))
    axes = plan_axes(figure, sheet, (0.02, 0.06, 0.6, 0.8))
    marks = {pair.seat.name: mark_of(pair) for pair in seat_pairs(scene)}
    furnish(axes, sheet, marks, strong=scene.judged)
    before = len(axes.texts)
    seat_labels(axes, scene.seats, {name: "45.0°" for name in marks})
    canvas.draw()
    return axes, axes.texts[before:]


@pytest.mark.parametrize("wall", ["front", "rear", "left", "right"])
def test_one_frame_a_seat_and_a_smaller_mark_at_the_reclined_ears(wall):
    """Every shape that the second posture adds is a circle round the reclined ears, smaller than a seat's mark."""
    plain, both = (drawn(den(EIGHT, reclined=said, wall=wall))[0] for said in ("false", "true"))
    frames = [sum(isinstance(patch, Polygon) for patch in axes.patches) for axes in (plain, both)]
    assert frames[0] == frames[1]
    known = Counter(round_of(patch) for patch in plain.patches if isinstance(patch, Circle))
    added = Counter(round_of(patch) for patch in both.patches if isinstance(patch, Circle)) - known
    assert {place for place, _ in added} == {ear[:2] for ear in ears(den(EIGHT, wall=wall), reclined=True)}
    biggest = max(radius for place, radius in known if place in {ear[:2] for ear in ears(den(EIGHT), reclined=False)})
    assert max(radius for _, radius in added) < 0.85 * biggest


def round_of(circle: Circle) -> tuple[tuple[float, float], float]:
    x, y = circle.center
    return (round(float(x), 3), round(float(y), 3)), round(circle.radius, 4)


@pytest.mark.parametrize("wall", ["front", "rear", "left", "right"])
@pytest.mark.parametrize("back", ["0", "10in", "60cm"])
def test_names_stand_clear_of_both_marks(wall, back):
    scene = den([("sofa left", 2, 4), ("sofa right", 3.2, 4)], reclined=f"{{back: {back}}}", wall=wall)
    axes, labels = drawn(scene)
    assert [label.get_text() for label in labels] == ["sofa left\n45.0°", "sofa right\n45.0°"]
    places = {ear[:2] for posture in (False, True) for ear in ears(scene, reclined=posture)}
    marks = [patch for patch in axes.patches if isinstance(patch, Circle) and round_of(patch)[0] in places]
    assert len(marks) >= 2
    for label in labels:
        box = label.get_window_extent()
        assert not [mark for mark in marks if box.overlaps(mark.get_window_extent())]


# --- tables


def page_column(rows) -> tuple[Figure, Column]:
    figure = Figure(figsize=(14, 10), dpi=100)
    FigureCanvasAgg(figure)
    return figure, Column(figure, 0.62, 0.845)


def rows_of(seats: int) -> list:
    reclined = ("fringe", RECLINED_ROW, "40.0° fringe", "6' 4\"")
    return [row for n in range(seats) for row in (("covered", f"seat {n} *", "30.0° covered", "5' 4\""), reclined)]


@pytest.mark.parametrize("seats", [1, 6, 8])
def test_eight_seats_in_two_postures_fit_beside_a_map(seats):
    """Every row is there, none runs into the next, and the rest of the column of a set's page ends above the foot."""
    rows = rows_of(seats)
    figure, column = page_column(rows)
    column.seats(rows, ("seat", "channels that serve", "worst"))
    lines = [text for text in figure.texts if text.get_text() in {name for _, name, *_ in rows}]
    assert len(lines) == 2 * seats
    boxes = [text.get_window_extent(figure.canvas.get_renderer()) for text in lines]
    assert all(upper.y0 > lower.y1 for upper, lower in pairwise(boxes))
    column.shares({"covered": 0.5, "fringe": 0.3, "outside": 0.2}, "share of the seating area")
    for _ in range(2):
        column.colors(["#000000", "#ffffff"], ["0", "1"], "channels", centered=True)
    column.lines([(palette.INK, "-", 1.0, "seating area")] * 2)
    figure.canvas.draw()
    last = min(text.get_window_extent().y0 for text in figure.texts) / figure.bbox.height
    draw_footer(figure, den(EIGHT), "2030-01-02")
    assert last > max(text.get_window_extent().y1 for text in figure.texts[-2:]) / figure.bbox.height
    assert last > FOOT - 0.01


@pytest.mark.parametrize(
    ("rows", "shown", "words"),
    [
        (rows_of(8), 16, None),
        (rows_of(9), 16, "and 1 more seat, in seats.csv"),
        (rows_of(1)[:1] + rows_of(9), 15, "and 2 more seats, in seats.csv"),
        ([row for row in rows_of(20) if row[1] != RECLINED_ROW], MOST_ROWS, "and 4 more seats, in seats.csv"),
    ],
)
def test_what_there_is_no_room_for_is_counted_in_seats_and_no_seat_is_parted(rows, shown, words):
    assert len(rows_shown(rows)) == shown
    figure, column = page_column(rows)
    column.seats(rows, ("seat", "off axis", "distance"))
    more = [text.get_text() for text in figure.texts if "more seat" in text.get_text()]
    assert more == ([words] if words else [])


def test_tables_in_the_terminal_keep_each_verdict_whole(tmp_path, capsys, monkeypatch):
    """In 80 letters: two tables of four seats, each speaker with a row for each posture, no angle far from its word."""
    monkeypatch.setenv("COLUMNS", "80")
    path = tmp_path / "den.yaml"
    path.write_text(text_of(EIGHT), encoding="utf-8")
    run(["check", str(path)])
    printed = capsys.readouterr().out.partition("What each seat gets")[2].partition("off-axis angle at each seat")[0]
    scene = den(EIGHT)
    assert len(re.findall(r"\d\d?\.\d° [●◐✕]", printed)) == len(scene.seats) * len(scene.judged)
    rows = [line for line in printed.splitlines() if "°" in line]
    assert [len(re.findall("°", row)) for row in rows] == [4] * 8
    assert [row.startswith("  reclined ") for row in rows] == [False, True] * 4
    assert max(map(len, printed.splitlines())) <= 80
    for seat in upright_seats(scene.seats):
        assert printed.count(seat.name) <= 1  # a name may be folded, but never stands twice
    path.write_text(text_of(EIGHT[:4], reclined="false"), encoding="utf-8")
    run(["check", str(path)])
    assert "reclined" not in capsys.readouterr().out


def test_where_one_seat_reclines_the_others_have_no_second_verdict(tmp_path, capsys):
    path = tmp_path / "den.yaml"
    path.write_text(text_of(EIGHT[:2]).replace("reclined: true", "reclined: false", 1), encoding="utf-8")
    run(["check", str(path)])
    rows = [line for line in capsys.readouterr().out.splitlines() if re.search(r"\d° [●◐✕]", line)]
    assert [len(re.findall("°", row)) for row in rows] == [2, 1, 2, 1]
    assert rows[0].index("°", rows[0].index("°") + 1) == pytest.approx(rows[1].index("°"), abs=1)


@pytest.mark.parametrize(("high", "small"), [(0.30, False), (0.10, True)])
def test_small_print_is_smaller_before_any_of_it_is_left_out(high: float, small: bool) -> None:
    """A paragraph of 330 letters in a column 0.3 of a page wide, with room for it at its usual size or not."""
    figure = Figure(figsize=(14, 10), dpi=100)
    FigureCanvasAgg(figure)
    column = Column(figure, 0.678, FOOT + high)
    text = " ".join(["stands"] * 47)
    column.words(text)
    assert " ".join(line.get_text() for line in figure.texts) == text
    sizes = {line.get_fontsize() for line in figure.texts}
    assert len(sizes) == 1
    assert (max(sizes) < 9) == small
    right = max(line.get_window_extent().x1 for line in figure.texts)
    assert right <= 0.978 * figure.bbox.width
    assert min(line.get_window_extent().y0 for line in figure.texts) > 0

"""Writing on pictures: labels stay on the page, near their points and out of each other's way."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageDraw

from earshed.viewer import palette
from earshed.viewer.annotate import KeyRow, Label, Sheet
from earshed.viewer.rendering import OVERSAMPLING

KEY = [KeyRow(color, f"upper speaker {i}", "45.0°; 30.8° covered") for i, color in enumerate(palette.SPEAKER_HUES)]
SIZES = [(1400, 1000), (700, 500), (500, 400), (400, 1400), (2000, 600)]
LONGEST_NAME = 28
"""Characters to which pictures cut names."""


class Pen:
    """Draws as the page's own pen does, and keeps what it drew: boxes, and words with the box that they fill."""

    def __init__(self, page: Image.Image) -> None:
        self.draw = ImageDraw.Draw(page)
        self.boxes: list[tuple[float, ...]] = []
        self.words: list[tuple[str, tuple[float, ...]]] = []

    def __getattr__(self, name):
        return getattr(self.draw, name)

    def rounded_rectangle(self, box, *rest, **style):
        self.boxes.append(tuple(box))
        self.draw.rounded_rectangle(box, *rest, **style)

    def text(self, place, words, *, font, **style):
        self.words.append((words, self.draw.textbbox(place, words, font=font)))
        self.draw.text(place, words, font=font, **style)


def sheet_of(size, key=KEY[:4]):
    sheet = Sheet(size, key, "coverage limit; worst main seat:")
    sheet.draw = Pen(sheet.page)
    return sheet


def area(box):
    return max(box[2] - box[0], 0.0) * max(box[3] - box[1], 0.0)


def shared(a, b):
    return area((max(a[0], b[0]), max(a[1], b[1]), min(a[2], b[2]), min(a[3], b[3])))


def collide(a, b):
    """Whether two boxes of words share more than the hair by which a letter leans over its place."""
    return min(a[2], b[2]) - max(a[0], b[0]) > 2 and min(a[3], b[3]) - max(a[1], b[1]) > 2


def within(box, page, slack=0.0):
    return (
        box[0] >= page[0] - slack
        and box[1] >= page[1] - slack
        and box[2] <= page[2] + slack
        and box[3] <= page[3] + slack
    )


names = st.text("abcdefgh WMil°", min_size=1, max_size=LONGEST_NAME)
numbers = st.floats(-0.3, 1.3)
spots = st.lists(st.tuples(names, numbers, numbers), max_size=10)
clusters = st.tuples(st.lists(names, max_size=10), numbers, numbers).map(lambda c: [(n, c[1], c[2]) for n in c[0]])
sizes = st.sampled_from(SIZES)


def placed(size, things):
    """Sheet with labels at shares of its width and height, and those that fall into its picture."""
    sheet = sheet_of(size)
    labels = [Label(words, x * size[0], y * size[1]) for words, x, y in things]
    sheet.labels(labels)
    shown = [label for label in labels if 0 <= label.x < size[0] and sheet.top <= label.y < sheet.bottom]
    return sheet, shown


@given(size=sizes, things=spots | clusters)
def test_labels_stay_in_the_picture_and_each_point_in_it_has_one(size, things):
    sheet, shown = placed(size, things)
    assert len(sheet.draw.boxes) == len(shown)
    assert [words for words, _ in sheet.draw.words] == [label.words for label in shown]
    picture = (0, sheet.top, size[0], sheet.bottom)
    assert all(within(box, picture, slack=1e-6) for box in sheet.draw.boxes)


@given(size=sizes, things=spots | clusters)
def test_labels_hardly_overlap(size, things):
    boxes = placed(size, things)[0].draw.boxes
    covered = sum(shared(a, b) for a, b in combinations(boxes, 2))
    assert covered <= 0.05 * sum(map(area, boxes)) + 1


@given(size=sizes, things=spots | clusters)
def test_labels_stay_near_their_points(size, things):
    """Within nine heights of a line of words, so that the tie to the point stays short."""
    sheet, shown = placed(size, things)
    for box, label in zip(sheet.draw.boxes, shown, strict=True):
        right, down = max(box[0] - label.x, label.x - box[2], 0), max(box[1] - label.y, label.y - box[3], 0)
        assert math.hypot(right, down) <= 9 * (box[3] - box[1])


@given(size=sizes, things=spots)
def test_a_label_does_not_hide_a_lone_point(size, things):
    sheet, shown = placed(size, things[:1])
    for box, label in zip(sheet.draw.boxes, shown, strict=True):
        assert not (box[0] < label.x < box[2] and box[1] < label.y < box[3])


def test_what_is_behind_the_camera_has_no_label():
    sheet = sheet_of((700, 500))
    sheet.labels([Label("behind", math.nan, math.nan), Label("off", 900.0, 200.0), Label("in the key", 300.0, 499.0)])
    assert sheet.draw.boxes == []
    assert sheet.draw.words == []


@pytest.mark.parametrize("size", [*SIZES, (400, 300)], ids=str)
def test_words_fit_their_boxes(size):
    sheet = sheet_of(size)
    sheet.labels([Label("upper rear right", 0.3 * size[0], 0.5 * size[1]), Label("Wg", 0.7 * size[0], 0.5 * size[1])])
    assert len(sheet.draw.boxes) == 2
    for box, (_, filled) in zip(sheet.draw.boxes, sheet.draw.words, strict=True):
        assert within(filled, box, slack=1)


def test_a_label_is_tied_to_its_point():
    sheet = sheet_of((700, 500))
    sheet.labels([Label("sofa", 350.0, 250.0, "#ff0000")])
    pixels = np.asarray(sheet.page, dtype=int)
    assert tuple(pixels[250, 350]) == (255, 0, 0)
    box = sheet.draw.boxes[0]
    nearest = (round(min(max(350, box[0]), box[2])), round(min(max(250, box[1]), box[3])))
    along = [(350 + (nearest[0] - 350) * t / 10, 250 + (nearest[1] - 250) * t / 10) for t in range(1, 10)]
    assert all(tuple(pixels[round(y), round(x)]) == (255, 0, 0) for x, y in along)


# --- the page round the picture


@pytest.mark.parametrize("count", [0, 1, 4, 8])
@pytest.mark.parametrize("size", [*SIZES, (400, 300)], ids=str)
def test_the_key_stands_between_the_picture_and_the_foot(size, count):
    sheet = sheet_of(size, KEY[:count])
    sheet.key()
    words = list(sheet.draw.words)
    sheet.footer("2030-01-02", "scale by the bar")
    foot = [box for _, box in sheet.draw.words[len(words) :]]
    assert {"upper speaker 0"} <= {word for word, _ in words} or count == 0
    assert len(words) == 1 + 2 * count
    for (_, one), (_, other) in combinations(words, 2):
        assert not collide(one, other)
    for word, box in words:
        assert within(box, (0, sheet.bottom, *size)), word
        assert not any(collide(box, other) for other in foot), word


@pytest.mark.parametrize("size", [*SIZES, (400, 300)], ids=str)
def test_heading_and_foot_stay_on_the_page(size):
    sheet = sheet_of(size)
    sheet.heading(
        "Bonus room under the gable", "scheme: proposed · seen from the rear right corner, from above · cones"
    )
    sheet.footer("2030-01-02", "in perspective, not to scale · predictions, not measurements")
    assert len(sheet.draw.words) == 4
    for words, box in sheet.draw.words:
        assert within(box, (0, 0, *size)), words
    assert all(box[3] <= sheet.top for _, box in sheet.draw.words[:2])
    for one, other in combinations([box for _, box in sheet.draw.words], 2):
        assert not collide(one, other)


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_the_picture_fills_what_the_page_leaves(size):
    sheet = sheet_of(size)
    width, height = sheet.picture_size
    assert (width, height) == (size[0], sheet.bottom - sheet.top)
    sheet.paste(Image.new("RGB", (width, height), "#123456"))
    colored = np.all(np.asarray(sheet.page) == [0x12, 0x34, 0x56], axis=-1)
    assert colored[sheet.top : sheet.bottom].all()
    assert not colored[: sheet.top].any()
    assert not colored[sheet.bottom :].any()
    assert OVERSAMPLING * max(width, height) <= 16384  # the largest that OpenGL drivers commonly draw; no source


@pytest.mark.parametrize("pixels", [40.0, 123.0, 250.0])
def test_the_scale_bar_is_as_long_as_it_says(pixels):
    """Its top edge is one unbroken line; paper comes after it."""
    sheet = sheet_of((700, 500))
    sheet.scale_bar(pixels, "")
    ink = np.all(np.asarray(sheet.page, dtype=int) == [int(palette.INK[i : i + 2], 16) for i in (1, 3, 5)], axis=-1)
    rows, columns = np.nonzero(ink)
    assert np.ptp(columns) == pytest.approx(pixels, abs=1)
    assert ink[rows.min(), columns.min() : columns.max() + 1].all()
    assert sheet.top <= rows.min() <= rows.max() < sheet.bottom

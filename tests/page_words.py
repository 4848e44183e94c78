"""Whether the words of a page can be read."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox


def assert_words_clear(figure: Figure) -> None:
    """Every word of a page is on it, and none of those beside the plans runs into another."""
    assert_apart(figure.texts, boxes_on(figure))


def boxes_on(figure: Figure) -> dict[Text, Bbox]:
    """Where the words of a page are, each of them all on it."""
    renderer = FigureCanvasAgg(figure).get_renderer()
    boxes = {text: text.get_window_extent(renderer) for text in figure.findobj(Text) if text.get_text().strip()}
    for text, box in boxes.items():
        assert box.x0 >= 0, text
        assert box.y0 >= 0, text
        assert box.x1 <= figure.bbox.width, text
        assert box.y1 <= figure.bbox.height, text
    return boxes


def assert_apart(texts: Iterable[Text], boxes: Mapping[Text, Bbox]) -> None:
    """No two of some words, by their boxes, lie on each other; blank ones have none."""
    for one, other in itertools.combinations([text for text in texts if text in boxes], 2):
        a, b = boxes[one], boxes[other]
        assert min(a.x1, b.x1) - max(a.x0, b.x0) < 1 or min(a.y1, b.y1) - max(a.y0, b.y0) < 1, (one, other)

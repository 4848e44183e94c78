"""Maps of two scenes on one plan: how many speakers reach each spot, what one speaker gives, and what became of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from numpy.typing import ArrayLike
from PIL import Image

from earshed.model.compare.compare import BeforeAfter
from earshed.model.compare.maps import MapChange, common_bounds, served
from earshed.model.compare.seats import RANKS, Mark, SeatSignal
from earshed.model.compare.signals import Signal
from earshed.model.coverage import VERDICTS, Map
from earshed.model.coverage_map import CoverageMap
from earshed.model.geometry import Array
from earshed.model.scene import Scene
from earshed.model.speaker import Speaker
from earshed.model.units import PrintUnits
from earshed.viewer import palette
from earshed.viewer.compare.views import Difference, Key, Swatch, ViewPair
from earshed.viewer.compare.words import signal_noun
from earshed.viewer.map_axes import MARGIN, MapSheet, paint, scaled_axes
from earshed.viewer.page import any_signs
from earshed.viewer.plan_drawing import draw_room, draw_seat, draw_speaker, seat_labels
from earshed.viewer.shadow_drawing import draw_shadow
from earshed.viewer.wording import shortened

DOTS, LONGEST = 140, 7.0
"""Dots to the inch, and inches of the longer side of a plan: small, so that its words are large."""
FRAME = (0.012, 0.012, 0.976, 0.976)
STEPS = ("much better", "better", "a little better", "about as before", "a little worse", "worse", "much worse")
MOST_SPEAKERS = 3
"""Steps of number, to either side, that a map of how many more speakers reach a spot tells apart."""
VERDICT_WORDS = {
    "covered": "covered: clear, full sound",
    "fringe": "fringe: the edge, high notes begin to fade",
    "outside": "outside: high notes fall off",
}


def set_views(change: BeforeAfter, maps: MapChange) -> tuple[ViewPair, Difference]:
    """How many speakers reach each spot before and after, and how many more."""
    noun = signal_noun(change)
    total = max(maps.before.of_set.channels, maps.after.of_set.channels)
    colors = palette.ramp(total + 1)[::-1]
    edges = [each - 0.5 for each in range(total + 2)]
    pictures = []
    for cover, scene in ((maps.before, change.before), (maps.after, change.after)):
        counts = served(cover)
        pictures.append(_plan(change, maps, cover, scene, np.where(counts < 0, np.nan, counts), edges, colors))
    words = [f"{'none' if each == 0 else 'all' if each == total else each} of {total} {noun}s reach it"
             for each in range(total, -1, -1)]  # fmt: skip
    key = Key("at ear height:", tuple(map(Swatch, colors[::-1], words)))
    both = ViewPair(
        "set",
        f"How many of the {noun}s reach each spot",
        f"Seen from above, the screen at the top. The lighter a spot, the more {noun}s reach it clearly enough. The "
        "mark on a seat tells the worst that it gets: a full disc is covered, half a disc is on the fringe, a cross is "
        "left out.",
        f"Plan of the room; how many of its {total} {noun}s reach each spot at ear height",
        (pictures[0], pictures[1]),
        key,
    )
    return both, _more(change, maps, noun)


def signal_views(change: BeforeAfter, maps: MapChange, signal: Signal, name: str) -> tuple[ViewPair, Difference]:
    """What one signal that both scenes have gives over the plan, before and after, and how much better that is; `name`
    is fit for a file."""
    both = signal_view(change, maps, signal, name)
    changed = _change_plan(change, maps, maps.signal_change(signal), signal)
    shows = f"Plan of the room; where {shortened(signal.called, 60)} is better and where it is worse than before"
    title = f"{both.title}: better or worse than before"
    caption = "Better means nearer to where the speaker points. Strokes: worse than before."
    return both, Difference(f"{both.name}-change", title, caption, shows, changed, _change_key())


def signal_view(change: BeforeAfter, maps: MapChange, signal: Signal, name: str) -> ViewPair:
    """What one signal that both scenes have gives over the plan, before and after; `name` is fit for a file."""
    edges = [each - 0.5 for each in range(len(VERDICTS) + 1)]
    colors = [palette.VERDICT_ZONES[verdict] for verdict in VERDICTS]
    pictures = []
    covers = zip((maps.before, maps.after), maps.of_signal(signal), (change.before, change.after), strict=True)
    for cover, given, scene in covers:
        zones = np.where(given.verdict < 0, np.nan, given.verdict)
        pictures.append(_plan(change, maps, cover, scene, zones, edges, colors, signal))
    called = shortened(signal.called, 60)
    key = Key("at ear height:", tuple(Swatch(palette.VERDICT_ZONES[one], VERDICT_WORDS[one]) for one in VERDICTS))
    return ViewPair(
        name,
        called[:1].upper() + called[1:],
        _signal_caption([one for one in change.main if one.signal is signal]),
        f"Plan of the room; where {called} is heard clearly, at ear height",
        (pictures[0], pictures[1]),
        key,
    )


def _signal_caption(found: Sequence[SeatSignal]) -> str:
    """What became of a speaker at the main seats, in a sentence."""
    told: dict[str, list[str]] = {}
    for one in found:
        told.setdefault(one.words.split(",")[0], []).append(shortened(one.chair, 60))
    return " ".join(
        f"{words[:1].upper()}{words[1:]}: {', '.join(dict.fromkeys(chairs))}." for words, chairs in told.items()
    )


def _more(change: BeforeAfter, maps: MapChange, noun: str) -> Difference:
    most = MOST_SPEAKERS
    steps = np.clip(maps.served_change, -most, most).astype(np.float64)
    steps[~maps.inside] = np.nan
    picture = _plan(change, maps, maps.after, change.after, -steps, [each - 0.5 for each in range(-most, most + 2)],
                    palette.CHANGE_COLORS, worse=steps < 0)  # fmt: skip
    counts = [f"{most} or more", *map(str, range(most - 1, 0, -1))]
    words = [*(f"{each} more" for each in counts), "as many as before", *(f"{each} fewer" for each in counts[::-1])]
    key = Key(f"{noun}s that reach it:", tuple(_swatches(words)))
    lost = "Strokes: fewer than before." if (steps < 0).any() else "Nowhere are there fewer than before."
    title, caption = f"Where more {noun}s reach than before", f"Blue is better, orange is worse. {lost}"
    return Difference(
        "set-change", title, caption, f"Plan of the room; how many more {noun}s reach each spot", picture, key
    )


def worst_view(change: BeforeAfter, maps: MapChange) -> Difference:
    """How much nearer to its axis the speaker is that serves each spot worst."""
    noun = signal_noun(change)
    return Difference(
        "worst-change",
        f"The {noun} that serves each spot worst: better or worse than before",
        "Better means that the spot is nearer to where that speaker points. Strokes: worse than before.",
        f"Plan of the room; where the {noun} that serves worst is better and where it is worse than before",
        _change_plan(change, maps, maps.worst_change, None),
        _change_key(),
    )


def _change_plan(change: BeforeAfter, maps: MapChange, degrees: Map, signal: Signal | None) -> Image.Image:
    """A map of by how many degrees (ny, nx) something is further off axis."""
    edges = [-360.0, *palette.CHANGE_EDGES, 360.0]
    degrees = np.round(degrees, 3)  # a speaker turned by just what parts two steps is on one side of it everywhere
    with np.errstate(invalid="ignore"):
        worse = degrees >= palette.CHANGE_EDGES[len(palette.CHANGE_EDGES) // 2]
    return _plan(change, maps, maps.after, change.after, degrees, edges, palette.CHANGE_COLORS, signal, worse=worse)


def _change_key() -> Key:
    edges = [f"{edge:g}" for edge in palette.CHANGE_EDGES[3:]]
    words = [f"{STEPS[0]} (by more than {edges[2]}°)", f"{STEPS[1]} ({edges[1]} to {edges[2]}°)",
             f"{STEPS[2]} ({edges[0]} to {edges[1]}°)", *STEPS[3:]]  # fmt: skip
    return Key("against before:", tuple(_swatches(words)))


def _swatches(words: Sequence[str]) -> list[Swatch]:
    half = len(palette.CHANGE_COLORS) // 2
    return [Swatch(color, text, struck=number > half)
            for number, (color, text) in enumerate(zip(palette.CHANGE_COLORS, words, strict=True))]  # fmt: skip


def _plan(
    change: BeforeAfter,
    maps: MapChange,
    cover: CoverageMap,
    scene: Scene,
    values: ArrayLike,
    edges: Sequence[float],
    colors: Sequence[str],
    signal: Signal | None = None,
    *,
    worse: ArrayLike | None = None,
) -> Image.Image:
    """A plan of a scene, as large as that of both, with values (ny, nx) in stepped colors and what is in the room."""
    bounds = common_bounds(change.before, change.after)
    figure, axes = blank_plan(bounds, change.after.print_units)
    paint(axes, MapSheet(scene, (0, 0), "", cover.plane), values, list(edges), list(colors))
    if worse is not None:
        draw_shadow(axes, maps.after.plane, np.asarray(worse) & maps.inside)
    speakers = cover.speakers if signal is None else signal.before if scene is change.before else signal.after
    _furnish(axes, scene, speakers, _marks(change, scene, signal))
    return image_of(figure)


def blank_plan(bounds: Array, units: PrintUnits) -> tuple[Figure, Axes]:
    """A figure for a plan of what lies within `bounds` (2, 2), least and most, metres, and its axes."""
    width, length = np.ptp(bounds, axis=0)
    wide, high = width + 2 * MARGIN, length + 2.6 * MARGIN
    inches = LONGEST / max(wide, high)
    figure = Figure(figsize=(wide * inches, high * inches), dpi=DOTS, facecolor=palette.PAPER)
    FigureCanvasAgg(figure)
    return figure, scaled_axes(figure, bounds, (width, length), units, FRAME)


def image_of(figure: Figure) -> Image.Image:
    """A finished plan as a picture."""
    canvas = FigureCanvasAgg(figure)
    with any_signs():
        canvas.draw()
    return Image.fromarray(np.asarray(canvas.buffer_rgba())[..., :3].copy())


def _furnish(axes: Axes, scene: Scene, speakers: Sequence[Speaker], marks: Mapping[str, Mark]) -> None:
    """The room, its speakers and its seats, without what one does not see."""
    draw_room(axes, scene)
    for speaker in scene.speakers:
        draw_speaker(axes, speaker, strong=any(speaker is one for one in speakers))
    for seat in scene.seats:
        draw_seat(axes, seat, scene.ahead, marks.get(seat.name))
    seat_labels(axes, scene.seats, {})


def _marks(change: BeforeAfter, scene: Scene, signal: Signal | None) -> dict[str, Mark]:
    """The worst mark of each seat of a scene, of one signal or of all."""
    marks: dict[str, Mark] = {}
    for one in change.given:
        given = one.before if scene is change.before else one.after
        if given is not None and (signal is None or one.signal is signal):
            marks[one.seat] = max(given.mark, marks.get(one.seat, "covered"), key=RANKS.__getitem__)
    return marks

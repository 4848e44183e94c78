"""Maps for the page: the color of every cell of the listening plane, and the key that goes with them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from earshed.model.coverage import Mask
from earshed.model.editing.layers import Layers
from earshed.model.listening_plane import ListeningPlane
from earshed.model.scene import Scene
from earshed.model.sound.bands import OCTAVES
from earshed.model.speaker import Speaker
from earshed.viewer import palette
from earshed.viewer.level_page import LEVEL_COLORS, LEVEL_EDGES, SPREAD_COLORS, SPREAD_EDGES
from earshed.viewer.quantities import QUANTITIES, Quantity
from earshed.viewer.shadow_page import IN_SHADOW, IN_SIGHT

STRIPE, STRIPE_WIDTH = 0.2, 0.05
"""Metres from one stroke over a shadow to the next, and of the width of one."""
Colors = NDArray[np.uint8]


@dataclass(frozen=True)
class MapChoice:
    """Which map is to be seen: of one speaker, or where it is None of the set; levels and spreads in a band."""

    quantity: Quantity = QUANTITIES[0]
    speaker: str | None = None
    band: int = OCTAVES.names.index("1 kHz")


@dataclass(frozen=True, eq=False)
class MapPicture:
    """`colors` (ny, nx, 4), red, green, blue and how opaque, the rear left cell first; `key` tells what they mean."""

    colors: Colors
    key: dict[str, Any]


def map_picture(scene: Scene, layers: Layers, choice: MapChoice) -> MapPicture:
    """The map that is chosen. What cannot be shown, as levels without a seat, is an empty one whose key says why."""
    speaker = next((one for one in scene.judged if one.name == choice.speaker), None)
    if not scene.judged:
        return _empty(layers.plane, "no speaker has a coverage angle yet")
    if choice.quantity in ("level", "spread") and not scene.seats:
        return _empty(layers.plane, "levels are held against the seats, and there are none yet")
    match choice.quantity:
        case "off-axis":
            return _off_axis(scene, layers, speaker)
        case "level":
            return _level(scene, layers, speaker or scene.judged[0], choice.band)
        case "spread":
            return _spread(scene, layers, choice.band)
        case "shadow":
            return _shadow(scene, layers, speaker)


def _off_axis(scene: Scene, layers: Layers, speaker: Speaker | None) -> MapPicture:
    labels = [f"{edge:g}°" for edge in palette.OFF_AXIS_EDGES]
    if speaker is None:
        worst = layers.coverage(scene, scene.judged).of_set.worst
        key = _key("Worst off-axis angle of all channels", palette.OFF_AXIS_COLORS, labels, "from each figure up")
        return MapPicture(_colors(worst, palette.OFF_AXIS_EDGES, palette.OFF_AXIS_COLORS), key)
    (angles,) = layers.coverage(scene, [speaker]).angles
    key = _key(f"Off-axis angle of {speaker.name}", palette.OFF_AXIS_COLORS, labels, "from each figure up")
    colors = _colors(angles, palette.OFF_AXIS_EDGES, palette.OFF_AXIS_COLORS)
    return MapPicture(_striped(colors, layers.plane, _hidden(scene, layers, speaker)), key)


def _level(scene: Scene, layers: Layers, speaker: Speaker, band: int) -> MapPicture:
    (values,) = layers.levels(scene, [speaker]).against_reference(band)
    words = f"Level of {speaker.name}, octave of {OCTAVES.names[band]}"
    key = _key(words, LEVEL_COLORS, _figures(LEVEL_EDGES), "dB against the reference position")
    colors = _colors(values, LEVEL_EDGES, LEVEL_COLORS)
    return MapPicture(_striped(colors, layers.plane, _hidden(scene, layers, speaker)), key)


def _spread(scene: Scene, layers: Layers, band: int) -> MapPicture:
    values = layers.levels(scene, scene.judged).spread(band)
    words = f"How even the set is, octave of {OCTAVES.names[band]}"
    key = _key(words, SPREAD_COLORS, _figures(SPREAD_EDGES), "dB from the loudest channel to the softest")
    return MapPicture(_colors(values, SPREAD_EDGES, SPREAD_COLORS), key)


def _shadow(scene: Scene, layers: Layers, speaker: Speaker | None) -> MapPicture:
    if speaker is not None:
        hidden = np.where(layers.plane.inside, _hidden(scene, layers, speaker), np.nan)
        shades = (IN_SIGHT, IN_SHADOW)
        key = _key(f"What {speaker.name} sees", shades, ("in sight", "in its shadow"), "")
        return MapPicture(_colors(hidden, (-0.5, 0.5), shades), key)
    cover = layers.coverage(scene, scene.judged)
    count = cover.of_set.channels
    seen = np.where(layers.plane.inside, cover.seen, np.nan)
    ramp = palette.ramp(count + 1)[::-1]
    key = _key("Channels in sight", ramp, [str(number) for number in range(count + 1)], f"of {count}")
    return MapPicture(_colors(seen, np.arange(-0.5, count).tolist(), ramp), key)


def _hidden(scene: Scene, layers: Layers, speaker: Speaker) -> Mask:
    """Which points (ny, nx) of the room's air lie in a speaker's shadow."""
    hidden: Mask = layers.plane.inside & ~layers.coverage(scene, [speaker]).visible[0]
    return hidden


def _colors(values: ArrayLike, edges: Sequence[float], colors: Sequence[str]) -> Colors:
    """The color of each value (ny, nx): that of the last edge which it reaches; clear where it is nan."""
    table = np.array([[*bytes.fromhex(color[1:]), 255] for color in colors] + [[0, 0, 0, 0]], dtype=np.uint8)
    shown = np.asarray(values)
    with np.errstate(invalid="ignore"):
        steps = np.digitize(shown, edges[1:])
    return table[np.where(np.isnan(shown), len(colors), np.minimum(steps, len(colors) - 1))]


def _striped(colors: Colors, plane: ListeningPlane, hidden: Mask) -> Colors:
    """Colors with slanted strokes over the hidden cells (ny, nx)."""
    if hidden.any():
        along = plane.x[None, :] + plane.y[:, None]
        stroke = hidden & (np.mod(along, STRIPE) < max(STRIPE_WIDTH, plane.step))
        colors[stroke, :3] = colors[stroke, :3] // 2
    return colors


def _figures(edges: Sequence[float]) -> list[str]:
    return [f"{edge:g}" for edge in edges]


def _key(title: str, colors: Sequence[str], labels: Sequence[str], unit: str) -> dict[str, Any]:
    return {"title": title, "colors": list(colors), "labels": list(labels), "unit": unit}


def _empty(plane: ListeningPlane, why: str) -> MapPicture:
    return MapPicture(np.zeros((*plane.inside.shape, 4), dtype=np.uint8), _key(why, (), (), ""))

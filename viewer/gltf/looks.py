"""What surfaces look like in a file that others draw: plaster, timber, cloth, and lines and sheets without light."""

from __future__ import annotations

from dataclasses import dataclass, replace

from earshed.viewer import palette


@dataclass(frozen=True)
class Look:
    """A material. `color` is sRGB, "#rrggbb"; `roughness` from 0, a mirror, to 1, chalk; `opacity` from 0 to 1.

    An `unlit` one shows its color whatever the light. `two_sided` ones are seen from behind too; the others are not,
    so that one looks into a room through its near walls. A `picture` (PNG) with transparent parts goes over the color.
    """

    name: str
    color: str
    roughness: float = 0.9
    opacity: float = 1.0
    unlit: bool = False
    two_sided: bool = False
    picture: bytes | None = None

    def both_sides(self) -> Look:
        return replace(self, name=f"{self.name}, both sides", two_sided=True)


_SOLID = (
    Look("wall plaster", palette.WALL, 0.95),
    Look("ceiling plaster", palette.CEILING, 0.95),
    Look("floor", palette.FLOOR, 0.85),
    Look("carpet", palette.CARPET, 1.0),
    Look("timber", palette.WOOD, 0.7),
    Look("deck boards", palette.DECK, 0.75),
    Look("glass", palette.GLASS, 0.15),
    Look("plastic", palette.PLASTIC, 0.5),
    Look("door", palette.DOOR, 0.6),
    Look("cloth", palette.FABRIC, 1.0),
    Look("cloth of a main seat", palette.FABRIC_MAIN, 1.0),
    Look("head, reclined", palette.HEAD_RECLINED, 0.8),
    Look("picture", palette.PICTURE, 0.6),
    Look("cabinet", palette.SCREEN, 0.6),
    Look("grille", palette.GRILLE, 0.6),
    Look("soffit plaster", palette.SOFFIT, 0.95),
    Look("riser", palette.RISER, 0.85),
    Look("dark", palette.INK, 0.8),
)
_BY_COLOR = {look.color: look for look in _SOLID}
EDGE = Look("edge", palette.SOFT_INK, unlit=True)
INK = Look("ink", palette.INK, unlit=True, two_sided=True)
LIMIT = Look("coverage limit", palette.LIMIT, unlit=True)


def solid_look(color: str) -> Look:
    """The material of a solid thing of a color of the palette. Raises KeyError for another color."""
    return _BY_COLOR[color]


def sign_look(color: str, *, opacity: float = 1.0) -> Look:
    """What is drawn on a face as on paper: its color, whatever the light."""
    see_through = f", {opacity:.0%}" if opacity < 1 else ""
    return Look(f"sign {color}{see_through}", color, 1.0, opacity, unlit=True)


def cone_look(color: str, opacity: float) -> Look:
    """The side of a cone, seen from inside and outside."""
    return Look(f"cone {color}", color, 1.0, opacity, unlit=True, two_sided=True)

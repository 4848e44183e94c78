"""Keys of places, as every part of a scene file uses them."""

from __future__ import annotations

from typing import Annotated, ClassVar

from pydantic import Field

from earshed.model.scene_file.fields import Length, Name, Part

MOST_CORNERS = 100
FROM_SIDE = ("from_left", "from_right", "from_center")
FROM_END = ("from_front", "from_rear")


class PlanPlace(Part):
    """A place on the plan: one distance from a side and one from an end, or from a datum."""

    usual_keys: ClassVar[tuple[str, ...]] = ("from_left", "from_front")

    from_left: Length | None = None
    from_right: Length | None = None
    from_center: Length | None = None
    from_front: Length | None = None
    from_rear: Length | None = None
    datum: Name | None = None
    right: Length | None = None
    back: Length | None = None


class WallPlace(PlanPlace):
    """A place along a wall: one distance from a side, an end or, in an outline, the wall's first corner."""

    wall: Name | None = None
    along: Length | None = None


PlanPoint = Annotated[list[Length], Field(min_length=2, max_length=2)]


SpacePoint = Annotated[list[Length], Field(min_length=3, max_length=3)]


def given_center(entry: Part) -> dict[str, float]:
    """The distances of a center that were given, without their `center_`."""
    return {
        key.removeprefix("center_"): value for key, value in entry if key.startswith("center_") and value is not None
    }

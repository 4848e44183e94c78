"""What of a scene is costly to work out and seldom changes from one reading to the next."""

from __future__ import annotations

from collections.abc import Callable

from earshed.model.aim import Aim, AtSeats, axis_of
from earshed.model.geometry import Array
from earshed.model.room import Room
from earshed.model.scene_file.schema import SceneFile
from earshed.model.speaker_type import Aiming

_MAKES_THE_ROOM = ("room", "datums", "fixtures", "risers", "clearances", "materials", "print_units")
MOST_AXES = 500


class Kept:
    """The room that was built last, for as long as all that makes it is said as it was, and axes that were found."""

    def __init__(self) -> None:
        self._last: tuple[list[object], Room] | None = None
        self._axes: dict[tuple[Aiming, bytes, bytes], Array] = {}

    def room(self, file: SceneFile, build: Callable[[], Room]) -> Room:
        """The room of a file's keys, built by `build` where it is none that was kept."""
        said, last = [getattr(file, key) for key in _MAKES_THE_ROOM], self._last
        if last is None or last[0] != said:
            last = self._last = said, build()
        return last[1]

    def axis(self, aiming: Aiming, normal: Array, aim: Aim, directions: Array) -> Array:
        """As `axis_of`."""
        if not isinstance(aim, AtSeats):
            return axis_of(aiming, normal, aim, directions)
        asked = aiming, normal.tobytes(), directions.tobytes()
        found = self._axes.get(asked)
        if found is None:
            found = axis_of(aiming, normal, aim, directions)
            if len(self._axes) >= MOST_AXES:
                self._axes.clear()
            self._axes[asked] = found
        return found

"""A grid of letters to scale, on which a terminal's sketches are drawn.

A letter is about twice as high as it is wide, so a row stands for twice the length that a column does.
"""

from __future__ import annotations

from earshed.viewer.letters import Letters

COLUMNS = 55
"""The most columns that a sketch takes; odd, as their count is."""
ON_EDGE = 1e-6
"""Metres within which a place is on an edge."""


class Paper:
    """A rectangle of `across` x `down` metres in letters, with a border one letter wide round it."""

    def __init__(self, across: float, down: float, *, rows: int, columns: int = COLUMNS) -> None:
        step = max(across / columns, down / (2 * rows))
        self.columns = max(1, round((across / step - 1) / 2) * 2 + 1)  # odd, so that there is a middle one
        self.rows = max(1, round(down / (2 * step)))
        self._across, self._down = across, down
        self._letters = [[" "] * (self.columns + 2) for _ in range(self.rows + 2)]

    def cell(self, right: float, down: float) -> tuple[int, int]:
        """Row and column of a place, metres from the left and from the top; on an edge or past it, in the border."""
        return _place(down, self._down, self.rows), _place(right, self._across, self.columns)

    def inside(self, cell: tuple[int, int]) -> bool:
        """Whether a cell lies within the border."""
        return 0 < cell[0] <= self.rows and 0 < cell[1] <= self.columns

    def put(self, cell: tuple[int, int], letter: str) -> None:
        self._letters[cell[0]][cell[1]] = letter

    def frame(self, letters: Letters, *, top: bool) -> None:
        """Draws the border; without its top where something else is to be drawn there."""
        last_row, last_column = self.rows + 1, self.columns + 1
        for column in range(1, last_column):
            self.put((last_row, column), letters.level)
            if top:
                self.put((0, column), letters.level)
        for row in range(1, last_row):
            self.put((row, 0), letters.upright)
            self.put((row, last_column), letters.upright)
        self.put((last_row, 0), letters.rear_left)
        self.put((last_row, last_column), letters.rear_right)
        if top:
            self.put((0, 0), letters.front_left)
            self.put((0, last_column), letters.front_right)

    @property
    def lines(self) -> list[str]:
        return ["".join(row).rstrip() for row in self._letters]


def _place(distance: float, whole: float, cells: int) -> int:
    """Which of `cells` within a whole a distance falls into, from 1; 0 before them and one more past them."""
    if distance <= ON_EDGE:
        return 0
    if distance >= whole - ON_EDGE:
        return cells + 1
    return min(int(distance / whole * cells), cells - 1) + 1

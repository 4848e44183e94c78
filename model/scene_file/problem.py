"""What is wrong with a scene file, and where."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, order=True)
class Mark:
    """A place in a file; line and column from 1."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


class SceneError(Exception):
    """A scene that cannot be read. `message` says what is wrong and what is allowed, `mark` where.

    `others` holds further problems of the same file, so that all can be mended at once.
    """

    def __init__(self, message: str, mark: Mark, others: tuple[SceneError, ...] = ()) -> None:
        super().__init__(f"{mark}: {message}")
        self.message = message
        self.mark = mark
        self.others = others


class Misfit(ValueError):
    """Something in a scene that does not fit the rest of it, at a path of keys and list positions."""

    def __init__(self, message: str, path: tuple[str | int, ...], *, at_key: bool = False) -> None:
        super().__init__(message)
        self.at_key = at_key
        self.message = message
        self.path = path

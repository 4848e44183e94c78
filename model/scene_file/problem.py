"""What is wrong with a scene file, and where."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, order=True)
class Mark:
    """A place in a file; line and column from 1.

    `via` is the line of another file that brought this one in, as a scene does its catalogs.
    """

    file: str
    line: int
    column: int
    via: Mark | None = field(default=None, compare=False)

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"

    @property
    def brought_in(self) -> str:
        """What to add to a message on this place, so that its reader knows how the file came into it."""
        if self.via is None:
            return ""
        itself = f", itself by {self.via.via}" if self.via.via else ""
        return f" (brought in by {self.via}{itself})"


class SceneError(Exception):
    """A scene that cannot be read. `message` says what is wrong and what is allowed, `mark` where.

    `words` are the message without the line that brought the file in. `others` holds further problems, so that all
    can be mended at once.
    """

    def __init__(self, message: str, mark: Mark, others: tuple[SceneError, ...] = ()) -> None:
        super().__init__(f"{mark}: {message}{mark.brought_in}")
        self.words = message
        self.message = message + mark.brought_in
        self.mark = mark
        self.others = others


class Misfit(ValueError):
    """Something in a scene that does not fit the rest of it, at a path of keys and list positions."""

    def __init__(self, message: str, path: tuple[str | int, ...], *, at_key: bool = False) -> None:
        super().__init__(message)
        self.at_key = at_key
        self.message = message
        self.path = path

"""Values that are costly to work out, kept as long as they are among those used latest."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from typing import Generic, TypeVar

Key = TypeVar("Key", bound=Hashable)
Value = TypeVar("Value")


@dataclass(eq=False)
class Latest(Generic[Key, Value]):
    """Values by what they are of; the one used last stands last in `held`."""

    held: dict[Key, Value] = field(default_factory=dict)

    def get(self, key: Key, make: Callable[[], Value], most: int) -> Value:
        """The value that is kept, or one that is made; of all no more than `most` are kept then."""
        value = self.held.pop(key) if key in self.held else make()
        self.held[key] = value
        while len(self.held) > most:
            self.held.pop(next(iter(self.held)))
        return value

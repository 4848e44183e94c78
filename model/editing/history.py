"""What was done, step by step, to be undone and done again."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, replace
from typing import Generic, TypeVar

State = TypeVar("State")


@dataclass(frozen=True)
class Step(Generic[State]):
    """A state, what was done to come to it, and the gesture that it is part of."""

    state: State
    label: str = ""
    gesture: Hashable = None


@dataclass(frozen=True)
class History(Generic[State]):
    """States one after another, without limit, and where among them one is. Immutable, as its states should be."""

    steps: tuple[Step[State], ...]
    at: int = 0

    @classmethod
    def begin(cls, state: State, label: str = "") -> History[State]:
        return cls((Step(state, label),))

    @property
    def state(self) -> State:
        return self.steps[self.at].state

    def done(self, state: State, label: str, gesture: Hashable = None) -> History[State]:
        """With a state come to from here; what was undone is gone.

        A step of the same gesture as the last one, as while one drag goes on, takes its place, so that one undo takes
        back all of it. A gesture that leads back to where it began is no step.
        """
        last = self.steps[self.at]
        same = gesture is not None and self.at > 0 and last.gesture == gesture
        kept = self.steps[: self.at if same else self.at + 1]
        if kept[-1].state == state:
            return self if not same and self.at == len(self.steps) - 1 else replace(self, steps=kept, at=len(kept) - 1)
        return History((*kept, Step(state, label, gesture)), len(kept))

    def ended(self) -> History[State]:
        """With the gesture that goes on at an end, so that the next step stands by itself whatever its gesture."""
        steps = list(self.steps)
        steps[self.at] = replace(steps[self.at], gesture=None)
        return replace(self, steps=tuple(steps))

    def undone(self) -> History[State]:
        """One step back; at the beginning itself."""
        return replace(self.ended(), at=max(0, self.at - 1))

    def redone(self) -> History[State]:
        """One step forward again; at the end itself."""
        return replace(self.ended(), at=min(len(self.steps) - 1, self.at + 1))

    @property
    def can_undo(self) -> bool:
        return self.at > 0

    @property
    def can_redo(self) -> bool:
        return self.at < len(self.steps) - 1

    @property
    def undo_label(self) -> str | None:
        """What an undo would take back."""
        return self.steps[self.at].label if self.can_undo else None

    @property
    def redo_label(self) -> str | None:
        """What a redo would do."""
        return self.steps[self.at + 1].label if self.can_redo else None

    @property
    def labels(self) -> tuple[str, ...]:
        """What was done to come to where one is, the first first."""
        return tuple(step.label for step in self.steps[1 : self.at + 1])

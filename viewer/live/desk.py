"""A scene on the desk: what was read of its file, what has been changed since, and the steps back and forth."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from earshed.model.editing.changes import NO_CHANGES, Changes
from earshed.model.editing.draft import Draft, Scheme
from earshed.model.editing.history import History
from earshed.model.editing.latest import Latest
from earshed.model.editing.layers import Layers
from earshed.model.listening_plane import PlaneSpec
from earshed.model.scene import Scene
from earshed.model.scene_file.problem import SceneError
from earshed.viewer.live.asked import Refused
from earshed.viewer.live.figures import Answer

REMEMBERED = 12
"""Answers that are kept, the latest ones, so that to and fro between two is at once."""
PLANES = 6
"""Planes on which maps are kept: coarse and fine, before and after."""


class Unfit(Exception):
    """Changes that a file, as it now is, cannot take; the message says why."""


@dataclass(frozen=True)
class State:
    """The changes under each scheme that has any of its own, and the scheme that was changed last."""

    scheme: Scheme
    work: tuple[tuple[Scheme, Changes], ...] = ()

    def under(self, scheme: Scheme) -> Changes | None:
        return dict(self.work).get(scheme)

    def with_changes(self, scheme: Scheme, changes: Changes) -> State:
        return State(scheme, tuple({**dict(self.work), scheme: changes}.items()))


@dataclass(eq=False)
class Desk:
    """One scene file that is open, for any number of pages. Not to be used from two threads at once."""

    draft: Draft
    scheme: Scheme
    history: History[State]
    opened_at: int = 1
    """Grows each time the file is read again."""
    saved: dict[Scheme, Changes] = field(default_factory=dict)
    """What was saved last under a scheme."""
    _layers: Latest[tuple[int, Scheme, Changes, PlaneSpec], Layers] = field(default_factory=Latest)
    _answers: Latest[tuple[int, Scheme, Changes], Answer] = field(default_factory=Latest)

    @classmethod
    def open(cls, path: Path, scheme: str | None) -> Desk:
        """Raises SceneError for a file that cannot be read."""
        draft = Draft.open(path, scheme)
        return cls(draft, draft.scheme, History.begin(State(draft.scheme)))

    # --- what there is

    @property
    def changes(self) -> Changes:
        """Those under the scheme that is shown, of an overlay that was opened its own among them."""
        return self._changes(self.scheme)

    @property
    def first_changes(self) -> Changes:
        """Those with which the file was opened: none, or an overlay's own."""
        return self.draft.first(self.scheme)

    @property
    def answer(self) -> Answer:
        return self._answer(self.scheme, self.changes)

    @property
    def opened(self) -> Answer:
        """The scene as it was opened, under the same scheme."""
        return self._answer(self.scheme, self.first_changes)

    @property
    def work(self) -> dict[Scheme, Changes]:
        """By scheme, the changes that stand in no file yet."""
        said = dict(self.history.state.work)
        return {name: changes for name, changes in said.items() if changes != self._in_a_file(name)}

    @property
    def unsaved(self) -> int:
        """How many things are changed in `work`."""
        return sum(max(1, changes.count) for changes in self.work.values())

    def _changes(self, scheme: Scheme) -> Changes:
        said = self.history.state.under(scheme)
        return self.draft.first(scheme) if said is None else said

    def _in_a_file(self, scheme: Scheme) -> Changes:
        return self.saved.get(scheme, self.draft.first(scheme))

    def _answer(self, scheme: Scheme, changes: Changes) -> Answer:
        """Raises SceneError for changes that the scene cannot take."""

        def make() -> Answer:
            return Answer(self.draft.scene(scheme, changes), self._near(scheme, changes))

        return self._answers.get((self.opened_at, scheme, changes), make, REMEMBERED)

    def layers(self, scene: Scene, changes: Changes, spec: PlaneSpec) -> Layers:
        """What single speakers of a scene, which changes made, give over a plane; kept while all but them stays so."""
        key = self.opened_at, self.scheme, _but_speakers(changes), spec
        return self._layers.get(key, lambda: Layers.over(scene, spec), PLANES)

    def _near(self, scheme: Scheme, changes: Changes) -> Answer | None:
        """The latest answer that is other in its speakers alone."""
        for (opened_at, other, said), answer in reversed(self._answers.held.items()):
            if (opened_at, other) == (self.opened_at, scheme) and _but_speakers(said) == _but_speakers(changes):
                return answer
        return None

    # --- what can be done

    def change(self, edit: Callable[[Scene, Changes], Changes], label: str, gesture: str | None = None) -> None:
        """Makes a change under the scheme that is shown; the steps of one gesture are taken back at once.

        Raises Refused, and then nothing is changed.
        """
        try:
            changes = edit(self.answer.scene, self.changes)
            self._answer(self.scheme, changes)
        except SceneError as error:
            raise Refused(error.words) from None
        except ValueError as error:
            raise Refused(str(error)) from None
        if changes != self.changes:
            self.history = self.history.done(self.history.state.with_changes(self.scheme, changes), label, gesture)

    def undo(self) -> None:
        """Takes back the last step, under whatever scheme it was made. Raises Refused where there is none."""
        if not self.history.can_undo:
            raise Refused("there is nothing to take back")
        taken = self.history.state.scheme
        self.history = self.history.undone()
        self._turn_to(taken)

    def redo(self) -> None:
        """Makes again what was taken back. Raises Refused where there is nothing."""
        if not self.history.can_redo:
            raise Refused("there is nothing to do again")
        self.history = self.history.redone()
        self._turn_to(self.history.state.scheme)

    def turn_to(self, scheme: Scheme) -> None:
        """Shows another scheme. Raises Refused for one that there is not."""
        if scheme not in self.draft.schemes:
            raise Refused(f"the scene has no scheme {scheme}")
        self.scheme = scheme

    def take_up(self, work: Mapping[Scheme, Changes], scheme: Scheme) -> None:
        """Goes on with work that was left behind. Raises Refused for what the scene, as it now is, cannot take."""
        state = State(scheme if scheme in self.draft.schemes else self.scheme)
        for name, changes in work.items():
            if name not in self.draft.schemes:
                raise Refused(f"it was done under the scheme {name}, which the scene no longer has")
            try:
                self._answer(name, changes)
            except SceneError as error:
                raise Refused(f"the scene can no longer take it: {error.words}") from None
            state = state.with_changes(name, changes)
        self.history = self.history.done(state, "work that was left behind")
        self._turn_to(state.scheme)

    def reread(self) -> None:
        """Reads the file again, and lays the changes over what it says now. All stays as it was where that cannot be.

        Raises SceneError for a file that cannot be read, and Unfit where the changes fit it no more.
        """
        draft = self.draft.reopened()
        try:
            for name, changes in self.history.state.work:
                draft.scene(name, changes)
        except SceneError as error:
            raise Unfit(error.words) from None
        self._take(draft)

    def reread_alone(self) -> None:
        """Reads the file again and leaves the changes, with all steps. Raises SceneError."""
        draft = self.draft.reopened()
        self.history = History.begin(State(draft.scheme))
        self.saved.clear()
        self._take(draft)

    def _take(self, draft: Draft) -> None:
        self.draft = draft
        self.opened_at += 1
        if self.scheme not in draft.schemes:
            self.scheme = draft.scheme

    def _turn_to(self, scheme: Scheme) -> None:
        if scheme in self.draft.schemes:
            self.scheme = scheme

    def note_saved(self) -> None:
        """From now on what is changed under this scheme stands in a file."""
        self.saved[self.scheme] = self.changes if not self.changes.is_empty else NO_CHANGES


def _but_speakers(changes: Changes) -> Changes:
    return changes.reverted_section("speakers")

"""What comes to the desk from outside: its file changed by another program, and work that an earlier run left."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from earshed.model.scene_file.problem import SceneError
from earshed.viewer.file_watch import Look, look_at
from earshed.viewer.live.asked import Refused
from earshed.viewer.live.desk import Desk, Unfit
from earshed.viewer.live.keeping import Keeper, Kept
from earshed.viewer.live.telling import word
from earshed.viewer.output import OutputError


@dataclass(frozen=True)
class News:
    """Something that every page is told, with what can be done: acts and the words of their buttons."""

    words: str
    choices: tuple[tuple[str, str], ...] = ()

    @property
    def message(self) -> bytes:
        choices: list[dict[str, Any]] = [{"act": act, "words": words, "what": {}} for act, words in self.choices]
        return word("news", self.words, choices=choices)


NO_NEWS = News("")
"""Takes what was told before off the page."""


class Outside:
    """What is to be asked of the user about one desk, and what becomes of it."""

    def __init__(self, desk: Desk) -> None:
        """Raises OutputError where unsaved work cannot be kept."""
        self.keeper = Keeper(desk.draft.path)
        self._desk = desk
        self._offer: Kept | None = next(iter(self.keeper.left_behind()), None)
        self._trouble: News | None = None

    @property
    def pending(self) -> list[News]:
        """What a page that opens is told."""
        return [one for one in (self._offered, self._trouble) if one is not None]

    @property
    def in_trouble(self) -> bool:
        """Whether the file on disk is not what is shown."""
        return self._trouble is not None

    def keep(self) -> None:
        """Writes unsaved work to disk. Raises OutputError."""
        self.keeper.keep(self._desk.work, self._desk.scheme)

    def seen(self) -> Look:
        """How the files that the scene is read from are now."""
        return look_at(self._desk.draft.files)

    def settle(self, act: str) -> str:
        """Does what was chosen of what was asked; gives what to say. Raises Refused."""
        return self._reread_alone() if act == "reread alone" else self._settle_offer(act)

    def _settle_offer(self, act: str) -> str:
        """Takes up, or lets go, the work that was left behind."""
        offer = self._offer
        if offer is None:
            raise Refused("there is no work of an earlier time any more")
        try:
            if act == "take up":
                self._desk.take_up(offer.work, offer.scheme)
                self.keep()
            offer.let_go()
        except OutputError as error:
            raise Refused(str(error)) from None
        self._offer = None
        return "Taken up: Undo goes back to the file as it is." if act == "take up" else "Let go."

    def reread(self) -> News:
        """Reads the file again, after it has changed."""
        name = self._desk.draft.path.name
        try:
            self._desk.reread()
        except SceneError as error:
            words = f"{name} was changed and cannot be used as it is now: {error} (you see it as it was)"
            self._trouble = News(words)
            return self._trouble
        except Unfit as error:
            words = f"{name} was changed, and your changes no longer fit: {error} (you see it as it was)"
            alone = ("reread alone", "Read it without my changes, which are set aside")
            self._trouble = News(words, (alone, ("", "Keep what I see")))
            return self._trouble
        self._trouble = None
        kept = " Your changes lie over it." if self._desk.unsaved else ""
        return News(f"{name} was changed by another program, and was read again.{kept}", (("", "Good"),))

    def _reread_alone(self) -> str:
        """Reads the file again; what was changed is kept for another time."""
        try:
            self.keeper.set_aside(self._desk.work, self._desk.scheme)
            self._desk.reread_alone()
        except (SceneError, OutputError) as error:
            raise Refused(str(error)) from None
        self._trouble = None
        return "Read again. Your changes are offered the next time."

    @property
    def _offered(self) -> News | None:
        if self._offer is None:
            return None
        things = f"{self._offer.count} thing{'' if self._offer.count == 1 else 's'} changed"
        words = f"There is work on this scene that was never saved: {things}, {self._offer.since.replace('T', ' at ')}."
        return News(words, (("take up", "Take it up again"), ("let go", "Let it go"), ("", "Later")))

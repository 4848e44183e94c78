"""The host of the pages that are open: hears what they ask, has it done one after another, and tells all of them."""

from __future__ import annotations

import asyncio
import json
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

from aiohttp import web

from earshed.model.scene_file.problem import SceneError
from earshed.viewer.file_watch import POLL, look_at
from earshed.viewer.live import telling
from earshed.viewer.live.acts import do
from earshed.viewer.live.asked import Asked, Look, Refused
from earshed.viewer.live.clear import clear_message
from earshed.viewer.live.desk import Desk, Unfit
from earshed.viewer.live.keeping import Keeper, Kept
from earshed.viewer.live.packet import packed
from earshed.viewer.live.saving import file_offers, save
from earshed.viewer.live.starting import begun, copied, start_document
from earshed.viewer.live.telling import FINE_POINTS, ROUGH_POINTS, Page
from earshed.viewer.output import OutputError

STILL = 0.2
"""Seconds without an act after which all is found that takes longer."""
AT_ONCE = 0.08
"""Seconds that findings may take to be told while something moves."""
T = TypeVar("T")


@dataclass(eq=False)
class Talk:
    """One page and the line to it."""

    line: web.WebSocketResponse
    page: Page = field(default_factory=Page)


class Host:
    """Everything is worked out on one thread, one thing after another, so that pages never see half a change."""

    def __init__(self, folder: Path, desk: Desk | None = None) -> None:
        """`folder` is where new scenes are written; a desk is there from the start where a scene was named.

        Raises OutputError where unsaved work cannot be kept.
        """
        self._folder = folder
        self._desk, self._keeper = desk, None if desk is None else Keeper(desk.draft.path)
        self._talks: list[Talk] = []
        self._queue: asyncio.Queue[tuple[Talk, Asked]] = asyncio.Queue()
        self._worker = ThreadPoolExecutor(1)
        self._tasks: list[asyncio.Task[None]] = []
        self._offer: Kept | None = None
        self._trouble = ""
        self._findings_take = 0.0

    async def start(self) -> None:
        if self._keeper is not None:
            self._offer = next(iter(self._keeper.left_behind()), None)
        self._tasks = [asyncio.create_task(self._work()), asyncio.create_task(self._watch())]

    async def stop(self) -> None:
        for task in self._tasks:
            task.cancel()
        for talk in self._talks:
            await talk.line.close()
        self._worker.shutdown()
        if self._keeper is not None:
            self._keeper.close()

    @property
    def desk(self) -> Desk:
        """Raises Refused while no scene is open."""
        if self._desk is None:
            raise Refused("no scene is open yet")
        return self._desk

    # --- pages come and go

    async def join(self, line: web.WebSocketResponse) -> Talk:
        talk = Talk(line)
        self._talks.append(talk)
        if self._offer is not None:
            await self._tell(talk, _offered(self._offer))
        if self._trouble:
            await self._tell(talk, telling.word("news", self._trouble))
        return talk

    def leave(self, talk: Talk) -> None:
        if talk in self._talks:
            self._talks.remove(talk)

    async def hear(self, talk: Talk, text: str) -> None:
        """Takes a message of a page; one that is none is answered with why."""
        try:
            asked = Asked.read(json.loads(text))
        except (ValueError, RecursionError, Refused) as error:
            await self._tell(talk, telling.word("refused", f"this is no message of the page: {error}"))
            return
        await self._queue.put((talk, asked))

    # --- acts, one after another

    async def _work(self) -> None:
        while True:
            try:
                talk, asked = await asyncio.wait_for(self._queue.get(), STILL)
            except TimeoutError:
                await self._settle()
                talk, asked = await self._queue.get()
            try:
                await self._answer(talk, asked)
            except Refused as error:
                await self._tell(talk, telling.word("refused", str(error), n=asked.number))
                if not asked.flag("rough"):
                    await self._show(talk, asked.number, "", FINE_POINTS)  # what was typed goes back to what holds

    async def _answer(self, talk: Talk, asked: Asked) -> None:
        """Does what is asked, and shows it to all pages. Raises Refused."""
        match asked.act:
            case "open" | "begin" if self._desk is None:
                await self._run(lambda: self._open(asked))
                await self._tell_all(telling.word("opened", ""))
                return
            case "answers" if self._desk is None:
                await self._tell_start(talk, asked)
                return
            case "look":
                talk.page.look = Look.read(asked)
                if self._desk is None:
                    await self._tell_start(talk, asked)
                    return
                await self._show(talk, asked.number, "", FINE_POINTS)
                return
            case "ask to save":
                offers = await self._run(lambda: file_offers(self.desk))
                await self._tell(talk, packed({"kind": "offers", "n": asked.number, **offers}))
                return
            case "save":
                try:
                    said = await self._run(lambda: save(self.desk, asked))
                except Refused as error:
                    await self._tell(talk, telling.word("saved", str(error), done=False, n=asked.number))
                    return
                await self._tell(talk, telling.word("saved", said, done=True, n=asked.number))
                await self._show_all(talk, asked.number, "", FINE_POINTS)
                return
            case "take up" | "let go":
                said = await self._run(lambda: self._settle_offer(asked.act))
            case "reread alone":
                said = await self._run(self._reread_alone)
            case _:
                said = await self._run(lambda: do(self.desk, asked))
        moving = asked.act == "drag" or asked.flag("rough")
        await self._show_all(talk, asked.number, said, ROUGH_POINTS if moving else FINE_POINTS)
        if self._queue.empty() and self._findings_take < AT_ONCE:
            await self._tell_findings(whole=False)

    def _open(self, asked: Asked) -> None:
        """Opens a copy of a shipped scene, or a first room. Raises Refused."""
        path = copied(self._folder, asked) if asked.act == "open" else begun(self._folder, asked)
        try:
            desk, keeper = Desk.open(path, None), Keeper(path)
        except (SceneError, OutputError) as error:
            raise Refused(str(error)) from None
        self._keeper, self._desk = keeper, desk

    async def _tell_start(self, talk: Talk, asked: Asked) -> None:
        said = asked.said.get("answers")
        document = await self._run(lambda: start_document(self._folder, said if isinstance(said, dict) else {}))
        await self._tell(talk, packed({"kind": "start", **document}))

    async def _settle(self) -> None:
        """Once all is still: the fine map, every finding, and the work on disk."""
        keeper = self._keeper
        if keeper is None:
            return
        try:
            await self._run(lambda: keeper.keep(self.desk.work, self.desk.scheme))
        except OutputError as error:
            await self._tell_all(telling.word("news", f"Unsaved work is not being kept: {error}"))
        if self._talks:
            for talk in list(self._talks):
                await self._show(talk, 0, "", FINE_POINTS)
            await self._tell_findings(whole=False)
            await self._tell_clear()
            if self._queue.empty():
                await self._tell_findings(whole=True)

    def _settle_offer(self, act: str) -> str:
        offer = self._offer
        if offer is None:
            raise Refused("there is no work of an earlier time any more")
        if act == "take up":
            self.desk.take_up(offer.work, offer.scheme)
            if self._keeper is not None:
                self._keeper.keep(self.desk.work, self.desk.scheme)
        offer.let_go()
        self._offer = None
        return "Taken up: Undo goes back to the file as it is." if act == "take up" else "Let go."

    # --- telling

    async def _show_all(self, talk: Talk, number: int, said: str, points: int) -> None:
        await self._show(talk, number, said, points)
        for other in list(self._talks):
            if other is not talk:
                await self._show(other, 0, "", points)

    async def _show(self, talk: Talk, number: int, said: str, points: int) -> None:
        room = await self._run(lambda: telling.room_message(self.desk, talk.page))
        if room is not None:
            await self._tell(talk, room)
        await self._tell(
            talk, await self._run(lambda: telling.state_message(self.desk, talk.page, number, said, points=points))
        )

    async def _tell_findings(self, *, whole: bool) -> None:
        for talk in list(self._talks):
            begun = time.monotonic()
            message = await self._run(
                lambda talk=talk: telling.findings_message(telling.shown(self.desk, talk.page), whole=whole)
            )
            if not whole:
                self._findings_take = time.monotonic() - begun
            await self._tell(talk, message)

    async def _tell_clear(self) -> None:
        """Tells each page where the hole of what it has chosen could go."""
        for talk in list(self._talks):
            if not self._queue.empty():
                return
            message = await self._run(lambda talk=talk: clear_message(telling.shown(self.desk, talk.page), talk.page))
            if message is not None:
                await self._tell(talk, message)

    async def _tell_all(self, message: bytes) -> None:
        for talk in list(self._talks):
            await self._tell(talk, message)

    async def _tell(self, talk: Talk, message: bytes) -> None:
        try:
            await talk.line.send_bytes(message)
        except ConnectionError:
            self.leave(talk)

    async def _run(self, what: Callable[[], T]) -> T:
        return await asyncio.get_running_loop().run_in_executor(self._worker, what)

    # --- the file on disk

    async def _watch(self) -> None:
        """Reads the file again whenever it has been changed by somebody else."""
        while self._desk is None:
            await asyncio.sleep(POLL)
        before = look_at(self.desk.draft.files)
        while True:
            await asyncio.sleep(2 * POLL)
            now = look_at(self.desk.draft.files)
            if now == before:
                continue
            await asyncio.sleep(POLL)
            if look_at(self.desk.draft.files) != now:
                continue  # still being written
            said, choices = await self._run(self._reread)
            before = look_at(self.desk.draft.files)
            await self._tell_all(telling.word("news", said, choices=choices))
            if not self._trouble:
                for talk in list(self._talks):
                    await self._show(talk, 0, "", FINE_POINTS)
                await self._tell_findings(whole=True)

    def _reread(self) -> tuple[str, list[dict[str, Any]]]:
        """What to say of the file once it was read again or could not be, and what can be done then."""
        name = self.desk.draft.path.name
        try:
            self.desk.reread()
        except SceneError as error:
            self._trouble = f"{name} was changed and cannot be used as it is now: {error} (you see it as it was)"
            return self._trouble, []
        except Unfit as error:
            self._trouble = f"{name} was changed, and your changes no longer fit: {error} (you see it as it was)"
            return self._trouble, [
                _choice("reread alone", "Read it without my changes, which are set aside"),
                _choice("", "Keep what I see"),
            ]
        self._trouble = ""
        kept = " Your changes lie over it." if self.desk.unsaved else ""
        return f"{name} was changed by another program, and was read again.{kept}", [_choice("", "Good")]

    def _reread_alone(self) -> str:
        """Reads the file again; what was changed is kept for another time. Raises Refused."""
        try:
            if self._keeper is not None:
                self._keeper.set_aside(self.desk.work, self.desk.scheme)
            self.desk.reread_alone()
        except (SceneError, OutputError) as error:
            raise Refused(str(error)) from None
        self._trouble = ""
        return "Read again. Your changes are offered the next time."


def _offered(kept: Kept) -> bytes:
    """The question what to do with work that was left behind."""
    things = f"{kept.count} thing{'' if kept.count == 1 else 's'} changed"
    since = kept.since.replace("T", " at ")
    choices = [_choice("take up", "Take it up again"), _choice("let go", "Let it go"), _choice("", "Later")]
    return telling.word(
        "news", f"There is work on this scene that was never saved: {things}, {since}.", choices=choices
    )


def _choice(act: str, words: str) -> dict[str, Any]:
    """A button under news: what it asks for, and what it says."""
    return {"act": act, "words": words, "what": {}}

"""The host of the pages that are open: hears what they ask, has it done one after another, and tells all of them."""

from __future__ import annotations

import asyncio
import json
import sys
import time
from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import TypeVar

from aiohttp import web

from earshed.model.scene_file.problem import SceneError
from earshed.viewer.file_watch import POLL
from earshed.viewer.live import telling
from earshed.viewer.live.acts import do
from earshed.viewer.live.asked import Asked, Look, Refused
from earshed.viewer.live.clear import clear_message
from earshed.viewer.live.desk import Desk
from earshed.viewer.live.outside import NO_NEWS, News, Outside
from earshed.viewer.live.packet import packed
from earshed.viewer.live.saving import file_offers, save
from earshed.viewer.live.starting import begun, copied, start_document
from earshed.viewer.live.telling import FINE_POINTS, ROUGH_POINTS, Page
from earshed.viewer.output import OutputError

STILL, HELD = 0.2, 1.0
"""Seconds without an act after which all is found that takes longer: mostly, and while a thing is held."""
AT_ONCE = 0.08
"""Seconds that findings may take to be told while something moves."""
PATIENCE = 10.0
"""Seconds that one page may take to hear what it is told before it is let go of, since all others wait meanwhile."""
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
        self._desk, self._outside = desk, None if desk is None else Outside(desk)
        self._talks: list[Talk] = []
        self._queue: asyncio.Queue[tuple[Talk, Asked]] = asyncio.Queue()
        self._worker = ThreadPoolExecutor(1)
        self._tasks: list[asyncio.Task[None]] = []
        self._roughly = False
        self._findings_take = 0.0

    async def start(self) -> None:
        self._tasks = [asyncio.create_task(self._work()), asyncio.create_task(self._watch())]

    async def stop(self) -> None:
        for task in self._tasks:
            task.cancel()
        for talk in list(self._talks):
            await talk.line.close()
        if self._outside is not None:
            await self._safely(partial(self._run, self._outside.keep))
            self._outside.keeper.close()
        self._worker.shutdown()

    @property
    def desk(self) -> Desk:
        """Raises Refused while no scene is open."""
        if self._desk is None:
            raise Refused("no scene is open yet")
        return self._desk

    @property
    def outside(self) -> Outside:
        """Raises Refused while no scene is open."""
        if self._outside is None:
            raise Refused("no scene is open yet")
        return self._outside

    # --- pages come and go

    async def join(self, line: web.WebSocketResponse) -> Talk:
        talk = Talk(line)
        self._talks.append(talk)
        for news in self._outside.pending if self._outside else ():
            await self._tell(talk, news.message)
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
                talk, asked = await asyncio.wait_for(self._queue.get(), HELD if self._roughly else STILL)
            except TimeoutError:
                await self._safely(self._settle)
                talk, asked = await self._queue.get()
            try:
                await self._answer(talk, asked)
            except Refused as error:
                await self._refuse(talk, asked, str(error))
            except Exception as error:  # one act that fails must not end the work of all that follow
                print(f"{asked.act} failed: {error!r}", file=sys.stderr)
                await self._refuse(talk, asked, f"that could not be done, and nothing was changed ({error!r})")

    async def _refuse(self, talk: Talk, asked: Asked, words: str) -> None:
        await self._tell(talk, telling.word("refused", words, n=asked.number))
        if not asked.goes_on and self._desk is not None:  # what was typed goes back to what holds
            await self._safely(lambda: self._show(talk, 0, "", FINE_POINTS))

    async def _safely(self, what: Callable[[], Awaitable[None]]) -> None:
        """Does what nobody asked for; if that fails, it says so and goes on."""
        try:
            await what()
        except Exception as error:
            print(f"not shown: {error!r}", file=sys.stderr)

    async def _answer(self, talk: Talk, asked: Asked) -> None:
        """Does what is asked, and shows it to all pages. Raises Refused."""
        match asked.act:
            case "open" | "begin" if self._desk is None:
                await self._run(lambda: self._open(asked))
                await self._tell_all(telling.word("opened", ""))
            case "answers" | "look" if self._desk is None:
                await self._tell_start(talk, asked)
            case "look":
                talk.page.look = Look.read(asked)
                await self._show(talk, asked.number, "", FINE_POINTS)
            case "ask to save":
                offers = await self._run(lambda: file_offers(self.desk))
                await self._tell(talk, packed({"kind": "offers", "n": asked.number, **offers}))
            case "save":
                await self._save(talk, asked)
            case "take up" | "let go" | "reread alone":
                outside = self.outside
                said = await self._run(lambda: outside.settle(asked.act))
                for news in outside.pending or (NO_NEWS,):  # no page goes on offering what is settled
                    await self._tell_all(news.message)
                await self._show_all(talk, asked, said)
            case _:
                await self._show_all(talk, asked, await self._run(lambda: do(self.desk, asked)))
                if self._queue.empty() and self._findings_take < AT_ONCE:
                    await self._tell_findings(whole=False)

    def _open(self, asked: Asked) -> None:
        """Opens a copy of a shipped scene, or a first room. Raises Refused."""
        path = copied(self._folder, asked) if asked.act == "open" else begun(self._folder, asked)
        try:
            desk = Desk.open(path, None)
            self._outside = Outside(desk)
        except (SceneError, OutputError) as error:
            raise Refused(str(error)) from None
        self._desk = desk

    async def _save(self, talk: Talk, asked: Asked) -> None:
        try:
            said = await self._run(lambda: save(self.desk, asked))
        except Refused as error:
            await self._tell(talk, telling.word("saved", str(error), done=False, n=asked.number))
            return
        await self._tell(talk, telling.word("saved", said, done=True, n=asked.number))
        await self._show_all(talk, asked, "")

    async def _settle(self) -> None:
        """Once all is still: the work on disk, the fine map, and every finding."""
        outside = self._outside
        if outside is None:
            return
        try:
            await self._run(outside.keep)
        except OutputError as error:
            await self._tell_all(News(f"Unsaved work is not being kept: {error}").message)
        if self._roughly:
            self._roughly = False
            for talk in list(self._talks):
                await self._show(talk, 0, "", FINE_POINTS)
        await self._tell_findings(whole=False)
        await self._tell_clear()
        if self._queue.empty():
            await self._tell_findings(whole=True)

    # --- telling

    async def _show_all(self, talk: Talk, asked: Asked, said: str) -> None:
        self._roughly = asked.goes_on
        points = ROUGH_POINTS if self._roughly else FINE_POINTS
        await self._show(talk, asked.number, said, points)
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

    async def _tell_start(self, talk: Talk, asked: Asked) -> None:
        said = asked.said.get("answers")
        document = await self._run(lambda: start_document(self._folder, said if isinstance(said, dict) else {}))
        await self._tell(talk, packed({"kind": "start", **document}))

    async def _tell_findings(self, *, whole: bool) -> None:
        for talk in list(self._talks):
            begun = time.monotonic()
            message = await self._run(partial(self._findings, talk.page, whole))
            if not whole:
                self._findings_take = time.monotonic() - begun
            if message is not None:
                await self._tell(talk, message)

    async def _tell_clear(self) -> None:
        """Tells each page where the hole of what it has chosen could go."""
        for talk in list(self._talks):
            if not self._queue.empty():
                return
            message = await self._run(partial(self._clear, talk.page))
            if message is not None:
                await self._tell(talk, message)

    def _findings(self, page: Page, whole: bool) -> bytes | None:
        return telling.findings_message(telling.shown(self.desk, page), page, whole=whole)

    def _clear(self, page: Page) -> bytes | None:
        return clear_message(telling.shown(self.desk, page), page)

    async def _tell_all(self, message: bytes) -> None:
        for talk in list(self._talks):
            await self._tell(talk, message)

    async def _tell(self, talk: Talk, message: bytes) -> None:
        try:
            await asyncio.wait_for(talk.line.send_bytes(message), PATIENCE)
        except (ConnectionError, TimeoutError):
            self.leave(talk)

    async def _run(self, what: Callable[[], T]) -> T:
        return await asyncio.get_running_loop().run_in_executor(self._worker, what)

    # --- the file on disk

    async def _watch(self) -> None:
        """Reads the file again whenever it has been changed by somebody else."""
        while self._outside is None:
            await asyncio.sleep(POLL)
        before = self._outside.seen()
        while True:
            await asyncio.sleep(2 * POLL)
            now = self._outside.seen()
            if now == before:
                continue
            await asyncio.sleep(POLL)
            if self._outside.seen() == now:  # else it is still being written
                await self._safely(self._reread)
                seen = self._outside.seen()  # by now perhaps of other files; what was written meanwhile is seen next
                before = {path: now.get(path, state) for path, state in seen.items()}

    async def _reread(self) -> None:
        news = await self._run(self.outside.reread)
        await self._tell_all(news.message)
        if not self.outside.in_trouble:
            for talk in list(self._talks):
                await self._show(talk, 0, "", FINE_POINTS)
            await self._tell_findings(whole=True)

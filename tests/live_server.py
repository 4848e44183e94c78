"""The live room as its user has it: the command in a process of its own, and a window of a browser on its page."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

ADDRESS = re.compile(r"http://127\.0\.0\.1:(\d+)/([\w-]+)/")
PATIENCE = 20
"""Seconds that a test waits for the page."""


@dataclass
class Served:
    """A server that runs: its address, its port, and its process."""

    address: str
    port: int
    process: subprocess.Popen[str]

    def kill(self) -> None:
        """Ends it as a crash would, with no time to tidy up."""
        self.process.kill()
        self.process.wait(20)

    def stop(self) -> int:
        """Ends it as Ctrl-C does, and gives its exit code."""
        self.process.send_signal(signal.SIGINT)
        return self.process.wait(20)


@contextmanager
def served(folder: Path, *arguments: str) -> Iterator[Served]:
    """`earshed view` in a folder, which also keeps what is unsaved."""
    line = [sys.executable, "-m", "earshed.viewer.cli", "view", "--no-browser", *arguments]
    environment = {**os.environ, "EARSHED_STATE": str(folder / "state")}
    process = subprocess.Popen(
        line, cwd=folder, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )
    try:
        assert process.stdout is not None
        first = process.stdout.readline()
        found = ADDRESS.search(first)
        assert found, first + process.stdout.read()
        yield Served(found[0], int(found[1]), process)
    finally:
        if process.poll() is None:
            process.kill()
        process.wait(20)
        if process.stdout:
            process.stdout.close()


@dataclass
class Window:
    """A page of the live room, what it asked for elsewhere, and what it complained of."""

    page: Any
    fetched: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def figures(self) -> Any:
        return self.page.evaluate("window.earshed.figures")

    def state(self) -> Any:
        return self.page.evaluate("(({parts, ...state}) => state)(window.earshed.state)")

    def ask(self, act: str, **what: Any) -> None:
        """Asks as a press of a button would, and waits for the answer."""
        number = self.page.evaluate("([act, what]) => window.earshed.link.ask(act, what)", [act, what])
        self.answered(number)

    def answered(self, number: int) -> None:
        self.until("number => Number(document.body.dataset.answered) >= number", arg=number)

    def until(self, truth: str, arg: Any = None) -> None:
        """Waits until something is true of the page; its policy lets playwright's own way of waiting not run."""
        end = time.monotonic() + PATIENCE
        while not self.page.evaluate(truth if arg is None else f"({truth})", arg):
            assert time.monotonic() < end, truth
            time.sleep(0.03)

    def pick(self, name: str) -> None:
        self.page.locator("#table").get_by_role("button", name=name, exact=True).click()
        self.until("name => window.earshed.state.chosen?.name === name", arg=name)

    def rest(self) -> None:
        """Takes back every step and shows the room as it was at first, for whoever has the page next."""
        if self.page.evaluate("document.querySelector('dialog[open]') !== null"):
            self.page.keyboard.press("Escape")
        self.page.evaluate("document.activeElement.blur(), window.earshed.before = false, window.earshed.pick(null)")
        while self.state()["undo"]:
            self.ask("undo")
        self.ask("scheme", scheme=None)
        self.page.evaluate("window.earshed.look(), window.earshed.room.goTo('corner')")
        self.until(
            "!window.earshed.state.before && window.earshed.state.chosen === null && !window.earshed.state.unsaved"
        )
        self.fetched.clear()
        self.complaints.clear()

    def spot(self, name: str) -> tuple[float, float]:
        """Where a thing is in the window, pixels."""
        x, y = self.page.evaluate(
            """name => {
              const {room} = window.earshed, point = room.points.find((one) => one.whole === name);
              const spot = new window.EarshedThree.Vector3(...point.at).project(room.stage.camera);
              const box = room.canvas.getBoundingClientRect();
              return [((spot.x + 1) / 2) * box.width + box.left, ((1 - spot.y) / 2) * box.height + box.top];
            }""",
            name,
        )
        return x, y


@contextmanager
def window(browser: Any, address: str, *, before: str = "", **context: Any) -> Iterator[Window]:
    """The page in a window of its own. `before` is a script that runs first; `context` goes to playwright."""
    held = browser.new_context(**{"viewport": {"width": 1200, "height": 800}, "reduced_motion": "reduce", **context})
    try:
        if before:
            held.add_init_script(before)
        page = held.new_page()
        found = Window(page)
        home = address.split("/", 3)[2]

        def note(request: Any) -> None:
            if home not in request.url and not request.url.startswith(("blob:", "data:")):
                found.fetched.append(request.url)

        page.on("request", note)
        page.on("pageerror", lambda error: found.complaints.append(str(error)))
        page.on("console", lambda line: line.type == "error" and found.complaints.append(line.text))
        page.goto(address)
        page.wait_for_selector("body[data-shown]")
        yield found
    finally:
        held.close()

"""A real browser for the tests: headless Chromium with no network, one for each worker of a session.

A test asks for `browser`, which conftest brings, and opens a file with `opened`, which counts what it fetches and what
it complains of.
"""

from __future__ import annotations

import io
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

CHROMIUM = os.environ.get("EARSHED_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
QUIET = [
    "--no-sandbox",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
WEBGL = ["--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
"""Drawing in three dimensions without a graphics card."""
RUNNING: list[Any] = []
MISSING = "no Chromium here to open pages in: apt-get install chromium, or name one in EARSHED_CHROMIUM"


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """A browser of playwright; the test is skipped where there is none.

    While it runs, playwright's event loop counts as running in this thread: asyncio.run would refuse beside it, and so
    would a second one, which is why a file that imports this fixture gets the one that runs.
    """
    if RUNNING:
        yield RUNNING[0]
        return
    if CHROMIUM is None:
        pytest.skip(MISSING)
    api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed: it opens pages in a browser")
    with api.sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=CHROMIUM, args=[*QUIET, *WEBGL])
        RUNNING.append(started)
        yield started
        RUNNING.clear()
        started.close()


@dataclass
class Opened:
    """A page that is open, what it fetched from anywhere but itself, and what it complained of."""

    page: Any
    fetched: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def pixels(self, what: str = "body") -> NDArray[np.int64]:
        """What is seen (rows, columns, 3) of the first element that `what` selects."""
        with Image.open(io.BytesIO(self.page.locator(what).first.screenshot())) as picture:
            return np.asarray(picture.convert("RGB"), dtype=np.int64)


@contextmanager
def opened(browser: Any, path: Path, *, before: str = "", **context: Any) -> Iterator[Opened]:
    """A file of this machine in a window of its own with the network off. `before` is a script that runs first;
    `context` goes to playwright: viewport, has_touch, color_scheme and the like."""
    window = browser.new_context(**{"viewport": {"width": 760, "height": 620}, "reduced_motion": "reduce", **context})
    try:
        window.set_offline(True)
        if before:
            window.add_init_script(before)
        page = window.new_page()
        found = Opened(page)
        address = path.resolve().as_uri()

        def note_request(request: Any) -> None:
            if request.url != address and not request.url.startswith(("blob:", "data:")):
                found.fetched.append(request.url)

        page.on("request", note_request)
        page.on("pageerror", lambda error: found.complaints.append(str(error)))
        page.on("dialog", lambda dialog: (found.complaints.append(dialog.message), dialog.dismiss()))
        page.on("console", lambda line: line.type in ("error", "warning") and found.complaints.append(line.text))
        page.goto(address)
        yield found
    finally:
        window.close()

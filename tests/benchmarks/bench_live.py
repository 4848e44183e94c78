"""The live room in a real browser: from the pointer's move to the figures, and to the pixels. Run by hand.

Against what was asked: 100 ms from input to updated figures and 250 ms to pixels, in the median, on two cores without a
graphics card. Also a room of 60 speakers and 40 seats.

    python tests/benchmarks/bench_live.py
"""

from __future__ import annotations

import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright

from earshed.model.scene_file.read import read_scene

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))
from browser import CHROMIUM, QUIET, WEBGL
from live_rooms import live_room, many_room
from live_server import Window, served, window

SCENES = Path(__file__).resolve().parent.parent.parent / "scenes"
STEPS = 40
FIGURES, PIXELS = 100.0, 250.0
"""Milliseconds that were asked for."""
WATCH = """
() => {
  const page = window.earshed, link = page.link, times = new Map();
  window.times = { figures: [], pixels: [] };
  const ask = link.ask.bind(link), show = page.show.bind(page), paint = page.room.stage.paint.bind(page.room.stage);
  let due = null;
  link.ask = (act, what) => {
    const number = ask(act, what);
    if (act === "drag") times.set(number, window.moved);
    return number;
  };
  page.show = async (message) => {
    await show(message);
    if (!times.has(message.n)) return;
    window.times.figures.push(performance.now() - times.get(message.n));
    due = times.get(message.n);
  };
  page.room.stage.paint = () => {
    paint();
    if (due === null) return;
    const gl = page.room.stage.renderer.getContext();
    gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4)); // waits until all is drawn
    window.times.pixels.push(performance.now() - due);
    due = null;
  };
  const step = link.step.bind(link);
  link.step = (act, what) => { if (link.out === null) window.moved = performance.now(); step(act, what); };
}
"""


def drag(found: Window, name: str) -> dict[str, list[float]]:
    """Drags a thing about, and gives how long figures and pixels took, milliseconds."""
    found.page.keyboard.press("2")
    found.pick(name)
    time.sleep(1.0)
    found.page.evaluate(WATCH)
    x, y = found.spot(name)
    found.page.mouse.move(x, y)
    found.page.mouse.down()
    for number in range(STEPS):
        count = len(found.page.evaluate("window.times.pixels"))
        found.page.mouse.move(x + 6 + number, y + 6 + number / 2)
        found.until("count => window.times.pixels.length > count", count)
    found.page.mouse.up()
    times: dict[str, list[float]] = found.page.evaluate("window.times")
    return times


def measure(browser: Any, path: Path, name: str, *arguments: str) -> None:
    with served(path.parent, path.name, *arguments) as running, window(browser, running.address) as found:
        times = drag(found, name)
    for what, asked in (("figures", FIGURES), ("pixels", PIXELS)):
        middle, most = statistics.median(times[what]), max(times[what])
        print(
            f"{path.stem:16} {what:8} median {middle:6.0f} ms  most {most:6.0f} ms  "
            f"{middle / asked:5.2f} of what was asked"
        )


def main() -> None:
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        folder = Path(name)
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=[*QUIET, *WEBGL])
        for scene, speaker in (("bonus-room", "upper rear right"), ("attic", ""), ("office", "")):
            shutil.copy(SCENES / f"{scene}.yaml", folder)
            measure(
                browser,
                folder / f"{scene}.yaml",
                speaker or first_overhead(folder / f"{scene}.yaml"),
                "--scheme",
                "proposed",
            )
        measure(browser, live_room(folder), "top left")
        measure(browser, many_room(folder), "speaker 1")


def first_overhead(path: Path) -> str:
    scene = read_scene(path, "proposed")
    return next(one.name for one in scene.judged if one.type.mount == "in-ceiling")


if __name__ == "__main__":
    main()

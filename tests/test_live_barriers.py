"""The live room before axe-core, at the sizes and in the themes that it is used in, and before html-validate."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.live_rooms import live_room
from tests.live_server import Window, served, window
from tests.node import modules
from tests.page_checks import faults

PAGE = Path(__file__).resolve().parent.parent / "viewer" / "live" / "page"
SIZES = {"desk": (1280, 800), "tablet": (820, 1180), "phone": (390, 844)}


@pytest.fixture(scope="module")
def live(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Window]:
    folder = tmp_path_factory.mktemp("barriers")
    live_room(folder)
    with served(folder, "loft.yaml") as running, window(browser, running.address, bypass_csp=True) as found:
        yield found


@pytest.fixture(scope="module")
def start(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Window]:
    with (
        served(tmp_path_factory.mktemp("start")) as running,
        window(browser, running.address, bypass_csp=True) as found,
    ):
        yield found


def barriers(found: Window) -> list[tuple[str, str, str]]:
    """What axe-core finds: how bad, which rule, where."""
    script = (modules("axe-core") / "axe-core" / "axe.min.js").read_text("utf-8")
    if not found.page.evaluate("'axe' in window"):
        found.page.add_script_tag(content=script)
    report = found.page.evaluate("axe.run()")
    assert len(report["passes"]) > 15
    return [(one["impact"], one["id"], one["nodes"][0]["html"][:200]) for one in report["violations"]]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_nothing_stands_in_anybodys_way(live: Window, size: str, theme: str) -> None:
    modules("axe-core")
    width, height = SIZES[size]
    live.rest()
    live.page.set_viewport_size({"width": width, "height": height})
    live.page.emulate_media(color_scheme=theme)
    assert barriers(live) == []
    live.pick("top left")
    assert barriers(live) == []
    assert live.page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    live.page.locator("#save").click()
    live.until("document.querySelector('dialog').open")
    assert barriers(live) == []


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_nor_where_one_begins(start: Window, theme: str) -> None:
    modules("axe-core")
    start.page.emulate_media(color_scheme=theme)
    start.page.get_by_label("Width").fill(f"wide in {theme}")
    start.page.get_by_label("Width").press("Tab")
    start.until("document.querySelector('.trouble') !== null")
    assert barriers(start) == []


def test_the_markup_is_sound() -> None:
    assert faults(PAGE / "live.html") == []

"""The live room before axe-core, at the sizes and in the themes that it is used in, and before html-validate."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.live_rooms import live_room
from tests.live_server import Served, Window, served, window
from tests.node import modules
from tests.page_checks import faults

PAGE = Path(__file__).resolve().parent.parent / "viewer" / "live" / "page"
SIZES = {"desk": (1280, 800), "tablet": (820, 1180), "phone": (390, 844)}


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("barriers")
    live_room(folder)
    with served(folder, "loft.yaml") as running:
        yield running


def barriers(found: Window) -> list[tuple[str, str, str]]:
    """What axe-core finds: how bad, which rule, where."""
    script = (modules("axe-core") / "axe-core" / "axe.min.js").read_text("utf-8")
    found.page.add_script_tag(content=script)
    report = found.page.evaluate("axe.run()")
    assert len(report["passes"]) > 15
    return [(one["impact"], one["id"], one["nodes"][0]["html"][:200]) for one in report["violations"]]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_nothing_stands_in_anybodys_way(browser: Any, server: Served, size: str, theme: str) -> None:
    modules("axe-core")
    width, height = SIZES[size]
    view = {"viewport": {"width": width, "height": height}, "color_scheme": theme, "bypass_csp": True}
    with window(browser, server.address, **view) as found:
        assert barriers(found) == []
        found.pick("top left")
        assert barriers(found) == []
        assert found.page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
        found.page.locator("#save").click()
        found.until("document.querySelector('dialog').open")
        assert barriers(found) == []


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_nor_where_one_begins(browser: Any, tmp_path: Path, theme: str) -> None:
    modules("axe-core")
    with served(tmp_path) as running, window(browser, running.address, color_scheme=theme, bypass_csp=True) as found:
        found.page.get_by_label("Width").fill("wide")
        found.page.get_by_label("Width").press("Tab")
        found.until("document.querySelector('.trouble') !== null")
        assert barriers(found) == []


def test_the_markup_is_sound() -> None:
    assert faults(PAGE / "live.html") == []

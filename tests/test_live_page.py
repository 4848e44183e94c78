"""The live room in a real browser: what one does with it, and what it then says and saves."""

from __future__ import annotations

import io
import json
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from earshed.viewer.commands.check import command as check
from tests.live_rooms import LIVE_ROOM, live_room
from tests.live_server import Served, Window, served, window


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    found = tmp_path_factory.mktemp("live")
    live_room(found)
    return found


@pytest.fixture(scope="module")
def server(folder: Path) -> Iterator[Served]:
    with served(folder, "loft.yaml") as running:
        yield running


@pytest.fixture(scope="module")
def open_window(browser: Any, server: Served) -> Iterator[Window]:
    with window(browser, server.address) as found:
        yield found


@pytest.fixture
def live(open_window: Window) -> Iterator[Window]:
    """The page as it was when it was opened; nothing that a test does to it is left for the next."""
    open_window.rest()
    yield open_window
    assert open_window.fetched == []
    assert open_window.complaints == []


@pytest.fixture
def own_folder(tmp_path: Path) -> Path:
    live_room(tmp_path)
    return tmp_path


@pytest.fixture
def own(browser: Any, own_folder: Path) -> Iterator[Window]:
    """A page whose program no other test has, for those that save, or change the file."""
    with served(own_folder, "loft.yaml") as running, window(browser, running.address) as found:
        yield found
        assert found.fetched == []
        assert found.complaints == []


def checked(folder: Path, name: str, *arguments: str) -> dict[str, Any]:
    """What `earshed check --json` says of a file."""
    done = CliRunner().invoke(check, [str(folder / name), *arguments, "--json"])
    assert done.exit_code in (0, 1), done.output
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def cells(figures: Any) -> dict[tuple[str, str], list[Any]]:
    """By seat and speaker what the page says."""
    return {
        (seat["name"], name): figures["cells"][row][column]
        for row, seat in enumerate(figures["seats"])
        for column, name in enumerate(figures["judged"])
    }


def same_as_check(figures: Any, document: dict[str, Any]) -> None:
    shown = cells(figures)
    assert len(shown) == len(document["pairs"])
    for pair in document["pairs"]:
        angle, verdict, obstacle, level, counts = shown[pair["seat"], pair["speaker"]]
        assert angle == pytest.approx(pair["off_axis_deg"], abs=0.0501)
        assert level == pytest.approx(pair["level_db"], abs=0.0501)
        assert ["covered", "fringe", "outside"][verdict] == pair["verdict"]
        assert (obstacle is None) == pair["visible"]
        assert counts == pair["counts"]


def test_what_it_tells_is_what_check_tells(live: Window, folder: Path) -> None:
    same_as_check(live.figures(), checked(folder, "loft.yaml"))
    live.ask("scheme", scheme="flush ones")
    live.until("window.earshed.state.scheme === 'flush ones'")
    same_as_check(live.figures(), checked(folder, "loft.yaml", "--scheme", "flush ones"))


def test_the_room_and_its_map_are_drawn(live: Window) -> None:
    live.page.keyboard.press("2")
    time.sleep(0.5)
    box = live.page.locator("#room canvas").bounding_box()
    shot = live.page.screenshot(clip=box)
    colors = {tuple(bytes.fromhex(color[1:])) for color in live.page.evaluate("window.earshed.map.key.colors")}
    pixels = pixels_of(shot).reshape(-1, 3)
    near = [np.abs(pixels - np.array(color)).max(axis=1).min() for color in colors]
    assert sum(one <= 40 for one in near) >= 4  # bands of the key, seen through a sheet that lets a little through
    assert live.page.locator(".names .name", has_text="top left").is_visible()


def test_a_drag_moves_a_speaker_along_its_slope_and_undo_brings_it_back(live: Window) -> None:
    live.page.keyboard.press("2")
    live.pick("top left")
    before = live.figures()
    drag(live, "top left", (40, 30))
    after = live.figures()
    old, new = place(before, "top left"), place(after, "top left")
    assert new[0] > old[0] + 0.1
    assert new[1] == pytest.approx(old[1] + (new[0] - old[0]) * 4 / 7, abs=2e-3)  # up 4 ft in 7, the slope
    assert cells(after) != cells(before)
    assert live.state()["undo"] == "move top left"
    live.page.get_by_role("button", name="Undo").click()
    live.until("window.earshed.state.unsaved === 0")
    assert live.figures() == before


def test_a_drag_by_finger(browser: Any, server: Served) -> None:
    with window(browser, server.address, has_touch=True, viewport={"width": 820, "height": 1180}) as found:
        found.pick("top left")
        found.page.evaluate("window.earshed.room.goTo('plan')")
        time.sleep(0.4)
        before = place(found.figures(), "top left")
        x, y = found.spot("top left")
        touch(found, [(x + 4 * step, y) for step in range(12)])
        found.until("window.earshed.state.unsaved === 1")
        found.until("!window.earshed.link.out")
        assert place(found.figures(), "top left")[0] > before[0] + 0.05
        assert found.complaints == []


def test_a_tape_measurement_is_typed(live: Window, folder: Path) -> None:
    live.pick("top left")
    box = live.page.get_by_label("from the left wall")
    box.fill("3' 6-1/2\"")
    box.press("Enter")
    live.until("window.earshed.state.unsaved === 1")
    assert place(live.figures(), "top left")[0] == pytest.approx((3 * 12 + 6.5) * 0.0254, abs=1e-4)
    box.fill("a bit more")
    box.press("Enter")
    live.until("document.querySelector('#said').textContent.includes('is not a length')")
    wait_for(lambda: live.page.get_by_label("from the left wall").input_value() == "3' 6-1/2\"")


def test_aim_turn_type_and_mirror(live: Window, folder: Path) -> None:
    live.pick("top left")
    live.page.get_by_role("button", name="Aim at the main seats").click()
    live.until("window.earshed.state.chosen.aim.words.startsWith('aimed at the main seats')")
    live.page.get_by_role("button", name="Mirror to top right").click()
    live.until("window.earshed.state.unsaved === 2")
    figures = cells(live.figures())
    left, right = figures["left seat", "top left"], figures["right seat", "top right"]
    assert left[0] == pytest.approx(right[0], abs=0.11)
    live.page.get_by_label("Tilt, degrees").fill("12.5")
    live.page.get_by_label("Tilt, degrees").press("Enter")
    live.until("Math.abs(window.earshed.state.chosen.aim.tilt - 12.5) < 0.01")
    live.page.get_by_label("Type").select_option("flush")
    live.until("window.earshed.state.chosen.type === 'flush'")
    assert live.state()["chosen"]["aim"]["limit"] is None


def test_what_is_saved_gives_the_same_figures(own: Window, own_folder: Path) -> None:
    live, folder = own, own_folder
    live.pick("top left")
    live.page.get_by_role("button", name="Aim at the main seats").click()
    live.until("window.earshed.state.unsaved === 1")
    live.ask("nudge", thing="side right", far="1'", right=1, up=1)
    live.ask("nudge", thing="left seat", far='6"', right=-1, up=1)
    live.page.get_by_role("button", name="Save (").click()
    live.page.locator("dialog").get_by_role("button", name="Save").click()
    live.until("document.querySelector('.told').textContent.startsWith('Saved as')")
    told = live.page.locator(".told").inner_text()
    name = told.split("Saved as ")[1].split(". The")[0]
    assert folder.joinpath("loft.yaml").read_text(encoding="utf-8") == LIVE_ROOM
    same_as_check(live.figures(), checked(folder, name))
    live.until("window.earshed.state.unsaved === 0")
    live.page.keyboard.press("Escape")
    live.ask("nudge", thing="top left", far="1'", right=1, up=1)
    live.ask("save", **{"as": "scheme", "file": "copy.yaml", "name": "moved in"})
    live.until("window.earshed.state.unsaved === 0")
    text = (folder / "copy.yaml").read_text(encoding="utf-8")
    assert text.startswith("# The client's loft. This comment stays.\n")
    assert (folder / "loft.yaml").read_text(encoding="utf-8") == LIVE_ROOM
    same_as_check(live.figures(), checked(folder, "copy.yaml", "--scheme", "moved in"))


def test_no_file_is_written_over(live: Window, folder: Path) -> None:
    live.ask("nudge", thing="top left", far="1'", right=1, up=1)
    for name in ("loft.yaml", "../up.yaml", "", "picture.png", "a/b.yaml"):
        live.ask("save", **{"as": "overlay", "file": name, "name": ""})
    assert sorted(path.name for path in folder.glob("*.*")) == ["loft.yaml"]
    assert (folder / "loft.yaml").read_text(encoding="utf-8") == LIVE_ROOM
    assert live.state()["unsaved"] == 1


def test_before_and_after_by_one_key(live: Window) -> None:
    first = cells(live.figures())
    live.ask("nudge", thing="top left", far="1'", right=1, up=1)
    after = cells(live.figures())
    live.page.locator("#room canvas").focus()
    live.page.keyboard.press("b")
    live.until("window.earshed.state.before")
    assert cells(live.figures()) == first
    live.page.keyboard.press("b")
    live.until("!window.earshed.state.before")
    assert cells(live.figures()) == after


def test_by_keys_alone(live: Window) -> None:
    live.page.locator("#table").get_by_role("button", name="top left").focus()
    live.page.keyboard.press("Enter")
    live.until("window.earshed.state.chosen?.name === 'top left'")
    before = place(live.figures(), "top left")
    live.page.keyboard.press("Alt+ArrowRight")
    live.until("window.earshed.state.unsaved === 1")
    assert place(live.figures(), "top left")[0] == pytest.approx(before[0] + 0.0254, abs=2e-4)
    live.page.keyboard.press("z")
    live.until("window.earshed.state.unsaved === 0")
    live.page.keyboard.press("y")
    live.until("window.earshed.state.unsaved === 1")
    live.page.keyboard.press("Escape")
    live.until("window.earshed.state.chosen === null")


def test_two_pages_show_one_scene(browser: Any, live: Window, server: Served) -> None:
    with window(browser, server.address) as other:
        live.ask("nudge", thing="top left", far="1'", right=1, up=0)
        other.until("window.earshed.state.unsaved === 1")
        assert other.figures() == live.figures()
        other.ask("undo")
        live.until("window.earshed.state.unsaved === 0")


def test_work_outlives_a_kill(browser: Any, own_folder: Path) -> None:
    folder = own_folder
    with served(folder, "loft.yaml") as running, window(browser, running.address) as found:
        found.ask("nudge", thing="top left", far="1'", right=1, up=0)
        figures = found.figures()
        wait_for(lambda: list((folder / "state").glob("*.json")))
        running.kill()
        found.until("document.querySelector('#news').textContent.includes('does not answer')")
    with (
        served(folder, "loft.yaml") as again,
        window(browser, again.address) as found,
        window(browser, again.address) as other,
    ):
        other.until("document.querySelector('#news').textContent.includes('never saved')")
        found.page.get_by_role("button", name="Take it up again").click()
        found.until("window.earshed.state.unsaved === 1")
        assert found.figures() == figures
        other.until("document.querySelector('#news').hidden")  # what is settled is offered on no page any more
    assert (folder / "loft.yaml").read_text(encoding="utf-8") == LIVE_ROOM


def test_the_file_changed_by_another_program(own: Window, own_folder: Path) -> None:
    live, folder = own, own_folder
    live.ask("nudge", thing="top left", far="1'", right=1, up=0)
    moved = place(live.figures(), "top left")
    (folder / "loft.yaml").write_text(LIVE_ROOM.replace("from_right: 4ft", "from_right: 5ft"), encoding="utf-8")
    live.until("document.querySelector('#news').textContent.includes('read again')")
    live.until("window.earshed.figures.speakers[1].at[0] < 2.95")
    assert place(live.figures(), "top left") == moved
    before = live.figures()
    (folder / "loft.yaml").write_text(LIVE_ROOM + "\nnonsense", encoding="utf-8")
    live.until("document.querySelector('#news').textContent.includes('cannot be used')")
    assert "loft.yaml" in live.page.locator("#news").inner_text()
    assert live.figures() == before
    assert live.state()["unsaved"] == 1


def test_without_a_scene_one_begins(browser: Any, tmp_path: Path) -> None:
    with served(tmp_path) as running, window(browser, running.address) as found:
        found.page.get_by_role("button", name="Basement with a duct soffit").click()
        found.until("window.earshed.state !== undefined")
        assert (tmp_path / "basement.yaml").exists()
        assert found.complaints == []


def pixels_of(shot: bytes) -> np.ndarray:
    with Image.open(io.BytesIO(shot)) as picture:
        return np.asarray(picture.convert("RGB"), dtype=np.int64)


def place(figures: Any, name: str) -> list[float]:
    """Where a thing is, in the page's axes."""
    return next(one["at"] for one in (*figures["speakers"], *figures["seats"]) if one["name"] == name)


def drag(found: Window, name: str, by: tuple[float, float]) -> None:
    time.sleep(0.4)
    x, y = found.spot(name)
    found.page.mouse.move(x, y)
    found.page.mouse.down()
    for step in range(1, 9):
        found.page.mouse.move(x + by[0] * step / 8, y + by[1] * step / 8)
    found.page.mouse.up()
    found.until("window.earshed.link.out === null && window.earshed.state.unsaved === 1")
    time.sleep(0.5)


def touch(found: Window, spots: list[tuple[float, float]]) -> None:
    """A finger put down at the first spot, drawn over the others, and lifted."""
    line = found.page.context.new_cdp_session(found.page)
    for number, (x, y) in enumerate(spots):
        kind = "touchStart" if number == 0 else "touchMove"
        line.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y}]})
        time.sleep(0.03)
    line.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def wait_for(what: Any) -> None:
    end = time.monotonic() + 20
    while not what():
        assert time.monotonic() < end
        time.sleep(0.05)

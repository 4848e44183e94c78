"""What somebody is at on the page is not taken from under the hand, and nothing is left over of what was shown."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from tests.live_rooms import LIVE_ROOM, live_room
from tests.live_server import Served, Window, served, window

NO_WEBGL = "HTMLCanvasElement.prototype.getContext = () => null;"
TURNED = "\u202e"
HELD = """(() => {
  const {stage, places} = window.earshed.room, shapes = new Set();
  stage.paint();
  stage.scene.traverse((one) => { if (one.geometry) shapes.add(one.geometry); });
  const top = stage.scene.children.filter((one) => one !== places).length;
  return [stage.renderer.info.memory.geometries, shapes.size, top];
})()"""
"""How many shapes are on the graphics card and in the scene, and what is at its top but where a hole can go."""


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("hands")
    live_room(folder)
    with served(folder, "loft.yaml") as running:
        yield running


@pytest.fixture(scope="module")
def open_window(browser: Any, server: Served) -> Iterator[Window]:
    with window(browser, server.address) as found:
        yield found


@pytest.fixture
def live(open_window: Window) -> Window:
    open_window.rest()
    return open_window


def focused(found: Window) -> str:
    return str(found.page.evaluate("document.activeElement.dataset.key ?? document.activeElement.tagName"))


def test_what_is_half_typed_stays(live: Window) -> None:
    live.pick("top left")
    box = live.page.get_by_label("from the left wall")
    box.fill("3' 7")
    live.ask("nudge", thing="top left", far="1'", right=0, up=1)  # of another page, say
    assert box.input_value() == "3' 7"
    box.press("Escape")
    assert box.input_value() == "4' 0\""
    live.until(
        'document.querySelector(\'[data-key="tape end"], [data-key$=front]\').value !== "6\' 8\\""'
    )  # and is told the rest
    box = live.page.get_by_label("from the left wall")
    box.fill("")
    box.press("Enter")
    assert box.input_value() == "4' 0\""


def test_from_where_it_is_taped_is_chosen_in_a_list(live: Window) -> None:
    live.pick("top left")
    live.page.get_by_label("Taped").select_option(label="from post")
    live.until("window.earshed.state.chosen.fields[0].words.includes('post')")
    assert live.page.locator("#said").inner_text() == ""


def test_a_press_that_ends_its_button_leaves_the_focus_on_no_other(live: Window) -> None:
    live.ask("nudge", thing="top left", far="1'", right=1, up=0)
    live.pick("top left")
    live.page.get_by_role("button", name="As it was opened").focus()
    live.page.keyboard.press("Enter")
    live.until("window.earshed.state.chosen.changed === false")
    assert focused(live) == "H2"
    live.page.keyboard.press("Enter")
    assert live.state()["undo"] == "take all changes from top left"


def test_a_figure_past_its_limits_goes_to_the_limit(live: Window) -> None:
    live.pick("top left")
    live.page.get_by_label("Tilt, degrees").fill("999")
    live.page.get_by_label("Tilt, degrees").press("Enter")
    live.until("Math.abs(window.earshed.state.chosen.aim.tilt - 20) < 0.01")


def test_before_can_be_looked_at_and_not_changed(live: Window) -> None:
    live.pick("top left")
    live.page.keyboard.press("b")
    live.until("window.earshed.state.before")
    assert live.page.evaluate("document.querySelector('#chosen').inert")
    live.page.keyboard.press("Alt+ArrowRight")
    live.ask("look", quantity="off-axis", band=3, chosen="top left", before=False)
    assert live.state()["unsaved"] == 0


def test_nothing_is_left_on_the_graphics_card(live: Window) -> None:
    live.pick("top left")
    live.page.keyboard.press("2")
    _, _, first = live.page.evaluate(HELD)
    for right in (1, -1, 1, -1):
        live.ask("nudge", thing="top left", far="1'", right=right, up=0)
        live.ask("plane", metres=1.0 + right / 10)  # with which the room comes anew
        on_card, in_scene, top = live.page.evaluate(HELD)
        assert on_card <= in_scene
        assert top == first


def test_a_line_that_breaks_is_joined_again(live: Window) -> None:
    live.ask("nudge", thing="top left", far="1'", right=1, up=0)
    figures = live.figures()
    live.page.evaluate("window.earshed.link.step('drag', {}), window.earshed.link.socket.close()")
    live.until("window.earshed.lost")
    live.until(
        "!window.earshed.lost && document.querySelector('#news').hidden && window.earshed.room.things.size === 7"
    )
    live.ask("nudge", thing="top left", far="1'", right=0, up=0)
    assert live.figures() == figures
    live.page.evaluate("window.earshed.link.step('turn', {thing: 'top left', tilt: 3, heading: null, rough: true})")
    live.until("window.earshed.link.out === null && window.earshed.state.undo === 'turn top left'")


def test_without_webgl_all_but_the_room_is_there(browser: Any, server: Served, live: Window) -> None:
    with window(browser, server.address, before=NO_WEBGL) as blind:
        assert blind.page.get_by_text("cannot draw in three dimensions").is_visible()
        assert all("WebGL" in line for line in blind.complaints)
        blind.complaints.clear()
        blind.pick("top left")
        for key in ("2", "n", "b", "b", "Alt+ArrowRight"):
            blind.page.keyboard.press(key)
        blind.until("window.earshed.state.unsaved === 1")
        assert blind.complaints == []


def test_a_picture_has_its_whole_key_and_words(browser: Any, server: Served, live: Window, tmp_path: Path) -> None:
    """In a narrow window too, where they take more lines; with twice the pixels of the page."""
    with window(browser, server.address, viewport={"width": 360, "height": 640}) as found:
        with found.page.expect_download() as begun:
            found.page.get_by_role("button", name="Picture").click()
        begun.value.save_as(tmp_path / "view.png")
        width, height, colors = found.page.evaluate(
            "(({clientWidth, clientHeight}, {key}) => [clientWidth, clientHeight, key.colors])"
            "(window.earshed.room.canvas, window.earshed.map)"
        )
        assert begun.value.suggested_filename == "loft-Corner.png"
        assert found.page.evaluate("window.earshed.room.canvas.width") == width
    with Image.open(tmp_path / "view.png") as picture:
        assert picture.width == 2 * width
        foot = picture.convert("RGB").crop((0, 2 * height, picture.width, picture.height))
        seen = {color for _, color in foot.getcolors(1 << 20)}
        edge = foot.crop((foot.width - 8, 8, foot.width, foot.height))
    assert {tuple(bytes.fromhex(color[1:])) for color in colors} <= seen
    assert edge.getextrema() == ((255, 255),) * 3  # nothing runs over the margin


def test_names_turn_nothing_and_fit(browser: Any, tmp_path: Path) -> None:
    text = LIVE_ROOM.replace("title: Loft", f'title: "{TURNED}tfoL {"x" * 150}"').replace(
        "flush ones", f'"{TURNED}hsulf"'
    )
    text = text.replace("top left", f'"{TURNED}tfel {"W" * 150}"').replace("bench", f'"{TURNED}hcneb"')
    (tmp_path / "loft.yaml").write_text(text, encoding="utf-8")
    with served(tmp_path, "loft.yaml") as running, window(browser, running.address) as found:
        found.page.locator("#table").get_by_role("button", name="WWW").click()
        found.until("window.earshed.state.chosen !== null")
        found.page.get_by_role("button", name="Aim at the main seats").click()
        found.until("window.earshed.state.unsaved === 1")
        found.page.locator("#save").click()
        found.until("document.querySelector('dialog').open")
        time.sleep(0.5)
        assert TURNED not in found.page.evaluate(
            'document.documentElement.outerHTML.replace(/(value|data-[a-z]+)="[^"]*"/g, \'\')'
        )
        assert TURNED not in found.page.title()
        assert found.page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
        assert found.page.evaluate(
            "[...document.querySelectorAll('.bar > *')].every((one) => one.scrollWidth <= one.parentNode.clientWidth)"
        )
        assert found.complaints == []


def test_where_a_hole_can_go_shows_where_it_hides_nothing(live: Window) -> None:
    """From the ceiling's view and in the plan; from the corner it would lie over the map."""
    live.pick("top left")
    for key, shows in (("3", "true"), ("1", "false"), ("2", "true")):
        live.page.keyboard.press(key)
        live.until(f"window.earshed.room.places?.visible === {shows}")
    live.page.get_by_role("button", name="Where it can go").click()
    live.until("window.earshed.room.places.visible === false")
    live.page.get_by_role("button", name="Where it can go").click()

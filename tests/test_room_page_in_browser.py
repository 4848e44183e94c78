"""The page of a room as it is used: opened from a folder in a real browser with no network, turned, asked, read out."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pytest

from earshed.model.scene_file.read import read_scene
from earshed.viewer import palette
from earshed.viewer.light import light_colors
from earshed.viewer.pages.room_page import room_page
from earshed.viewer.pages.room_view import RoomView
from earshed.viewer.wording import undirected
from tests.browser import Opened, opened
from tests.page_checks import barriers, faults
from tests.test_gltf import FLAT, GABLE, SCENES, scene_of
from tests.test_room_page import HOSTILE

READY = "figure.room-view.ready"
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True, "device_scale_factor": 2}


def page_of(folder: Path, text: str = GABLE, *, title: str = "Gable", first: Any = "cones") -> Path:
    scene = replace(scene_of(text), title=title)
    file = folder / "room.html"
    file.write_bytes(room_page(RoomView(scene, scene.judged, first=first, lamps=scene.judged), "2030-01-02"))
    return file


def settle(found: Opened) -> None:
    """Until the next two frames are drawn."""
    found.page.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")


def ready(found: Opened) -> Opened:
    found.page.wait_for_selector(READY, timeout=30_000)
    settle(found)
    return found


def differing(one: np.ndarray, other: np.ndarray) -> float:
    """Share of pixels that differ by more than 12 in any channel."""
    return float(np.mean(np.abs(one - other).max(axis=-1) > 12))


def color_of(found: Opened, across: float, down: float) -> np.ndarray:
    """The color in the middle of a few pixels of the view, in parts of its width and height."""
    pixels = found.pixels(".stage")
    row, column = int(down * pixels.shape[0]), int(across * pixels.shape[1])
    return np.median(pixels[row - 2 : row + 3, column - 2 : column + 3].reshape(-1, 3), axis=0)


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_every_shipped_room_opens_offline_and_turns(path: Path, browser: Any, tmp_path: Path) -> None:
    scene = read_scene(path, "proposed")
    file = tmp_path / "room.html"
    file.write_bytes(room_page(RoomView(scene, scene.judged), "2030-01-02"))
    with opened(browser, file) as found:
        first = ready(found).pixels(".stage")
        assert len(np.unique(first.reshape(-1, 3), axis=0)) > 300
        assert np.mean(np.abs(first - first[5, 5]).max(axis=-1) > 8) > 0.15
        found.page.focus(".live")
        found.page.keyboard.press("ArrowLeft")
        settle(found)
        assert differing(first, found.pixels(".stage")) > 0.02
        assert (found.fetched, found.complaints) == ([], [])


def test_every_button_and_every_key_changes_what_is_seen(browser: Any, tmp_path: Path) -> None:
    with opened(browser, page_of(tmp_path)) as found:
        before = ready(found).pixels(".stage")
        for button in found.page.query_selector_all("button:not([aria-pressed=true])"):
            button.click()
            settle(found)
            after = found.pixels(".stage")
            assert differing(before, after) > 0.005, button.text_content()
            before = after
        found.page.focus(".live")
        for key in (
            "ArrowLeft",
            "ArrowRight",
            "Shift+ArrowUp",
            "ArrowDown",
            "+",
            "-",
            "1",
            "2",
            "3",
            "4",
            "c",
            "m",
            "n",
        ):
            found.page.keyboard.press(key)
            settle(found)
            after = found.pixels(".stage")
            assert differing(before, after) > 0.001, key
            before = after
        assert found.complaints == []


def test_a_stop_looks_the_same_each_time_and_home_comes_back_to_it(browser: Any, tmp_path: Path) -> None:
    with opened(browser, page_of(tmp_path)) as found:
        ready(found)
        found.page.focus(".live")
        found.page.keyboard.press("1")
        settle(found)
        corner = found.pixels(".stage")
        for keys in (("2", "1"), ("4", "ArrowLeft", "1"), ("ArrowUp", "Home")):
            for key in keys:
                found.page.keyboard.press(key)
                settle(found)
            assert differing(corner, found.pixels(".stage")) < 0.002


def test_mouse_and_touch_turn_the_room(browser: Any, tmp_path: Path) -> None:
    with opened(browser, page_of(tmp_path)) as found:
        before = ready(found).pixels(".stage")
        box = found.page.locator(".live").bounding_box()
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        found.page.mouse.move(x, y)
        found.page.mouse.down()
        found.page.mouse.move(x + 90, y + 20, steps=4)
        found.page.mouse.up()
        settle(found)
        assert differing(before, found.pixels(".stage")) > 0.02
    with opened(browser, page_of(tmp_path), **PHONE) as found:
        before = ready(found).pixels(".stage")
        touch = found.page.context.new_cdp_session(found.page)
        for kind, at in (("touchStart", 150), ("touchMove", 180), ("touchMove", 220), ("touchEnd", None)):
            points = [] if at is None else [{"x": at, "y": 450}]
            touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
        settle(found)
        assert differing(before, found.pixels(".stage")) > 0.02


def test_the_map_has_the_colors_of_its_key(browser: Any, tmp_path: Path) -> None:
    """From above, under a flush speaker in the middle of the room: 0 to 10 degrees, laid over the floor so that eight
    parts of a hundred of it show through, whose color the light decides."""
    text = FLAT.replace("from_left: 1, from_front: 2", "from_left: 2, from_front: 2.5").replace(
        "cutout: 0.2, bezel: 0.24", "cutout: 0.1"
    )
    with opened(browser, page_of(tmp_path, text, first="map")) as found:
        ready(found)
        found.page.click("text=Plan")
        found.page.click("text=Names")
        settle(found)
        key = [int(palette.OFF_AXIS_COLORS[0][at : at + 2], 16) for at in (1, 3, 5)]
        shown = color_of(found, 0.5, 0.54)  # beside the grille
        assert np.all(np.abs(shown - (0.92 * np.array(key) + 0.08 * 190)) < 9)


def test_light_lies_in_the_place_of_the_map(browser: Any, tmp_path: Path) -> None:
    """From above, as full as on the axis beside a flush speaker over the middle of the room, and dark far from it;
    of both that lie on one plane one is seen, with its own key."""
    text = FLAT.replace("from_left: 1, from_front: 2", "from_left: 2, from_front: 2.5").replace(
        "cutout: 0.2, bezel: 0.24", "cutout: 0.1"
    )
    with opened(browser, page_of(tmp_path, text, first="light")) as found:
        ready(found)
        found.page.click("text=Plan")
        found.page.click("text=Names")
        settle(found)
        for light, at in ((1.0, (0.5, 0.54)), (0.0, (0.33, 0.2))):
            color, solid = np.split(light_colors(np.array(light)), [3])
            share = float(solid[0]) / 255
            assert np.all(np.abs(color_of(found, *at) - (share * color + (1 - share) * 190)) < 14)
        keys = {name: found.page.locator(f".key[data-only-with={name}]") for name in ("map", "light")}
        pressed = {name: found.page.locator(f"button[data-show={name}][aria-pressed=true]") for name in keys}
        for press, shown, hidden in (("m", "map", "light"), ("l", "light", "map")):
            found.page.focus(".live")
            found.page.keyboard.press(press)
            assert (pressed[shown].count(), pressed[hidden].count()) == (1, 0)
            assert keys[shown].is_visible()
            assert keys[hidden].is_hidden()


def test_from_above_front_is_up_and_right_is_right(browser: Any, tmp_path: Path) -> None:
    with opened(browser, page_of(tmp_path)) as found:
        ready(found)
        found.page.click("text=Plan")
        settle(found)
        spots = {
            name: found.page.locator(".name", has_text=name).bounding_box() for name in ("chair", "left", "screen")
        }
        assert spots["chair"]["x"] > spots["left"]["x"]
        assert spots["screen"]["y"] < spots["left"]["y"] < spots["chair"]["y"]


def test_names_keep_apart_and_follow_their_button(browser: Any, tmp_path: Path) -> None:
    path = next(path for path in SCENES if path.stem == "bonus-room")
    scene = read_scene(path, "proposed")
    file = tmp_path / "room.html"
    file.write_bytes(room_page(RoomView(scene, scene.judged), "2030-01-02"))
    for window in ({}, PHONE):
        with opened(browser, file, **window) as found:
            ready(found)
            boxes = [label.bounding_box() for label in found.page.locator(".name:visible").all()]
            assert len(boxes) > 6
            for number, one in enumerate(boxes):
                for other in boxes[:number]:
                    assert (
                        one["x"] + one["width"] <= other["x"]
                        or other["x"] + other["width"] <= one["x"]
                        or one["y"] + one["height"] <= other["y"]
                        or other["y"] + other["height"] <= one["y"]
                    )
            found.page.click("text=Names")
            assert found.page.locator(".name:visible").count() == 0


@pytest.mark.parametrize("title", HOSTILE[1:5], ids=range(1, 5))
def test_a_hostile_title_stays_text_and_within_the_page(title: str, browser: Any, tmp_path: Path) -> None:
    with opened(browser, page_of(tmp_path, title=title), **PHONE) as found:
        ready(found)
        page = found.page
        assert page.text_content("h1")[:190] == undirected(title)[:190].strip()
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
        assert (found.fetched, found.complaints) == ([], [])


def test_no_other_script_runs_on_the_page(browser: Any, tmp_path: Path) -> None:
    """Even one that got into the text of the page: the policy refuses it."""
    file = page_of(tmp_path)
    spoiled = file.read_text(encoding="utf-8").replace("</main>", "<script>window.got = 1</script></main>")
    file.write_text(spoiled, encoding="utf-8")
    with opened(browser, file) as found:
        ready(found)
        assert found.page.evaluate("window.got") is None
        assert any("Content Security Policy" in line for line in found.complaints)


def test_without_webgl_a_sentence_says_so(browser: Any, tmp_path: Path) -> None:
    no_webgl = "HTMLCanvasElement.prototype.getContext = () => null;"
    with opened(browser, page_of(tmp_path), before=no_webgl) as found:
        found.page.wait_for_selector("figure.flat")
        assert found.page.locator(".instead").is_visible()
        assert "no WebGL" in found.page.inner_text(".instead")
        assert found.page.locator(".live").is_hidden()
        assert "chair" in found.page.inner_text("figcaption")
    with opened(browser, page_of(tmp_path), java_script_enabled=False) as found:
        found.page.wait_for_selector(".instead", state="visible", timeout=8000)


def test_it_can_be_used_without_seeing_or_pointing(browser: Any, tmp_path: Path) -> None:
    """WAI-ARIA 1.2: the view has a role and a name and says its keys; toggles say whether they are on."""
    with opened(browser, page_of(tmp_path)) as found:
        page = ready(found).page
        canvas = page.get_by_role("application", name="The room in three dimensions: Gable")
        assert canvas.count() == 1
        assert page.locator(".keys").is_hidden()
        for _ in range(30):
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.tagName") == "CANVAS":
                break
        assert page.evaluate("document.activeElement.tagName") == "CANVAS"
        assert page.locator(".keys").is_visible()
        described = page.get_attribute(".live", "aria-describedby")
        assert "turn" in page.locator(f"#{described}").inner_text()
        page.keyboard.press("4")
        assert page.inner_text(".spoken") == "View: Plan"
        cones = page.get_by_role("button", name="Cones")
        assert cones.get_attribute("aria-pressed") == "true"
        page.keyboard.press("c")
        assert cones.get_attribute("aria-pressed") == "false"
        assert page.locator("[data-only-with=cones]").is_hidden()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("first", ["cones", "map"])
def test_axe_finds_nothing(first: str, scheme: str, browser: Any, tmp_path: Path) -> None:
    for window in ({}, PHONE):
        file = page_of(tmp_path, first=first)
        assert barriers(browser, file, when=READY, color_scheme=scheme, **window) == []


def test_the_validator_finds_nothing(tmp_path: Path) -> None:
    files = []
    for number, title in enumerate(["Gable", *HOSTILE]):
        folder = tmp_path / str(number)
        folder.mkdir()
        files.append(page_of(folder, title=title))
    assert faults(*files) == []


def test_it_prints_as_it_is_seen(browser: Any, tmp_path: Path) -> None:
    """On one page, in light colors whatever the screen's, from a wide window and from a phone alike."""
    for window in ({"color_scheme": "dark"}, PHONE):
        with opened(browser, page_of(tmp_path), **window) as found:
            ready(found)
            found.page.pdf(path=tmp_path / "room.pdf", format="Letter", print_background=True)
            document = pypdfium2.PdfDocument(tmp_path / "room.pdf")
            assert len(document) == 1
            words = document[0].get_textpage().get_text_bounded()
            assert "Gable" in words
            assert "chair" in words
            seen = np.asarray(document[0].render(scale=1).to_pil().convert("RGB"), dtype=np.int64)
            document.close()
            assert np.all(seen[-5:, :5] == 255)
            room = seen[90:420, 100:500]
            floor = np.abs(room - [227, 206, 176]).max(axis=-1) < 40
            assert 0.1 < floor.mean() < 0.8
            assert np.mean(room.min(axis=-1) > 240) > 0.1
            settle(found)
            assert found.page.locator(".live").bounding_box()["width"] == pytest.approx(
                found.page.locator(".stage").bounding_box()["width"]
            )


def test_it_follows_dark_and_light(browser: Any, tmp_path: Path) -> None:
    grounds = []
    for scheme in ("light", "dark"):
        with opened(browser, page_of(tmp_path), color_scheme=scheme) as found:
            grounds.append(ready(found).pixels(".stage")[4, 60].mean())
            assert found.complaints == []
    assert grounds[0] > 200
    assert grounds[1] < 60

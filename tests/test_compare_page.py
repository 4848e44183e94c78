"""The page of before and after, as a client opens it: whole in itself, safe, and with a line that can be dragged."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest
from PIL import Image, ImageDraw

from earshed.model.compare.maps import map_change
from earshed.viewer.cli import run
from earshed.viewer.compare import files, room_views
from earshed.viewer.compare.asked import Compared, Side, compared
from earshed.viewer.compare.plan_views import set_views, signal_views
from earshed.viewer.compare.views import Key, Swatch, ViewPair
from earshed.viewer.compare.words import areas_sentence
from earshed.viewer.gl import prepare_offscreen
from earshed.viewer.pages.compare_page import compare_page
from tests.browser import opened
from tests.compared_rooms import DEN, IDS, SCENES, held, read
from tests.page_checks import barriers, faults
from tests.page_tags import Tags
from tests.reports import none_here
from tests.scene_files import put

DATE = "2030-01-02"
HOSTILE = "</title><script>alert(1)</script>\"'<img src=x onerror=alert(2)>\u202e\u2067drow\u200f" + "W" * 10_000
PHONE = {"viewport": {"width": 360, "height": 780}, "has_touch": True, "is_mobile": True}
ROOM = (440, 370)


def room_view() -> ViewPair:
    """In place of a room in three dimensions: what was red is blue."""
    pictures = []
    for color in ("#b03020", "#2050b0"):
        picture = Image.new("RGB", ROOM, color)
        ImageDraw.Draw(picture).rectangle((0, 0, 40, 40), fill="white")
        pictures.append(picture)
    key = Key("speakers:", (Swatch("#2a7f8e", "upper front left"),))
    return ViewPair("corner", "The room", "Each cone is a speaker's.", "The room", (pictures[0], pictures[1]), key)


def page_of(found: Compared, rooms=None) -> bytes:
    change = found.change
    maps = map_change(change.before, change.after, change.signals)
    both, more = set_views(change, maps)
    plans = [(both, [more])]
    for signal in change.changed:
        if signal.in_both:
            view, changed = signal_views(change, maps, signal, f"speaker-{len(plans)}")
            plans.append((view, [changed]))
    return compare_page(found, [room_view()] if rooms is None else rooms, plans, DATE, areas_sentence(change, maps))


def den_page(*, title: str = "Den", name: str = "top", label: str = "as found") -> bytes:
    before = read(DEN)
    after = read(DEN.replace("from_left: 1.9", "from_left: 2.2"))
    before, after = (replace(scene, title=title) for scene in (before, after))
    speakers = [replace(one, name=name, channel=None) if one.name == "top" else one for one in before.speakers]
    before = replace(before, speakers=tuple(speakers))
    seats = tuple(replace(seat, name=name) if seat.name == "bench" else seat for seat in after.seats)
    after = replace(after, seats=seats)
    sides = [Side(Path("den.yaml"), scene, label, ()) for scene in (before, after)]
    return page_of(Compared(sides[0], sides[1], held(before, after)))


@pytest.fixture(scope="module")
def page(tmp_path_factory) -> Path:
    file = tmp_path_factory.mktemp("page") / "compare.html"
    file.write_bytes(den_page())
    return file


@pytest.fixture(scope="module")
def hostile(tmp_path_factory) -> Path:
    file = tmp_path_factory.mktemp("hostile") / "compare.html"
    file.write_bytes(den_page(title=HOSTILE, name=HOSTILE, label=HOSTILE))
    return file


# --- what it is made of


@pytest.mark.parametrize("path", SCENES, ids=IDS)
def test_every_shipped_scene_has_a_page_whole_in_itself(path):
    found = compared([path], None, None)
    text = page_of(found).decode("utf-8")
    assert len(text) < 3_000_000
    tags = Tags(text).found
    for tag, said in tags:
        assert tag not in ("base", "iframe", "object", "embed", "form")
        for key in ("src", "href"):
            assert (said.get(key) or "data:").startswith("data:"), (tag, key)
        assert not any(key.startswith("on") for key in said)
    assert [said["content"] for tag, said in tags if said.get("http-equiv") == "Content-Security-Policy"]
    assert sum(tag == "input" and said["type"] == "range" for tag, said in tags) >= 3
    assert "as found" in text
    assert "Every main seat is covered by every speaker." in text
    assert not re.search(r"url\(|@import|https?://", re.sub(r"data:image/webp;base64,[\w+/=]*", "", text))
    spreads = [[one.before, one.after] for one in found.change.evenness]
    told = [" → ".join(dict.fromkeys(f"{each:.1f} dB" for each in both)) for both in spreads]
    cells = re.findall(r"<td>([^<]*dB)</td>", text)
    assert sorted(cells) == sorted(told)


def test_every_picture_has_words_and_a_size():
    pictures = [said for tag, said in Tags(den_page().decode("utf-8")).found if tag == "img"]
    assert len(pictures) >= 5
    assert all(said["alt"] and said["width"] and said["height"] for said in pictures)


def test_written_twice_it_is_the_same():
    assert den_page() == den_page()


def test_what_a_client_reads_first_has_no_degrees(page):
    head = page.read_text("utf-8").split('aria-labelledby="figures"')[0]
    words = re.sub(r"<style>.*?</style>|<[^>]*>", " ", head, flags=re.DOTALL)
    keys = re.sub(r"\(by more than 30°\)|\(\d+ to \d+°\)", "", words)
    assert "°" not in keys


def test_the_command_writes_the_page_and_the_pictures(tmp_path, capsys, monkeypatch):
    prepare_offscreen()
    monkeypatch.setattr(room_views, "room_views", partial(room_views.room_views, size=(220, 185)))
    path = put(tmp_path, den=f"{DEN}schemes: {{wider: {{speakers: {{top: {{type: wide}}}}}}}}\n")
    line = ["compare", str(path), "--date", DATE, "--size", "400x300"]
    assert run([*line, "--out", str(tmp_path / "one" / "page.html")]) == 0
    assert run([*line, "--out", str(tmp_path / "all"), "--json"]) == 0
    document = json.loads(capsys.readouterr().out.split("page.html\n")[1])
    names = {path.name for path in (tmp_path / "all").iterdir()}
    assert {Path(file).name for file in document["files"]} == names
    assert {"compare.html", "corner.png", "seat.png", "ceiling.png", "set.png", "set-change.png"} < names
    one, other = (tmp_path / "one" / "page.html").read_bytes(), (tmp_path / "all" / "compare.html").read_bytes()
    assert one == other
    assert DATE.encode() in one
    assert run([*line, "--out", str(tmp_path / "all")]) == 2


def test_without_opengl_the_maps_come_out_and_it_says_why(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(files, "trying_gl", none_here)
    path = put(tmp_path, den=f"{DEN}schemes: {{wider: {{speakers: {{top: {{type: wide}}}}}}}}\n")
    assert run(["compare", str(path), "--out", str(tmp_path / "page.html")]) == 0
    text = (tmp_path / "page.html").read_text("utf-8")
    assert "Views of the room are left out: no OpenGL library." in text
    assert text.count('type="range"') == 2


def test_a_bare_room_before_has_its_page_too(tmp_path, monkeypatch):
    """With no speakers before: the room, and where the new ones reach; pictures that are alike stand alone."""
    prepare_offscreen()
    monkeypatch.setattr(room_views, "room_views", partial(room_views.room_views, size=(220, 185)))
    bare = DEN[: DEN.index("speakers:\n  -")]
    put(tmp_path, bare=bare, full=DEN.replace("top, type: flush", "top, type: wide"))
    out = tmp_path / "page.html"
    assert run(["compare", str(tmp_path / "bare.yaml"), str(tmp_path / "full.yaml"), "--out", str(out)]) == 0
    text = out.read_text("utf-8")
    assert "New: upper front left, wall." in text
    assert text.count('type="range"') == 3
    assert text.count("it looks the same") == 1  # from the stool, which has both behind it or overhead
    assert run(["compare", str(tmp_path / "full.yaml"), str(tmp_path / "full.yaml"), "--out", str(out), "--force"]) == 0
    text = out.read_text("utf-8")
    assert "Nothing changes" in text
    assert text.count("it looks the same") == 3


# --- in a browser


def share_of_before(found) -> float:
    """How much of the first pair's picture is still what was before, by its red, at a third of its height."""
    pixels = found.pixels(".pair")
    row = pixels[2 * pixels.shape[0] // 3, 4:-4]
    red = (row[:, 0] > 120) & (row[:, 2] < 100)
    return float(red.mean())


def first_pair(found) -> dict[str, float]:
    """Where the first pair is, scrolled to."""
    pair = found.page.locator(".pair").first
    pair.scroll_into_view_if_needed()
    return pair.bounding_box()


def test_it_opens_with_no_network_and_asks_for_nothing(browser, page):
    with opened(browser, page) as found:
        assert found.fetched == found.complaints == []
        assert found.page.title() == "Den: before and after"
        loaded = "Array.from(document.images).every(image => image.complete && image.naturalWidth > 0)"
        assert found.page.evaluate(loaded)
        assert share_of_before(found) == pytest.approx(0.5, abs=0.03)


def test_the_line_follows_a_mouse(browser, page):
    with opened(browser, page) as found:
        box = first_pair(found)
        y = box["y"] + box["height"] / 2
        found.page.mouse.move(box["x"] + box["width"] / 2, y)
        found.page.mouse.down()
        for part in (0.6, 0.7, 0.8):
            found.page.mouse.move(box["x"] + part * box["width"], y)
        found.page.mouse.up()
        assert share_of_before(found) == pytest.approx(0.8, abs=0.03)
        found.page.mouse.click(box["x"] + 0.25 * box["width"], y)
        assert share_of_before(found) == pytest.approx(0.25, abs=0.03)


def test_the_line_follows_a_finger(browser, page):
    with opened(browser, page, **PHONE) as found:
        box = first_pair(found)
        y = box["y"] + box["height"] / 2
        found.page.touchscreen.tap(box["x"] + 0.3 * box["width"], y)
        assert share_of_before(found) == pytest.approx(0.3, abs=0.04)
        hand = found.page.context.new_cdp_session(found.page)
        for kind, part in (("touchStart", 0.3), ("touchMove", 0.5), ("touchMove", 0.7), ("touchMove", 0.85)):
            points = [{"x": box["x"] + part * box["width"], "y": y}]
            hand.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
        hand.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        assert share_of_before(found) == pytest.approx(0.85, abs=0.04)


def test_the_line_follows_keys_and_says_where_it_is(browser, page):
    with opened(browser, page) as found:
        slider = found.page.locator("input[type=range]").first
        found.page.keyboard.press("Tab")
        assert slider.evaluate("one => one === document.activeElement")
        for key, value in (("ArrowRight", 51), ("End", 100), ("ArrowLeft", 99), ("Home", 0)):
            found.page.keyboard.press(key)
            assert slider.input_value() == str(value)
        assert slider.get_attribute("aria-valuetext") == "before 0 %, after 100 %"
        assert share_of_before(found) == 0.0


@pytest.mark.parametrize("width", [320, 360, 768, 1280])
def test_nothing_is_wider_than_the_window(browser, page, hostile, width):
    for file in (page, hostile):
        with opened(browser, file, viewport={"width": width, "height": 800}) as found:
            assert found.page.evaluate("document.documentElement.scrollWidth") <= width


def test_hostile_names_are_words_alone(browser, hostile):
    """Nothing of them runs, nothing is fetched for them, and what stands beside them keeps its direction."""
    with opened(browser, hostile, viewport={"width": 360, "height": 800}) as found:
        assert found.fetched == found.complaints == []
        assert found.page.locator("script").count() == 1
        assert found.page.locator("h1").inner_text().startswith("</title><script>alert(1)</script>")
        assert found.page.evaluate("document.documentElement.scrollHeight") < 30_000


def test_without_scripts_both_stand_side_by_side(browser, page):
    with opened(browser, page, java_script_enabled=False) as found:
        before, after = (found.page.locator(f".shot.{side} img").first.bounding_box() for side in ("before", "after"))
        assert before["x"] + before["width"] <= after["x"]
        assert before["y"] == pytest.approx(after["y"])


def test_on_paper_both_stand_side_by_side(browser, page):
    with opened(browser, page, viewport={"width": 800, "height": 1000}) as found:
        found.page.emulate_media(media="print")
        before, after = (found.page.locator(f".shot.{side} img").first.bounding_box() for side in ("before", "after"))
        assert before["x"] + before["width"] <= after["x"]
        assert not found.page.locator("input[type=range]").first.is_visible()


# --- before those who check pages for a living


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1280])
def test_axe_finds_nothing_serious(browser, page, scheme, width):
    assert not barriers(browser, page, viewport={"width": width, "height": 900}, color_scheme=scheme)


def test_the_validator_finds_nothing(page, hostile, tmp_path):
    wrong = tmp_path / "wrong.html"
    wrong.write_text(page.read_text("utf-8").replace("</main>", "</div>"), "utf-8")
    assert faults(page, hostile) == []
    assert faults(wrong)


def test_names_turn_the_direction_of_nothing_beside_them(tmp_path):
    """Signs that turn text (Unicode UAX 9) are in no word of a page, whatever names and titles hold."""
    named = DEN.replace("name: stool", 'name: "\u202estool\u2067 \u200fx"')
    before, after = read(named), read(named.replace("1.9", "3"))
    sides = [Side(Path("den.yaml"), scene, "\u202ea scheme", ()) for scene in (before, after)]
    text = page_of(Compared(*sides, held(before, after))).decode("utf-8")
    assert "stool x" in text
    assert not set(text) & set("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")

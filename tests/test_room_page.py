"""The page of a room, as text: whole in itself, safe with any title, and closed to anything but its own scripts."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.scene import Scene
from earshed.viewer.gltf.room_file import Contents, room_glb
from earshed.viewer.pages.assets import SCRIPTS, assets
from earshed.viewer.pages.room_page import room_page
from earshed.viewer.pages.room_view import RoomView, room_figure
from earshed.viewer.wording import undirected
from tests.test_gltf import GABLE, scene_of

PAGES = Path(__file__).resolve().parent.parent / "viewer" / "pages"
HOSTILE = [
    "<script>alert(1)</script>",
    "</title></script><img src=x onerror=alert(1)>",
    "\"quoted\" & 'quoted' --> {{ 7 * 7 }}",
    "\u202eright to left\u200f",
    "W" * 10_000,
    "&lt;b&gt; \\u003c ]]> <!--",
]


class Reader(HTMLParser):
    """Every element with its attributes, and the text within it."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.text: dict[str, list[str]] = {}
        self._within: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        self._within.append(tag)
        if tag in ("script", "h1", "title"):
            self.text.setdefault(tag, []).append("")

    def handle_endtag(self, tag: str) -> None:
        while self._within and self._within.pop() != tag:
            pass

    def handle_data(self, data: str) -> None:
        for tag in ("script", "h1", "title"):
            if tag in self._within:
                self.text[tag][-1] += data

    def of(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for name, attributes in self.elements if name == tag]


def page_of(scene: Scene, **asked: object) -> Reader:
    reader = Reader()
    reader.feed(room_page(RoomView(scene, scene.judged, **asked), "2030-01-02").decode("utf-8"))
    return reader


def named(title: str, seat: str = "chair") -> Scene:
    text = GABLE.replace("title: Gable", f"title: {json.dumps(title, ensure_ascii=False)}")
    return scene_of(text.replace("name: chair", f"name: {json.dumps(seat, ensure_ascii=False)}"))


PLAIN = page_of(scene_of(GABLE))
BARE = scene_of("\n".join(GABLE.splitlines()[:5]))
BARE_TAGS = [tag for tag, _ in page_of(BARE).elements]


@pytest.mark.parametrize("title", HOSTILE, ids=range(len(HOSTILE)))
def test_a_title_is_shown_and_does_nothing(title: str) -> None:
    """The same elements with the same attributes as on a page with a plain title, and the title as text."""
    reader = page_of(named(title, seat=title[:60]))
    shown = undirected(title if len(title) <= 200 else title[:197] + "...")
    assert reader.text["title"] == [shown]
    assert reader.text["h1"] == [shown]
    assert [tag for tag, _ in reader.elements] == [tag for tag, _ in PLAIN.elements]
    assert [sorted(kept) for _, kept in reader.elements] == [sorted(kept) for _, kept in PLAIN.elements]
    facts = json.loads(reader.text["script"][0])
    assert title[:25] in {label["name"][:25] for label in facts["labels"]}


@settings(max_examples=15)
@given(st.text(st.characters(min_codepoint=32, exclude_categories=["Cs", "Cc"]), min_size=1).filter(str.strip))
def test_any_title_leaves_the_page_as_it_is(title: str) -> None:
    scene = replace(BARE, title=title)
    reader = Reader()
    reader.feed(room_page(RoomView(scene, ()), "2030-01-02").decode("utf-8"))
    assert [tag for tag, _ in reader.elements] == BARE_TAGS


def test_the_page_asks_for_nothing() -> None:
    for tag, kept in PLAIN.elements:
        assert "src" not in kept, tag
        assert kept.get("href", "data:,") == "data:,"
    for name in ("page.css", "room_view.css"):
        assert not re.search(r"url\(|@import", (PAGES / name).read_text(encoding="utf-8"))
    for name in ("names.js", "stage.js", "room_view.js"):
        assert not re.search(r"\bfetch\(|XMLHttpRequest|import\(", (PAGES / name).read_text(encoding="utf-8"))


def test_the_policy_allows_these_scripts_and_no_others() -> None:
    """W3C Content Security Policy Level 3: a script runs where the hash of its text is listed."""
    (policy,) = (kept["content"] for kept in PLAIN.of("meta") if kept.get("http-equiv") == "Content-Security-Policy")
    assert policy is not None
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    assert rules["default-src"] == "'none'"
    programs = [text for kept, text in zip(PLAIN.of("script"), PLAIN.text["script"], strict=True) if "type" not in kept]
    assert len(programs) == len(SCRIPTS)
    hashes = [base64.b64encode(hashlib.sha256(text.encode()).digest()).decode() for text in programs]
    assert rules["script-src"].split() == [f"'sha256-{digest}'" for digest in hashes]
    assert not any(name.startswith("on") for _, kept in PLAIN.elements for name in kept)


def test_no_script_can_end_early() -> None:
    """HTML Standard, 4.12.1.3: what may not stand in a script element."""
    for name in SCRIPTS:
        assert not re.search(r"<!--|<script|</script", (PAGES / name).read_text(encoding="utf-8"), re.IGNORECASE)


def test_the_model_on_the_page_is_the_file() -> None:
    scene = scene_of(GABLE)
    (model,) = (
        text
        for kept, text in zip(PLAIN.of("script"), PLAIN.text["script"], strict=True)
        if kept.get("class") == "room-model"
    )
    assert base64.b64decode(model) == room_glb(Contents(scene, cones=scene.judged, own_maps=scene.judged))


def test_the_page_is_the_same_each_time() -> None:
    scene = scene_of(GABLE)
    pages = {room_page(RoomView(scene, scene.judged), "2030-01-02") for _ in range(2)}
    assert len(pages) == 1


def test_rooms_on_one_page_are_told_apart() -> None:
    """What a report does: the scripts once, a figure for each room, and no id twice."""
    scene = scene_of(GABLE)
    reader = Reader()
    for number in (1, 2):
        reader.feed(room_figure(RoomView(scene, scene.judged), number))
    ids = [kept["id"] for _, kept in reader.elements if "id" in kept]
    assert len(ids) == len(set(ids)) == 4
    assert {kept["aria-describedby"] for kept in reader.of("canvas") if "tabindex" in kept} <= set(ids)
    assert len(assets().scripts) == len(SCRIPTS)


@pytest.mark.parametrize(("view", "start"), [("corner", "corner"), ("left", "left"), ("chair", "seat chair")])
def test_one_begins_where_one_asked_to(view: str, start: str) -> None:
    facts = json.loads(page_of(scene_of(GABLE), view=view).text["script"][0])
    assert facts["start"] == start
    assert start in [stop["id"] for stop in facts["stops"]]
    assert {"corner", "seat chair", "ceiling", "plan"} <= {stop["id"] for stop in facts["stops"]}


def test_a_seat_named_like_a_view_is_not_taken_for_it() -> None:
    facts = json.loads(page_of(named("Gable", seat="right"), view="right").text["script"][0])
    stops = {stop["id"]: stop for stop in facts["stops"]}
    assert stops["right"]["kind"] == "outside"
    assert stops["seat right"]["eye"] == [3, 1.1, 4]
    assert facts["start"] == "right"


def test_a_room_without_speakers_or_seats_has_a_page() -> None:
    reader = page_of(BARE)
    shown = {kept.get("data-show") for kept in reader.of("button")}
    assert "names" in shown
    assert not {"cones", "map"} & shown

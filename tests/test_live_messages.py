"""What goes to and fro between the live room and its page: nothing is lost, and only what is of the form gets in."""

from __future__ import annotations

import json
import struct
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.viewer.live.acts import ACTS, do
from earshed.viewer.live.asked import Asked, Look, Refused
from earshed.viewer.live.desk import Desk
from earshed.viewer.live.packet import packed
from earshed.viewer.live.telling import Page, findings_message, room_message, state_message
from tests.live_rooms import live_room

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)
WORDS = ("thing", "origin", "way", "far", "right", "up", "key", "text", "at", "seat", "tilt", "heading", "type",
         "scheme", "gesture", "snap", "quantity", "speaker", "band", "chosen", "before")  # fmt: skip


def unpacked(message: bytes) -> tuple[dict, list[bytes]]:
    """A packet as the page takes it apart."""
    (length,) = struct.unpack("<I", message[:4])
    document, at, parts = json.loads(message[4 : 4 + length]), 4 + length, []
    for size in document["sizes"]:
        assert at % 4 == 0
        parts.append(message[at : at + size])
        at += size + -size % 4
    assert at == len(message)
    return document, parts


@given(
    st.dictionaries(st.text(max_size=9).filter(lambda key: key != "sizes"), st.text(), max_size=5),
    st.lists(st.binary(max_size=30), max_size=5),
)
def test_a_packet_comes_out_as_it_went_in(document: dict, parts: list[bytes]) -> None:
    found, bodies = unpacked(packed(document, parts))
    assert {key: value for key, value in found.items() if key != "sizes"} == document
    assert bodies == parts


def test_no_number_goes_out_that_is_none() -> None:
    with pytest.raises(ValueError, match="JSON"):
        packed({"angle": float("nan")})


@given(JSON)
def test_whatever_comes_in_is_a_message_or_refused(said: object) -> None:
    with suppress(Refused):
        assert isinstance(Asked.read(said).act, str)


@given(st.sampled_from([*ACTS, "nothing"]), st.dictionaries(st.sampled_from(WORDS), JSON, max_size=6))
def test_no_message_breaks_the_desk(desk: Desk, act: str, said: dict) -> None:
    """Whatever is said of an act is done, or refused in words; the scene is one that can be read all the while."""
    before = desk.changes
    done = False
    with suppress(Refused):
        do(desk, Asked.read({**said, "act": act}))
        done = True
    assert done or desk.changes == before
    assert desk.answer.scene.title == "Loft"


@given(st.dictionaries(st.sampled_from(WORDS), JSON, max_size=8))
def test_no_look_breaks_the_page(said: dict) -> None:
    with suppress(Refused):
        look = Look.read(Asked.read({**said, "act": "look"}))
        assert 0 <= look.choice.band < 8


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Desk:
    return Desk.open(live_room(tmp_path_factory.mktemp("messages")), None)


def test_an_unknown_thing_and_an_unknown_act_are_named(tmp_path: Path) -> None:
    desk = Desk.open(live_room(tmp_path), None)
    with pytest.raises(Refused, match="no act called fly"):
        do(desk, Asked.read({"act": "fly"}))
    with pytest.raises(Refused, match="no speaker or seat called top middle"):
        do(desk, Asked.read({"act": "nudge", "thing": "top middle", "far": '1"', "right": 1, "up": 0}))


def test_what_a_page_has_been_told_it_is_not_told_again(tmp_path: Path) -> None:
    desk, page = Desk.open(live_room(tmp_path), None), Page()
    assert room_message(desk, page) is not None
    assert "map" in unpacked(state_message(desk, page))[0]
    assert findings_message(desk.answer, page, whole=True) is not None
    page.look = Look(chosen="top left")
    document, _ = unpacked(state_message(desk, page))
    assert "map" not in document
    assert "opened" not in document
    assert findings_message(desk.answer, page, whole=True) is None
    do(desk, Asked.read({"act": "nudge", "thing": "top left", "far": "1'", "right": 1, "up": 0}))
    document, parts = unpacked(state_message(desk, page))
    assert len(parts[document["map"]["part"]]) == document["map"]["rows"] * document["map"]["columns"] * 4

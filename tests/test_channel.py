"""Channels: labels of Rec. ITU-R BS.2051-3 (05/2022) and plain words."""

from __future__ import annotations

import pytest

from earshed.model.channel import CHANNELS, parse_channel

# Every label of BS.2051-3 Tables 3 to 12 (systems A to J), as read off the tables one by one.
TABLES = {
    "A": "M+030 M-030",
    "B": "M+030 M-030 M+000 LFE1 M+110 M-110",
    "C": "M+030 M-030 M+000 LFE1 M+110 M-110 U+030 U-030",
    "D": "M+030 M-030 M+000 LFE1 M+110 M-110 U+030 U-030 U+110 U-110",
    "E": "M+030 M-030 M+000 LFE1 M+110 M-110 U+030 U-030 U+110 U-110 B+000",
    "F": "M+000 M+030 M-030 U+045 U-045 M+090 M-090 M+135 M-135 UH+180 LFE1 LFE2",
    "G": "M+030 M-030 M+000 LFE1 M+090 M-090 M+135 M-135 U+045 U-045 U+135 U-135 M+SC M-SC",
    "H": "M+060 M-060 M+000 LFE1 M+135 M-135 M+030 M-030 M+180 LFE2 M+090 M-090 U+045 U-045 U+000 T+000 U+135 U-135 "
    "U+090 U-090 U+180 B+000 B+045 B-045",
    "I": "M+030 M-030 M+000 LFE1 M+090 M-090 M+135 M-135",
    "J": "M+030 M-030 M+000 LFE1 M+090 M-090 M+135 M-135 U+045 U-045 U+135 U-135",
}
LABELS = sorted({label for row in TABLES.values() for label in row.split()})
LAYERS = ["B", "M", "U", "UH", "T"]


def test_the_channels_are_those_of_the_tables():
    assert sorted(channel.label for channel in CHANNELS) == LABELS


@pytest.mark.parametrize("channel", CHANNELS, ids=str)
def test_label_and_words_name_each_other(channel):
    assert parse_channel(channel.label) == channel
    assert parse_channel(channel.words) == channel
    assert parse_channel(f"  {channel.words.upper()} ".replace(" ", "  ")) == channel
    assert parse_channel(channel.label.lower()) == channel
    assert str(channel) == f"{channel.words} ({channel.label})"


def test_no_two_channels_share_their_words():
    assert len({channel.words for channel in CHANNELS}) == len(CHANNELS)


@pytest.mark.parametrize("channel", CHANNELS, ids=str)
def test_plus_is_left(channel):
    """BS.2051-3 section 3: azimuth is positive to the left when facing front."""
    azimuth = channel.azimuth_deg
    if channel.label.startswith("LFE") or channel.label.endswith("SC"):
        assert azimuth is None
        return
    assert azimuth == int(channel.label[-4:])
    sides = {word for word in ("left", "right") if word in channel.words.split()}
    expected = set() if azimuth in (0, 180) else {"left" if azimuth > 0 else "right"}
    assert sides == expected


def test_screen_edges_follow_the_same_sign():
    assert parse_channel("M+SC").words == "screen edge left"
    assert parse_channel("M-SC").words == "screen edge right"


@pytest.mark.parametrize("label", [label for label in LABELS if "-" in label])
def test_a_pair_differs_in_its_side_alone(label):
    right, left = parse_channel(label), parse_channel(label.replace("-", "+"))
    assert right.words == left.words.replace("left", "right") != left.words


ANY_LABEL = [f"{layer}{sign}{azimuth:03d}" for layer in LAYERS for sign in "+-" for azimuth in range(1, 180)]


@pytest.mark.parametrize("layer", LAYERS)
def test_a_label_at_any_azimuth_is_read(layer):
    for label in (label for label in ANY_LABEL if label.startswith((f"{layer}+", f"{layer}-"))):
        channel = parse_channel(label)
        assert (channel.label, channel.azimuth_deg) == (label, int(label[-4:]))
        assert ("left" if "+" in label else "right") in channel.words.split()


def test_no_two_labels_at_any_azimuth_share_their_words():
    """What is printed for one channel must not name another."""
    named: dict[str, list[str]] = {}
    for label in ANY_LABEL:
        named.setdefault(parse_channel(label).words, []).append(label)
    assert {words: labels for words, labels in named.items() if len(labels) > 1} == {}


@pytest.mark.parametrize("label", ["U+050", "M-075", "B+020", "UH+100"])
def test_words_of_a_label_at_another_azimuth_read_back(label):
    channel = parse_channel(label)
    assert parse_channel(channel.words) == channel


@pytest.mark.parametrize(
    "text",
    ["", "U", "U45", "U+45", "U+0450", "X+030", "U+181", "M+999", "upper", "upper front", "LFE3"],
)
def test_what_is_no_channel_says_what_would_be(text):
    with pytest.raises(ValueError, match=r"is not a channel[;.].*upper front left"):
        parse_channel(text)


@pytest.mark.parametrize(
    ("text", "label"),
    [("left front upper", "U+045"), ("top front left", "U+045"), ("left", "M+030"), ("center", "M+000"),
     ("left surround", "M+110"), ("back right", "M-135"), ("subwoofer", "LFE1")],
)  # fmt: skip
def test_words_come_in_any_order_and_plain_ones_are_enough(text, label):
    assert parse_channel(text).label == label

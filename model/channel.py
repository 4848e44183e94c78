"""Channels: what signal a speaker carries, in plain words and as the label of Rec. ITU-R BS.2051-3 (05/2022).

A label is the layer and the nominal azimuth, positive to the LEFT (section 3 of the Recommendation). The plain
words are our own.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches

_LAYERS = {"B": "lower", "M": "", "U": "upper", "UH": "upper high", "T": "overhead"}
_AZIMUTHS = {
    0: "front center", 30: "front left", 45: "front left", 60: "wide left", 90: "side left", 110: "surround left",
    135: "rear left", 180: "rear center",
}  # fmt: skip
_SPECIAL = {
    "T+000": "overhead center",
    "U+030": "upper near front left",
    "U-030": "upper near front right",
    "M+SC": "screen edge left",
    "M-SC": "screen edge right",
    "LFE1": "low-frequency effects",
    "LFE2": "low-frequency effects two",
}
_ANGLE_WORDS = re.compile(r"(lower|upper|upper high|overhead|) ?(\d{1,3}) degrees (left|right)")
_LABEL = re.compile(r"(B|M|UH|U|T)([+-])(\d{3})")
_OTHER_SIDE = str.maketrans("+-", "-+")

# Tables 1 and 3 to 12: every label that systems A to J use.
_LABELS = (
    "M+000 M+030 M-030 M+060 M-060 M+090 M-090 M+110 M-110 M+135 M-135 M+180 M+SC M-SC "
    "U+000 U+030 U-030 U+045 U-045 U+090 U-090 U+110 U-110 U+135 U-135 U+180 UH+180 T+000 "
    "B+000 B+045 B-045 LFE1 LFE2"
)


@dataclass(frozen=True)
class Channel:
    """One signal: its BS.2051 label and its plain words."""

    label: str
    words: str

    @property
    def azimuth_deg(self) -> int | None:
        """Nominal azimuth in the label, degrees, positive to the left; None for labels without one."""
        found = _LABEL.fullmatch(self.label)
        return int(found[2] + found[3]) if found else None

    @property
    def mirrored(self) -> Channel:
        """The same on the other side: a label's plus and minus change places. A center is its own mirror image."""
        return self if self.azimuth_deg in (0, 180) else parse_channel(self.label.translate(_OTHER_SIDE))

    def __str__(self) -> str:
        return f"{self.words} ({self.label})"


def _words(label: str) -> str:
    """Plain words for a label; those of the Recommendation's systems have a name, others their angle."""
    if label in _SPECIAL:
        return _SPECIAL[label]
    found = _LABEL.fullmatch(label)
    if not found:
        raise ValueError(f"{label} is not a channel label")
    azimuth = int(found[3])
    place = _AZIMUTHS[azimuth] if label in _LABELS.split() else f"{azimuth} degrees left"
    if found[2] == "-":
        place = place.replace("left", "right")
    return f"{_LAYERS[found[1]]} {place}".strip()


CHANNELS = tuple(Channel(label, _words(label)) for label in _LABELS.split())
_BY_NAME = {name: channel for channel in CHANNELS for name in (channel.label.lower(), channel.words)}


def parse_channel(text: str) -> Channel:
    """The channel named by its label or by its words, in any order; other azimuths, such as U+050, are read too.

    Raises ValueError for anything else, with the nearest names.
    """
    name = " ".join(text.lower().split())
    if name in _BY_NAME:
        return _BY_NAME[name]
    found = _LABEL.fullmatch(text.strip().upper()) or _label_of_angle(name)
    if found and int(found[3]) <= 180:
        sign = "+" if int(found[3]) in (0, 180) else found[2]
        label = f"{found[1]}{sign}{found[3]}"
        return _BY_NAME.get(label.lower()) or Channel(label, _words(label))
    bag = _bag(name)
    if bag in _BY_BAG:
        return _BY_BAG[bag]
    near = get_close_matches(name, [channel.words for channel in CHANNELS], n=3, cutoff=0.5)
    hint = f"; did you mean {' or '.join(near)}?" if near else "."
    raise ValueError(
        f"{text} is not a channel{hint} Write plain words such as upper front left, or a label such as U+045"
    )


def _label_of_angle(name: str) -> re.Match[str] | None:
    """The label in words such as "upper 50 degrees left"."""
    found = _ANGLE_WORDS.fullmatch(name)
    if not found:
        return None
    layer = next(key for key, words in _LAYERS.items() if words == found[1])
    return _LABEL.fullmatch(f"{layer}{'+' if found[3] == 'left' else '-'}{int(found[2]):03d}")


_SAME_WORD = {
    "top": "upper",
    "overhead": "upper",
    "ceiling": "upper",
    "back": "rear",
    "middle": "side",
    "centre": "center",
}


def _bag(name: str) -> frozenset[str]:
    """The words of a name in no order; a bare left, right or center is the front one."""
    words = frozenset(_SAME_WORD.get(word, word) for word in name.split())
    return words | {"front"} if words in ({"left"}, {"right"}, {"center"}) else words


_BY_BAG = {frozenset({word}): _BY_NAME["lfe1"] for word in ("subwoofer", "sub", "lfe")} | {
    _bag(channel.words): channel for channel in reversed(CHANNELS) if "near" not in channel.words
}

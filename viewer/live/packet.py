"""What goes to the page at once: one JSON document and the bytes that belong to it, in one message."""

from __future__ import annotations

import json
import struct
from collections.abc import Sequence
from typing import Any

_LENGTH = struct.Struct("<I")


def packed(document: dict[str, Any], parts: Sequence[bytes] = ()) -> bytes:
    """The length of the document (32 bits, little-endian), the document, and the parts one after another.

    The document gets the `sizes` of the parts. All begin at multiples of four bytes, so that numbers can be read there.
    Raises ValueError for a number that is not finite.
    """
    text = json.dumps({**document, "sizes": [len(part) for part in parts]}, allow_nan=False, separators=(",", ":"))
    pieces = [_aligned(text.encode("utf-8"), b" ", _LENGTH.size), *(_aligned(part, b"\0", 0) for part in parts)]
    return _LENGTH.pack(len(pieces[0])) + b"".join(pieces)


def _aligned(content: bytes, filler: bytes, before: int) -> bytes:
    return content + filler * (-(len(content) + before) % 4)

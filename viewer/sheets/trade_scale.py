"""Scales that rulers of the trade have, and the ways people type them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from earshed.model.units import PrintUnits


@dataclass(frozen=True)
class TradeScale:
    """A scale of 1 to `ratio`; `name` is what stands on the sheet."""

    ratio: int
    name: str

    @property
    def words(self) -> str:
        return f"scale {self.name}"


def _inches(fraction: str) -> TradeScale:
    """So many inches on paper to the foot."""
    ratio = int(12 / sum(map(Fraction, fraction.split("-"))))
    return TradeScale(ratio, f'{fraction}" = 1\'-0" (1:{ratio})')


INCH_SCALES = tuple(_inches(size) for size in ("1-1/2", "1", "3/4", "1/2", "3/8", "1/4", "3/16", "1/8"))
METRIC_SCALES = tuple(TradeScale(ratio, f"1:{ratio}") for ratio in (10, 20, 25, 50, 100))
"""The largest first: those of an architect's rule in inches; ISO 5455, and 1:25, which is common in joinery."""

_RATIO = re.compile(r"1[:/](\d{1,4})")
_TO_THE_FOOT = re.compile(r"(?:(\d+)[- ])?(\d+(?:/\d+)?) ?(?:\"|''|in|inch|inches)(?: ?(?:=|to|per) ?.*)?")
_FOOT = re.compile(r".*(?:=|to|per) ?(?:a |the |1 ?)?(?:'|ft|foot)(?: ?-? ?0 ?(?:\"|''|in)?)?")


def usual_scales(units: PrintUnits) -> Sequence[TradeScale]:
    """Those that sheets in such units are drawn to, the largest first."""
    return INCH_SCALES if units == "ft-in" else METRIC_SCALES


def parse_scale(text: str) -> TradeScale:
    """A scale written as `1:25`, `1/2in` or `1/2" = 1'-0"`. Raises ValueError for another."""
    known = {scale.ratio: scale for scale in (*INCH_SCALES, *METRIC_SCALES)}
    plain = " ".join(text.lower().translate(str.maketrans("″”“′’", '"""\'\'')).split())
    ratio = Fraction(0)
    if found := _RATIO.fullmatch(plain.replace(" ", "")):
        ratio = Fraction(found[1])
    elif (found := _TO_THE_FOOT.fullmatch(plain)) and ("=" not in plain or _FOOT.fullmatch(plain)):
        whole, over = found[1] or "0", found[2]
        inches = Fraction(whole) + (Fraction(over) if not over.endswith("/0") else 0)
        ratio = 12 / inches if inches else ratio
    if ratio not in known:
        inch = ", ".join(scale.name.split(" ")[0].replace('"', "in") for scale in INCH_SCALES)
        metric = ", ".join(scale.name for scale in METRIC_SCALES)
        raise ValueError(f"{text} is no scale that sheets are drawn to; write one of {metric}, or in inches to the "
                         f"foot {inch}, as in 1/2in or 1/2\" = 1'-0\"")  # fmt: skip
    return known[int(ratio)]

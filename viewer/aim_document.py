"""What `earshed aim` finds as a plain document, for --json."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from earshed.model.aim_advice import AimAdvice
from earshed.model.geometry import PARALLEL
from earshed.model.landing import Landing
from earshed.model.pairs import Pair
from earshed.model.scene import Scene
from earshed.model.sound.served import Served
from earshed.model.speaker import Speaker
from earshed.viewer.documents import degrees, numbers
from earshed.viewer.served_document import served_document, shadow_document


def aim_document(scene: Scene, advice: Sequence[AimAdvice], files: Sequence[Path]) -> dict[str, Any]:
    """Everything that `earshed aim` finds, in metres and degrees, and the files it wrote."""
    return {
        "scene": scene.title,
        "scheme": scene.scheme,
        "speakers": [_advice(one) for one in advice],
        "files": [str(path) for path in files],
    }


def _advice(one: AimAdvice) -> dict[str, Any]:
    evened: Sequence[Pair | None] = [None] * len(one.best) if one.even is None else one.even.pairs
    return {
        "name": one.speaker.name,
        "type": one.speaker.type.name,
        "today": {
            "axis": numbers(one.speaker.axis),
            "worst_off_axis_deg": degrees(one.worst_today.off_axis),
            "served": served_document(one.served_today),
        },
        "best": _turned(one.turned, one.lands, one.worst_best, one.served_best),
        "most_even": one.even and _turned(one.even.turned, one.even.lands, one.even.worst, one.even.served),
        "shadow": shadow_document(one.shadow),
        "seats": [
            {
                "seat": now.seat.name,
                "today_deg": degrees(now.off_axis),
                "best_deg": degrees(then.off_axis),
                "gain_deg": degrees(now.off_axis - then.off_axis),
                "most_even_deg": None if even is None else degrees(even.off_axis),
                "verdict_today": now.verdict,
                "verdict_best": then.verdict,
                "verdict_most_even": None if even is None else even.verdict,
            }
            for now, then, even in zip(one.today, one.best, evened, strict=True)
        ],
        "other_types": [
            {
                "type": other.type.name,
                "worst_off_axis_deg": degrees(other.worst),
                "verdict": other.verdict,
                "fits_hole": other.fits_hole,
            }
            for other in one.others
        ],
    }


def _turned(turned: Speaker, lands: Landing | None, worst: Pair, served: Served) -> dict[str, Any]:
    axis = turned.axis
    level = np.hypot(axis[0], axis[1]) > PARALLEL
    return {
        "axis": numbers(axis),
        "tilt_deg": degrees(turned.tilt),
        "heading_deg": degrees(math.atan2(axis[0], axis[1])) % 360 if level else None,
        "lands_m": numbers(lands.point) if lands else None,
        "worst_off_axis_deg": degrees(worst.off_axis),
        "served": served_document(served),
    }

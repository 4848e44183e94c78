"""Answers of `earshed place` as a plain document, for --json."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from earshed.model.coverage import VERDICTS
from earshed.model.neighbors import Near
from earshed.model.scene import Scene
from earshed.model.search.answer import Answer, Choice, Together
from earshed.model.search.kept_holes import KeptHoles
from earshed.model.search.place import Place
from earshed.model.search.relax import Relaxed
from earshed.viewer.documents import degrees, numbers
from earshed.viewer.served_document import served_document, shadow_document


def place_document(
    scene: Scene,
    answers: Sequence[Answer],
    together: Together | None,
    holes: KeptHoles | None,
    files: Sequence[Path],
    searched: float,
) -> dict[str, Any]:
    """Everything that a search found, in metres and degrees; `searched` is the share that was gone through."""
    document: dict[str, Any] = {
        "scene": scene.title,
        "scheme": scene.scheme,
        "searched": searched,
        "answers": [_answer(answer) for answer in answers],
    }
    if together is not None:
        document["together"] = {
            "choices": [_choice(choice) for choice in together.chosen],
            "second": [None if choice is None else _choice(choice) for choice in together.second],
            "worst_sum_deg": degrees(together.joint.cost[-1]),
            "alone_sum_deg": degrees(together.joint.alone[-1]),
            "proven_best": together.joint.proven,
        }
    if holes is not None:
        document["holes"] = _holes(holes)
    return {**document, "files": [str(path) for path in files]}


def _answer(answer: Answer) -> dict[str, Any]:
    return {
        "speakers": [ask.speaker.name for ask in answer.asks],
        "preferred": answer.asks[0].preferred,
        "tried": answer.tried,
        "step_m": answer.step,
        "ideal_worst_deg": None if answer.ideal is None else degrees(answer.ideal),
        "choices": [_choice(choice) for choice in answer.choices],
        "relax": [_relaxed(one, answer) for one in answer.helpful],
        "mirror_outside_m": answer.missed.least if answer.missed and 0 < answer.missed.least < math.inf else None,
    }


def _holes(holes: KeptHoles) -> dict[str, Any]:
    return {
        "takes": [
            {
                "hole": fit.hole.name,
                "type": fit.offer.type.name,
                "long_axis": fit.offer.way,
                "why_not": fit.why_not,
                "cut_wider_m": fit.larger,
            }
            for fit in holes.fits
        ],
        "kept": [
            {
                "hole": kept.hole.name,
                "speaker": kept.place.speaker.name,
                "flush_type": None if kept.flush is None else kept.flush.type,
                "flush_worst_off_axis_deg": None if kept.flush is None else degrees(kept.flush.worst),
                "stays_flush": kept.stays_flush,
            }
            for kept in holes.kept
        ],
        "patches": [hole.name for hole in holes.patches],
    }


def _choice(choice: Choice) -> list[dict[str, Any]]:
    return [_place(place) for place in choice]


def _place(place: Place) -> dict[str, Any]:
    speaker = place.speaker
    shown = [place.nearest] if place.nearest is not None else []
    return {
        "speaker": speaker.name,
        "type": speaker.type.name,
        "long_axis": place.offer.way,
        "face": speaker.surface.name if speaker.surface is not None else None,
        "position_m": numbers(speaker.position),
        "axis": numbers(speaker.axis),
        "tilt_deg": degrees(speaker.tilt),
        "azimuth_deg": degrees(place.azimuth),
        "elevation_deg": degrees(place.elevation),
        "off_window_deg": degrees(place.off),
        "matches_partner": place.matched,
        "uneven_deg": None if place.uneven is None else [degrees(angle) for angle in place.uneven],
        "worst_off_axis_deg": degrees(place.worst.off_axis),
        "verdict": place.worst.verdict,
        "served": served_document(place.served),
        "shadow": shadow_document(place.shadow),
        "seats": [
            {
                "seat": one.seat.name,
                "off_axis_deg": degrees(one.off_axis),
                "verdict": one.verdict,
                "visible": one.visible,
                "past_hanging": next((by.name for seat, by in place.chopped if seat is one.seat), None),
            }
            for one in place.pairs
        ],
        "near": [*(_near(one, "cut") for one in place.wood), *(_near(one, "bezel") for one in shown)],
        "slides": [{"way": numbers(slide.way), "distance_m": slide.distance} for slide in place.slides],
        "hole": place.fit.hole.name if place.fit is not None else None,
        "instead": [
            {"type": one.type, "worst_off_axis_deg": degrees(one.worst), "verdict": one.verdict}
            for one in place.instead
        ],
    }


def _near(near: Near, part: str) -> dict[str, Any]:
    """What is near, and how far from which part of the speaker."""
    return {"name": near.name, "from": part, "gap_m": near.gap}


def _relaxed(one: Relaxed, answer: Answer) -> dict[str, Any]:
    offer = answer.asks[0].offers[int(one.best.offers[0])]
    return {
        "condition": one.condition,
        "kind": one.kind,
        "type": offer.type.name,
        "worst_off_axis_deg": degrees(one.worst),
        "verdict": VERDICTS[int(one.best.verdict[0])],
    }

"""What is asked of a check besides as plain documents, for --json: against a design, and within a tolerance."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from earshed.model.as_built import Comparison, PairChange, SeatChange, SpeakerChange
from earshed.model.speaker import Speaker
from earshed.model.tolerance import Spread, Tolerance
from earshed.viewer.documents import degrees, numbers


def against_document(comparison: Comparison) -> dict[str, Any]:
    """What is other than in the design; null on the side where there is nothing."""
    return {
        "scheme": comparison.against,
        "seats": [_seat_change(change) for change in comparison.seats],
        "speakers": [_speaker_change(change) for change in comparison.speakers],
        "pairs": [_pair_change(change) for change in comparison.pairs],
    }


def tolerance_document(spreads: Sequence[Spread], tolerance: Tolerance) -> dict[str, Any]:
    """What each pair may come to, and the tolerance that was asked for."""
    return {
        "length_m": tolerance.length,
        "angle_deg": degrees(tolerance.angle),
        "pairs": [
            {
                "seat": spread.pair.seat.name,
                "speaker": spread.pair.speaker.name,
                "least_deg": degrees(spread.least),
                "most_deg": degrees(spread.most),
                "verdicts": list(spread.verdicts),
                "sure": spread.sure,
            }
            for spread in spreads
        ],
    }


def _speaker_change(change: SpeakerChange) -> dict[str, Any]:
    return {
        "name": change.name,
        "moved_m": change.moved,
        "turned_deg": degrees(change.turned),
        "faced_deg": degrees(change.faced),
        "type_before": change.before.type.name if change.before else None,
        "type_after": change.after.type.name if change.after else None,
        "retyped": change.retyped,
        "channel_before": _label(change.before),
        "channel_after": _label(change.after),
        "face_before": _face(change.before),
        "face_after": _face(change.after),
    }


def _label(speaker: Speaker | None) -> str | None:
    return speaker.channel.label if speaker is not None and speaker.channel is not None else None


def _face(speaker: Speaker | None) -> str | None:
    return speaker.surface.name if speaker is not None and speaker.surface is not None else None


def _seat_change(change: SeatChange) -> dict[str, Any]:
    before, after = change.before, change.after
    return {
        "name": change.name,
        "moved_m": change.moved,
        "ear_before_m": numbers(before.ear) if before else None,
        "ear_after_m": numbers(after.ear) if after else None,
    }


def _pair_change(change: PairChange) -> dict[str, Any]:
    before, after = change.before, change.after
    return {
        "seat": before.seat.name,
        "speaker": before.speaker.name,
        "off_axis_before_deg": degrees(before.off_axis),
        "off_axis_after_deg": degrees(after.off_axis) if after else None,
        "verdict_before": before.verdict,
        "verdict_after": after.verdict if after else None,
        "visible_before": before.visible,
        "visible_after": after.visible if after else None,
        "holds": change.holds,
    }

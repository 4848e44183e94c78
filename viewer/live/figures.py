"""What the page tells in figures: every speaker and seat, and what each seat gets of each speaker."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from earshed.model.checks.run import find_all, find_but_wiring
from earshed.model.coverage import VERDICTS
from earshed.model.finding import Finding
from earshed.model.listener import listener_of
from earshed.model.pairs import Pair, best_of_seats, seat_pairs, seat_pairs_after
from earshed.model.scene import Scene
from earshed.model.seating import Seat, main_seats
from earshed.model.sound.balance import REFERENCE
from earshed.model.sound.level import Drive, heard
from earshed.viewer.cone_meshes import cone_colors
from earshed.viewer.documents import degrees
from earshed.viewer.pages.stops import numbers
from earshed.viewer.wording import called, shortened

LONGEST_LABEL = 28


@dataclass(eq=False)
class Answer:
    """A scene and what is found of it, each when it is first asked for.

    `near` is one that is other in its speakers alone, of which what stays is taken over.
    """

    scene: Scene
    near: Answer | None = None

    @cached_property
    def pairs(self) -> list[Pair]:
        near, self.near = self.near, None  # so that no answer keeps all that were before it
        return seat_pairs(self.scene) if near is None else seat_pairs_after(self.scene, near.pairs)

    @cached_property
    def most_findings(self) -> list[Finding]:
        """All findings but those on the wiring, which take the longest."""
        return find_but_wiring(self.scene, self.pairs)

    @cached_property
    def findings(self) -> list[Finding]:
        return find_all(self.scene, self.pairs)

    @cached_property
    def apart(self) -> list[float | None]:
        """By seat how far the loudest channel is over the softest, dB of speech, all set alike at the reference
        position; None with fewer than two."""
        if not self.pairs:
            return [None for _ in self.scene.seats]
        here = Seat(REFERENCE, listener_of(self.scene).ear)
        there = {one.name: heard(one, here, Drive()).speech for one in self.scene.judged}
        found: list[float | None] = []
        best = best_of_seats(self.pairs)
        for seat in self.scene.seats:
            levels = [pair.level - there[pair.speaker.name] for pair in best if pair.seat is seat]
            found.append(float(np.ptp(levels)) if len(levels) > 1 else None)
        return found

    @cached_property
    def figures(self) -> dict[str, Any]:
        """Speakers, seats and cells: `cells` has for every seat and every speaker that is judged, in their order, the
        angle off its axis (degrees), the verdict by number, what is in the way, the level (dB), whether it counts."""
        scene = self.scene
        colors = cone_colors(scene.judged)
        counted = set(best_of_seats(self.pairs))
        main = main_seats(scene.seats)
        return {
            "speakers": [
                {
                    "name": one.name,
                    "called": called(one),
                    "label": shortened(one.name, LONGEST_LABEL),
                    "judged": one.has_verdict,
                    "at": numbers(one.position),
                    "color": colors.get(one.name),
                }
                for one in scene.speakers
            ],
            "seats": [
                {
                    "name": seat.name,
                    "label": shortened(seat.name, LONGEST_LABEL),
                    "main": seat in main,
                    "reclined_from": seat.reclined_from,
                    "at": numbers(seat.ear),
                }
                for seat in scene.seats
            ],
            "judged": [one.name for one in scene.judged],
            "cells": _rows([_cell(pair, counts=pair in counted) for pair in self.pairs], len(scene.judged)),
            "apart": [None if apart is None else round(apart, 1) for apart in self.apart],
        }


def _cell(pair: Pair, *, counts: bool) -> list[Any]:
    angle, level = round(degrees(pair.off_axis), 1), round(pair.level, 1)
    return [angle, VERDICTS.index(pair.verdict), pair.obstacle, level, counts]


def _rows(cells: Sequence[list[Any]], length: int) -> list[Sequence[list[Any]]]:
    return [cells[start : start + length] for start in range(0, len(cells), length)] if length else []

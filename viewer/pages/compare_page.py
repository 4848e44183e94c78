"""Before and after as one page, which a client opens in any browser: a line to drag between two pictures, and words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from earshed.model.compare.compare import BeforeAfter
from earshed.model.compare.seats import SeatChange, SeatSignal
from earshed.model.units import format_angle
from earshed.viewer.cautions import BEFORE_CUTTING
from earshed.viewer.compare.asked import Compared
from earshed.viewer.compare.views import Difference, ViewPair
from earshed.viewer.compare.words import (
    SEAT_CHANGES,
    VERDICT_MEANS,
    among_words,
    evenness_words,
    gets_words,
    headline,
    signal_noun,
)
from earshed.viewer.compare.work_words import work_list
from earshed.viewer.pages.assets import assets, templates
from earshed.viewer.pages.pictures import change_parts, color_classes, color_rules, pair_parts
from earshed.viewer.wording import shortened

Plans = tuple[ViewPair, Sequence[Difference]]


def compare_page(
    found: Compared, rooms: Sequence[ViewPair], plans: Sequence[Plans], date: str, areas: str, no_rooms: str = ""
) -> bytes:
    """The page, in UTF-8, with all that it needs inside: views of the room, and maps, each with what became of it.

    `areas` says in a sentence what the maps come to; `no_rooms` why there are no views of the room.
    """
    change = found.change
    keys = [view.key for view in (*rooms, *(view for view, _ in plans))]
    keys += [one.key for _, changes in plans for one in changes]
    colors = color_classes(keys)
    told = headline(change)
    text = templates().get_template("compare.html").render(
        assets=assets(("compare.js",), ("page.css", "compare.css"), color_rules(colors)),
        kind="compare",
        title=shortened(found.title),
        before=shortened(found.before.label, 60),
        after=shortened(found.after.label, 60),
        date=date,
        headline=[*told, areas] if areas else told,
        seats=[_seat(seat, found) for seat in change.seats],
        verdicts=[(verdict, VERDICT_MEANS[verdict]) for verdict in ("covered", "fringe", "outside", *_blocked(found))],
        rooms=[pair_parts(view, photo=True) for view in rooms],
        no_rooms=no_rooms,
        plans=[{"view": pair_parts(view), "changes": list(map(change_parts, more))} for view, more in plans],
        table=_table(change),
        work=work_list(change),
        errors=[
            {"label": side.label, "lines": [f"{one.subject}: {one.message}" for one in side.findings
                                            if one.severity == "error"]}
            for side in found.sides if any(one.severity == "error" for one in side.findings)
        ],
        caution=BEFORE_CUTTING,
        color_class=colors,
    )  # fmt: skip
    return text.encode("utf-8")


def _blocked(found: Compared) -> list[str]:
    """The word for what is not seen, where there is such."""
    marks = {given.mark for one in found.change.given for given in (one.before, one.after) if given}
    return ["blocked"] if "blocked" in marks else []


def _seat(seat: SeatChange, found: Compared) -> dict[str, Any]:
    noun = signal_noun(found.change)
    among = among_words(seat, found.change) if seat.main else ""
    return {
        "name": shortened(seat.seat, 80),
        "main": seat.main,
        "change": seat.change,
        "before": gets_words(seat.before, noun),
        "after": gets_words(seat.after, noun),
        "verdict_before": seat.before.verdict if seat.before else "",
        "verdict_after": seat.after.verdict if seat.after else "",
        "told": "; ".join(filter(None, (SEAT_CHANGES[seat.change], among))),
    }


def _table(change: BeforeAfter) -> dict[str, Any]:
    """A row for each speaker, a column for each main seat, and one for how even it is from seat to seat; those that are
    other than before first."""
    given = change.main
    even = {one.signal: evenness_words(one) for one in change.evenness}
    seats = list(dict.fromkeys(one.seat for one in given))
    by_names = {(one.signal, one.seat): one for one in given}
    signals = list(dict.fromkeys(one.signal for one in given))
    signals.sort(key=lambda signal: all(by_names[key].change == "same" for key in by_names if key[0] is signal))
    rows = [
        {
            "speaker": shortened(signal.called, 60),
            "cells": [_cell(by_names.get((signal, seat))) for seat in seats],
            "even": even[signal],
        }
        for signal in signals
    ]
    return {"seats": [shortened(seat, 60) for seat in seats], "rows": rows}


def _cell(one: SeatSignal | None) -> dict[str, str] | None:
    if one is None:
        return None
    angles = [format_angle(given.pair.off_axis) for given in (one.before, one.after) if given]
    levels = [_decibels(given.level) for given in (one.before, one.after) if given]
    figures = [" → ".join(dict.fromkeys(told)) for told in (angles, levels)]
    mark = one.after.mark if one.after else ""
    words = f"{mark}, as before" if one.change == "same" else one.words
    return {"change": one.change, "words": words, "figures": ", ".join(filter(None, figures))}


def _decibels(level: float) -> str:
    return "0.0 dB" if abs(level) < 0.05 else f"{level:+.1f} dB"

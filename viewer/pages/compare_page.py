"""Before and after as one page, which a client opens in any browser: a line to drag between two pictures, and words."""

from __future__ import annotations

import base64
import io
from collections.abc import Iterable, Sequence
from typing import Any

from markupsafe import Markup
from PIL import Image

from earshed.model.compare.seats import SeatChange, SeatSignal
from earshed.model.units import format_angle
from earshed.viewer.cautions import BEFORE_CUTTING
from earshed.viewer.compare.asked import Compared
from earshed.viewer.compare.views import Difference, Key, ViewPair
from earshed.viewer.compare.words import (
    SEAT_CHANGES,
    VERDICT_MEANS,
    among_words,
    gets_words,
    headline,
    signal_noun,
)
from earshed.viewer.compare.work_words import work_list
from earshed.viewer.pages.assets import digest_of, templates, text_of
from earshed.viewer.wording import shortened

PHOTO_QUALITY = 84
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
    colors = {swatch.color: f"c{number}" for number, swatch in enumerate(_swatches(keys))}
    script = text_of("compare.js")
    told = headline(change)
    text = templates().get_template("compare.html").render(
        policy=_policy(script),
        style=Markup("\n".join([text_of("page.css"), text_of("compare.css"), *_color_rules(colors)])),
        script=Markup(script),
        title=shortened(found.title),
        before=shortened(found.before.label, 60),
        after=shortened(found.after.label, 60),
        date=date,
        headline=[*told, areas] if areas else told,
        seats=[_seat(seat, found) for seat in change.seats],
        verdicts=[(verdict, VERDICT_MEANS[verdict]) for verdict in ("covered", "fringe", "outside", *_blocked(found))],
        rooms=[_pair(view, photo=True) for view in rooms],
        no_rooms=no_rooms,
        plans=[{"view": _pair(view), "changes": [_change(one) for one in changes]} for view, changes in plans],
        table=_table(change.main),
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


def _policy(script: str) -> str:
    """Nothing is fetched, and nothing runs but the page's own script."""
    return f"default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'sha256-{digest_of(script)}'"


def _swatches(keys: Iterable[Key]) -> list[Any]:
    return list({swatch.color: swatch for key in keys for swatch in key.swatches}.values())


def _color_rules(colors: dict[str, str]) -> list[str]:
    return [f".compare .{name} {{ background-color: {color}; }}" for color, name in colors.items()]


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


def _pair(view: ViewPair, *, photo: bool = False) -> dict[str, Any]:
    return {
        "name": view.name,
        "title": view.title,
        "caption": view.caption,
        "shows": view.shows,
        "key": view.key,
        "shape": "tall" if view.before.height > view.before.width else "wide",
        "same": photo and view.before.tobytes() == view.after.tobytes(),
        "before": _picture(view.before, photo=photo),
        "after": _picture(view.after, photo=photo),
    }


def _change(one: Difference) -> dict[str, Any]:
    return {
        "title": f"{one.title}.",
        "caption": one.caption,
        "shows": one.shows,
        "key": one.key,
        "picture": _picture(one.picture, photo=False),
    }


def _picture(image: Image.Image, *, photo: bool) -> dict[str, Any]:
    """A picture with its size, as a data URI; flat colors are kept as they are."""
    buffer = io.BytesIO()
    if photo:
        image.save(buffer, "WEBP", quality=PHOTO_QUALITY, method=4)
    else:
        image.save(buffer, "WEBP", lossless=True, quality=60, method=3)
    uri = f"data:image/webp;base64,{base64.b64encode(buffer.getvalue()).decode('ascii')}"
    return {"uri": Markup(uri), "width": image.width, "height": image.height}


def _table(given: Sequence[SeatSignal]) -> dict[str, Any]:
    """A row for each speaker, a column for each main seat; those that are other than before first."""
    seats = list(dict.fromkeys(one.seat for one in given))
    by_names = {(one.signal, one.seat): one for one in given}
    signals = list(dict.fromkeys(one.signal for one in given))
    signals.sort(key=lambda signal: all(by_names[key].change == "same" for key in by_names if key[0] is signal))
    rows = [
        {"speaker": shortened(signal.called, 60), "cells": [_cell(by_names.get((signal, seat))) for seat in seats]}
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

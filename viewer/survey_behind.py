"""Pages of the survey sheet on what is behind the board: framing, members found, cavities, hidden things, old holes."""

from __future__ import annotations

from earshed.viewer.blanks import INCHES, LENGTH, TAPED, WORD, ruled

_SHORT, _SMALL = "__'___\"", '____"'

_DATUMS_AND_FRAMING = [
    "Points to pull a tape from: the corner of a chimney, a post, a jamb.",
    "datums:",
    *ruled((("", "_" * 24), ("from_left:", LENGTH), ("from_front:", LENGTH)), 6),
    "",
    "FRAMING, by stud finder and test hole.",
    "  surface      the ceiling, or which slope or wall",
    "  member       thickness x depth; F after it if laid flat, as strapping is",
    "  spacing      on the face, square to the members, middle to middle",
    "  direction    front-to-back, side-to-side, up-slope or level",
    "  first_center on the face, from the front or the left wall to the middle of the",
    "               first member; up from the low edge for level ones",
    "  under        what strapping is nailed under",
    "framing:",
    *ruled(
        (
            ("name:", "_________"),
            ("surface:", "__________"),
            ("member:", "__ x __"),
            ("spacing:", _SMALL),
            ("direction:", "____________"),
            ("first_center:", INCHES),
            ("under:", "_______"),
        ),
        8,
    ),
]

_FOUND = [
    "Members found, each on the same tape as the first center: its center, an edge or",
    "both. sure: seen, probed (nail or wire), scanned (stud finder), assumed.",
    "  members:",
    *ruled(
        (
            ("of", WORD),
            ("surface:", WORD),
            ("center:", TAPED),
            ("near_edge:", TAPED),
            ("far_edge:", TAPED),
            ("sure:", "_______"),
        ),
        14,
    ),
    "",
    "Behind each face. depth: from the back of the board, square to it, where seen;",
    "or open. insulation: none, batt, blown, foam; how thick, if it is not full.",
    "cavities:",
    *ruled(
        (
            ("face", "______________"),
            ("depth:", INCHES),
            ("board:", _SMALL),
            ("insulation:", "__________"),
            ("thick", _SMALL),
            ("vent_gap:", _SMALL),
        ),
        6,
    ),
    "",
    "Above (ring)  open attic / floor / roof deck / not known",
    "Vapor barrier  yes / no / not known     Fire-rated ceiling  yes / no / not known",
]

_HIDDEN = [
    "By scan or test hole. kind: pipe, cable, duct, driver box, blocking, unknown.",
    "By the left, front corner with width and length, or by the middle with a",
    "diameter; in a wall, which wall, a distance along it, and heights.",
    "behind: how deep behind the board it begins, if that is known.",
    "keep_outs:",
    *ruled(
        (
            ("name:", "______"),
            ("kind:", "________"),
            *[(key, _SHORT) for key in ("from_left:", "from_front:")],
            ("width:", _SMALL),
            ("length:", _SHORT),
            ("diameter:", _SMALL),
            ("behind:", _SMALL),
        ),
        14,
    ),
    "",
    "Holes that are there already, by their middles. cutout: diameter, or two sides.",
    "existing_holes:",
    *ruled(
        (
            ("name:", WORD),
            ("wall:", "______"),
            ("from_left:", TAPED),
            ("from_front:", TAPED),
            ("height:", TAPED),
            ("cutout:", "____ x ____"),
        ),
        6,
    ),
]

BEHIND_PAGES: tuple[tuple[str, list[str]], ...] = (
    ("DATUMS AND FRAMING", _DATUMS_AND_FRAMING),
    ("MEMBERS FOUND AND CAVITIES", _FOUND),
    ("FOUND BEHIND THE BOARD", _HIDDEN),
)

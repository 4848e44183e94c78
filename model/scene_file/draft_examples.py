"""Examples that stand as comments in a first scene where a section is still empty.

A line of an example has its # straight before it, so that it can be taken away; a line of plain words has a space.
Each example reads as it stands once its # are taken away, in any room that is not smaller than its figures.
"""

from __future__ import annotations

from earshed.model.scene_file.draft import Draft

_FEET_AND_INCHES = {
    "near": "16in", "far": "3'", "wide": "2' 8\"", "high": "6' 8\"", "step": "8in", "hole": "6-1/4in",
    "body": "7-1/2in", "picture": "90in", "found": "40-3/4in", "edge": "6' 7\"", "board": "1/2in", "batt": "3-1/2in",
    "gap": "1in", "pipe": "2in",
}  # fmt: skip
_METRIC = {
    "near": "40cm", "far": "90cm", "wide": "80cm", "high": "2m", "step": "20cm", "hole": "160mm",
    "body": "190mm", "picture": "2.3m", "found": "102cm", "edge": "2.18m", "board": "12.5mm", "batt": "90mm",
    "gap": "25mm", "pipe": "50mm",
}  # fmt: skip

_EXAMPLES = {
    "zones": """\
  # Parts of the plan with a ceiling of their own, such as a dormer, by their left, front corner:
#  zones:
#    - {{name: dormer, from_left: 0, from_front: {far}, width: {far}, length: {far},
#       ceiling: {{shape: flat, height: {high}}}}}
""",
    "datums": """
# Points from which a tape is pulled; places can then be told as datum: chimney corner, right: {near}, back: {near}
#datums:
#  chimney corner: {{from_left: {far}, from_rear: 0}}
""",
    "framing": """
# What is behind the board. surface: ceiling, or a face by the name that check prints; first_center: taped on the face
# from the front or left wall, or up from the low edge for level members. Under members, those that you found, on the
# same tape, by the center or an edge: the ones counted between them are put right by them. sure: seen, probed, scanned
# or assumed.
#framing:
#  - {{name: {members}, surface: ceiling, member: 2x8, spacing: {near}, direction: {direction}, first_center: {step},
#     members: [{{center: {found}, sure: probed}}, {{near_edge: {edge}, sure: scanned}}]}}
""",
    "cavities": """
# What else is behind the ceiling, all walls, or one face by its name. depth: from the back of the board, square to it,
# or open; without it, that of the framing. insulation: none, batt, blown or foam, with a thickness if it is not full;
# vent_gap: the air space that has to stay under a roof.
#cavities:
#  ceiling: {{board: {board}, insulation: {{batt: {batt}}}, vent_gap: {gap}}}
""",
    "keep_outs": """
# What a scan or a test hole found behind the board. kind: pipe, cable, duct, driver box, blocking or unknown; a run
# between two places as [from left, from front], or round, or by its left, front corner with a width and a length:
#keep_outs:
#  - {{name: drain, kind: pipe, between: [[{far}, {near}], [{far}, {far}]], width: {pipe}, sure: scanned}}
#  - {{name: something, kind: unknown, at: {{from_left: {near}, from_front: {far}}}, diameter: {step}}}
""",
    "existing_holes": """
# Holes that are there already, by their middles; a new one takes such a hole in whole, or keeps away from it:
#existing_holes:
#  - {{name: old light, at: {{from_left: {near}, from_front: {near}}}, cutout: {hole}}}
""",
    "clearances": """
# Distances to keep, where your code, a maker or you ask for others than the usual ones:
#clearances: {{cable: {step}, can light: {batt}}}
""",
    "surfaces": """
# Of what the ceiling, all walls, the floor or one face by its name is, for first reflections (earshed reflections):
#surfaces: {{floor: carpet on pad, walls: plasterboard, ceiling: plasterboard}}
""",
    "fixtures": """
# Lights; and what stands or is boxed in, by its left, front corner:
#fixtures:
#  - {{name: can 1, kind: can light, at: {{from_left: {far}, from_front: {far}}}, cutout: {hole}, body: {body}}}
#  - {{name: cupboard, kind: box, from_left: 0, from_front: {far}, bottom: 0, width: {near}, length: {far},
#     height: {far}}}
""",
    "openings": """
# Doors and windows, by their left or front edge; sill is the height of the lower edge:
#openings:
#  - {{name: door, wall: rear, from_left: {near}, sill: 0, width: {wide}, height: {high}}}
""",
    "screen": """
# The picture, in the middle of its wall; bottom is the height of its lower edge:
#screen: {{wall: front, diagonal: {picture}, aspect: 16:9, bottom: {far}}}
""",
    "risers": """
# Steps under seats, by their left, front corner; ears are measured from what one stands on:
#risers:
#  - {{name: step, from_left: 0, from_front: {far}, width: {far}, length: {far}, height: {step}}}
""",
    "speakers": """
# Speakers, by a type of the catalog: flush 6 in, angled 6 in, pivot 6 in for a ceiling; wall 6 in for a wall:
#speakers:
#  - {{name: above, type: flush 6 in, channel: overhead center, at: {{from_center: 0, from_front: {far}}}}}
""",
    "wiring": """
# Where the cables end, for the wiring schedule (earshed wire); beyond: on from there to the terminals. access: how a
# drill gets behind a face, all walls, the ceiling or the floor: attic, knee wall, below or none. Spares are for later:
#wiring:
#  rack: {{wall: left, from_front: {far}, height: {near}, beyond: {far}}}
#  access: {{ceiling: none, walls: none}}
#  spares: {{later: {{kind: speaker, at: {{from_left: {near}, from_front: {far}}}}}}}
""",
    "letterhead": """
# For what the client is given (earshed report); logos are PNG or JPEG files beside this one:
#letterhead: {{client: The people of the house, installer: Your name, contact: your telephone, color: 2a7f8e}}
""",
    "schemes": """
# Sets of changes under a name, each looked at with --scheme NAME:
#schemes:
#  {scheme}
""",
}


def example_lines(draft: Draft) -> dict[str, list[str]]:
    """The lines of each section's example, in the draft's units, with things that the draft has."""
    level = draft.ceiling.get("shape") in ("flat", "tray")
    words = _FEET_AND_INCHES if draft.print_units == "ft-in" else _METRIC
    words = {
        **words,
        "members": "joists" if level else "rafters",
        "direction": "side-to-side" if level else "up-slope",
        "scheme": _scheme(draft, words["far"]),
    }
    lines = {section: text.format(**words).splitlines() for section, text in _EXAMPLES.items()}
    if draft.ceiling.get("shape") == "tray":  # whose raised middle is in the way of other parts
        lines["zones"] = []
    return lines


def _scheme(draft: Draft, height: str) -> str:
    """A change that can be made to the draft: to what it proposes, or else to the maps alone."""
    if not draft.speakers:
        return f"standing: {{listening_plane: {{height: {height}}}}}"
    names = ", ".join(str(speaker.values["name"]) for speaker in draft.speakers[-2:])
    return f"without the last two: {{remove: [{names}]}}"

"""Writes changes to a scene as the text of an overlay."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from earshed.model.geometry import TOUCHING, UP, Array, angle_between
from earshed.model.heading import heading_text
from earshed.model.scene_file.flow_text import comment_lines, flow_text, key_text
from earshed.model.speaker_type import Aiming, Angled, Fixed, Pivoting

_LEVEL = 5e-4
"""Degrees off the level that are not printed."""
_AS_IT_FACES = math.radians(1e-3)
"""Radians of tilt under which an axis is called square to its face."""


def overlay_text(
    based_on: str,
    scheme: str | None,
    changes: Mapping[str, Mapping[str, str]],
    *,
    notes: Mapping[str, str] = {},
    head: str = "",
) -> str:
    """An overlay over the scene file called `based_on`, made for one of its schemes, or for all where it is None.

    `changes` hold for each speaker by name what its keys become, as YAML flow text (`{seats: main}`); `notes` are put
    over speakers as comments, `head` at the top. Names may hold anything that a scene's names may.
    """
    return "\n".join(_lines(based_on, scheme, changes, notes, head)) + "\n"


def _lines(
    based_on: str,
    scheme: str | None,
    changes: Mapping[str, Mapping[str, str]],
    notes: Mapping[str, str],
    head: str,
) -> Iterator[str]:
    yield from head_lines(based_on, scheme, head=head)
    if changes:
        yield "speakers:"
    for name, keys in changes.items():
        yield from comment_lines(notes.get(name, ""), "  ")
        yield f"  {key_text(name)}: {{{', '.join(f'{key}: {text}' for key, text in keys.items())}}}"


def head_lines(based_on: str, scheme: str | None, *, title: str | None = None, head: str = "") -> Iterator[str]:
    """What an overlay begins with: `head` as comments, and what it is laid over."""
    yield from comment_lines(head, "")
    yield "format: 1"
    yield f"based_on: {flow_text(based_on)}"
    if title is not None:
        yield f"title: {flow_text(title)}"
    if scheme is not None:
        yield f"scheme: {flow_text(scheme)}"


def aim_text(aiming: Aiming, normal: Array, axis: Array) -> str:
    """The `aim` with which a type on a baffle that faces `normal` (3,) gets an axis (3,), as YAML flow text."""
    said = aim_said(aiming, normal, axis)
    return said if isinstance(said, str) else f"{{{', '.join(f'{key}: {text}' for key, text in said.items())}}}"


def aim_said(aiming: Aiming, normal: Array, axis: Array) -> str | dict[str, str]:
    """The `aim` with which a type on a baffle that faces `normal` (3,) gets an axis (3,): none, or its keys.

    It reads back within 0.01 degrees. A plan heading names any lean on a face that does not stand upright; on one that
    does, how far the axis leaves the level is said too.
    """
    tilt = float(angle_between(normal, axis))
    if isinstance(aiming, Fixed) or tilt < _AS_IT_FACES:
        return "none"
    lean = axis - (axis @ normal) * normal
    plan = lean - lean[2] / normal[2] * normal if abs(normal[2]) > TOUCHING else None
    toward = heading_text(plan) if plan is not None else _tipped(axis)
    match aiming:
        case Pivoting(limit):
            degrees = min(float(f"{math.degrees(tilt):.3f}"), math.degrees(limit))
            return {"tilt": f"{degrees:.12g}deg", "toward": toward}
        case Angled():
            return {"toward": toward}


def _tipped(axis: Array) -> str:
    """The heading of an axis (3,) with how far it leaves the level."""
    up = math.degrees(math.asin(float(axis @ UP)))
    if abs(up) < _LEVEL:
        return heading_text(axis)
    return f"{heading_text(axis)} and {abs(up):.3f}deg {'up' if up > 0 else 'down'}"

"""Whom a report is from, and whom it is for."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Logo:
    """A picture as its file holds it, with the file's name and what it is of: image/png or image/jpeg."""

    file: str
    media: str
    content: bytes


@dataclass(frozen=True)
class Letterhead:
    """What stands at the head of what a client is given; `color` as #rrggbb."""

    client: str | None = None
    installer: str | None = None
    contact: str | None = None
    color: str | None = None
    logo: Logo | None = None
    client_logo: Logo | None = None


NO_LETTERHEAD = Letterhead()

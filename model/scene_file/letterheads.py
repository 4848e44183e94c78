"""Builds the letterhead; reads its logos, beside the file that names them."""

from __future__ import annotations

from pathlib import Path as FilePath

from earshed.model.letterhead import NO_LETTERHEAD, Letterhead, Logo
from earshed.model.scene_file.beside import is_file_name
from earshed.model.scene_file.messages import Path
from earshed.model.scene_file.problem import Misfit
from earshed.model.scene_file.schema_letterhead import LetterheadFile
from earshed.model.scene_file.tree import shown_path

LARGEST_LOGO = 1_000_000
"""Bytes: a report goes by mail."""
SIGNATURES = {b"\x89PNG\r\n\x1a\n": "image/png", b"\xff\xd8\xff": "image/jpeg"}
"""How files begin: W3C Portable Network Graphics, 5.2; ITU-T T.81 (JPEG), annex B."""


def build_letterhead(entry: LetterheadFile | None, folder: FilePath) -> Letterhead:
    """The letterhead, its logos read from a folder. Raises Misfit."""
    if entry is None:
        return NO_LETTERHEAD
    logo, client_logo = (
        _logo(name, folder, ("letterhead", key))
        for key, name in (("logo", entry.logo), ("client_logo", entry.client_logo))
    )
    return Letterhead(entry.client, entry.installer, entry.contact, entry.color, logo, client_logo)


def _logo(name: str | None, folder: FilePath, path: Path) -> Logo | None:
    if name is None:
        return None
    if not is_file_name(name):
        raise Misfit(f"{name[:60]} is not a plain file name; a logo stands beside the file that names it", path)
    try:
        with (folder / name).open("rb") as file:
            content = file.read(LARGEST_LOGO + 1)
    except FileNotFoundError:
        words = f"there is no file {name[:60]} in {shown_path(folder)}, where the file is that names it"
        raise Misfit(words, path) from None
    except OSError as error:
        raise Misfit(f"{name[:60]} cannot be read: {error.strerror or error}", path) from None
    if len(content) > LARGEST_LOGO:
        raise Misfit(f"{name[:60]} is larger than {LARGEST_LOGO // 1000:,} kB, the most for a logo", path)
    media = next((media for start, media in SIGNATURES.items() if content.startswith(start)), None)
    if media is None:
        raise Misfit(f"{name[:60]} is no PNG and no JPEG, which logos must be", path)
    return Logo(name, media, content)

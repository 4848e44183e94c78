"""Options that say which bands are meant, and one of them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

from earshed.model.sound.bands import BANDS, Bands


def bands_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """Octaves, or third octaves."""
    help_ = "Octaves from 125 Hz to 16 kHz, or thirds of them."
    return click.option(
        "--bands", type=click.Choice(list(BANDS)), default="octaves", show_default=True, help=help_,
        callback=lambda _ctx, _parameter, name: BANDS[name],
    )(command)  # fmt: skip


def band_of(text: str, bands: Bands) -> int:
    """The band that is meant by `4k`, `500` or `3150`. Raises click.BadParameter, which says which there are."""
    said = text.strip().lower().removesuffix("hz").strip()
    try:
        hertz = float(said.removesuffix("k")) * (1000 if said.endswith("k") else 1)
        return bands.nominal.index(hertz)
    except ValueError:
        names = ", ".join(f"{hz / 1000:g}k" if hz >= 1000 else f"{hz:g}" for hz in bands.nominal)
        more = "; --bands thirds has more" if bands.in_octave == 1 else ""
        raise click.BadParameter(f"{text} is none of the bands: {names}{more}", param_hint="--band") from None

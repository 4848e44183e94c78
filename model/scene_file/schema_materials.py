"""Keys of materials."""

from __future__ import annotations

from typing import ClassVar

from pydantic import Field

from earshed.model.scene_file.fields import Coefficient, Part, Words


class MaterialFile(Part):
    """How much a material absorbs in each octave, from its data sheet."""

    usual_keys: ClassVar[tuple[str, ...]] = ("125Hz", "250Hz", "500Hz")

    hz_125: Coefficient = Field(alias="125Hz")
    hz_250: Coefficient = Field(alias="250Hz")
    hz_500: Coefficient = Field(alias="500Hz")
    hz_1000: Coefficient = Field(alias="1kHz")
    hz_2000: Coefficient = Field(alias="2kHz")
    hz_4000: Coefficient = Field(alias="4kHz")
    hz_8000: Coefficient | None = Field(alias="8kHz", default=None)
    source: Words | None = None

    @property
    def coefficients(self) -> tuple[float, ...]:
        """From 125 Hz up to 4 or 8 kHz."""
        below = (self.hz_125, self.hz_250, self.hz_500, self.hz_1000, self.hz_2000, self.hz_4000)
        return below if self.hz_8000 is None else (*below, self.hz_8000)

"""AES69 files of directivity for tests, written straight through netCDF, with no library for such files."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from netCDF4 import Dataset

from earshed.model.geometry import Array


def oval(directions: Array, hertz: Array) -> Array:
    """Levels (..., F), dB, of a beam that is wider across than upright, and narrower the higher the frequency.

    It is smooth all over the sphere: of the parts along, right and up of unit directions (..., 3) it takes
    q = right^2 / 4 + up^2 + 0.6 (1 - along)^2, so it is down 10 q dB at 1 kHz near the axis, and 30 dB at the most.
    """
    along, right, up = np.moveaxis(directions, -1, 0)
    q = right**2 / 4 + up**2 + 0.6 * (1 - along) ** 2
    return -30.0 * np.tanh(q[..., None] * np.sqrt(np.asarray(hertz) / 1000.0) / 3.0)


def put_aes69(path: Path, hertz: Array, *, step: float = 10.0, behind: bool = True, **changes: object) -> Array:
    """Writes `oval` as an AES69 file, straight through netCDF, and gives the directions measured (R, 3), in its frame.

    Receivers stand on circles round the zenith, as a turning arm leaves them; the speaker looks along `SourceView`.
    """
    elevations = np.arange(-90.0, 90.1, step)
    azimuths = np.arange(0.0, 360.0, step)
    spherical = np.array([(a, e, 2.0) for e in elevations for a in (azimuths if abs(e) < 90 else azimuths[:1])])
    if not behind:
        spherical = spherical[np.cos(np.radians(spherical[:, 0])) * np.cos(np.radians(spherical[:, 1])) > -0.2]
    azimuth, elevation = np.radians(spherical[:, :2]).T
    x, y, z = np.cos(elevation) * np.cos(azimuth), np.cos(elevation) * np.sin(azimuth), np.sin(elevation)
    directions = np.stack([x, -y, z], axis=-1)
    said = {
        "GLOBAL_SOFAConventions": "FreeFieldDirectivityTF", "GLOBAL_SOFAConventionsVersion": "1.1",
        "N": np.asarray(hertz), "ReceiverPosition": spherical,
        "pressure": 0.3 * 10 ** (oval(directions, hertz) / 20), "SourceView": (1.0, 0.0, 0.0),
    } | changes  # fmt: skip
    pressure = np.asarray(said["pressure"]) * np.exp(0.7j)
    with Dataset(path, "w", format="NETCDF4") as file:
        told = {"Conventions": "SOFA", "Version": "2.1", "DataType": "TF", "RoomType": "free field"}
        for name in ("SOFAConventions", "SOFAConventionsVersion"):
            told[name] = str(said[f"GLOBAL_{name}"])
        file.setncatts(told)
        sizes = {"I": 1, "C": 3, "M": 1, "E": 1, "R": len(spherical), "N": len(np.asarray(said["N"]))}
        for name, size in sizes.items():
            file.createDimension(name, size)
        _put(file, "N", ("N",), said["N"], Units="hertz", LongName="frequency")
        _put(file, "ReceiverPosition", ("R", "C", "I"), said["ReceiverPosition"][..., None], Type="spherical",
             Units="degree, degree, metre")  # fmt: skip
        for name, value in (("ListenerPosition", (0, 0, 0)), ("SourcePosition", (0, 0, 0)), ("ListenerUp", (0, 0, 1)),
                            ("ListenerView", (1, 0, 0)), ("SourceView", said["SourceView"]), ("SourceUp", (0, 0, 1)),
                            ("EmitterPosition", (0, 0, 0))):  # fmt: skip
            dimensions = ("E", "C", "I") if name == "EmitterPosition" else ("I", "C")
            _put(file, name, dimensions, np.reshape(value, (1, 3, 1) if len(dimensions) == 3 else (1, 3)),
                 Type="cartesian", Units="metre")  # fmt: skip
        _put(file, "Data.Real", ("M", "R", "N"), pressure.real[None])
        _put(file, "Data.Imag", ("M", "R", "N"), pressure.imag[None])
    return directions


def _put(file: Dataset, name: str, dimensions: tuple[str, ...], values: Array, **attributes: str) -> None:
    variable = file.createVariable(name, "f8", dimensions)
    variable[:] = values
    variable.setncatts(attributes)

"""A scene: one room with everything in it, under one scheme."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from earshed.model.aim import Aim, AtSeats
from earshed.model.cavity import Cavity, CavitySpec, cavity_behind
from earshed.model.clearances import Clearances
from earshed.model.fixture import FaceOpening, Fixture
from earshed.model.framing import Framing
from earshed.model.geometry import Array
from earshed.model.hidden import ExistingHole, KeepOut
from earshed.model.letterhead import NO_LETTERHEAD, Letterhead
from earshed.model.listening_plane import PlaneSpec
from earshed.model.room import Room
from earshed.model.screen import Screen, WallPatch, ahead_of_seats
from earshed.model.seating import Seat
from earshed.model.sound.materials import Material
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import SpeakerType
from earshed.model.surface import Surface
from earshed.model.survey import Survey
from earshed.model.taped_from import TapedFrom
from earshed.model.units import BareUnit, PrintUnits
from earshed.model.wiring.spec import Wiring


@dataclass(frozen=True, eq=False)
class Scene:
    """Everything a scene file says, in metres and radians; `scheme` is None for the scene as it stands."""

    title: str
    scheme: str | None
    schemes: tuple[str, ...]
    print_units: PrintUnits
    room: Room
    datums: Mapping[str, Array]
    fixtures: tuple[Fixture, ...]
    openings: tuple[WallPatch, ...]
    ceiling_openings: tuple[FaceOpening, ...]
    framing: tuple[Framing, ...]
    screen: Screen | None
    seats: tuple[Seat, ...]
    speaker_types: Mapping[str, SpeakerType]
    speakers: tuple[Speaker, ...]
    plane: PlaneSpec
    notes: tuple[str, ...] = ()
    """What reading the file decided that its writer should know."""
    survey: Survey | None = None
    """How the readings fit of a room that was walked with a tape."""
    clearances: Clearances = field(default_factory=Clearances)
    cavities: Mapping[str, CavitySpec] = field(default_factory=dict)
    """What is said of cavities, by the names of faces, "ceiling" and "walls"."""
    keep_outs: tuple[KeepOut, ...] = ()
    existing_holes: tuple[ExistingHole, ...] = ()
    system: str | None = None
    """Letter of the system of Rec. ITU-R BS.2051-3 that the scene chooses."""
    builds_on: str | None = None
    """The scheme, or base, that this one says its changes are laid over."""
    wiring: Wiring | None = None
    surfaces: Mapping[str, Material] = field(default_factory=dict)
    """What is said of what faces are of, by their names, "ceiling", "walls" and "floor"."""
    letterhead: Letterhead = NO_LETTERHEAD
    catalog_types: frozenset[str] = frozenset()
    """Names of the speaker types that a catalog brought."""
    taped_from: Mapping[str, TapedFrom] = field(default_factory=dict)
    """By the names of speakers and seats, from where the scene tapes them."""
    bare_lengths: BareUnit | None = None
    """The unit of a length that has none beside it, where the scene states one."""

    @property
    def judged(self) -> tuple[Speaker, ...]:
        """The speakers that coverage is asked of."""
        return tuple(speaker for speaker in self.speakers if speaker.has_verdict)

    def seats_of(self, aim: Aim) -> tuple[Seat, ...]:
        """The seats that an aim names, in the scene's order."""
        names = aim.names if isinstance(aim, AtSeats) else ()
        return tuple(seat for seat in self.seats if seat.name in names)

    @property
    def ahead(self) -> Array:
        """Plan direction (2,) in which seats face: square to the screen's wall, or to the front without one."""
        return ahead_of_seats(self.screen)

    def is_timber(self, face: Surface) -> bool:
        """Whether a face is the underside of a beam, which is no board with a cavity behind it."""
        return any(box.name == face.name and box.kind == "beam" for box in self.room.boxes)

    def cavity(self, face: Surface) -> Cavity:
        """What is behind a face; behind the underside of a box, at the most the box."""
        box = next((box for box in self.room.boxes if box.name == face.name), None)
        most = box.top - float(box.lower[2]) if box is not None and face.kind == "soffit" else None
        return cavity_behind(face, self.cavities, self.framing, most=most)

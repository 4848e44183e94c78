"""Schemes: a scheme's scene is the one that the file would describe with the scheme's changes written into it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np
import pytest
from shapely.geometry.base import BaseGeometry

from earshed.model.scene import Scene
from earshed.model.scene_file.problem import Mark, SceneError
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree

CEILING = "{shape: flat, height: 2.5m}"
BASE = """\
format: 1
title: Studio
room: {width: 4m, length: 6m, ceiling: {shape: flat, height: 2.5m}}
datums:
  post: {from_left: 1m, from_front: 2m}
  knot: {datum: post, right: 1m, back: 1m}
framing:
  - {name: joists, surface: ceiling, member: 2x8, spacing: 16in, direction: front-to-back, first_center: 8in}
fixtures:
  - {name: can, kind: can light, at: {from_left: 1m, from_front: 1m}, cutout: 16cm}
  - {name: soffit, kind: box, from_left: 3m, from_front: 0, bottom: 2m, width: 1m, length: 6m, height: 0.5m}
  - {name: shelf, kind: box, datum: post, right: 20cm, bottom: 0, width: 50cm, length: 1m, height: 1m}
openings:
  - {name: door, wall: rear, from_left: 1m, sill: 0, width: 80cm, height: 2m}
screen: {wall: front, diagonal: 80in, aspect: 16:9, center_from_left: 2m, bottom: 50cm}
seats:
  - {name: chair, at: {from_left: 2m, from_front: 4m}, ear_height: 1m, main: true}
  - {name: bench, at: {from_left: 2m, from_front: 5m}, ear_height: 1m}
risers:
  - {name: step, from_left: 1m, from_front: 4.5m, width: 2m, length: 1m, height: 20cm}
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 90deg, band: 4kHz}, cutout: 24cm}
  pivot: {mount: in-ceiling, aiming: {pivoting: 18deg}, coverage: 90deg}
  niche: {mount: in-wall, aiming: fixed, coverage: 90deg}
speakers:
  - {name: one, type: pivot, at: {from_left: 1m, from_front: 1m}, aim: {tilt: 10deg, toward: rear}}
  - {name: two, type: flush, channel: U-045, at: {datum: knot}}
  - {name: three, type: niche, wall: left, from_front: 2m, height: 1m}
listening_plane: {height: 1m, step: 5cm}
"""


def with_schemes(*schemes: str) -> str:
    return BASE + "schemes:\n" + "".join(f"  {scheme}\n" for scheme in schemes)


def read(text: str, scheme: str | None = None) -> Scene:
    return scene_from_tree(parse_tree(text, "studio.yaml"), scheme)


def told(value: Any) -> Any:
    """All that a scene holds, in a form that can be compared; which scheme it is under is left out."""
    if isinstance(value, np.ndarray):
        return value.tolist()
    if isinstance(value, BaseGeometry):
        return value.wkt
    if is_dataclass(value):
        return {
            f.name: told(getattr(value, f.name))
            for f in fields(value)
            if f.name not in ("scheme", "schemes", "taped_from")
        }
    if isinstance(value, Mapping):
        return {key: told(item) for key, item in value.items()}
    return [told(item) for item in value] if isinstance(value, tuple) else value


def test_a_scene_is_told_in_full() -> None:
    """The comparison that the other tests rest on sees a millimetre."""
    assert told(read(BASE)) == told(read(BASE))
    assert told(read(BASE)) != told(read(BASE.replace("height: 20cm", "height: 20.1cm")))
    assert told(read(BASE)) != told(read(BASE.replace("from_front: 1m}, aim", "from_front: 1001mm}, aim")))


NOTHING = [
    "{}",
    "{speakers: {}}",
    "{speakers: {one: {}, two: {}}, datums: {}, speaker_types: {flush: {}}, room: {}, screen: {}, listening_plane: {}}",
    "{remove: []}",
    "{speakers: {one: {type: pivot, aim: {tilt: 10, toward: rear}}}}",
    "{speakers: {two: {at: {from_left: 2m, from_front: 3m}}}}",
    "{fixtures: {soffit: {from_right: 1m}}, openings: {door: {from_center: -1m}}, risers: {step: {from_rear: 1.5m}}}",
    "{datums: {post: {from_right: 3m, from_rear: 4m}}, seats: {bench: {main: false}}, screen: {aspect: 16:9}}",
    "{fixtures: {shelf: {from_left: 1.2m, from_front: 2m}}, room: {width: 400cm}, listening_plane: {step: 50mm}}",
    "{speakers: {four: {type: flush, at: {datum: post}}}, remove: [four]}",
]


@pytest.mark.parametrize("changes", NOTHING)
def test_a_scheme_of_no_change_is_the_same_scene(changes: str) -> None:
    scene = read(with_schemes(f"alt: {changes}"), "alt")
    assert (scene.scheme, scene.schemes) == ("alt", ("alt",))
    assert told(scene) == told(read(BASE))


CHANGES = [
    # a scheme, and the same change made in the file itself
    ("speakers: {one: {type: flush, aim: none}}", "type: pivot, at", "type: flush, at", "{tilt: 10deg, toward: rear}",
     "none"),
    ("speakers: {one: {at: {from_right: 1m, from_rear: 1m}}}", "{from_left: 1m, from_front: 1m}, aim",
     "{from_right: 1m, from_rear: 1m}, aim"),
    ("speakers: {one: {aim: {seat: bench}}}", "{tilt: 10deg, toward: rear}", "{seat: bench}"),
    ("speakers: {two: {at: {from_left: 1m, from_front: 1m}, channel: U+045}}", "channel: U-045, at: {datum: knot}",
     "channel: U+045, at: {from_left: 1m, from_front: 1m}"),
    ("speakers: {three: {from_rear: 1m}}", "wall: left, from_front: 2m", "wall: left, from_rear: 1m"),
    ("speakers: {three: {wall: right}}", "wall: left", "wall: right"),
    ("speakers: {three: {wall: front, from_left: 1m}}", "wall: left, from_front: 2m", "wall: front, from_left: 1m"),
    ("speakers: {three: {datum: post, back: 1m}}", "wall: left, from_front: 2m", "wall: left, datum: post, back: 1m"),
    ("speakers: {three: {at: {from_rear: 1m}}}", "wall: left, from_front: 2m", "wall: left, at: {from_rear: 1m}"),
    ("speakers: {four: {type: flush, at: {datum: post}}}", "listening_plane",
     "  - {name: four, type: flush, at: {datum: post}}\nlistening_plane"),
    ("openings: {door: {from_right: 2m}}", "wall: rear, from_left: 1m", "wall: rear, from_right: 2m"),
    ("openings: {door: {from_center: 0}}", "wall: rear, from_left: 1m", "wall: rear, from_center: 0"),
    ("openings: {door: {wall: left, from_front: 1m}}", "wall: rear, from_left: 1m", "wall: left, from_front: 1m"),
    ("openings: {hatch: {wall: left, from_rear: 1m, sill: 1m, width: 50cm, height: 50cm}}", "screen",
     "  - {name: hatch, wall: left, from_rear: 1m, sill: 1m, width: 50cm, height: 50cm}\nscreen"),
    ("fixtures: {soffit: {from_right: 2m, from_rear: 5m, length: 5m}}", "from_left: 3m, from_front: 0",
     "from_right: 2m, from_rear: 5m", "width: 1m, length: 6m", "width: 1m, length: 5m"),
    ("fixtures: {soffit: {datum: knot}}", "from_left: 3m, from_front: 0", "datum: knot"),
    ("fixtures: {shelf: {back: 1m}}", "datum: post, right: 20cm", "datum: post, right: 20cm, back: 1m"),
    ("fixtures: {shelf: {from_left: 2m, from_front: 2m}}", "datum: post, right: 20cm", "from_left: 2m, from_front: 2m"),
    ("fixtures: {can: {at: {datum: post}}}", "at: {from_left: 1m, from_front: 1m}, cutout",
     "at: {datum: post}, cutout"),
    ("screen: {width: 2m}", "diagonal: 80in", "width: 2m"),
    ("screen: {center_from_right: 1m}", "center_from_left: 2m", "center_from_right: 1m"),
    ("screen: {wall: left, center_from_front: 1m}", "wall: front, diagonal: 80in, aspect: 16:9, center_from_left: 2m",
     "wall: left, diagonal: 80in, aspect: 16:9, center_from_front: 1m"),
    ("room: {length: 7m}", "length: 6m, ceil", "length: 7m, ceil"),
    ("room: {ceiling: {shape: shed, low: 2m, high: 3m, rises: rear}}", CEILING,
     "{shape: shed, low: 2m, high: 3m, rises: rear}"),
    ("room: {outline: [[0, 0], [4m, 0], [4m, 6m], [0, 5m]]}, screen: {wall: 1, center_along: 2m}, openings: {door: {"
     "wall: 3, along: 1m}}, speakers: {three: {wall: 4, along: 3m}}", "width: 4m, length: 6m",
     "outline: [[0, 0], [4m, 0], [4m, 6m], [0, 5m]]", "wall: front, diagonal: 80in, aspect: 16:9, center_from_left: 2m",
     "wall: 1, diagonal: 80in, aspect: 16:9, center_along: 2m", "wall: rear, from_left: 1m", "wall: 3, along: 1m",
     "wall: left, from_front: 2m", "wall: 4, along: 3m"),
    ("datums: {post: {from_left: 2m, from_rear: 2m}}", "{from_left: 1m, from_front: 2m}",
     "{from_left: 2m, from_rear: 2m}"),
    ("datums: {hook: {datum: knot, right: 1m}}, seats: {chair: {at: {datum: hook}}}", "framing",
     "  hook: {datum: knot, right: 1m}\nframing", "at: {from_left: 2m, from_front: 4m}", "at: {datum: hook}"),
    ("seats: {chair: {main: false, ear_height: 1.1m}, bench: {main: true}}", "ear_height: 1m, main: true",
     "ear_height: 1.1m, main: false", "from_front: 5m}, ear_height: 1m", "from_front: 5m}, ear_height: 1m, main: true"),
    ("risers: {step: {from_right: 3m, height: 30cm}}", "from_left: 1m, from_front: 4.5m",
     "from_right: 3m, from_front: 4.5m",
     "height: 20cm", "height: 30cm"),
    ("framing: {joists: {spacing: 24in}}", "spacing: 16in", "spacing: 24in"),
    ("speaker_types: {flush: {coverage: {angle: 80}}}", "{angle: 90deg, band: 4kHz}", "{angle: 80}"),
    ("speaker_types: {pivot: {aiming: fixed}}, speakers: {one: {aim: none}}", "{pivoting: 18deg}", "fixed",
     "{tilt: 10deg, toward: rear}", "none"),
    ("speaker_types: {wide: {mount: in-ceiling, aiming: fixed, coverage: 120}}, speakers: {two: {type: wide}}",
     "speakers", "  wide: {mount: in-ceiling, aiming: fixed, coverage: 120}\nspeakers", "type: flush", "type: wide"),
    ("listening_plane: {step: 10cm}", "step: 5cm", "step: 10cm"),
    ("remove: [step, door]",
     "risers:\n  - {name: step, from_left: 1m, from_front: 4.5m, width: 2m, length: 1m, height: 20cm}", "",
     "openings:\n  - {name: door, wall: rear, from_left: 1m, sill: 0, width: 80cm, height: 2m}", ""),
    ("remove: two", "  - {name: two, type: flush, channel: U-045, at: {datum: knot}}\n", ""),
    ("remove: [two, knot, flush]", "  - {name: two, type: flush, channel: U-045, at: {datum: knot}}\n", "",
     "  knot: {datum: post, right: 1m, back: 1m}\n", "",
     "  flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 90deg, band: 4kHz}, cutout: 24cm}\n", ""),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "edits"), [(changes, edits) for changes, *edits in CHANGES])
def test_a_scheme_is_the_file_with_its_changes_made(changes: str, edits: list[str]) -> None:
    text = BASE
    for old, new in zip(edits[::2], edits[1::2], strict=True):
        assert text.count(old) >= 1
        text = text.replace(old, new, 1)
    both = with_schemes("other: {}", f"alt: {{{changes}}}")
    assert told(read(both, "alt")) == told(read(text))
    assert told(read(both, "alt")) != told(read(BASE))
    for name in (None, "base", "other"):
        assert told(read(both, name)) == told(read(BASE))  # a scheme changes nothing but itself


def test_schemes_are_kept_in_the_order_of_the_file() -> None:
    text = with_schemes("zebra: {}", "as found: {}", "'A': {}")
    assert read(text).schemes == read(text, "A").schemes == ("zebra", "as found", "A")
    assert (read(text).scheme, read(text, "base").scheme, read(text, "as found").scheme) == (None, None, "as found")


@pytest.mark.parametrize("name", ["foubd", "", "Alt", "base "])
def test_a_scheme_that_is_not_there(name: str) -> None:
    for text, word in [(with_schemes("found: {}", "alt: {}"), "found, alt"), (BASE, "none")]:
        with pytest.raises(SceneError) as refused:
            read(text, name)
        assert refused.value.mark == Mark("studio.yaml", 1, 1)
        assert f'no scheme "{name}"' in refused.value.message
        assert word in refused.value.message


REFUSED = [
    # the schemes, then the words that must be said; ¦ stands where the message must point
    ("¦junk", "schemes", "names"),
    ("¦[alt]", "schemes", "names"),
    ("{¦base: {}}", "base"),
    ("{alt: ¦junk}", 'scheme "alt"', "sections"),
    ("{alt: ¦[one]}", 'scheme "alt"', "sections"),
    ("{alt: {¦speeker: {}}}", 'scheme "alt"', "`speeker`", "did you mean `speakers`?", "remove"),
    ("{alt: {¦title: New}}", 'scheme "alt"', "`title`", "Allowed"),
    ("{alt: {speakers: ¦junk}}", 'scheme "alt"', "speakers", "names"),
    ("{alt: {speakers: ¦[one]}}", 'scheme "alt"', "speakers", "names"),
    ("{alt: {screen: ¦none}}", 'scheme "alt"', "screen"),
    ("{alt: {speakers: {one: ¦gone}}}", 'scheme "alt"', "one", "keys"),
    ("{alt: {speaker_types: {flush: ¦[fixed]}}}", 'scheme "alt"', "flush", "keys"),
    ("{alt: {datums: {post: ¦here}}}", 'scheme "alt"', "post", "keys"),
    ("{alt: {remove: [two, ¦tow]}}", 'scheme "alt"', "remove", "tow"),
    ("{alt: {remove: [¦[two]]}}", 'scheme "alt"', "remove", "list of names"),
    ("{alt: {remove: ¦{two: yes}}}", 'scheme "alt"', "remove", "list of names"),
    # what a changed thing becomes
    ("{alt: {speakers: {¦four: {at: {datum: post}}}}}", "nothing under speakers is called four", "needs `type`"),
    ("{alt: {seats: {¦stool: {ear_height: 1m}}}}", 'seat "stool"', "needs `at`"),
    ("{alt: {speaker_types: {wide: ¦{mount: stand}}}}", 'speaker type "wide"', "needs `aiming`"),
    ("{alt: {speakers: {one: {type: ¦pviot}}}}", 'speaker "one", type', "pviot", "did you mean pivot?"),
    ("{alt: {speakers: {one: {¦tpye: pivot}}}}", 'speaker "one"', "`tpye`", "did you mean `type`?"),
    ("{alt: {speakers: {one: {at: ¦{from_left: 2m}}}}}", 'speaker "one", at', "from_front"),
    ("{alt: {speakers: {one: {aim: ¦{tilt: 5}}}}}", 'speaker "one", aim', "toward"),
    ("{alt: {speakers: {one: {aim: {tilt: ¦20, toward: rear}}}}}", 'speaker "one", aim, tilt', "20", "18"),
    ("{alt: {seats: {chair: {ear_height: ¦40}}}}", 'seat "chair", ear_height', "40 has no unit"),
    ("{alt: {datums: {knot: ¦{right: 1m}}}}", 'datum "knot"', "datum: NAME"),
    ("{alt: {room: {width: ¦70m}}}", "room, width", "70m"),
    ("{alt: {room: {ceiling: ¦{shape: shed, low: 3m, high: 2m, rises: rear}}}}", "room, ceiling", "higher"),
    ("{alt: {screen: {width: ¦big}}}", "screen, width", "big"),
    ("{other: {}, alt: {listening_plane: {step: ¦0}}}", "listening_plane, step", "more than 0"),
]


@pytest.mark.parametrize(("schemes", "words"), [(schemes, words) for schemes, *words in REFUSED])
@pytest.mark.parametrize("chosen", [None, "other", "alt"])
def test_a_slip_in_any_scheme_is_found_in_its_lines(schemes: str, words: list[str], chosen: str | None) -> None:
    before, after = (BASE + "schemes: " + schemes + "\n").split("¦")
    known = chosen is None or f"{chosen}: " in after or f"{chosen}: " in schemes.split("¦")[0]
    with pytest.raises(SceneError) as refused:
        read(before + after, chosen if known else None)
    assert refused.value.mark == Mark("studio.yaml", before.count("\n") + 1, len(before) - before.rfind("\n"))
    for word in words:
        assert word in refused.value.message


@pytest.mark.parametrize(
    "changes", ["remove: [post]", "remove: [flush]", "room: {width: 2m}", "speakers: {one: {name: two}}"]
)
def test_what_goes_wrong_only_under_a_scheme_names_it(changes: str) -> None:
    """The line at fault may be one of the scene's own, which is right as long as the scheme is not laid over it."""
    with pytest.raises(SceneError, match='scheme "alt"'):
        read(with_schemes(f"alt: {{{changes}}}"))

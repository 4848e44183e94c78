"""What is said of a slip in a catalog or an overlay: where it stands, what brought it in, what is allowed."""

from __future__ import annotations

import json
import random
from pathlib import Path

import pytest

from earshed.model.scene_file.problem import Mark, SceneError
from earshed.model.scene_file.read import read_scene
from earshed.model.scene_file.tree import LARGEST_FILE
from earshed.viewer.cli import run
from tests.scene_files import put, put_marked

DEN = """\
format: 1
title: Den
room: {width: 4m, length: 6m, ceiling: {shape: flat, height: 2.5m}}
catalogs: [shop.yaml]
seats: [{name: chair, at: {from_left: 2m, from_front: 4m}, ear_height: 1m, main: true}]
framing: [{name: joists, surface: ceiling, member: deep, spacing: 60cm, direction: side-to-side, first_center: 0}]
fixtures:
  - {name: lamp, type: can, at: {from_left: 2m, from_front: 1m}}
speakers:
  - {name: one, type: flush, at: {from_left: 1m, from_front: 2m}}
schemes:
  bare: {remove: [lamp]}
  more: {speakers: {two: {type: flush, at: {from_left: 3m, from_front: 2m}}}}
"""
SHOP = """\
format: 1
catalog: Shop
members: {deep: 45mm x 240mm}
fixture_types:
  can: {kind: can light, cutout: 15cm, body: 19cm}
  spare: {kind: can light}
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 20cm, bezel: 23cm}
  other: {mount: stand, aiming: fixed, subwoofer: true}
"""
LISTED = "catalogs: [shop.yaml]"


@pytest.fixture(autouse=True)
def config(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    (tmp_path / "config" / "earshed").mkdir(parents=True)
    return tmp_path / "config" / "earshed"


def refusal(path: Path, scheme: str | None = None) -> SceneError:
    with pytest.raises(SceneError) as refused:
        read_scene(path, scheme)
    return refused.value


def told_at(error: SceneError, mark: Mark, words: list[str]) -> None:
    assert error.mark == mark, error
    assert str(error) == f"{error.mark}: {error.message}"
    for word in words:
        assert word in error.message
    assert "\n" not in error.message


def test_the_good_files_are_good(tmp_path: Path) -> None:
    path = put(tmp_path, den=DEN, shop=SHOP)
    assert [speaker.name for speaker in read_scene(path, "more").speakers] == ["one", "two"]


IN_THE_SCENE = [
    # what to change in the scene, to what (¦ stands where the message must point), the words that must be said
    (LISTED, "catalogs: ¦shop.yaml", "must be a list", "[generic, my-types.yaml]"),
    (LISTED, "catalogs: ¦{shop.yaml: yes}", "must be a list"),
    (LISTED, "catalogs:¦", "must be a list"),
    (LISTED, "catalogs: [shop.yaml, ¦[a.yaml]]", "list of file names"),
    (LISTED, "catalogs: [shop.yaml, generic, ¦shop.yaml]", "shop.yaml is named already on line 4"),
    (LISTED, "catalogs: [generic, ¦generic]", "generic is named already"),
    (LISTED, "catalogs: [¦'']", "needs a file name"),
    (LISTED, "catalogs: [¦../shop.yaml]", "../shop.yaml is not a plain file name", "in one folder"),
    (LISTED, "catalogs: [¦types/shop.yaml]", "types/shop.yaml is not a plain file name"),
    (LISTED, "catalogs: [¦types\\shop.yaml]", "not a plain file name"),
    (LISTED, "catalogs: [¦C:shop.yaml]", "not a plain file name"),
    (LISTED, "catalogs: [¦/etc/shop.yaml]", "not a plain file name"),
    (LISTED, "catalogs: [¦..]", "not a plain file name"),
    (LISTED, "catalogs: [¦shopp.yaml]", "no catalog shopp.yaml", "beside the scene", "your configuration folder",
     "earshed", "there are shop.yaml, generic"),
    (LISTED, "catalogs: [¦shop]", "no catalog shop:", "shop.yaml"),
    (LISTED, "catalogs: [¦" + "x" * 5000 + "]", "no catalog xxx", "shop.yaml"),
    (LISTED, "catalogs: [¦den.yaml]", "den.yaml is a scene, not a catalog", "catalog: TITLE"),
    (LISTED, "catalogs: [shop.yaml, ¦up.yaml]", "up.yaml is an overlay, not a catalog"),
    ("  bare: {remove: [lamp]}", "  bare: {¦catalogs: [generic]}", 'scheme "bare"', "top of a scene"),
    # names that nothing brings
    (LISTED + "\n", "# none\n", "fixture \"lamp\", type", "no fixture type called can", "there are none yet",
     "`catalogs: [generic]` brings types by size"),
    ("type: can", "type: ¦cann", 'fixture "lamp", type', "no fixture type called cann", "did you mean can?"),
    ("type: can", "type: ¦zzz", 'fixture "lamp", type', "there are can, spare"),
    ("type: can", "type: ¦[can]", 'fixture "lamp", type', "must be the name of a fixture type"),
    ("type: can", "type: ¦''", 'fixture "lamp", type', "must be the name of a fixture type"),
    ("{name: lamp, type: can, ", "¦{name: lamp, ", 'fixture "lamp"', "needs `kind` (or `type`, one of the fixture_ty"),
    ("type: can", "type: can, kind: ¦box", 'fixture "lamp", kind', "can is a can light, not a box"),
    ("{name: lamp, type: can, ", "¦{name: lamp, type: spare, ", 'fixture "lamp"', "needs `cutout`"),
    ("type: can", "type: can, ¦colour: red", 'fixture "lamp"', "`colour` is not a key"),
    ("type: can", "type: can, body: ¦wide", 'fixture "lamp", body', "wide is not a length"),
    ("flush, at: {from_left: 1m", "¦flsh, at: {from_left: 1m", 'speaker "one", type', "did you mean flush?"),
    ("member: deep", "member: ¦deeep", 'framing "joists", member', "deeep", "2x10", "1-3/4in x 9-1/2in",
     "a name under members", "did you mean deep?"),
    # a scene's own types and members
    (LISTED, f"{LISTED}\nfixture_types: {{lid: {{kind: ¦crate}}}}", 'fixture type "lid"', "can light", "crate"),
    (LISTED, f"{LISTED}\nfixture_types: {{lid: ¦box}}", 'fixture type "lid"', "needs keys, not box"),
    (LISTED, f"{LISTED}\nfixture_types: {{can: {{kind: can light, cutout: ¦15}}}}", 'fixture type "can", cutout'),
    (LISTED, f"{LISTED}\nfixture_types: {{lid: {{kind: box, ¦wdth: 1m}}}}", "`wdth`", "did you mean `width`?"),
    (LISTED, f"{LISTED}\nfixture_types: {{lid: {{kind: box, ¦at: {{}}}}}}", "`at` is said of each fixture, not of its"),
    (LISTED, f"{LISTED}\nmembers: {{deep: ¦2x9}}", 'member "deep"', "2x9 must be", "2x10"),
    (LISTED, f"{LISTED}\nmembers: ¦[2x9]", "members", "needs keys, not a list"),
    (LISTED, f"{LISTED}\nmembers: {{chair: ¦2x4}}", 'member "chair"', "already called chair"),
    (LISTED, f"{LISTED}\nfixture_types: {{chair: ¦{{kind: box}}}}", 'fixture type "chair"', "already called chair"),
    (LISTED, f"{LISTED}\n¦catalogue: []", "`catalogue`", "did you mean `catalogs`?"),
    (LISTED, f"{LISTED}\n¦fixture_type: {{}}", "`fixture_type`", "did you mean `fixture_types`?"),
    (LISTED, f"{LISTED}\n¦base_on: x.yaml", "`base_on`", "did you mean `based_on`?"),
    (LISTED, f"{LISTED}\n¦zzz: []", "Allowed: ", "catalogs", "fixture_types", "members"),
    ("  bare: {remove: [lamp]}", "  bare: {members: ¦2x4}", 'scheme "bare", members', "names"),
    ("  bare: {remove: [lamp]}", "  bare: {members: {deep: ¦[2x4]}}", 'member "deep"', "a member's size"),
    ("  bare: {remove: [lamp]}", "  bare: {fixture_types: {can: ¦box}}", "can", "needs the keys that change"),
    ("  bare: {remove: [lamp]}", "  bare: {remove: [can]}", "under scheme \"bare\"", "no fixture type called can"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "words"), [(old, new, words) for old, new, *words in IN_THE_SCENE])
def test_slips_in_the_scene(tmp_path: Path, old: str, new: str, words: list[str]) -> None:
    assert DEN.count(old) == 1
    text = DEN.replace(old, new)
    if "¦" not in text:
        text = text.replace("type: can", "type: ¦can")
    path, mark = put_marked(tmp_path, den=text, shop=SHOP, up="format: 1\nbased_on: den.yaml\n")
    told_at(refusal(path), mark, words)
    assert "brought in" not in refusal(path).message


def test_a_scene_without_catalogs_is_told_of_the_shipped_one(tmp_path: Path) -> None:
    text = DEN.replace(LISTED, "").replace("type: can", "kind: can light, cutout: 9cm").replace("deep", "2x8")
    path, mark = put_marked(tmp_path, den=text.replace("flush, at: {from_left: 1m", "¦flush, at: {from_left: 1m"))
    told_at(refusal(path), mark, ["no speaker type called flush", "none yet", "`catalogs: [generic]` brings types by"])
    put(tmp_path, den=text.replace("title: Den", "title: Den\ncatalogs: [generic]"))
    assert "no speaker type called flush; did you mean flush" in refusal(path).message
    assert "catalogs:" not in refusal(path).message


def test_one_slip_in_a_type_is_told_once(tmp_path: Path) -> None:
    lamps = "".join(f"  - {{name: lamp {n}, type: can, at: {{from_left: 1m, from_front: {n}m}}}}\n" for n in range(5))
    text = DEN.replace("fixtures:\n", f"fixture_types: {{can: {{kind: can light, cutout: ¦9}}}}\nfixtures:\n{lamps}")
    path, mark = put_marked(tmp_path, den=text, shop=SHOP)
    error = refusal(path)
    told_at(error, mark, ['fixture type "can", cutout'])
    assert error.others == ()


IN_THE_CATALOG = [
    ("format: 1", "format: ¦2", "format", "must be 1, not 2"),
    ("format: 1\n", "# none\n¦", "needs `format`"),
    ("format: 1\ncatalog: Shop\n", "¦format: 1\n", "needs `catalog`"),
    ("catalog: Shop", "catalog: ¦[Shop]", "catalog", "text"),
    ("catalog: Shop", "catalog: Shop\n¦catalogs: [generic]", "a catalog brings no catalogs of its own"),
    ("catalog: Shop", "catalog: Shop\n¦catalogs: [shop.yaml]", "a catalog brings no catalogs of its own"),
    ("catalog: Shop", "catalog: Shop\n¦room: {}", "`room` is not a key here", "speaker_types"),
    ("catalog: Shop", "catalog: Shop\n¦bare_lengths: in", "`bare_lengths` is not a key here"),
    ("catalog: Shop", "catalog: Shop\n¦speakers: []", "did you mean `speaker_types`?"),
    ("catalog: Shop", "catalog: Shop\n¦catalog: Shop", "a second time"),
    ("catalog: Shop", "catalog: ¦@home", "cannot begin a value"),
    ("  other: {mount: stand", "  other: {mount: ¦shelf", 'speaker type "other", mount', "in-ceiling", "shelf"),
    ("  other: {mount: stand, ", "  other: ¦{", 'speaker type "other"', "needs `mount`"),
    ("  other:", "  ¦flush:", "`flush` stands here a second time"),
    ("bezel: 23cm", "bezel: ¦23", 'speaker type "flush", bezel', "23 has no unit"),
    (
        "{mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 20cm",
        "¦{mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 24cm",
        'speaker type "flush"',
        "bezel",
        "cutout",
    ),
    ("{kind: can light}", "{kind: ¦crate}", 'fixture type "spare"', "can light", "crate"),
    ("{kind: can light}", "¦{cutout: 10cm}", 'fixture type "spare"', "needs `kind`"),
    ("{kind: can light}", "{kind: can light, ¦name: x}", 'fixture type "spare"', "`name` is said of each fixture"),
    ("{kind: can light}", "{kind: can light, ¦from_left: 0}", "`from_left` is said of each fixture"),
    ("{kind: can light}", "{kind: can light, ¦type: can}", "`type` is not a key here"),
    ("{deep: 45mm x 240mm}", "{deep: ¦45 x 240}", 'member "deep"', "1-3/4in x 9-1/2in"),
    ("{deep: 45mm x 240mm}", "{deep: 45mm x 240mm, odd: ¦deep}", 'member "odd"', "deep must be"),
    ("{deep: 45mm x 240mm}", "¦[deep]", "members", "needs keys"),
]


@pytest.mark.parametrize(("old", "new", "words"), [(old, new, words) for old, new, *words in IN_THE_CATALOG])
def test_slips_in_the_catalog_point_into_it_and_name_the_line_that_brought_it_in(
    tmp_path: Path, old: str, new: str, words: list[str]
) -> None:
    """The scene uses neither `other` nor `spare`: a catalog is checked as a whole."""
    assert SHOP.count(old) == 1
    text = SHOP.replace(old, new)
    den, mark = put_marked(tmp_path, den=DEN, shop=text)
    line = f"(brought in by {den}:4:12)"
    error = refusal(den)
    told_at(error, mark, [*words, line])
    assert all(line in other.message for other in error.others)
    up = put(tmp_path, up="format: 1\nbased_on: den.yaml\n")
    told_at(refusal(up), mark, [*words, f"(brought in by {den}:4:12, itself by {up}:2:11)"])


def test_all_slips_of_a_catalog_are_told_at_once(tmp_path: Path) -> None:
    den = put(tmp_path, den=DEN, shop=SHOP.replace("20cm", "20").replace("stand", "shelf").replace("15cm", "15"))
    error = refusal(den)
    assert [problem.mark.line for problem in (error, *error.others)] == [5, 8, 9]
    assert all(problem.message.endswith(f"(brought in by {den}:4:12)") for problem in (error, *error.others))


BAD_FILES = [
    (b"", 1, "empty"),
    (b"format: 1\ncatalog: caf\xe9\n", 2, "UTF-8"),
    (b"catalog: " + b"x" * LARGEST_FILE, 1, "larger than 2 MB"),
    (b"- a\n", 1, "list of keys"),
    (None, 1, "cannot read the file"),
]


@pytest.mark.parametrize(("raw", "line", "word"), BAD_FILES, ids=["empty", "latin-1", "large", "list", "folder"])
def test_files_that_are_no_catalog(tmp_path: Path, raw: bytes | None, line: int, word: str) -> None:
    den, shop = put(tmp_path, den=DEN), tmp_path / "shop.yaml"
    if raw is None:
        shop.mkdir()
    else:
        shop.write_bytes(raw)
    told_at(refusal(den), Mark(str(shop), line, 1), [word, f"(brought in by {den}:4:12)"])


def test_a_catalog_that_is_not_there_is_looked_for_in_two_places(tmp_path: Path, config: Path) -> None:
    den = put(tmp_path, den=DEN, attic=DEN, up="format: 1\nbased_on: den.yaml\n")
    assert "there are generic" in refusal(den).message
    put(config, house=SHOP)
    put(tmp_path, **{f"shop {n}": f"# a comment\n{SHOP}" for n in range(3)})
    message = refusal(den).message
    assert str(tmp_path) in message
    assert str(config) in message
    assert "there are shop 0.yaml, shop 1.yaml, shop 2.yaml, house.yaml, generic" in message


def test_a_catalog_is_no_scene(tmp_path: Path) -> None:
    path, mark = put_marked(tmp_path, shop=SHOP.replace("catalog:", "¦catalog:"))
    told_at(refusal(path), mark, ["this is a catalog", "`catalogs: [shop.yaml]`"])


def test_a_slip_as_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    den = put(tmp_path, den=DEN, shop=SHOP.replace("stand", "shelf"))
    assert run(["check", str(den), "--json"]) == 2
    error = json.loads(capsys.readouterr().out)["error"]
    assert (error["file"], error["line"], error["column"]) == (str(tmp_path / "shop.yaml"), 9, 18)
    assert f"brought in by {den}:4:12" in error["message"]


JUNK = [
    "",
    "{",
    "}",
    "[]",
    "{}",
    "'",
    "-",
    ":",
    "\t",
    "&a x",
    "*a",
    "!x y",
    "\0",
    "x" * 300,
    "5' 6",
    "generic",
    "remove",
]
UP = """\
format: 1
based_on: den.yaml
scheme: more
speakers: {two: {at: {from_left: 1m, from_front: 3m}}}
remove: [lamp]
members: {deep: 2x4}
"""


@pytest.mark.parametrize("damaged", ["den", "shop", "up"])
def test_whatever_stands_in_them_reading_ends_in_a_scene_or_in_a_place(tmp_path: Path, damaged: str) -> None:
    rng, seen = random.Random(f"{damaged} 1959"), set()
    files = {"den": DEN, "shop": SHOP, "up": UP}
    put(tmp_path, **files)
    assert read_scene(tmp_path / "up.yaml").speakers[1].position == pytest.approx([1, -3, 2.5])
    for _ in range(150):
        text = files[damaged]
        for _ in range(rng.choice([1, 1, 3])):
            at = rng.randrange(len(text))
            text = text[:at] + rng.choice(JUNK) + text[at + rng.choice([0, 1, 5]) :]
        put(tmp_path, **{**files, damaged: text})
        try:
            seen.add(type(read_scene(tmp_path / "up.yaml")))
        except SceneError as error:
            seen.add(SceneError)
            for problem in (error, *error.others):
                assert Path(problem.mark.file).name in ("den.yaml", "shop.yaml", "up.yaml")
                assert ("brought in by" in problem.message) == (Path(problem.mark.file).name != "up.yaml")
                assert "\n" not in problem.message
    assert SceneError in seen  # the damage did harm

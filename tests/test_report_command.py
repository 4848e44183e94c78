"""earshed report as it is asked: what is taken where nothing is said, files, letterheads, and how it ends."""

from __future__ import annotations

import contextlib
import io
import json
import re
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from earshed.model.scene_file.problem import SceneError
from earshed.viewer.cli import run
from earshed.viewer.output import OutputError
from earshed.viewer.report import shots, writing
from earshed.viewer.report.asked import chosen
from earshed.viewer.report.logos import LARGEST, logo_picture
from earshed.viewer.report.report import head_of
from earshed.viewer.report.summary import summary
from tests.compared_rooms import DEN, SCENES
from tests.pdf_pages import pages_of
from tests.reports import facts, none_here
from tests.scene_files import put

README = (Path(__file__).resolve().parent.parent / "README.md").read_text("utf-8")
OFFICE = next(path for path in SCENES if path.stem == "office")


def printed(*line: object) -> tuple[int, str, str]:
    """Exit code, stdout and stderr of a command line."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run([str(word) for word in line])
    return code, out.getvalue(), err.getvalue()


def den(folder: Path, *schemes: str, letter: str = "") -> Path:
    head = f"format: 1\nletterhead: {{{letter}}}\n" if letter else "format: 1\n"
    lines = "schemes:\n" + "".join(f"  {scheme}: {{}}\n" for scheme in schemes) if schemes else ""
    return put(folder, den=DEN.replace("format: 1\n", head) + lines)


@pytest.fixture
def without_rooms(monkeypatch):
    monkeypatch.setattr(shots, "trying_gl", none_here)


# --- which scene, against which


@pytest.mark.parametrize(
    ("schemes", "asked", "taken"),
    [
        ((), (None, None), (None, "")),
        (("as found", "proposed", "b"), (None, None), ("proposed", "as found")),
        (("only",), (None, None), ("only", None)),
        (("as found",), (None, None), (None, "")),
        (("as found", "b"), ("b", None), ("b", "as found")),
        (("a", "b"), ("b", None), ("b", None)),
        (("a", "b"), ("b", "a"), ("b", "a")),
        (("as found", "proposed"), ("as found", None), ("as found", "")),
        (("as found", "proposed"), ("base", None), (None, "")),
    ],
)
def test_which_two_are_taken(tmp_path, schemes, asked, taken):
    """None is the scene itself; nothing before is an empty name here."""
    now, then = chosen(den(tmp_path, *schemes), *asked)
    assert (now.scheme, "" if then is None else then.scheme) == taken


def test_where_it_is_not_clear_it_asks(tmp_path):
    with pytest.raises(OutputError, match="--scheme NAME, of a, b, base"):
        chosen(den(tmp_path, "a", "b"), None, None)


# --- files


def test_the_readme_says_what_it_says():
    quoted = re.search(r"<!-- report printed -->\n((?:> .*\n)+)", README)
    assert quoted
    assert " ".join(quoted[1].replace("> ", "").split()) == summary(facts(OFFICE))[0]


def test_a_page_and_its_document(tmp_path, without_rooms):
    path, out = den(tmp_path, "as found", "proposed"), tmp_path / "new" / "report.html"
    code, told, err = printed("report", path, "--out", out, "--date", "2030-01-02", "--json")
    assert (code, err) == (0, "")
    document = json.loads(told)
    assert (document["scheme"], document["before"], document["files"]) == ("proposed", "as found", [str(out)])
    text = out.read_text("utf-8")
    assert "2030-01-02" in text
    assert "Pictures of the room are left out: no OpenGL library." in text
    assert "Technical appendix" not in text
    assert printed("report", path, "--out", out)[0] == 2
    assert printed("report", path, "--out", out, "--force")[0] == 0


def test_the_appendix_is_the_sheets_numbered_on(tmp_path, without_rooms):
    path = den(tmp_path)
    page, paper, bare = (tmp_path / name for name in ("a.html", "a.pdf", "b.pdf"))
    for file, more in ((page, ["--appendix"]), (paper, ["--appendix"]), (bare, [])):
        assert printed("report", path, "--out", file, *more)[0] == 0
    pages, alone = pages_of(paper, dpi=20), pages_of(bare, dpi=20)
    assert len(pages) > len(alone) + 3
    assert f"page {len(pages)} of {len(pages)}" in pages[-1].text
    assert "Sheet 1 of" in page.read_text("utf-8")


def test_other_endings_and_papers(tmp_path, without_rooms):
    path = den(tmp_path)
    code, _, err = printed("report", path, "--out", tmp_path / "report.docx")
    assert (code, "report.docx: a report is written as .html, or as .pdf" in err) == (2, True)
    assert printed("report", path, "--out", tmp_path / "r.pdf", "--paper", "letter")[0] == 0
    assert pages_of(tmp_path / "r.pdf", dpi=20)[0].width == pytest.approx(215.9, abs=0.1)


def test_what_cannot_be_built_ends_with_1(tmp_path, without_rooms):
    text = DEN.replace("{from_left: 4, from_front: 4}", "{from_left: 1.9, from_front: 2.05}")
    code, told, _ = printed("report", put(tmp_path, den=text), "--out", tmp_path / "r.html")
    assert (code, "wrote" in told) == (1, True)


def test_the_bar_is_full_at_the_end(tmp_path, without_rooms):
    class Bar:
        told = 0

        def update(self, n_steps):
            self.told += n_steps

    bar = Bar()
    path = den(tmp_path)
    found = writing.written(path, *chosen(path, None, None), "2030-01-02", writing.Wanted(False, False, None), bar)
    assert bar.told >= writing.STEPS
    assert found[1].startswith(b"<!doctype html>")


@pytest.mark.parametrize("at_terminal", [True, False])
def test_a_bar_is_shown_at_a_terminal_alone(tmp_path, without_rooms, monkeypatch, at_terminal):
    shown = io.StringIO()
    monkeypatch.setattr(shown, "isatty", lambda: at_terminal, raising=False)
    path = den(tmp_path)
    with contextlib.redirect_stderr(shown), contextlib.redirect_stdout(io.StringIO()):
        assert run(["report", str(path), "--out", str(tmp_path / "r.html")]) == 0
    assert ("100%" in shown.getvalue()) is at_terminal


# --- letterheads


def logo(folder: Path, name: str, size: tuple[int, int], kind: str = "PNG") -> None:
    Image.fromarray(np.zeros((size[1], size[0], 3), dtype=np.uint8)).save(folder / name, kind)


def test_logos_are_shown_at_a_size_for_a_page(tmp_path):
    logo(tmp_path, "ours.png", (3000, 500))
    logo(tmp_path, "theirs.jpg", (40, 20), "JPEG")
    path = den(tmp_path, letter="client: A, logo: ours.png, client_logo: theirs.jpg, color: 2a7f8e")
    head = head_of(facts(path))
    assert head.logo is not None
    assert head.client_logo is not None
    assert head.logo.size == (LARGEST[0], 150)
    assert head.client_logo.size == (40, 20)
    assert (head.client, head.color) == ("A", "#2a7f8e")


@pytest.mark.parametrize("key", ["logo", "client_logo"])
@pytest.mark.parametrize("cut", [9, 60])
def test_a_logo_that_is_no_picture_is_told_with_its_key(tmp_path, key, cut):
    logo(tmp_path, "whole.png", (60, 40))
    (tmp_path / "half.png").write_bytes((tmp_path / "whole.png").read_bytes()[:cut])
    path = den(tmp_path, letter=f"{key}: half.png")
    scene, _ = chosen(path, None, None)
    with pytest.raises(SceneError, match=f"letterhead, {key}: half.png cannot be shown") as raised:
        logo_picture(getattr(scene.letterhead, key), key, path)
    assert (raised.value.mark.file, raised.value.mark.line) == (str(path), 2)
    assert printed("report", path, "--out", tmp_path / "r.html")[0] == 2
    assert not (tmp_path / "r.html").exists()


def test_a_logo_with_holes_in_it_is_on_white(tmp_path):
    Image.new("RGBA", (8, 8), (0, 0, 0, 0)).save(tmp_path / "clear.png")
    scene, _ = chosen(den(tmp_path, letter="logo: clear.png"), None, None)
    shown = logo_picture(scene.letterhead.logo, "logo", tmp_path / "den.yaml")
    assert shown is not None
    assert shown.getpixel((3, 3)) == (255, 255, 255)


def test_signs_that_no_font_has_are_no_matter(tmp_path, without_rooms):
    """A warning would be an error here."""
    text = (
        DEN.replace("name: stool", "name: 座席").replace("name: top", "name: 天井").replace("title: Den", "title: 书房")
    )
    path = put(tmp_path, den=text)
    for kind in ("html", "pdf"):
        assert printed("report", path, "--out", tmp_path / f"r.{kind}", "--appendix")[0] == 0
    assert "书房" in (tmp_path / "r.html").read_text("utf-8")

"""Files that come out whole or not at all, and names that stay apart on any file system."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.viewer.output import OutputError, file_name, file_names, make_folder, refuse_existing, write_whole

RESERVED = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))}
"""Names that Windows keeps for devices (Naming Files, Paths, and Namespaces: value from memory)."""

FULL = OSError(errno.ENOSPC, "No space left on device")
STOPS = [FULL, OSError(errno.EIO, "Input/output error"), KeyboardInterrupt(), ValueError("slip"), MemoryError()]
names = st.lists(st.text(max_size=70) | st.sampled_from(["A b", "a-b", "a b", "a_b", "", "..", "con", "å", "é" * 300]))


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.fixture
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("out")


# --- whole or not at all


@given(
    chunks=st.lists(st.binary(max_size=40), max_size=6),
    stop=st.sampled_from(STOPS),
    after=st.integers(0, 6),
    before=st.none() | st.binary(max_size=40),
)
def test_whatever_stops_the_writing_leaves_what_was_there(tmp_path_factory, chunks, stop, after, before):
    """Writing stops after any number of pieces, or never: the file is the whole new one or exactly the old one."""
    folder = tmp_path_factory.mktemp("out")
    path = folder / "a.bin"
    if before is not None:
        path.write_bytes(before)

    def write(file):
        for index, chunk in enumerate(chunks):
            if index == after:
                raise stop
            file.write(chunk)

    if after >= len(chunks):
        write_whole(path, write)
        assert contents(folder) == {"a.bin": b"".join(chunks)}
        return
    with pytest.raises(OutputError if isinstance(stop, OSError) else type(stop)):
        write_whole(path, write)
    assert contents(folder) == ({} if before is None else {"a.bin": before})


@pytest.mark.parametrize("step", ["fdopen", "chmod", "replace"])
@pytest.mark.parametrize("stop", [FULL, KeyboardInterrupt()], ids=["full", "stopped"])
def test_any_step_of_the_system_may_fail(folder, monkeypatch, step, stop):
    path = folder / "a.bin"
    path.write_bytes(b"before")

    def fail(*_args, **_more):
        raise stop

    monkeypatch.setattr(os if step == "fdopen" else Path, step, fail)
    with pytest.raises(OutputError if isinstance(stop, OSError) else type(stop)):
        write_whole(path, lambda file: file.write(b"after"))
    assert contents(folder) == {"a.bin": b"before"}


def test_a_disk_that_fills_only_when_the_file_is_closed(folder, monkeypatch):
    """Bytes may wait in a buffer until then."""
    path = folder / "a.bin"
    fdopen = os.fdopen

    class LateToFail:
        def __init__(self, *arguments):
            self.file = fdopen(*arguments)

        def __enter__(self):
            return self.file

        def __exit__(self, *_):
            self.file.close()
            raise FULL

    monkeypatch.setattr(os, "fdopen", LateToFail)
    with pytest.raises(OutputError, match="No space left"):
        write_whole(path, lambda file: file.write(b"after"))
    assert contents(folder) == {}


def test_the_old_file_stays_until_the_new_one_is_complete(folder):
    path = folder / "a.bin"
    path.write_bytes(b"before")

    def write(file):
        file.write(b"half")
        file.flush()
        assert path.read_bytes() == b"before"
        parts = [part for part in folder.iterdir() if part != path]
        assert [part.suffix for part in parts] == [".part"]
        assert all(part.name.startswith(".") for part in parts)

    write_whole(path, write)
    assert contents(folder) == {"a.bin": b"half"}


def test_files_get_the_rights_that_new_files_have(folder):
    made = folder / "plain.bin"
    made.touch()
    write_whole(folder / "a.bin", lambda file: file.write(b"x"))
    assert stat.S_IMODE((folder / "a.bin").stat().st_mode) == stat.S_IMODE(made.stat().st_mode)


# --- refusals say where and why


def test_refusals_name_the_place(folder):
    (folder / "file").write_bytes(b"x")
    with pytest.raises(OutputError, match=str(folder / "none")):
        write_whole(folder / "none" / "a.bin", lambda file: file.write(b"x"))
    with pytest.raises(OutputError, match=str(folder / "file" / "below")):
        make_folder(folder / "file" / "below")
    with pytest.raises(OutputError, match="file"):
        make_folder(folder / "file")
    with pytest.raises(OutputError, match=str(folder)):
        write_whole(folder, lambda file: file.write(b"x"))
    assert contents(folder) == {"file": b"x"}


def test_existing_files_are_refused_unless_forced(folder):
    paths = [folder / name for name in ("a", "b", "c")]
    refuse_existing(paths, force=False)
    paths[1].touch()
    with pytest.raises(OutputError, match=r"b exists already.*--force"):
        refuse_existing(paths, force=False)
    paths[2].touch()
    with pytest.raises(OutputError, match="1 more"):
        refuse_existing(paths, force=False)
    refuse_existing(paths, force=True)


def test_a_folder_that_exists_is_no_trouble(folder):
    make_folder(folder / "one" / "two")
    make_folder(folder / "one" / "two")
    assert (folder / "one" / "two").is_dir()


# --- names


@given(st.text(max_size=400))
def test_a_file_name_fits_any_file_system(name):
    made = file_name(name)
    assert made
    assert set(made) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert len(made) <= 60
    assert not made.startswith("-")
    assert file_name(made) == made or made.endswith("-")  # already fit


@given(names)
def test_distinct_names_get_distinct_files(many):
    distinct = list(dict.fromkeys(many))
    made = file_names(distinct)
    assert list(made) == distinct
    assert len(set(made.values())) == len(distinct)
    assert all(len(stem) <= 60 for stem in made.values())


def test_names_that_collapse():
    """What differs in case, signs or script alone, what is too long, and what is nothing."""
    same = [
        "A b",
        "a-b",
        "a  b",
        "a_b",
        "a-b-2",
        "a.b",
        "Ab",
        "",
        "..",
        "/",
        "å",
        "視聴",
        "x" * 300,
        "x" * 299,
        "x" * 60,
    ]
    made = file_names(same)
    assert len(set(made.values())) == len(same)
    assert made["A b"] == "a-b"
    assert all(set(stem) <= set("abcdefghijklmnopqrstuvwxyz0123456789-") for stem in made.values())


@given(names)
def test_no_picture_takes_a_name_that_windows_keeps(many):
    """Names of speakers stand behind a prefix, so that `con` and the like never stand alone."""
    for stem in file_names(dict.fromkeys([*many, *RESERVED])).values():
        assert f"speaker-{stem}" not in RESERVED

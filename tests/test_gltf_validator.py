"""The .glb of every shipped scene before the Khronos Group's own validator of glTF 2.0."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

from earshed.model.scene_file.read import read_scene
from earshed.viewer.gltf.room_file import Contents, room_glb
from tests.node import NODE, modules
from tests.test_gltf import GABLE, SCENES, scene_of

ASK = """
const { validateBytes } = require(process.argv[1]);
const { readFileSync } = require("node:fs");
(async () => {
  const found = {};
  for (const file of process.argv.slice(2)) {
    found[file] = (await validateBytes(new Uint8Array(readFileSync(file)))).issues;
  }
  console.log(JSON.stringify(found));
})();
"""
KNOWN = {"IMAGE_NPOT_DIMENSIONS"}
"""What it only tells: a texture whose sides are no powers of two, which programs of today take."""


def test_the_validator_finds_nothing(tmp_path: Path) -> None:
    """Every shipped scene as found with its cones and as proposed with all that can be shown; and one spoiled file."""
    library = modules("gltf-validator") / "gltf-validator"
    for path in SCENES:
        scene = read_scene(path, "as found")
        (tmp_path / f"{path.stem}-found.glb").write_bytes(room_glb(Contents(scene, scene.judged)))
        scene = read_scene(path, "proposed")
        (tmp_path / f"{path.stem}.glb").write_bytes(room_glb(Contents(scene, *[scene.judged] * 4)))
    hostile = scene_of(
        GABLE.replace("title: Gable", 'title: "<b>\\"\\u202e"').replace("name: chair", "name: 'a/b.c[0]:d'")
    )
    bare = room_glb(Contents(hostile))
    (tmp_path / "bare.glb").write_bytes(bare)
    (tmp_path / "spoiled.glb").write_bytes(bare.replace(b'"asset":{"version":"2.0"', b'"asset":{"version":"9.0"'))
    files = [str(file) for file in sorted(tmp_path.iterdir())]
    done = subprocess.run([NODE, "-e", ASK, str(library), *files], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert len(found) == 2 * len(SCENES) + 2
    assert found.pop(str(tmp_path / "spoiled.glb"))["numErrors"] > 0
    for file, issues in found.items():
        assert (issues["numErrors"], issues["numWarnings"]) == (0, 0), (file, issues["messages"])
        assert {message["code"] for message in issues["messages"]} <= KNOWN, file

"""Pages before those who check pages for a living: axe-core for people, html-validate for the markup."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from typing import Any

from tests.browser import opened
from tests.node import NODE, modules

VALIDATE = """
const { HtmlValidate } = require(process.argv[1]);
const { readFileSync } = require("node:fs");
(async () => {
  const validator = new HtmlValidate({ extends: ["html-validate:standard", "html-validate:a11y"] });
  const told = [];
  for (const file of process.argv.slice(2)) {
    const report = await validator.validateString(readFileSync(file, "utf8"));
    for (const result of report.results) for (const one of result.messages) told.push(`${one.ruleId}: ${one.message}`);
  }
  console.log(JSON.stringify(told));
})();
"""


def barriers(browser: Any, page: Path, *, when: str = "body", **window: Any) -> list[tuple[str, str, str]]:
    """What axe-core finds on a page once `when` is there: how bad, which rule, where. WCAG 2's contrast of 4.5 to 1 is
    among its rules."""
    axe = (modules("axe-core") / "axe-core" / "axe.min.js").read_text("utf-8")
    with opened(browser, page, before=axe, bypass_csp=True, **window) as found:
        found.page.wait_for_selector(when)
        report = found.page.evaluate("axe.run()")
    assert len(report["passes"]) > 20
    return [(one["impact"], one["id"], one["nodes"][0]["html"]) for one in report["violations"]]


def faults(*pages: Path) -> list[str]:
    """What html-validate finds in the text of pages."""
    library = modules("html-validate") / "html-validate"
    line = [NODE, "-e", VALIDATE, str(library), *map(str, pages)]
    done = subprocess.run(line, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    told: list[str] = json.loads(done.stdout)
    return told

"""The audit of dependencies is complete: each that pyproject.toml names has its row, with a reason."""

from __future__ import annotations

import re
import tomllib

from packaging.requirements import Requirement

from tests import dependencies


def test_each_dependency_has_its_row_in_the_audit():
    project = tomllib.loads((dependencies.ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    groups = (project["dependencies"], *project["optional-dependencies"].values())
    needed = {Requirement(line).name for group in groups for line in group} - {"stillwall"}
    told = (dependencies.ROOT / "DEVELOPERS.md").read_text("utf-8").partition("## Dependencies")[2]
    rows = dict(re.findall(r"^\| ([\w-]+) \| [^|]*\| [^|]*\| (.{5,}) \|$", told.partition("\n## ")[0], re.M))
    assert set(rows) == needed


def test_size_and_import_time_are_measured():
    assert dependencies.installed_mb("pytest") > 1.0
    assert dependencies.import_ms("json.tool") > 0.0

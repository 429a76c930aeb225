"""The list of lowest versions says what pyproject.toml allows."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_each_lower_bound_is_the_version_that_is_tried():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    extras = project["optional-dependencies"]
    wanted = [*project["dependencies"], *extras["pdf"], *extras["cluster"], *extras["test"]]
    bounds = {}
    for line in wanted:
        found = re.fullmatch(r"([\w-]+)>=([\d.]+)", line)
        if found is not None:
            bounds[found[1].lower()] = found[2]
    pins = dict(
        re.findall(r"^([\w-]+)==([\d.]+)$", (ROOT / "tests/constraints/lowest.txt").read_text("utf-8"), re.M)
    )
    assert {name.lower(): version for name, version in pins.items()} == bounds
    # What stands outside the list: the package's own extras, and a library that only Windows needs.
    assert [line for line in wanted if re.match(r"[\w-]+", line)[0].lower() not in bounds] == [
        next(line for line in wanted if line.startswith("tzdata")),
        *[line for line in wanted if line.startswith("stillwall[")],
    ]

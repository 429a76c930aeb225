"""Real open logs, where they lie beside the repository, under surveys whose walls and works are invented.

The houses: TRH-database and open data of the Finnish Meteorological Institute (CC BY 4.0). The nine rooms:
Candanedo, Feldheim and Deramaix, Energy and Buildings 140 (2017) 81-97 (CC BY 4.0). The office: Candanedo and
Feldheim, Energy and Buildings 112 (2016) 28-39 (CC BY 4.0). The four sides of a room: Singh et al., IEEE
Globecom Workshops 2018 (CC BY 4.0).
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from stillwall.assess import Assessment, open_survey

HERE = Path(__file__).parent
REAL_LOGS = HERE.parents[2] / "shared" / "data" / "logs"


@pytest.fixture(scope="session")
def real_logs() -> Path:
    """The folder of the real logs; tests that need it are skipped where it does not lie there."""
    if not REAL_LOGS.is_dir():
        pytest.skip("the real logs do not lie beside the repository")
    return REAL_LOGS


@pytest.fixture(scope="session")
def facts(real_logs: Path) -> dict[str, Any]:
    """What another script, written apart from this project, found in the same files."""
    found: dict[str, Any] = json.loads((real_logs / "facts.json").read_text("utf-8"))
    return found


@pytest.fixture(scope="session")
def folder_of(real_logs: Path, tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """A survey's folder with copies of the logs that it names."""
    made: dict[str, Path] = {}

    def build(name: str) -> Path:
        if name not in made:
            folder = tmp_path_factory.mktemp("real") / name
            (folder / "logs").mkdir(parents=True)
            survey = (HERE / name / "survey.toml").read_text("utf-8")
            (folder / "survey.toml").write_text(survey, "utf-8")
            for log in real_logs.iterdir():
                if f"logs/{log.name}" in survey:
                    shutil.copyfile(log, folder / "logs" / log.name)
            made[name] = folder
        return made[name]

    return build


@pytest.fixture(scope="session")
def opened(folder_of: Callable[[str], Path]) -> Callable[[str], Assessment]:
    """A survey with its logs at hand, opened once."""
    made: dict[str, Assessment] = {}

    def get(name: str) -> Assessment:
        if name not in made:
            made[name] = open_survey(folder_of(name), remember=False, jobs=1)
        return made[name]

    return get

"""Real exported files with answers worked out by hand, where they lie beside the repository."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from stillwall.errors import LogError
from stillwall.logs.quantities import convert
from stillwall.logs.read import read_log
from stillwall.record import Channel, Role
from stillwall.survey.loggers import LoggerSettings

STYLES = Path(__file__).parents[2].parent / "shared" / "data" / "styles"
ANSWERS = sorted(STYLES.glob("*.json")) if STYLES.is_dir() else []
ROLES: dict[str, Role] = {
    "temperature": "temperature", "relative_humidity": "humidity", "illuminance": "light", "dew_point": "dew_point",
}  # fmt: skip
UNITS = {"degF": "degF", "degC": "degC", "%RH": "%", "lx": "lx"}


def _moment(text: str, channel: Channel) -> np.datetime64:
    moment = np.datetime64(text[:19])
    if channel.utc and len(text) > 19:
        sign = 1 if text[19] == "+" else -1
        moment -= np.timedelta64(sign * (int(text[20:22]) * 60 + int(text[23:25])), "m")
    return moment


def _agrees(channel: Channel, answer: dict[str, Any]) -> bool:
    unit = UNITS.get(answer["unit"], "lx")

    def kept(value: float) -> float:
        return float(convert(np.array([value], np.float64), channel.role, unit)[0])

    told = len(answer["first"]["time"]) > 19
    return bool(
        len(channel.values) == answer["readings"]
        and channel.utc == told
        and channel.times[0] == _moment(answer["first"]["time"], channel)
        and channel.times[-1] == _moment(answer["last"]["time"], channel)
        and abs(channel.values[0] - kept(answer["first"]["value"])) < 1e-6
        and abs(channel.values[-1] - kept(answer["last"]["value"])) < 1e-6
        and abs(channel.values.min() - kept(answer["min"])) < 1e-6
        and abs(channel.values.max() - kept(answer["max"])) < 1e-6
        and abs(channel.values.mean() - kept(answer["sum"] / answer["readings"])) < 1e-5
    )


def test_real_exports_answer_as_they_should() -> None:
    for path in ANSWERS:
        answer = json.loads(path.read_text("utf-8"))
        log_path = path.parent / answer["file"]
        if answer["time"]["order"] == "undecidable":
            with pytest.raises(LogError) as refused:
                read_log(log_path, name=answer["file"])
            assert 'date_order = "' in refused.value.faults[0].fix
            log = read_log(log_path, name=answer["file"], settings=LoggerSettings(date_order="month-first"))
        else:
            log = read_log(log_path, name=answer["file"])
        wanted = [channel for channel in answer["channels"] if channel["role"] in ROLES]
        for channel in wanted:
            role = ROLES[channel["role"]]
            assert any(_agrees(found, channel) for found in log.channels if found.role == role), (
                path.name,
                channel,
            )
        assert {found.role for found in log.channels} == {ROLES[channel["role"]] for channel in wanted}

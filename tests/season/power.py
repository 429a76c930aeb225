"""False alarms on years without a change, and what changes are found: `python -m tests.season.power`."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from stillwall.record import Channel, Record, Role
from stillwall.reference.library import load_library
from stillwall.season import Logged, Season, look
from stillwall.survey.survey import Building, Room, Survey, SurveyHead

from .worlds import Worlds, make

SEASONS = (
    Season("winter", dt.date(2025, 12, 1), dt.date(2026, 2, 28)),
    Season("spring", dt.date(2026, 3, 1), dt.date(2026, 5, 31)),
    Season("summer", dt.date(2026, 6, 1), dt.date(2026, 8, 31)),
    Season("autumn", dt.date(2025, 9, 1), dt.date(2025, 11, 30)),
)


@dataclass(frozen=True)
class Tally:
    """Alerts by kind over pairs of seasons."""

    pairs: int
    any_alert: int
    by_kind: dict[str, int]


def survey() -> Survey:
    """A survey with one room."""
    tables = "walls pedestals holding_places openings lamps heat_sources routes works loggers"
    nothing: dict[str, Any] = {name: {} for name in tables.split()}
    return Survey(
        folder=Path(),
        head=SurveyHead(name="Larkmoor"),
        buildings={"hall": Building(id="hall")},
        rooms={"room": Room(id="room", building="hall")},
        **nothing,
    )


def channel(role: Role, worlds: Worlds, values: np.ndarray[tuple[int], np.dtype[np.float64]]) -> Channel:
    """One channel of a world."""
    units = {"temperature": "degC", "humidity": "%", "light": "lx"}
    return Channel(
        role=role, sensor=None, unit=units[role], unit_in_file=units[role], times=worlds.times, values=values,
        excluded=np.zeros(len(values), bool), flags=(), utc=False, logger=f"{role}.csv", accuracy=1.0,
    )  # fmt: skip


def record(worlds: Worlds, index: int, *, outdoors: bool) -> Record:
    """The record of one world's room."""
    outside = Record(
        place="outdoors",
        channels={
            "temperature": channel("temperature", worlds, worlds.outdoor_c[:, index]),
            "humidity": channel("humidity", worlds, worlds.outdoor_pct[:, index]),
        },
    )
    return Record(
        place="room",
        channels={
            "temperature": channel("temperature", worlds, worlds.indoor_c[:, index]),
            "humidity": channel("humidity", worlds, worlds.indoor_pct[:, index]),
            "light": channel("light", worlds, worlds.lux[:, index]),
        },
        outdoors=outside if outdoors else None,
    )


def tally(worlds: Worlds, *, outdoors: bool) -> Tally:
    """Look at one season of each world; worlds take the seasons in turn."""
    library, house = load_library(), survey()
    count = worlds.indoor_c.shape[1]
    kinds: dict[str, int] = {}
    alarmed = 0
    for index in range(count):
        season = SEASONS[index % 4]
        spot = look(house, library, Logged("room", None, record(worlds, index, outdoors=outdoors)), season)
        found = {alert.kind for alert in spot.alerts if alert.kind in ("temperature", "humidity", "light")}
        alarmed += bool(found)
        for kind in found:
            kinds[kind] = kinds.get(kind, 0) + 1
    return Tally(count, alarmed, kinds)


def main() -> None:
    """Print the table."""
    print("change | outdoors logged | pairs | any alert | temperature | humidity | light")
    for name, change in (
        ("none", {}),
        ("+1.5 K", {"warmer_k": 1.5}),
        ("+5 %RH", {"damper_pct": 5.0}),
        ("-5 %RH", {"damper_pct": -5.0}),
        ("evening light doubled", {"brighter": 2.0}),
    ):
        for outdoors in (True, False):
            found = tally(make(20261101 if not change else 20261102, 300, **change), outdoors=outdoors)
            kinds = ("temperature", "humidity", "light")
            shares = [found.by_kind.get(kind, 0) / found.pairs for kind in kinds]
            row = [
                name,
                "yes" if outdoors else "no",
                str(found.pairs),
                f"{found.any_alert / found.pairs:.3f}",
            ]
            print(" | ".join([*row, *(f"{share:.3f}" for share in shares)]))


if __name__ == "__main__":
    main()

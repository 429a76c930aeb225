"""How often the detectors see what happened and how often they see what did not, by size of event.

Run as ``python -m tests.detectors.study`` for the tables.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from stillwall.exposure.draughts import draughts_seen
from stillwall.exposure.fires import heat_seen
from tests.detectors.logged import record
from tests.detectors.rooms import simulate

FIRE_CLASSES_K = ((0.5, 1), (1, 2), (2, 3), (3, 4), (4, 6), (6, 20))
DOOR_CLASSES_K = ((0.4, 0.8), (0.8, 1.2), (1.2, 2), (2, 3), (3, 20))
DAYS_PER_MONTH = 30.4
MERGE_S = 600
"""Openings closer than this count as one."""


@dataclass
class Score:
    """Events by size, those seen, and false alarms."""

    classes: tuple[tuple[float, float], ...]
    happened: dict = field(default_factory=dict)
    seen: dict = field(default_factory=dict)
    false: int = 0
    days: float = 0.0

    def add(self, size_k: float, seen: bool) -> None:
        for limits in self.classes:
            if limits[0] <= size_k < limits[1]:
                self.happened[limits] = self.happened.get(limits, 0) + 1
                self.seen[limits] = self.seen.get(limits, 0) + bool(seen)

    def recall(self, least_k: float) -> float:
        """Share seen of the events of at least this size."""
        chosen = [limits for limits in self.classes if limits[0] >= least_k]
        return sum(self.seen[each] for each in chosen) / sum(self.happened[each] for each in chosen)

    @property
    def false_a_month(self) -> float:
        return self.false / (self.days / DAYS_PER_MONTH)


def fires(seed: int, *, rooms: int = 200, days: int = 120, log_s: int = 600, humidity: bool = True) -> Score:
    """Fires in rooms logged from November on."""
    run, sensor_c = simulate(
        seed, rooms=rooms, days=days, step_s=600, start="2025-11-01", what="fires", log_s=log_s
    )
    score = Score(FIRE_CLASSES_K)
    last = run.times[-1].astype("datetime64[D]")
    for room in range(rooms):
        wet = run.humidity_pct[:, room] if humidity else None
        seen = heat_seen(record("wall", run.times, run.temperature_c[:, room], wet), latitude_deg=52.0)
        evenings = set(seen.evenings)
        warmed = sensor_c[:, room] - run.without_c[:, room]
        after = int(7200 / log_s)
        happened = {}
        for start, end in run.events[room]:
            day = run.times[start].astype("datetime64[D]")
            happened[day] = float(warmed[start : end + after + 1].max())
        for day, size in happened.items():
            if day != last:
                score.add(size, day in evenings)
        score.false += sum(day not in happened and day - 1 not in happened for day in evenings)
        score.days += seen.season_days
    return score


def doors(seed: int, *, rooms: int = 200, days: int = 11, log_s: int = 60, lag_min=(0.5, 5.0)) -> Score:
    """Openings of an outside door in January, at a wall near it."""
    run, _ = simulate(
        seed,
        rooms=rooms,
        days=days,
        step_s=60,
        start="2026-01-10",
        what="doors",
        log_s=log_s,
        lag_min=lag_min,
    )
    score = Score(DOOR_CLASSES_K)
    every = log_s // 60
    after, before = 900 / log_s, 300 / log_s
    for room in range(rooms):
        out = record("out", run.times, run.weather.temperature_c[:, room], run.weather.humidity_pct[:, room])
        inside = record(
            "wall", run.times, run.temperature_c[:, room], run.humidity_pct[:, room], outdoors=out
        )
        seen = draughts_seen(inside)
        assert seen is not None
        found = (np.array(seen.times, "datetime64[s]") - run.times[0]).astype(np.int64) / log_s
        cooled = np.abs(run.air_c[:, room] - run.air_without_c[:, room])
        contrast = np.abs(run.weather.temperature_c[:, room] - run.without_c[:, room])
        explained = np.zeros(len(found), bool)
        for start, end in _merged(run.events[room], log_s):
            near = (found >= start - before) & (found <= end + after)
            explained |= near
            if contrast[start] >= 5.0:
                score.add(float(cooled[start * every : end * every + 3].max()), near.any())
        score.false += int((~explained).sum())
        score.days += seen.days
    return score


def _merged(events, log_s):
    made = []
    for start, end in events:
        if made and (start - made[-1][1]) * log_s < MERGE_S:
            made[-1] = (made[-1][0], end)
        else:
            made.append((start, end))
    return made


def _line(name: str, score: Score) -> str:
    cells = [
        f"{score.seen[each] / score.happened[each]:.2f} ({score.happened[each]})"
        for each in score.classes
        if score.happened.get(each)
    ]
    return f"| {name} | {' | '.join(cells)} | {score.false_a_month:.2f} |"


def main() -> None:
    """Print both tables."""
    head = " | ".join(f"{low:g} to {high:g} K" for low, high in FIRE_CLASSES_K)
    print(f"| fires | {head} | false a month |")
    for log_s in (600, 1800, 3600):
        print(_line(f"every {log_s // 60} min", fires(101, log_s=log_s)))
    print(_line("every 10 min, no humidity", fires(101, humidity=False)))
    head = " | ".join(f"{low:g} to {high:g} K" for low, high in DOOR_CLASSES_K)
    print(f"| doors | {head} | false a month |")
    for log_s, lag in (
        (60, (0.5, 5.0)),
        (120, (0.5, 5.0)),
        (300, (0.5, 5.0)),
        (300, (5.0, 12.0)),
        (600, (0.5, 5.0)),
        (900, (0.5, 5.0)),
    ):
        print(
            _line(
                f"every {log_s // 60} min, sensor {lag[0]:g} to {lag[1]:g} min",
                doors(202, log_s=log_s, lag_min=lag),
            )
        )


if __name__ == "__main__":
    main()

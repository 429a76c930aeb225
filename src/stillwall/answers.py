"""Answers: works judged at places, ranked, side by side."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stillwall.case import Case, Stay
from stillwall.judgement.moves.model import Plan, Problem
from stillwall.judgement.ranking import Ranked
from stillwall.judgement.verdict import Judged
from stillwall.opened import OpenSurvey
from stillwall.survey.survey import Place
from stillwall.survey.works import Work

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True, eq=False)
class Placed:
    """One work judged at one place."""

    work: Work
    place: Place
    case: Case
    judged: Judged
    problem: str = ""
    """Why a log of this place could not be used, where that is so."""


@dataclass(frozen=True, eq=False)
class WorkRanking:
    """Every place for one work, best first."""

    work: Work
    stay: Stay
    places: tuple[Ranked, ...]
    by_place: Mapping[str, Placed]
    present: Placed | None
    opened: OpenSurvey

    def to_frame(self) -> pd.DataFrame:
        """One row a place: rank, verdict, governing hazard, load, chances."""
        return _frame([(ranked, self.by_place[ranked.id]) for ranked in self.places], "wall")


@dataclass(frozen=True, eq=False)
class WallRanking:
    """Every work for one place, best first."""

    place: Place
    stay: Stay
    works: tuple[Ranked, ...]
    by_work: Mapping[str, Placed]
    opened: OpenSurvey

    def to_frame(self) -> pd.DataFrame:
        """One row a work."""
        return _frame([(ranked, self.by_work[ranked.id]) for ranked in self.works], "work")


@dataclass(frozen=True, eq=False)
class Vetting:
    """One work at one place, against where it is now."""

    placed: Placed
    ranked: Ranked
    stay: Stay
    present: Placed | None
    opened: OpenSurvey

    def to_frame(self) -> pd.DataFrame:
        """One row a load: hazard, kind, ratio with its interval, chance over 1, evidence, reason."""
        import pandas as pd

        return pd.DataFrame(
            [
                {
                    "hazard": load.hazard,
                    "kind": load.kind,
                    "ratio": load.ratio,
                    "low": load.low,
                    "high": load.high,
                    "chance_over": load.chance_over,
                    "barred": load.barred,
                    "evidence": load.evidence,
                    "reason": load.reason,
                }
                for load in self.placed.judged.loads
            ]
        )


@dataclass(frozen=True, eq=False)
class Matrix:
    """Works by places."""

    works: tuple[Work, ...]
    places: tuple[Place, ...]
    cells: Mapping[tuple[str, str], Placed]
    stay: Stay
    opened: OpenSurvey

    def to_frame(self) -> pd.DataFrame:
        """One row a cell."""
        import pandas as pd

        return pd.DataFrame(
            [
                {
                    "work": work,
                    "wall": wall,
                    "verdict": cell.judged.verdict,
                    "governing": cell.judged.governing,
                    "ratio": cell.judged.worst,
                }
                for (work, wall), cell in self.cells.items()
            ]
        )


@dataclass(frozen=True, slots=True)
class Question:
    """Something to find out, and the loads that wait for it: ``humidity at hall-west``."""

    what: str
    blocks: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class MovesAnswer:
    """The chain of moves, with the problem that it solves."""

    problem: Problem
    plan: Plan
    opened: OpenSurvey

    def to_frame(self) -> pd.DataFrame:
        """One row a step."""
        import pandas as pd

        return pd.DataFrame(
            [
                {"n": step.n, "work": step.work, "from": step.start, "to": step.end, "trip": trip.n}
                for trip in self.plan.trips
                for step in trip.steps
            ]
        )


def _frame(rows: Iterable[tuple[Ranked, Placed]], of: str) -> pd.DataFrame:
    import pandas as pd

    return pd.DataFrame(
        [
            {
                of: ranked.id,
                "rank": ranked.rank,
                "verdict": placed.judged.verdict,
                "governing": placed.judged.governing,
                "ratio": placed.judged.worst,
                "chance_any": placed.judged.chance_any,
                "chance_best": ranked.chance_best,
            }
            for ranked, placed in rows
        ]
    )

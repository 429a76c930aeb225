"""The only wiring: a survey and its logs in, every work judged at every place out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Hashable, Iterable, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np

from stillwall.case import Case, Site, Stay
from stillwall.draws import Draws
from stillwall.errors import Fault, InputError, LogError
from stillwall.hazards import loads
from stillwall.judgement.ranking import Ranked, rank
from stillwall.judgement.verdict import Judged, judge
from stillwall.logs.place import read_record
from stillwall.record import Record, Role
from stillwall.reference.library import Library, load_library
from stillwall.season import Logged, Spot, look, rooms_logged, season_of
from stillwall.survey.loggers import LogFileRef
from stillwall.survey.names import Nearest
from stillwall.survey.read import read_survey
from stillwall.survey.survey import HoldingPlace, Place, Survey
from stillwall.survey.works import Work
from stillwall.units import System

if TYPE_CHECKING:
    import pandas as pd

T = TypeVar("T")
ON_PEDESTALS = frozenset({"bust", "object"})
"""Kinds of works that stand on pedestals; all others hang on walls."""
HAZARDS_OF: Mapping[Role, tuple[str, ...]] = {
    "temperature": ("temperature", "ageing"),
    "humidity": ("humidity", "humidity_swing", "mould", "corrosion", "salts"),
    "light": ("light_dose", "ultraviolet", "sunlight"),
}
"""Hazards that a logged quantity feeds."""


def last_reading(record: Record) -> np.datetime64 | None:
    """Time of the last reading of a record."""
    return record.last


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


@dataclass(frozen=True, eq=False)
class OpenSurvey:
    """A survey with its logs at hand. Made by :func:`open_survey`."""

    survey: Survey
    library: Library
    draws: Draws
    system: System
    jobs: int | None = None
    asked_as_of: dt.date | None = None
    _sites: dict[str, Site] = field(default_factory=dict)
    _problems: dict[str, str] = field(default_factory=dict)
    _found: dict[str, dt.date] = field(default_factory=dict)

    # -- places ------------------------------------------------------------------------------

    def site(self, place_id: str) -> Site:
        """A place with its record, which is read when something first needs it."""
        if place_id not in self._sites:
            self._sites[place_id] = self._open_site(self.place(place_id))
        return self._sites[place_id]

    def history(self, work: Work) -> Site | None:
        """Where a work has been living: the place or log that the survey names, or None."""
        name = work.history or work.now_at
        if name is None:
            return None
        if name in self.survey.places:
            return self.site(name)
        key = f"history:{work.id}"
        if key not in self._sites:
            place = HoldingPlace(id=f"history-of-{work.id}"[:80], logs=(LogFileRef(file=name),))
            self._sites[key] = self._open_site(place)
        return self._sites[key]

    def place(self, place_id: str) -> Place:
        """A place by id; InputError with the nearest names where there is none."""
        return _named("wall", place_id, self.survey.places)

    def work(self, work_id: str) -> Work:
        """A work by id; InputError with the nearest names where there is none."""
        return _named("work", work_id, self.survey.works)

    def candidates(self, work: Work) -> tuple[Place, ...]:
        """Places where a work of this kind could be at all, in the survey's order."""
        survey = self.survey
        return tuple(survey.pedestals.values() if work.kind in ON_PEDESTALS else survey.walls.values())

    def _wishes(self, places: Iterable[Place]) -> dict[str, float]:
        wishes = {place.id: getattr(place, "preference", None) for place in places}
        return {name: wish for name, wish in wishes.items() if wish is not None}

    def _open_site(self, place: Place) -> Site:
        return Site(
            place=place,
            room=self.survey.room_of(place),
            building=self.survey.building_of(place),
            read=partial(self._read, place),
        )

    def _read(self, place: Place) -> Record:
        try:
            return read_record(self.survey, place)
        except LogError as error:
            self._problems[place.id] = str(error)
            return Record(place=place.id, channels={})

    # -- time --------------------------------------------------------------------------------

    @property
    def as_of(self) -> dt.date:
        """The day to judge from: as asked, else the last reading of any place, never the machine's clock."""
        if self.asked_as_of is not None:
            return self.asked_as_of
        if "last" not in self._found:
            ends = [self.site(name).exposure(last_reading) for name in self.survey.places]
            known = [end for end in ends if end is not None]
            if known:
                self._found["last"] = max(known).astype("datetime64[D]").item()
            elif self.survey.head.surveyed_on is not None:
                self._found["last"] = self.survey.head.surveyed_on
            else:
                raise InputError(
                    Fault(
                        where=str(self.survey.folder / "survey.toml"),
                        found="no readings and no 'surveyed_on', so there is no day to judge from",
                        expected="a log, or the date of the survey",
                        fix='give --as-of, or add surveyed_on = "2026-03-31" under [survey]',
                    )
                )
        return self._found["last"]

    def stay(self, work: Work | None, start: dt.date | None, end: dt.date | None) -> Stay:
        """The stay that is judged: as asked, else from ``as_of`` until the work leaves."""
        first = start or self.as_of
        last = end or (work.leaves if work is not None and work.leaves and work.leaves > first else None)
        if last is not None and last <= first:
            raise InputError(
                Fault(
                    where="--to",
                    found=f"the stay ends on {last} and begins on {first}",
                    expected="an end after the beginning",
                    fix="give a later --to or an earlier --from",
                )
            )
        return Stay(first, last)

    # -- judging -----------------------------------------------------------------------------

    def case(self, work: Work, place: Place, stay: Stay) -> Case:
        """One work at one place for one stay."""
        return Case(
            survey=self.survey,
            library=self.library,
            work=work,
            medium=self.library.media[work.medium],
            guideline=self.library.guidelines[work.guideline or self.survey.head.guideline],
            site=self.site(place.id),
            present=self.history(work),
            stay=stay,
            draws=self.draws,
        )

    def placed(self, work: Work, place: Place, stay: Stay, *, only_verdict: bool = False) -> Placed:
        """Judge one work at one place."""
        case = self.case(work, place, stay)
        found = loads(case)
        judged = judge(case, found, only_verdict=only_verdict)
        return Placed(work, place, case, judged, self._problems.get(place.id, ""))

    def present(self, work: Work, stay: Stay) -> Placed | None:
        """A work judged where it is now, where that is a surveyed place."""
        if work.now_at is None or work.now_at not in self.survey.places:
            return None
        return self.placed(work, self.survey.places[work.now_at], stay, only_verdict=True)

    # -- answers -----------------------------------------------------------------------------

    def rank(self, work: str, *, start: dt.date | None = None, end: dt.date | None = None) -> WorkRanking:
        """Rank every place for a work."""
        subject = self.work(work)
        places = self.candidates(subject)
        self.prepare([(subject, place) for place in places])
        stay = self.stay(subject, start, end)
        by_place = {place.id: self.placed(subject, place, stay) for place in places}
        present = self.present(subject, stay)
        ranked = rank(
            {name: placed.judged for name, placed in by_place.items()},
            self.library,
            present={} if present is None else dict.fromkeys(by_place, present.judged),
            preference=self._wishes(places),
        )
        return WorkRanking(subject, stay, ranked, by_place, present, self)

    def rank_wall(
        self, wall: str, *, start: dt.date | None = None, end: dt.date | None = None
    ) -> WallRanking:
        """Rank every work for a place."""
        place = self.place(wall)
        works = [work for work in self.survey.works.values() if self._could_be(work, place)]
        self.prepare([(work, place) for work in works])
        stays = {work.id: self.stay(work, start, end) for work in works}
        by_work = {work.id: self.placed(work, place, stays[work.id]) for work in works}
        at_present = {work.id: self.present(work, stays[work.id]) for work in works}
        ranked = rank(
            {name: placed.judged for name, placed in by_work.items()},
            self.library,
            present={name: here.judged for name, here in at_present.items() if here is not None},
        )
        return WallRanking(place, self.stay(None, start, end), ranked, by_work, self)

    def vet(
        self, work: str, wall: str, *, start: dt.date | None = None, end: dt.date | None = None
    ) -> Vetting:
        """Judge one work at one place, against where it is now."""
        subject, place = self.work(work), self.place(wall)
        stay = self.stay(subject, start, end)
        placed = self.placed(subject, place, stay)
        present = self.present(subject, stay)
        (ranked,) = rank(
            {place.id: placed.judged},
            self.library,
            present={} if present is None else {place.id: present.judged},
        )
        return Vetting(placed, ranked, stay, present, self)

    def matrix(self, *, start: dt.date | None = None, end: dt.date | None = None) -> Matrix:
        """Judge every work at every place where its kind could be."""
        works = tuple(self.survey.works.values())
        places = (*self.survey.walls.values(), *self.survey.pedestals.values())
        pairs = [(work, place) for work in works for place in places if self._could_be(work, place)]
        self.prepare(pairs)
        cells = {
            (work.id, place.id): self.placed(work, place, self.stay(work, start, end))
            for work, place in pairs
        }
        return Matrix(works, places, cells, self.stay(None, start, end), self)

    def season(self) -> tuple[Spot, ...]:
        """Every room, and every wall with loggers of its own, over the season of ``as_of``."""
        season = season_of(self.as_of)
        found = rooms_logged(self.survey, lambda place: self.site(place.id).record)
        return tuple(
            look(
                self.survey,
                self.library,
                Logged(room, wall, record, partial(self._consequence, room, wall)),
                season,
            )
            for room, wall, record in found
        )

    def _consequence(self, room: str, wall: str | None, role: Role) -> float:
        """The largest load that a quantity puts on a work hanging in a room, or at a wall."""
        touched = HAZARDS_OF.get(role, ())
        largest = 0.0
        for work in self.survey.works.values():
            place = self.survey.places.get(work.now_at or "")
            if place is None or (place.room != room if wall is None else place.id != wall):
                continue
            case = self.case(work, place, self.stay(work, None, None))
            for load in loads(case):
                if load.hazard in touched and load.ratio is not None:
                    largest = max(largest, load.ratio)
        return largest

    def _could_be(self, work: Work, place: Place) -> bool:
        if isinstance(place, HoldingPlace):
            return True
        return (work.kind in ON_PEDESTALS) == (place.id in self.survey.pedestals)

    # -- work ahead --------------------------------------------------------------------------

    def prepare(self, pairs: Iterable[tuple[Work, Place]]) -> None:
        """Compute the exposures that cases need, one process a core; results are the same either way."""
        jobs = self.jobs
        if jobs is None or jobs < 2:
            return
        wanted: dict[str, set[str]] = {}
        for work, place in pairs:
            wanted.setdefault(place.id, set()).add(work.id)
            if work.now_at in self.survey.places:
                wanted.setdefault(str(work.now_at), set()).add(work.id)
        tasks = [(self, place, tuple(sorted(works))) for place, works in sorted(wanted.items())]
        with ProcessPoolExecutor(max_workers=jobs) as pool:
            for place, memory, problem in pool.map(_exposures, tasks):
                self.site(place).memory.update(memory)
                if problem:
                    self._problems[place] = problem


def _exposures(task: tuple[OpenSurvey, str, tuple[str, ...]]) -> tuple[str, dict[Hashable, Any], str]:
    opened, place_id, work_ids = task
    place = opened.place(place_id)
    opened.site(place_id).exposure(last_reading)
    stay = Stay(opened.asked_as_of or dt.date(2000, 1, 1))
    for work_id in work_ids:
        loads(opened.case(opened.work(work_id), place, stay))
    return place_id, dict(opened.site(place_id).memory), opened._problems.get(place_id, "")


def open_survey(
    folder: str | Path,
    *,
    as_of: dt.date | None = None,
    seed: int | None = None,
    units: str | None = None,
    jobs: int | None = None,
) -> OpenSurvey:
    """Open a survey folder.

    Parameters
    ----------
    folder
        Holds ``survey.toml`` and the logs that it names.
    as_of
        Day to judge from; the last reading unless given.
    seed
        Seed of the random draws; the survey's unless given.
    units
        ``"us"`` or ``"si"``, for showing; the survey's unless given.
    jobs
        Processes to use.

    Raises
    ------
    SurveyError
        With every fault of the survey at once.
    """
    survey = read_survey(Path(folder))
    system: System = "us" if (units or survey.head.units) == "us" else "si"
    return OpenSurvey(
        survey=survey,
        library=load_library(),
        draws=Draws(seed=survey.head.seed if seed is None else seed),
        system=system,
        jobs=jobs,
        asked_as_of=as_of,
    )


def _named(kind: str, name: str, among: Mapping[str, T]) -> T:
    if name in among:
        return among[name]
    raise InputError(
        Fault(
            where=f"--{kind}",
            found=f"{name!r} is no {kind} of this survey",
            expected=f"the id of a {kind}",
            fix=Nearest().advice(name, among, "see the ids in survey.toml"),
        )
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

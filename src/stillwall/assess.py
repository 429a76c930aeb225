"""The only wiring: a survey and its logs in, every work judged at every place out."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path

from stillwall.answers import Matrix, MovesAnswer, Placed, Question, Vetting, WallRanking, WorkRanking
from stillwall.case import Stay
from stillwall.draws import Draws
from stillwall.hazards import loads
from stillwall.judgement.measures import Directions
from stillwall.judgement.moves.climates import place_climate
from stillwall.judgement.moves.crew import CrewRules
from stillwall.judgement.moves.from_survey import moves_problem
from stillwall.judgement.moves.plan import plan
from stillwall.judgement.ranking import rank
from stillwall.judgement.verdict import Judged, judge
from stillwall.opened import OpenSurvey
from stillwall.processes import Processes, in_brief
from stillwall.record import Role
from stillwall.reference.library import load_library
from stillwall.season import Logged, Spot, look, rooms_logged, season_of, tell_sensors
from stillwall.sites import FOLDER, Sites
from stillwall.store import Store
from stillwall.survey.read import read_survey
from stillwall.survey.survey import Pedestal, Place, Wall
from stillwall.survey.works import Work
from stillwall.units import System

HAZARDS_OF: Mapping[Role, tuple[str, ...]] = {
    "temperature": ("temperature", "ageing"),
    "humidity": ("humidity", "humidity_swing", "mould", "corrosion", "salts"),
    "light": ("light_dose", "ultraviolet", "sunlight"),
}
"""Hazards that a logged quantity feeds."""
WORTH_PROCESSES_BYTES = 30_000_000
"""Logs smaller than this together are read in one process: starting others would take longer."""
WORTH_PROCESSES_PAIRS = 1000
"""Fewer works at places than this are judged in one process."""
Pair = tuple[str, str]
"""Ids of a work and a place."""


@dataclass(frozen=True, eq=False)
class Assessment(OpenSurvey):
    """A survey with its logs at hand, and the answers that it gives. Made by :func:`open_survey`."""

    executor: Executor | None = None
    _directions: Directions = field(default_factory=dict)

    def placed(self, work: Work, place: Place, stay: Stay, *, only_verdict: bool = False) -> Placed:
        """Judge one work at one place."""
        case = self.case(work, place, stay)
        found = loads(case)
        judged = judge(case, found, only_verdict=only_verdict, directions=self._directions)
        return Placed(work, place, case, judged, self.sites.problems.get(place.id, ""))

    def _put(self, work: Work, place: Place, stay: Stay, judged: Mapping[Pair, Judged]) -> Placed:
        case, problem = self.case(work, place, stay), self.sites.problems.get(place.id, "")
        return Placed(work, place, case, judged[work.id, place.id], problem)

    def present(self, work: Work, stay: Stay) -> Placed | None:
        """A work judged where it is now, where that is a surveyed place."""
        if work.now_at is None or work.now_at not in self.survey.places:
            return None
        return self.placed(work, self.survey.places[work.now_at], stay)

    def _wishes(self, places: Iterable[Place]) -> dict[str, float]:
        wishes = {place.id: getattr(place, "preference", None) for place in places}
        return {name: wish for name, wish in wishes.items() if wish is not None}

    # -- answers -----------------------------------------------------------------------------

    def rank(self, work: str, *, start: dt.date | None = None, end: dt.date | None = None) -> WorkRanking:
        """Rank every place for a work."""
        subject = self.work(work)
        places = self.candidates(subject)
        pairs = [(subject, place) for place in places]
        spread = self.prepare(pairs)
        stay = self.stay(subject, start, end)
        if spread:
            judged = self._elsewhere(pairs, {subject.id: stay}, brief=False)
            by_place = {place.id: self._put(subject, place, stay, judged) for place in places}
        else:
            by_place = {place.id: self.placed(subject, place, stay) for place in places}
        present = self.present(subject, stay)
        ranked = rank(
            {name: placed.judged for name, placed in by_place.items()},
            self.library,
            present={} if present is None else dict.fromkeys(by_place, present.judged),
            preference=self._wishes(places),
        )
        self.sites.keep()
        return WorkRanking(subject, stay, ranked, by_place, present, self)

    def rank_wall(
        self, wall: str, *, start: dt.date | None = None, end: dt.date | None = None
    ) -> WallRanking:
        """Rank every work for a place."""
        place = self.place(wall)
        works = [work for work in self.survey.works.values() if self.could_be(work, place)]
        self.prepare([(work, place) for work in works])
        stays = {work.id: self.stay(work, start, end) for work in works}
        by_work = {work.id: self.placed(work, place, stays[work.id]) for work in works}
        at_present = {work.id: self.present(work, stays[work.id]) for work in works}
        ranked = rank(
            {name: placed.judged for name, placed in by_work.items()},
            self.library,
            present={name: here.judged for name, here in at_present.items() if here is not None},
        )
        self.sites.keep()
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
        self.sites.keep()
        return Vetting(placed, ranked, stay, present, self)

    def matrix(self, *, start: dt.date | None = None, end: dt.date | None = None) -> Matrix:
        """Judge every work at every place where its kind could be.

        A cell has the verdict, and of the loads the one that governs; :meth:`vet` gives all of a cell.
        """
        works = tuple(self.survey.works.values())
        places: tuple[Wall | Pedestal, ...] = (*self.survey.walls.values(), *self.survey.pedestals.values())
        pairs = [(work, place) for work in works for place in places if self.could_be(work, place)]
        self.prepare(pairs, measures=False)
        stays = {work.id: self.stay(work, start, end) for work in works}
        judged = self._in_brief(pairs, stays)
        cells = {(work.id, place.id): self._put(work, place, stays[work.id], judged) for work, place in pairs}
        self.sites.keep()
        return Matrix(works, places, cells, self.stay(None, start, end), self)

    def moves(
        self,
        *,
        start: dt.date | None = None,
        undecided: bool = False,
        movable: frozenset[str] | None = None,
        tolerance: float | None = None,
    ) -> MovesAnswer:
        """A place for every work, and the order in which they move.

        Parameters
        ----------
        start
            First day of the plan.
        undecided
            Whether works may go to places of which too little is known.
        movable
            Works that may be moved; all that are not pinned unless given.
        tolerance
            Worst loads that differ by less count as equal; from the loads' own intervals unless given.
        """
        works = tuple(self.survey.works.values())
        places = tuple(self.survey.places.values())
        pairs = [(work, place) for work in works for place in places if self.could_be(work, place)]
        self.prepare(pairs)
        first = start or self.as_of
        judged = {
            (work.id, place.id): self.placed(
                work, place, self.stay(work, max(first, work.arrives or first), None), only_verdict=True
            ).judged
            for work, place in pairs
        }

        def again(work: str, place: str) -> Judged:
            subject = self.work(work)
            stay = self.stay(subject, max(first, subject.arrives or first), None)
            return self.placed(subject, self.place(place), stay).judged

        problem = moves_problem(
            self.survey,
            self.library,
            judged,
            start=first,
            again=again,
            undecided=undecided,
            movable=movable,
            tolerance=tolerance,
            climates={place.id: self.site(place.id).exposure(place_climate) for place in places},
        )
        made = plan(problem, CrewRules.of(self.library), system=self.system)
        self.sites.keep()
        return MovesAnswer(problem, made, self)

    def season(self) -> tuple[Spot, ...]:
        """Every room, and every wall with loggers of its own, over the season of ``as_of``."""
        season = season_of(self.as_of)
        found = rooms_logged(self.survey, lambda place: self.site(place.id).record)
        logged = [
            Logged(room, wall, record, partial(self._consequence, room, wall)) for room, wall, record in found
        ]
        spots = [look(self.survey, self.library, one, season) for one in logged]
        return tell_sensors(spots, logged, self.library)

    def questions(self) -> tuple[Question, ...]:
        """What to find out first: every question that a load is asking, with the places it holds up.

        Works that are alike in medium, frame and glazing ask the same, so one of each is taken.
        """
        if self.asked_as_of is None and self.last_day is None:
            return ()
        alike = {(work.medium, work.frame, work.glazing): work for work in self.survey.works.values()}
        places: tuple[Wall | Pedestal, ...] = (*self.survey.walls.values(), *self.survey.pedestals.values())
        blocks: dict[str, dict[str, bool]] = {}
        for work in alike.values():
            stay = self.stay(work, None, None)
            for place in places:
                if not self.could_be(work, place):
                    continue
                for load in loads(self.case(work, place, stay)):
                    for what in load.missing:
                        held = blocks.setdefault(what, {})
                        name = f"{load.hazard} at {place.id}"
                        held[name] = held.get(name, False) or load.blocks
        self.sites.keep()
        ranked = sorted(blocks.items(), key=lambda pair: (-sum(pair[1].values()), -len(pair[1]), pair[0]))
        return tuple(Question(what, tuple(sorted(held))) for what, held in ranked)

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

    # -- work ahead --------------------------------------------------------------------------

    def prepare(self, pairs: Iterable[tuple[Work, Place]], *, measures: bool = True) -> bool:
        """Compute in several processes the exposures that cases need; results are the same either way.

        ``measures``: those under measures as well, for works whose measures are searched afterwards. False
        where there was too little to do.
        """
        wanted: dict[str, set[str]] = {}
        for work, place in pairs:
            for name in (place.id, work.now_at):
                if name in self.survey.places:
                    wanted.setdefault(str(name), set()).add(work.id)
        cold = self.sites.cold([self.survey.places[name] for name in sorted(wanted)])
        size = sum(_size(file) for place in cold for file in self.sites.log_files(place))
        if len(cold) < 2 or not self._worth_processes(size >= WORTH_PROCESSES_BYTES):
            return False
        processes = Processes(self, self._jobs, self.executor)
        for made in processes.expose(
            {place.id: sorted(wanted[place.id]) for place in cold}, measures=measures
        ):
            self.site(made.place).memory.update(made.memory)
            if made.problem:
                self.sites.problems[made.place] = made.problem
        return True

    @property
    def _jobs(self) -> int:
        return self.jobs or os.cpu_count() or 1

    def _worth_processes(self, large: bool) -> bool:
        """Whether to work in other processes: as asked, else where there is much to do."""
        if self.executor is not None:
            return True
        return self._jobs > 1 and (self.jobs is not None or large)

    def _in_brief(self, pairs: Sequence[tuple[Work, Place]], stays: Mapping[str, Stay]) -> dict[Pair, Judged]:
        """Verdicts on works at places, in the order of the pairs."""
        if not self._worth_processes(len(pairs) >= WORTH_PROCESSES_PAIRS):
            return {
                (work.id, place.id): in_brief(self.case(work, place, stays[work.id]), self._directions)
                for work, place in pairs
            }
        return self._elsewhere(pairs, stays, brief=True)

    def _elsewhere(
        self, pairs: Sequence[tuple[Work, Place]], stays: Mapping[str, Stay], *, brief: bool
    ) -> dict[Pair, Judged]:
        """Works at places judged in other processes, in the order of the pairs."""
        asked: dict[str, list[tuple[str, Stay]]] = {}
        for work, place in pairs:
            asked.setdefault(place.id, []).append((work.id, stays[work.id]))
        made: dict[Pair, Judged] = {}
        for at in Processes(self, self._jobs, self.executor).judge(asked, brief=brief):
            self.site(at.place).memory.update(at.memory)
            made.update({(judged.work, at.place): judged for judged in at.judged})
        return {(work.id, place.id): made[work.id, place.id] for work, place in pairs}


def _size(file: Path) -> int:
    try:
        return file.stat().st_size
    except OSError:
        return 0


def open_survey(
    folder: str | Path,
    *,
    as_of: dt.date | None = None,
    seed: int | None = None,
    units: str | None = None,
    jobs: int | None = None,
    remember: bool = True,
    executor: Executor | None = None,
) -> Assessment:
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
        Processes to use; as many as there are cores where the logs are large, unless given.
    remember
        Keep what was computed in ``.stillwall`` beside the survey.
    executor
        Runs the work on places, instead of processes of this machine: that of a cluster, for one. Its
        workers see the survey's folder under the same path.

    Raises
    ------
    SurveyError
        With every fault of the survey at once.
    """
    survey = read_survey(Path(folder))
    store = Store(survey.folder / FOLDER) if remember else None
    system: System = "us" if (units or survey.head.units) == "us" else "si"
    survey = replace(survey, head=replace(survey.head, units=system))
    return Assessment(
        survey=survey,
        library=load_library(),
        draws=Draws(seed=survey.head.seed if seed is None else seed),
        system=system,
        sites=Sites(survey, store),
        jobs=jobs,
        asked_as_of=as_of,
        executor=executor,
    )

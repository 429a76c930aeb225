"""A problem of moves out of a survey and the judgement of its works at its places."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from statistics import median

from stillwall.judgement.chance import Thresholds, passes
from stillwall.judgement.moves.climates import Climate, acclimatise
from stillwall.judgement.moves.handling import carry_of, handling_of, handling_to, no_way
from stillwall.judgement.moves.model import OVER, Key, MovingWork, Problem, Spot
from stillwall.judgement.verdict import Judged
from stillwall.load import Load
from stillwall.reference.library import Library
from stillwall.reference.measures import said_together
from stillwall.setting.framing import framed_size
from stillwall.setting.naming import place_named
from stillwall.survey.places import HoldingPlace, Pedestal, Place, Wall, Weekday
from stillwall.survey.survey import Survey
from stillwall.survey.works import Work
from stillwall.units import System


def moves_problem(
    survey: Survey,
    library: Library,
    judged: Mapping[Key, Judged],
    *,
    start: date,
    again: Callable[[str, str], Judged] | None = None,
    undecided: bool = False,
    movable: frozenset[str] | None = None,
    tolerance: float | None = None,
    climates: Mapping[str, Climate] | None = None,
) -> Problem:
    """The problem of moves of a survey.

    Parameters
    ----------
    judged
        By work and place. A holding place that is not in it takes what its facts let it take.
    start
        The first day of the plan.
    again
        Judges a work at a place with its sets of measures, where ``judged`` holds verdicts alone.
    undecided
        Whether works may be moved to places of which too little is known.
    movable
        Works that may be moved; all that are not pinned unless given. Those that are to come may always.
    tolerance
        Worst loads that differ by less count as equal; half the usual width of the loads' own 90 %
        intervals unless given, and no less than ``moves.tolerance``. [1]
    climates
        By place, for the crew: where a work should rest packed before it is opened.
    """
    builder = _Builder(survey, library, judged, start, again, undecided=undecided, movable=movable)
    works = tuple(builder.work(work) for work in survey.works.values() if not _gone(work, start))
    return Problem(
        start=start,
        works=works,
        places=tuple(builder.spot(place) for place in survey.places.values()),
        loads=builder.loads,
        gap_m=library.figure("fit.margin.gap"),
        handling=builder.handling,
        no_way=frozenset(builder.no_way),
        pairs=_pairs(survey, works),
        groups=_groups(survey, works),
        tolerance=builder.usual_width() if tolerance is None else tolerance,
        until=builder.until,
        notes=builder.notes,
        fixings=builder.fixings,
        acclimatise=acclimatise(
            survey,
            library,
            [*(work.now for work in works if work.now), *survey.holding_places],
            climates or {},
        ),
        weekdays_closed=_weekdays_closed(survey),
        work_names={work.id: work.name for work in survey.works.values()},
        place_names={name: place_named(survey, place) for name, place in survey.places.items()},
    )


def now_at(survey: Survey, work: Work) -> str | None:
    """The place where a work is, by its own entry or by its pedestal's; None for one yet to come."""
    if work.now_at in survey.places:
        return work.now_at
    return next((stand.id for stand in survey.pedestals.values() if stand.work == work.id), None)


def _gone(work: Work, start: date) -> bool:
    return work.leaves is not None and work.leaves <= start


@dataclass(eq=False)
class _Builder:
    survey: Survey
    library: Library
    judged: Mapping[Key, Judged]
    start: date
    again: Callable[[str, str], Judged] | None
    undecided: bool = field(kw_only=True)
    movable: frozenset[str] | None = field(kw_only=True)
    loads: dict[Key, float] = field(default_factory=dict)
    handling: dict[Key, float] = field(default_factory=dict)
    until: dict[Key, tuple[date, str]] = field(default_factory=dict)
    notes: dict[Key, str] = field(default_factory=dict)
    fixings: dict[Key, str] = field(default_factory=dict)
    no_way: set[tuple[str, str, str]] = field(default_factory=set)
    widths: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.thresholds = Thresholds.of(self.library)

    # -- works and places --------------------------------------------------------------------

    def work(self, work: Work) -> MovingWork:
        """A work with its loads at every place that it may go to."""
        here = now_at(self.survey, work)
        carry = carry_of(self.library, work)
        for place in self.survey.places.values():
            self._pair(work, place, here)
        ends = frozenset(name for who, name in self.loads if who == work.id)
        starts = [name for name in (here, *self.survey.holding_places) if name is not None]
        for first in dict.fromkeys(starts):
            barred = no_way(self.survey, self.library, work, first, ends - {first})
            self.no_way.update((work.id, first, end) for end in barred)
        fixed = work.pinned or self._held_by_its_wall(here)
        if self.movable is not None and here is not None:
            fixed = fixed or work.id not in self.movable
        elsewhere = any(key[0] == work.id and key[1] != here for key in self.loads)
        if here is not None and (work.id, here) not in self.loads and not elsewhere:
            fixed = True
        return MovingWork(
            id=work.id,
            width_m=self._width(work),
            now=here,
            handling=handling_of(self.library, work),
            immovable=bool(fixed and here is not None),
            themes=frozenset(work.themes),
            arrives=work.arrives if here is None else None,
            leaves=work.leaves,
            carry=carry,
        )

    def spot(self, place: Place) -> Spot:
        """A place as the plan sees it."""
        room, building = self.survey.room_of(place), self.survey.building_of(place)
        holding = isinstance(place, HoldingPlace)
        return Spot(
            id=place.id,
            span_m=None if isinstance(place, Pedestal) else place.span_m,
            holding=holding,
            room=place.room or "",
            building="" if building is None else building.id,
            floor=None if room is None else room.floor,
            free_from=None if isinstance(place, HoldingPlace) else place.free_from,
            free_until=place.until if isinstance(place, HoldingPlace) else place.free_until,
            closed=(place.pinned_by or "") if isinstance(place, Wall) else "",
        )

    def usual_width(self) -> float:
        """Half the usual width of the governing loads' intervals, where a work would be within them. [1]"""
        least = self.library.figure("moves.tolerance")
        return max(least, median(self.widths)) if self.widths else least

    def _held_by_its_wall(self, here: str | None) -> bool:
        wall = None if here is None else self.survey.walls.get(here)
        return wall is not None and wall.pinned_by is not None

    def _width(self, work: Work) -> float | None:
        """Outermost width, the upper end of an estimate; None where neither frame nor image is known."""
        if work.framed is None and work.image is None:
            return None
        return framed_size(self.library, work).width_span_m[1]

    # -- pairs -------------------------------------------------------------------------------

    def _pair(self, work: Work, place: Place, here: str | None) -> None:
        key = (work.id, place.id)
        stays = place.id == here
        judged = self.judged.get(key)
        if judged is None:
            load = self._by_facts(work, place, stays=stays)
        else:
            judged = self._with_measures(judged)
            load = self._load(judged, stays=stays)
            if load is not None:
                self._remember(key, judged, load)
        if load is None or not (stays or self._welcome(work, place)):
            return
        if isinstance(place, HoldingPlace) and not stays:
            load = max(load, self.library.figure("moves.out_of_sight"))
        self.loads[key] = load
        self.handling[key] = handling_to(self.survey, self.library, work, here, place)

    def _with_measures(self, judged: Judged) -> Judged:
        if judged.verdict == "suitable with measures" and not judged.measures and self.again is not None:
            return self.again(judged.work, judged.place)
        return judged

    def _load(self, judged: Judged, *, stays: bool) -> float | None:
        """The load that the plan counts; None where the work may not be brought here."""
        worst = self._worst(judged)
        if judged.verdict in ("suitable", "suitable with measures"):
            return min(worst or 0.0, OVER) if judged.verdict == "suitable with measures" else worst or 0.0
        if judged.verdict == "undecided":
            if not (stays or self.undecided):
                return None
            unknown = self.library.figure("moves.undecided_stay")
            return max(worst or 0.0, unknown) if judged.blocked else (worst or unknown)
        gates = [load for load in judged.loads if load.kind != "graded"]
        if judged.barred or (not stays and not all(passes(load, self.thresholds) for load in gates)):
            return None
        return worst

    def _worst(self, judged: Judged) -> float | None:
        """The largest graded load under the measures taken, or the load that fails where it is larger."""
        loads = judged.loads_with_measures
        if loads is judged.loads:
            return judged.worst
        graded = [load.ratio for load in loads if load.kind == "graded" and load.ratio is not None]
        return max(graded, default=None)

    def _remember(self, key: Key, judged: Judged, load: float) -> None:
        under = judged.loads_with_measures
        known = [each for each in under if each.kind == "graded" and each.ratio is not None]
        governing = max(known, key=lambda each: each.ratio or 0.0, default=None)
        if (
            load <= OVER
            and governing is not None
            and governing.high is not None
            and governing.low is not None
        ):
            self.widths.append((governing.high - governing.low) / 2)
        if judged.until is not None:
            self.until[key] = (judged.until, judged.until_reason)
        if note := note_words(judged, self.library, self.survey.head.units):
            self.notes[key] = note
        if fixing := fixing_words(judged):
            self.fixings[key] = fixing

    def _by_facts(self, work: Work, place: Place, *, stays: bool) -> float | None:
        """A holding place that was not judged takes a work that fits it and whose climate is not refused."""
        if stays:
            return self.library.figure("moves.undecided_stay")
        if not isinstance(place, HoldingPlace) or place.climate_ok is False or place.security is False:
            return None
        size = framed_size(self.library, work)
        fits = (place.span_m is None or size.width_span_m[1] <= place.span_m) and (
            place.height_m is None or size.height_span_m[1] <= place.height_m
        )
        return self.library.figure("moves.out_of_sight") if fits else None

    def _welcome(self, work: Work, place: Place) -> bool:
        """Whether a wall's themes let a work come."""
        themes = place.themes if isinstance(place, Wall) else ()
        return not themes or not set(themes).isdisjoint(work.themes)


def note_words(judged: Judged, library: Library, system: System) -> str:
    """What has to be done or decided before a work comes to a place; empty where nothing has."""
    if judged.measures:
        chosen = [library.measures[name] for name in judged.measures[0]]
        return f"to be done first: {said_together(chosen, system)}"
    if judged.verdict == "undecided" and judged.would_decide:
        return f"not decided: {judged.would_decide[0]}"
    return ""


def fixing_words(judged: Judged) -> str:
    """How a work is to be fixed at a place; empty where nothing is known of it."""
    fixing = _of(judged.loads_with_measures, "fixing")
    return "" if fixing is None else fixing.reason


def _of(loads: tuple[Load, ...], hazard: str) -> Load | None:
    return next((load for load in loads if load.hazard == hazard), None)


def _pairs(survey: Survey, works: tuple[MovingWork, ...]) -> tuple[tuple[str, str], ...]:
    """Pairs, each once; not where both stay where they are."""
    free = {work.id: not work.immovable for work in works}
    pairs = {
        (min(work.id, work.pair_with), max(work.id, work.pair_with))
        for work in survey.works.values()
        if work.pair_with is not None and work.id in free and work.pair_with in free
    }
    return tuple(sorted(pair for pair in pairs if free[pair[0]] or free[pair[1]]))


def _groups(survey: Survey, works: tuple[MovingWork, ...]) -> tuple[tuple[str, ...], ...]:
    """Groups of at least two works of which one can be moved."""
    free = {work.id: not work.immovable for work in works}
    groups: dict[str, list[str]] = {}
    for work in survey.works.values():
        if work.group is not None and work.id in free:
            groups.setdefault(work.group, []).append(work.id)
    return tuple(
        tuple(sorted(names))
        for _, names in sorted(groups.items())
        if len(names) > 1 and any(free[name] for name in names)
    )


def _weekdays_closed(survey: Survey) -> dict[str, frozenset[Weekday]]:
    return {
        building.id: frozenset(building.closed_on)
        for building in survey.buildings.values()
        if building.closed_on
    }

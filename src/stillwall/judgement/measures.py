"""Which measures would help: the smallest sets, found exactly.

A hazard answers to the measures that have an effect on it, or on one that it follows, and to no other;
its load is computed once for each subset of those, and a hazard that cannot touch the work does not under
measures either. The search branches on the load that still stands in the way: one of the measures that
lower it must be taken, so no set is missed. Where a measure raises a load in every draw, taking it is
never the way to lower that load: the exposure's parts are monotone. A measure that works on two parts of
a hazard, one to the better and one to the worse, may do either beside others; nothing is inferred of it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, MutableMapping
from dataclasses import dataclass, field
from itertools import combinations
from typing import Literal

import numpy as np

from stillwall.case import Case
from stillwall.hazards import follows, relieved_by
from stillwall.judgement.chance import chance_over
from stillwall.judgement.facts import facts
from stillwall.load import Load
from stillwall.reference.library import Library
from stillwall.reference.measures import Effect, Measure

Evaluate = Callable[[Case, str], Load | None]
"""The load of one hazard, by name, in a case with measures in force."""
Subset = frozenset[str]
NOTHING: Subset = frozenset()
MOST_EITHER = 3
"""Measures that may do either, up to which a branch is looked at with every choice of them."""
Direction = Literal["helps", "hurts", "unclear"]
Directions = MutableMapping[tuple[str, str], Direction]
"""By hazard and measure. What is known of one case holds for all: an exposure is monotone in each part."""


def admissible(case: Case) -> dict[str, Measure]:
    """Measures that the survey does not rule out and whose needs hold here, by id."""
    ruled_out = frozenset(getattr(case.site.place, "measures_ruled_out", ()))
    holding = facts(case)
    return {
        name: measure
        for name, measure in sorted(case.library.measures.items())
        if name not in ruled_out and name not in case.measures and holding.issuperset(measure.needs)
    }


def conflicts(measures: Mapping[str, Measure]) -> dict[str, Subset]:
    """For each measure those that cannot be combined with it: named as such, or setting the same fact."""
    found: dict[str, set[str]] = {name: set() for name in measures}
    for one, other in combinations(measures, 2):
        if (
            other in measures[one].excludes
            or one in measures[other].excludes
            or _contradict(measures[one], measures[other])
        ):
            found[one].add(other)
            found[other].add(one)
    return {name: frozenset(others) for name, others in found.items()}


def _contradict(one: Measure, other: Measure) -> bool:
    facts_set = {
        (effect.hazard, effect.on): effect.value for effect in one.effects if effect.value is not None
    }
    return any(
        effect.value is not None and facts_set.get((effect.hazard, effect.on), effect.value) != effect.value
        for effect in other.effects
    )


@dataclass(frozen=True, eq=False)
class _Rules:
    """What holds of the measures of a library in every case."""

    library: Library
    conflicts: dict[str, Subset]
    relevant: dict[str, Subset]
    """Measures that have an effect on a hazard, or on one that it follows."""
    directions: dict[tuple[str, str], Direction]
    """What is known without trying: all effects on a hazard are factors, which work one way or both."""

    @classmethod
    def of(cls, library: Library) -> _Rules:
        """The rules of a library, found once."""
        known = _KNOWN.get(id(library))
        if known is not None and known.library is library:
            return known
        relevant: dict[str, set[str]] = {}
        directions: dict[tuple[str, str], Direction] = {}
        named = {effect.hazard for measure in library.measures.values() for effect in measure.effects}
        for hazard in {*named, *follows()}:
            relevant[hazard] = set()
            for name, measure in library.measures.items():
                ways = _ways(measure, hazard)
                if ways:
                    relevant[hazard].add(name)
                way = next(iter(ways)) if len(ways) == 1 else None
                if way is not None:
                    directions[hazard, name] = way
                elif {"helps", "hurts"} <= ways or "unclear" in ways:
                    directions[hazard, name] = "unclear"
        made = cls(
            library=library,
            conflicts=conflicts(library.measures),
            relevant={hazard: frozenset(names) for hazard, names in relevant.items()},
            directions=directions,
        )
        _KNOWN.clear()
        _KNOWN[id(library)] = made
        return made


_KNOWN: dict[int, _Rules] = {}


def _effects_on(measure: Measure, hazard: str) -> list[Effect]:
    """Effects of a measure on a hazard, or on one that it follows."""
    answers_to = follows().get(hazard, (hazard,))
    return [effect for effect in measure.effects if effect.hazard in answers_to]


def _ways(measure: Measure, hazard: str) -> set[Direction | None]:
    return {_way(effect) for effect in _effects_on(measure, hazard)}


def _way(effect: Effect) -> Direction | None:
    """Which way a factor works on its hazard; None for a fact that is set, which has to be tried."""
    if effect.low is None or effect.high is None:
        return None
    less, more = effect.high <= 1.0, effect.low >= 1.0
    if not (less or more):
        return "unclear"
    relieves = effect.on in relieved_by().get(effect.hazard, NOTHING)
    return "helps" if less != relieves else "hurts"


@dataclass(frozen=True, eq=False)
class Responses:
    """How each load of a case answers to measures, computed when asked for and remembered."""

    case: Case
    loads: tuple[Load, ...]
    evaluate: Evaluate
    measures: dict[str, Measure] = field(default_factory=dict)
    conflicts: dict[str, Subset] = field(default_factory=dict)
    relevant: dict[str, Subset] = field(default_factory=dict)
    shared: Directions = field(default_factory=dict)
    known: Mapping[tuple[str, str], Direction] = field(default_factory=dict)
    _loads: dict[tuple[str, Subset], Load | None] = field(default_factory=dict)
    _directions: dict[tuple[str, str], Direction] = field(default_factory=dict)

    @classmethod
    def of(
        cls,
        case: Case,
        loads: tuple[Load, ...],
        evaluate: Evaluate,
        directions: Directions | None = None,
    ) -> Responses:
        """The responses of a case whose loads without measures are known.

        ``directions`` is shared between cases of one library and filled on the way.
        """
        measures = admissible(case)
        names, rules = frozenset(measures), _Rules.of(case.library)
        made = cls(
            case=case,
            loads=loads,
            evaluate=evaluate,
            measures=measures,
            conflicts={name: rules.conflicts[name] & names for name in measures},
            relevant={load.hazard: rules.relevant.get(load.hazard, NOTHING) & names for load in loads},
            shared={} if directions is None else directions,
            known=rules.directions,
        )
        made._loads.update({(load.hazard, NOTHING): load for load in loads})
        return made

    def load(self, hazard: str, chosen: Subset) -> Load | None:
        """The load of a hazard under a set of measures."""
        key = (hazard, chosen & self.relevant.get(hazard, NOTHING))
        if key not in self._loads:
            measures = self.case.measures | key[1]
            self._loads[key] = self.evaluate(self.case.in_brief().with_measures(measures), hazard)
        return self._loads[key]

    def under(self, chosen: Subset) -> tuple[Load, ...]:
        """All loads under a set of measures, in full, in the order of the loads without."""
        case = self.case.with_measures(self.case.measures | chosen)
        moved = (
            self.evaluate(case, load.hazard) if self.relevant[load.hazard] & chosen else load
            for load in self.loads
        )
        return tuple(load for load in moved if load is not None)

    def consistent(self, chosen: Subset) -> bool:
        """Whether measures can be taken together."""
        return not any(self.conflicts[name] & chosen for name in chosen)

    def expected(self, hazard: str, measure: str) -> Direction:
        """The direction, told by the effects of the measure where they tell; tried where they do not."""
        known = self.known.get((hazard, measure))
        return self.direction(hazard, measure) if known is None else known

    def direction(self, hazard: str, measure: str) -> Direction:
        """Whether a measure lowers a load in every draw, raises it, or neither can be said."""
        key = (hazard, measure)
        if key in self.shared:
            return self.shared[key]
        if self.known.get(key) == "unclear":
            return "unclear"
        if key not in self._directions:
            found: Direction = "unclear"
            if not self._makes_another(measure, hazard):
                found = _direction(self.load(hazard, NOTHING), self.load(hazard, frozenset((measure,))))
                if not _ways(self.measures[measure], hazard) <= {None, found}:
                    found = "unclear"
            self._directions[key] = found
            if found != "unclear" and _same_everywhere(self.measures[measure], hazard):
                self.shared[key] = found
        return self._directions[key]

    def _makes_another(self, measure: str, hazard: str) -> bool:
        """Whether a measure gives the work another frame or the like: beside others it may do either."""
        return any(isinstance(effect.value, str) for effect in _effects_on(self.measures[measure], hazard))

    def at_best(self, hazard: str) -> Load | None:
        """The load of a hazard under the measures of :meth:`best_set`."""
        return self.load(hazard, self.best_set(hazard))

    def best_set(self, hazard: str) -> Subset:
        """Measures that lower a load and can be taken together.

        First all that lower it in every draw, then one after another those that make it likelier to pass.
        """
        chosen: Subset = NOTHING
        names = sorted(self.relevant[hazard])
        for name in names:
            if self.direction(hazard, name) == "helps" and self.consistent(chosen | {name}):
                chosen |= {name}
        while True:
            tried = {name: self.load(hazard, chosen | {name}) for name in names if name not in chosen}
            chances = {
                name: 0.0 if load is None else chance_over(load)
                for name, load in tried.items()
                if self.consistent(chosen | {name})
            }
            best = min(chances, key=lambda name: (chances[name], name), default=None)
            now = self.load(hazard, chosen)
            if best is None or now is None or chances[best] >= chance_over(now):
                return chosen
            chosen |= {best}


def _same_everywhere(measure: Measure, hazard: str) -> bool:
    """Whether a measure works on one part of a hazard by a factor that is on one side of 1."""
    effects = _effects_on(measure, hazard)
    return len(effects) == 1 and _way(effects[0]) in ("helps", "hurts")


def _direction(before: Load | None, after: Load | None) -> Direction:
    if before is None or after is None or (before.draws is None) != (after.draws is None):
        return "unclear"
    lower, higher = after.barred < before.barred, after.barred > before.barred
    if before.draws is not None and after.draws is not None:
        lower = lower or bool(np.any(after.draws < before.draws))
        higher = higher or not bool(np.all(after.draws <= before.draws))
    if lower == higher:
        return "unclear"
    return "helps" if lower else "hurts"


@dataclass(frozen=True, eq=False)
class Search:
    """The search for sets of measures under which no load fails, by one criterion of failing."""

    responses: Responses
    fails: Callable[[Load], bool]
    _known: dict[str, dict[Subset, bool]] = field(default_factory=dict)

    def smallest(self, at_most: int) -> tuple[tuple[str, ...], ...]:
        """The smallest sets, each without a measure to spare; fewest measures first, then cheapest.

        Empty where no set does. Of sets that are alike in number, cost and reversibility, the ids decide.
        """
        found: list[Subset] = []
        for size in range(len(self.responses.measures) + 1):
            level = _Level(size=size, spared=tuple(found))
            found += self._sets(NOTHING, NOTHING, level)
            if len(found) >= at_most or not level.cut:
                break
        return tuple(tuple(sorted(each)) for each in sorted(found, key=self._cost)[:at_most])

    def possible(self) -> bool:
        """Whether any set does, the empty one counted."""
        return next(self._sets(NOTHING, NOTHING, None), None) is not None

    def failing(self, chosen: Subset) -> list[str]:
        """Hazards whose loads fail under a set, in alphabetical order."""
        return [hazard for hazard in sorted(self.responses.relevant) if self._fails(hazard, chosen)]

    def _sets(self, chosen: Subset, refused: Subset, level: _Level | None) -> Iterator[Subset]:
        if level is not None and any(spared <= chosen for spared in level.spared):
            return
        failing = self.failing(chosen)
        if not failing:
            if level is None or len(chosen) == level.size:
                yield chosen
            return
        shut = refused.union(chosen, *(self.responses.conflicts[name] for name in chosen))
        open_to = {hazard: self.responses.relevant[hazard] - shut for hazard in failing}
        if not all(open_to.values()):
            return
        if level is not None and len(chosen) == level.size:
            level.cut = True
            return
        branches: dict[str, list[str]] = {}
        for hazard in sorted(failing, key=lambda hazard: (self._untried(hazard, open_to[hazard]), hazard)):
            names = [name for name in sorted(open_to[hazard]) if self._may_help(hazard, name)]
            if not names or not self._reachable(hazard, chosen, frozenset(names)):
                return
            branches[hazard] = names
        ordered = sorted(failing, key=lambda hazard: (len(open_to[hazard]), hazard))
        for name in min((branches[hazard] for hazard in ordered), key=len):
            yield from self._sets(chosen | {name}, refused, level)
            refused |= {name}

    def _may_help(self, hazard: str, measure: str) -> bool:
        return self.responses.expected(hazard, measure) != "hurts"

    def _untried(self, hazard: str, names: Subset) -> int:
        """How many measures would have to be tried on a load to know their directions."""
        return sum((hazard, name) not in self.responses.known for name in names)

    def _reachable(self, hazard: str, chosen: Subset, more: Subset) -> bool:
        """Whether a load can pass with some of the measures that are still open.

        Measures that help in every draw are tried together, those that conflict too if they are factors:
        together they do no less than any of them that can be taken. They are tried with every choice of
        those that may do either; where there are many of these, the branch is not cut.
        """
        helps = frozenset(name for name in more if self.responses.expected(hazard, name) == "helps")
        either = sorted(more - helps)
        if len(either) > MOST_EITHER or any(
            self.responses.conflicts[name] & (chosen | more) and (hazard, name) not in self.responses.known
            for name in helps
        ):
            return True
        return any(
            not self._fails(hazard, chosen | helps | frozenset(some))
            for size in range(len(either) + 1)
            for some in combinations(either, size)
        )

    def _fails(self, hazard: str, chosen: Subset) -> bool:
        """Whether a load fails under a set, inferred where a better or a worse set has been tried."""
        key = chosen & self.responses.relevant[hazard]
        known = self._known.setdefault(hazard, {})
        if key not in known:
            known[key] = self._inferred(hazard, key, known)
        return known[key]

    def _inferred(self, hazard: str, key: Subset, known: dict[Subset, bool]) -> bool:
        if key and known:
            for other, failed in known.items():
                more, less = (other - key, key - other) if failed else (key - other, other - key)
                if self._all(hazard, more, "helps") and self._all(hazard, less, "hurts"):
                    return failed
        load = self.responses.load(hazard, key)
        return load is not None and self.fails(load)

    def _all(self, hazard: str, names: Subset, direction: Direction) -> bool:
        return all(self.responses.expected(hazard, name) == direction for name in names)

    def _cost(self, chosen: Subset) -> tuple[int, int, int, tuple[str, ...]]:
        measures = [self.responses.measures[name] for name in chosen]
        lasting = sum(not measure.reversible for measure in measures)
        return (len(chosen), sum(measure.cost for measure in measures), lasting, tuple(sorted(chosen)))


@dataclass(eq=False)
class _Level:
    """One depth of the search: sets of this size, none of which contains one found before."""

    size: int
    spared: tuple[Subset, ...]
    cut: bool = False

"""One work at one place for one stay, with all that is known about it: what every hazard is given."""

from __future__ import annotations

from collections.abc import Callable, Hashable, MutableMapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any, TypeVar

import numpy as np

from stillwall.draws import Draws, Floats
from stillwall.record import Record
from stillwall.reference.guidelines import Guideline
from stillwall.reference.library import Library
from stillwall.reference.measures import Effect
from stillwall.reference.media import Medium
from stillwall.survey.survey import Building, HoldingPlace, Pedestal, Room, Survey, Wall
from stillwall.survey.works import Work

T = TypeVar("T")
DAYS_PER_YEAR = 365.25


@dataclass(frozen=True, slots=True)
class Stay:
    """The dates for which a work is to hang. Without an end it is judged by the year."""

    start: date
    end: date | None = None

    @property
    def days(self) -> float:
        """Length of the stay, one year where it is open. [d]"""
        return DAYS_PER_YEAR if self.end is None else float((self.end - self.start).days)

    @property
    def years(self) -> float:
        """Length of the stay. [a]"""
        return self.days / DAYS_PER_YEAR

    @property
    def last_day(self) -> date:
        """The last day that is judged."""
        return self.end if self.end is not None else self.start + timedelta(days=365)


@dataclass(frozen=True, eq=False)
class Site:
    """A place with its room, its building and its record.

    Exposures are computed through :meth:`exposure`, which remembers each result by function and
    parameters, so that sixty works at one wall integrate its readings once. ``memory`` may come from
    the store; ``read`` is called only when something is not in it.
    """

    place: Wall | Pedestal | HoldingPlace
    room: Room | None
    building: Building | None
    read: Callable[[], Record]
    memory: MutableMapping[Hashable, Any] = field(default_factory=dict)
    _record: list[Record] = field(default_factory=list)

    @property
    def record(self) -> Record:
        """What is logged here; read once."""
        if not self._record:
            self._record.append(self.read())
        return self._record[0]

    def exposure(self, compute: Callable[..., T], *parameters: Hashable) -> T:
        """``compute(record, *parameters)``, computed once. ``compute`` is a module-level function."""
        key = (compute.__module__, compute.__qualname__, parameters)
        if key not in self.memory:
            self.memory[key] = compute(self.record, *parameters)
        found: T = self.memory[key]
        return found


@dataclass(frozen=True, eq=False, kw_only=True)
class Case:
    """One work at one place for one stay.

    Attributes
    ----------
    site
        The candidate place.
    present
        Where the work has been living, or None where that is unknown or not surveyed. Own-history
        bands and proofed fluctuation come from here, never from ``site``.
    guideline
        The band that applies: the lender's, else the work's, else the house's.
    measures
        Ids of the measures assumed to be in force.
    brief
        Only what decides is wanted: hazards may leave out spans and notes.
    """

    survey: Survey
    library: Library
    work: Work
    medium: Medium
    guideline: Guideline
    site: Site
    present: Site | None
    stay: Stay
    draws: Draws
    measures: frozenset[str] = frozenset()
    brief: bool = False
    _once: dict[Hashable, Any] = field(default_factory=dict, init=False, repr=False)

    @property
    def wall(self) -> Wall | None:
        """The place as a wall, or None for a pedestal or a holding place."""
        return self.site.place if isinstance(self.site.place, Wall) else None

    def with_measures(self, measures: frozenset[str]) -> Case:
        """The same case with other measures in force."""
        return self._again(measures=measures)

    def in_brief(self) -> Case:
        """The same case of which only what decides is wanted."""
        return self if self.brief else self._again(brief=True)

    def until(self, end: date) -> Case:
        """The same case for a stay that ends on another day."""
        return self._again(stay=Stay(self.stay.start, end))

    def once(self, compute: Callable[..., T], *parameters: Hashable) -> T:
        """``compute(case, *parameters)``, where the case has no measures in force: computed once a stay.

        For what measures do not move, of which their effects are then taken many times.
        """
        key = (compute, self.stay, parameters)
        if key not in self._once:
            self._once[key] = compute(self.with_measures(frozenset()), *parameters)
        found: T = self._once[key]
        return found

    def _again(self, **changes: Any) -> Case:
        made = replace(self, **changes)
        object.__setattr__(made, "_once", self._once)
        return made

    def factor(self, hazard: str, part: str) -> Floats | float:
        """What the measures in force multiply one part of a hazard's exposure by; 1 where none does.

        A factor whose span lies on one side of 1 stays there in every draw.
        """
        product: Floats | float = 1.0
        for effect_id, effect in self._effects(hazard, part):
            if effect.low is not None and effect.mid is not None and effect.high is not None:
                drawn = self.draws.between(effect_id, effect.low, effect.mid, effect.high)
                if effect.low >= 1.0:
                    drawn = np.maximum(drawn, 1.0)
                elif effect.high <= 1.0:
                    drawn = np.minimum(drawn, 1.0)
                product = product * drawn
        return product

    def setting(self, hazard: str, part: str) -> float | str | bool | None:
        """The fact that the measures in force set for one part of a hazard, or None."""
        for _, effect in self._effects(hazard, part):
            if effect.value is not None:
                return effect.value
        return None

    def _effects(self, hazard: str, part: str) -> list[tuple[str, Effect]]:
        return [
            (f"measure:{name}:{hazard}:{part}", effect)
            for name in sorted(self.measures)
            for effect in self.library.measures[name].effects
            if effect.hazard == hazard and effect.on == part
        ]

"""One work at one place for one stay, with all that is known about it: what every hazard is given."""

from __future__ import annotations

from collections.abc import Callable, Hashable, MutableMapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any, TypeVar

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

    @property
    def wall(self) -> Wall | None:
        """The place as a wall, or None for a pedestal or a holding place."""
        return self.site.place if isinstance(self.site.place, Wall) else None

    def with_measures(self, measures: frozenset[str]) -> Case:
        """The same case with other measures in force."""
        return replace(self, measures=measures)

    def factor(self, hazard: str, part: str) -> Floats | float:
        """What the measures in force multiply one part of a hazard's exposure by; 1 where none does."""
        product: Floats | float = 1.0
        for effect_id, effect in self._effects(hazard, part):
            if effect.low is not None and effect.mid is not None and effect.high is not None:
                product = product * self.draws.between(effect_id, effect.low, effect.mid, effect.high)
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

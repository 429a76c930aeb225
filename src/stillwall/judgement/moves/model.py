"""What a plan of moves is made from, and what it is. Plain facts only: no survey, no log."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from stillwall.survey.places import Weekday

Key = tuple[str, str]
"""A work and a place."""
OVER = 1.0
"""A load above this is over its allowance."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Carry:
    """What the crew has to know of a work. Sizes as packed. [m, kg]"""

    name: str = ""
    height_m: float | None = None
    width_m: float | None = None
    depth_m: float | None = None
    mass_kg: float | None = None
    mass_known: bool = False
    ornate: bool = False
    """Whether its frame has ornament that nobody may lift it by."""
    glazed: bool = False
    stop: str = ""
    """Why it may not be moved before somebody has looked at it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MovingWork:
    """A work that hangs, waits or is to come.

    Attributes
    ----------
    width_m
        Outermost width. A work whose width is not known takes a whole place. [m]
    now
        Where it is, or None for one that is yet to come.
    handling
        What it takes to move it once: its size, its fragility. Above 0. [1]
    immovable
        It stays where it is, and its load fixes nothing.
    arrives, leaves
        The first day it is in the house, the first day it is not; None for always.
    """

    id: str
    width_m: float | None
    now: str | None
    handling: float = 1.0
    immovable: bool = False
    themes: frozenset[str] = frozenset()
    arrives: date | None = None
    leaves: date | None = None
    carry: Carry = field(default_factory=Carry)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place for works.

    Attributes
    ----------
    span_m
        Clear run for works side by side. A place whose span is not known takes one work. [m]
    holding
        A store, a rack, a van: works wait there, also for a night while others change places.
    free_from, free_until
        The first day it can be used, the first day it cannot; None for always.
    closed
        Why nothing else may come here; empty where it may.
    out_of_sight
        What a month here costs besides its load, where the least total is sought. [1]
    """

    id: str
    span_m: float | None
    holding: bool = False
    room: str = ""
    building: str = ""
    floor: int | None = None
    free_from: date | None = None
    free_until: date | None = None
    closed: str = ""
    out_of_sight: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ThemeRule:
    """How many works of a theme some places take together."""

    theme: str
    places: frozenset[str]
    at_most: int | None = None
    at_least: int | None = None


@dataclass(frozen=True, kw_only=True)
class Problem:
    """All that a plan has to heed.

    Attributes
    ----------
    loads
        Load of a work at a place; a pair that is left out is not allowed. [1]
    gap_m
        Space between works side by side. [m]
    handling
        What it takes to move a work to a place, where that differs from the work's own handling. [1]
    no_way
        Work, place and place between which it cannot be carried.
    pins
        Works that have to be at a place from the first day on. One whose load there is not in ``loads``
        counts as no load: nothing else could be chosen.
    pairs
        Works that hang in one room; ``groups`` are works that stay in one building.
    tolerance
        Worst loads that differ by no more than this count as equal. [1]
    until
        The day by which a work has to leave a place again, and why.
    notes, fixings, acclimatise
        What the crew is told: of a work at a place, of what it hangs from, of a change of climate
        between two places ("" for outside the house).
    weekdays_closed
        By building, the days on which nothing can be moved there.
    work_names, place_names
        What people call them, by id; the id where it is left out.
    """

    start: date
    works: tuple[MovingWork, ...]
    places: tuple[Spot, ...]
    loads: Mapping[Key, float]
    gap_m: float = 0.15
    handling: Mapping[Key, float] = field(default_factory=dict)
    no_way: frozenset[tuple[str, str, str]] = frozenset()
    pins: Mapping[str, str] = field(default_factory=dict)
    pairs: tuple[tuple[str, str], ...] = ()
    groups: tuple[tuple[str, ...], ...] = ()
    themes: tuple[ThemeRule, ...] = ()
    tolerance: float = 0.0
    until: Mapping[Key, tuple[date, str]] = field(default_factory=dict)
    notes: Mapping[Key, str] = field(default_factory=dict)
    fixings: Mapping[Key, str] = field(default_factory=dict)
    acclimatise: Mapping[tuple[str, str], str] = field(default_factory=dict)
    weekdays_closed: Mapping[str, frozenset[Weekday]] = field(default_factory=dict)
    work_names: Mapping[str, str] = field(default_factory=dict)
    place_names: Mapping[str, str] = field(default_factory=dict)

    def work_name(self, work: str) -> str:
        """A work as people call it."""
        return self.work_names.get(work, work)

    def place_name(self, place: str) -> str:
        """A place as people call it."""
        return self.place_names.get(place, place)

    def cost(self, work: MovingWork, place: str) -> float:
        """What it takes to move a work to a place. [1]"""
        return self.handling.get((work.id, place), work.handling)

    def room_needed_m(self, work: MovingWork, place: Spot) -> float:
        """The length of a place's :meth:`room_m` that a work takes. [m]"""
        if place.span_m is None or work.width_m is None:
            return self.room_m(place)
        return work.width_m + self.gap_m

    def room_m(self, place: Spot) -> float:
        """The length that works and gaps may take together. [m]

        What hangs at a place now fits there, whatever was measured.
        """
        if place.span_m is None:
            return 1.0
        here = [work.width_m for work in self.works if work.now == place.id]
        taken = sum(width + self.gap_m for width in here if width is not None)
        return max(place.span_m + self.gap_m, taken)


@dataclass(frozen=True, slots=True, kw_only=True)
class Objective:
    """What a plan is measured by, most important first."""

    over: int
    """Movable works over an allowance in the last state."""
    worst: float
    """Largest load of a movable work in the last state. [1]"""
    over_before: int
    """Movable works over an allowance in a state before the last."""
    worst_before: float
    """Largest load of a movable work in a state before the last. [1]"""
    handling: float
    """Handling of works that end where they did not begin. [1]"""
    total: float
    """Sum of all loads over the time of the plan. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One work carried from one place to another. ``start`` is None where it comes, ``end`` where it goes."""

    n: int
    work: str
    start: str | None
    end: str | None
    earliest: date | None
    latest: date | None
    handling: float
    reason: str
    carry: str = ""
    crew: str = ""
    people: int = 0
    fixings: str = ""
    acclimatise: str = ""
    until: date | None = None
    until_reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trip:
    """Steps that one crew does in one go, between one building and another."""

    n: int
    date_from: date
    date_to: date | None
    from_building: str
    to_building: str
    steps: tuple[Step, ...]
    people: int
    equipment: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Plan:
    """Where every work ends, and how it gets there.

    ``conflicts`` is empty, or says in words which conditions cannot be met together; there are no
    trips then. ``places`` is the last state; ``states`` holds the state from each day on.
    """

    optimal: bool
    gap: float
    objective: Objective | None
    places: Mapping[str, str]
    states: tuple[tuple[date, Mapping[str, str]], ...] = ()
    trips: tuple[Trip, ...] = ()
    conflicts: tuple[str, ...] = ()
    runner_up: Plan | None = None

    @property
    def steps(self) -> tuple[Step, ...]:
        """Every step in order."""
        return tuple(step for trip in self.trips for step in trip.steps)

"""What the crew needs for each step and each trip: people, equipment, cautions, and the sheet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from stillwall.judgement.moves.model import Carry, MovingWork, Plan, Problem, Step, Trip
from stillwall.reference.library import Library
from stillwall.units import Size, System, show_mass, show_size

WALK = "A person walks the route with the packed size first; stop if any step differs from the survey."
NOT_BY_FRAME = "Nobody lifts a work by its ornament or its top rail."
DRILLING = (
    "Before drilling: pipes, cables, asbestos in boards and textured coats, lead paint, listed-building "
    "consent. Have fixings designed by somebody qualified."
)
LADDERS = "Ladders and lifting by the house's own rules; local codes and licensed practice decide."
WEIGH = "Masses marked * are estimated: weigh before lifting."


@dataclass(frozen=True, slots=True)
class CrewRules:
    """Up to which mass and longer side one person, and two people, carry; beyond which it is a crew's work.

    Figures of ``data/hazards/moves.toml``. [kg, m]
    """

    one_mass_kg: float
    one_side_m: float
    two_mass_kg: float
    two_side_m: float
    crew_mass_kg: float
    crew_side_m: float

    @classmethod
    def of(cls, library: Library) -> CrewRules:
        """The rules of a library."""
        return cls(
            one_mass_kg=library.figure("moves.people.one_mass"),
            one_side_m=library.figure("moves.people.one_side"),
            two_mass_kg=library.figure("moves.people.two_mass"),
            two_side_m=library.figure("moves.people.two_side"),
            crew_mass_kg=library.figure("moves.people.crew_mass"),
            crew_side_m=library.figure("moves.people.crew_side"),
        )

    def people(self, carry: Carry) -> int:
        """People to carry a work; where mass or size is not known, as for a large one."""
        mass = self.crew_mass_kg if carry.mass_kg is None else carry.mass_kg
        sides = [side for side in (carry.height_m, carry.width_m) if side is not None]
        side = max(sides, default=self.crew_side_m)
        if mass > self.crew_mass_kg or side > self.crew_side_m:
            return 4
        if mass > self.two_mass_kg or side > self.two_side_m:
            return 3
        if mass > self.one_mass_kg or side > self.one_side_m:
            return 2
        return 1

    def words(self, carry: Carry) -> str:
        """Who carries a work."""
        return {
            1: "1 person",
            2: "2 people",
            3: "2 people and a spotter, trolley or hoist",
            4: "a professional crew of 4 or more",
        }[self.people(carry)]


def carry_words(carry: Carry, system: System) -> str:
    """Size and mass as packed, as the crew reads them; an estimated mass has a star."""
    size = "size not known: measure it"
    if carry.height_m is not None and carry.width_m is not None:
        size = show_size(Size(carry.height_m, carry.width_m, carry.depth_m), system)
    mass = "mass not known: weigh it"
    if carry.mass_kg is not None:
        mass = show_mass(carry.mass_kg, system) + ("" if carry.mass_known else "*")
    return f"{size}, {mass}"


def equipment(steps: Iterable[Step], works: dict[str, MovingWork], problem: Problem) -> tuple[str, ...]:
    """What the crew brings for a trip."""
    found = {"clean gloves, corner pads, blankets, tape measure": None}
    buildings = {place.id: place.building for place in problem.places}
    for step in steps:
        carry = works[step.work].carry
        if step.people >= 3:
            found["trolley or hoist, webbing"] = None
        if carry.glazed:
            found["tape or film over glass, unless it is acrylic"] = None
        if step.end is None or step.start is None or buildings.get(step.start) != buildings.get(step.end):
            found["van with padded rack and straps, wrapped works upright"] = None
        if step.fixings:
            found["drill, level, detector for pipes and cables"] = None
            found["ladder or low platform, two people at it"] = None
    return tuple(found)


def cautions(steps: Iterable[Step], works: dict[str, MovingWork]) -> tuple[str, ...]:
    """What the crew is told before a trip."""
    said = [WALK]
    for step in steps:
        carry = works[step.work].carry
        if carry.stop:
            said.append(f"Do not move {carry.name or step.work} yet: {carry.stop}. Call a conservator.")
        if carry.ornate:
            said.append(NOT_BY_FRAME)
        if step.fixings:
            said.append(DRILLING)
        if step.people >= 2:
            said.append(LADDERS)
        if carry.mass_kg is None or not carry.mass_known:
            said.append(WEIGH)
    return tuple(dict.fromkeys(said))


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewPage:
    """One page of the crew's sheet: one trip."""

    title: str
    date_from: date
    date_to: date | None
    people: int
    equipment: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    """Number, work, from, to, carry, crew, fixings, notes; one row a step, in order."""
    cautions: tuple[str, ...]


HEADINGS = ("no.", "work", "from", "to", "as packed", "carried by", "fixings", "note")
"""Headings of the rows of a page."""


def crew_sheet(plan: Plan, problem: Problem) -> tuple[CrewPage, ...]:
    """The crew's sheet, one page a trip."""
    works = {work.id: work for work in problem.works}
    return tuple(
        CrewPage(
            title=_title(trip, len(plan.trips)),
            date_from=trip.date_from,
            date_to=trip.date_to,
            people=trip.people,
            equipment=trip.equipment,
            rows=tuple(_row(step, works[step.work]) for step in trip.steps),
            cautions=trip.cautions,
        )
        for trip in plan.trips
    )


def _title(trip: Trip, trips: int) -> str:
    way = " to ".join(dict.fromkeys(name for name in (trip.from_building, trip.to_building) if name))
    return f"Trip {trip.n} of {trips}" + (f": {way}" if way else "")


def _row(step: Step, work: MovingWork) -> tuple[str, ...]:
    notes = [step.reason, step.acclimatise]
    if step.until is not None:
        notes.append(f"only until {step.until.isoformat()}: {step.until_reason}")
    return (
        str(step.n),
        work.carry.name or work.id,
        step.start or "incoming",
        step.end or "away",
        step.carry,
        step.crew,
        step.fixings,
        "; ".join(note for note in notes if note),
    )

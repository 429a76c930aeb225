"""A survey with its logs at hand: its places, its works, the day to judge from, and cases of them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from stillwall.case import Case, Site, Stay
from stillwall.draws import Draws
from stillwall.errors import Fault, InputError
from stillwall.reference.library import Library
from stillwall.sites import Sites, last_reading
from stillwall.survey.names import Nearest
from stillwall.survey.survey import HoldingPlace, Place, Survey
from stillwall.survey.works import Work
from stillwall.units import System

T = TypeVar("T")
ON_PEDESTALS = frozenset({"bust", "object"})
"""Kinds of works that stand on pedestals; all others hang on walls."""


@dataclass(frozen=True, eq=False)
class OpenSurvey:
    """A survey with its logs at hand."""

    survey: Survey
    library: Library
    draws: Draws
    system: System
    sites: Sites
    jobs: int | None = None
    asked_as_of: dt.date | None = None
    _found: dict[str, dt.date | None] = field(default_factory=dict)

    # -- places ------------------------------------------------------------------------------

    def site(self, place_id: str) -> Site:
        """A place with its record, which is read when something first needs it."""
        return self.sites.at(self.place(place_id))

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

    # -- time --------------------------------------------------------------------------------

    @property
    def as_of(self) -> dt.date:
        """The day to judge from: as asked, else the last reading of any place, never the machine's clock."""
        day = self.asked_as_of or self.last_day
        if day is None:
            raise InputError(
                Fault(
                    where=str(self.survey.folder / "survey.toml"),
                    found="no readings and no 'surveyed_on', so there is no day to judge from",
                    expected="a log, or the date of the survey",
                    fix='give --as-of, or add surveyed_on = "2026-03-31" under [survey]',
                )
            )
        return day

    @property
    def last_day(self) -> dt.date | None:
        """Day of the last reading of any place, else of the survey; None where neither is known."""
        if "last" not in self._found:
            ends = [self.site(name).exposure(last_reading) for name in self.survey.places]
            known = [end for end in ends if end is not None]
            self._found["last"] = (
                max(known).astype("datetime64[D]").item() if known else self.survey.head.surveyed_on
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
            present=self.sites.history(work),
            stay=stay,
            draws=self.draws,
        )

    def could_be(self, work: Work, place: Place) -> bool:
        """Whether a work of this kind could be at such a place at all."""
        if isinstance(place, HoldingPlace):
            return True
        return (work.kind in ON_PEDESTALS) == (place.id in self.survey.pedestals)


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

"""Where a work should rest packed, since the air is another."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from stillwall.phrases import show_round
from stillwall.record import Record
from stillwall.reference.library import Library
from stillwall.survey.survey import Survey

Climate = tuple[float | None, float | None]
"""Mean temperature [degC] and relative humidity [%] of a place, None where not logged."""


def place_climate(record: Record) -> Climate:
    """Means of what is logged at a place, for :meth:`stillwall.case.Site.exposure`."""
    means: list[float | None] = []
    for role in ("temperature", "humidity"):
        channel = record.channels.get(role)
        values = None if channel is None else channel.kept[1]
        means.append(None if values is None or not len(values) else float(np.mean(values)))
    return means[0], means[1]


def acclimatise(
    survey: Survey, library: Library, starts: Iterable[str], climates: Mapping[str, Climate]
) -> dict[tuple[str, str], str]:
    """What the crew does where climates differ, or may, between two places; by start ("" outside) and end.

    Between places whose climates are known it is their difference that counts, else whether they are
    in one building.
    """
    rest = f"leave packed for {library.figure('moves.rest_hours'):g} h before it is opened"
    said = {("", end): rest for end in survey.places}
    for end, place in survey.places.items():
        for start in sorted(set(starts) - {end}):
            first, second = survey.building_of(survey.places[start]), survey.building_of(place)
            known = _both_known(climates.get(start), climates.get(end))
            if known is None:
                if first is None or second is None or first.id != second.id:
                    said[start, end] = rest
            elif _differ(library, known):
                first_c, first_pct, second_c, second_pct = known
                units = survey.head.units
                said[start, end] = (
                    f"{rest}, since it comes from {show_round(first_c, units)} and {first_pct:.0f} %RH to "
                    f"{show_round(second_c, units)} and {second_pct:.0f} %RH"
                )
    return said


def _both_known(one: Climate | None, other: Climate | None) -> tuple[float, float, float, float] | None:
    values = [*(one or (None, None)), *(other or (None, None))]
    known = [value for value in values if value is not None]
    return (known[0], known[1], known[2], known[3]) if len(known) == 4 else None


def _differ(library: Library, known: tuple[float, float, float, float]) -> bool:
    first_c, first_pct, second_c, second_pct = known
    return abs(first_c - second_c) > library.figure("moves.same_climate.temperature") or abs(
        first_pct - second_pct
    ) > library.figure("moves.same_climate.humidity")

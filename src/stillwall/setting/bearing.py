"""What a work can bear of the air: its parts, how each follows humidity, and the band it is judged by.

A gilded or composition frame is a part of its own beside the picture: it follows the air in its own time,
and within one mechanism the worse of the two counts once.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from stillwall.case import Case, Site
from stillwall.draws import Z90, Floats
from stillwall.exposure.felt_climate import humidity_seasons, temperature_seasons
from stillwall.exposure.limits import Limits, Source, limits, tighter, widened
from stillwall.exposure.own_history import own_limits
from stillwall.exposure.reach import NORTH, SOUTH
from stillwall.exposure.readings import sensor
from stillwall.exposure.seasons import SEASONS, Seasonal, seasons_of_stay, unseen
from stillwall.phrases import listed
from stillwall.record import Role
from stillwall.reference.guidelines import Band
from stillwall.reference.media import Medium
from stillwall.reference.sources import Citation, Figure
from stillwall.setting.naming import place_name

Quantity = Literal["temperature", "humidity"]
Coverage = tuple[float, float, float, float]

LENDER = Citation(key="lender", locator="conditions of the loan, as entered", checked="practice")
GESSO_FRAMES = frozenset({"gilded_gesso", "composition"})
ENCLOSED_KINDS = frozenset({"painting_canvas", "panel", "paper", "pastel", "photograph", "textile"})
TROPICS_DEG = 23.4
PROVEN = frozenset({None, "sound", "watch"})
"""Conditions in which past swings prove anything; a flaking work has not survived them."""


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """A part of a work that takes up moisture.

    ``name`` is ``picture``, ``work`` or ``frame``; ``surface_t95_h`` and ``bulk_t95_h`` are its times to
    95 % of a step, and ``lived_surface_t95_h`` and ``lived_bulk_t95_h`` those it has lived with, without
    what measures enclose it in; ``material`` and ``restrained`` say what strains; ``source`` is that of
    the times.
    """

    name: str
    surface_t95_h: float
    bulk_t95_h: float
    lived_surface_t95_h: float
    lived_bulk_t95_h: float
    band: Band | None
    material: str | None
    restrained: bool
    hygroscopic: bool
    source: Citation


def moisture_parts(case: Case, hazard: str) -> tuple[Part, ...]:
    """Parts of the work that humidity can touch, picture first; empty for one that it cannot."""
    return case.once(_moisture_parts, case.setting(hazard, "enclosure"))


def _moisture_parts(case: Case, enclosure: str | None) -> tuple[Part, ...]:
    parts = []
    medium = case.medium
    if medium.hygroscopic or medium.humidity is not None:
        surface, bulk, source = _response(case, _enclosure(case, enclosure))
        lived_surface, lived_bulk, _ = _response(case, _own_enclosure(case))
        parts.append(
            Part(
                name="picture" if case.work.kind in ENCLOSED_KINDS else "work",
                surface_t95_h=surface,
                bulk_t95_h=bulk,
                lived_surface_t95_h=lived_surface,
                lived_bulk_t95_h=lived_bulk,
                band=medium.humidity,
                material=None if medium.strain is None else medium.strain.material,
                restrained=medium.strain is not None and medium.strain.restrained,
                hygroscopic=medium.hygroscopic,
                source=source,
            )
        )
    frame = frame_medium(case)
    if frame is not None:
        parts.append(_frame(frame))
    return tuple(parts)


def _response(case: Case, slower: Figure | None) -> tuple[float, float, Citation]:
    moisture = case.medium.moisture
    own = (0.0, 0.0) if moisture is None else (moisture.surface_t95.value, moisture.bulk_t95.value)
    source = case.medium.light.source if moisture is None else moisture.bulk_t95.source
    if slower is None or slower.value <= own[0]:
        return own[0], own[1], source
    return slower.value, max(own[1], slower.value), slower.source


def _enclosure(case: Case, given: str | None) -> Figure | None:
    """The response of the enclosure that a measure gives the work, else of the one it has."""
    return _own_enclosure(case) if given is None else case.library.figures[f"felt.enclosure.{given}"]


def _own_enclosure(case: Case) -> Figure | None:
    """The response that backing and glazing lend to what is inside; none where they are not known."""
    figures = case.library.figures
    if case.work.kind not in ENCLOSED_KINDS or case.work.backing not in ("board", "sealed"):
        return None
    glazed = case.work.glazing not in (None, "none")
    return figures[f"felt.enclosure.{'glazed' if glazed else 'unglazed'}_{case.work.backing}"]


def frame_medium(case: Case) -> Medium | None:
    """The medium of a gilded or composition frame, None for any other frame."""
    if case.work.frame not in GESSO_FRAMES:
        return None
    return case.library.media[f"frame-{str(case.work.frame).replace('_', '-')}"]


def _frame(medium: Medium) -> Part:
    assert medium.moisture is not None
    assert medium.strain is not None
    return Part(
        name="frame",
        surface_t95_h=medium.moisture.surface_t95.value,
        bulk_t95_h=medium.moisture.bulk_t95.value,
        lived_surface_t95_h=medium.moisture.surface_t95.value,
        lived_bulk_t95_h=medium.moisture.bulk_t95.value,
        band=medium.humidity,
        material=medium.strain.material,
        restrained=medium.strain.restrained,
        hygroscopic=True,
        source=medium.moisture.bulk_t95.source,
    )


def history_of(case: Case, bulk_t95_h: float) -> Seasonal | None:
    """Humidity that the work has felt where it has been living, where a whole year of that is logged."""
    if case.present is None:
        return None
    found = case.present.exposure(humidity_seasons, bulk_t95_h)
    if found is None:
        return None
    found = replace(found, coverage=by_the_air(case.present, found.coverage))
    return found if found.full_year else None


def by_the_air(site: Site, felt: Coverage) -> Coverage:
    """Coverage of what an object felt, with that of the air where a whole year of it is logged.

    What is slow feels for long the air before a record; but no season is unseen for that reason.
    """
    air = site.exposure(humidity_seasons, 0.0)
    if air is None or not air.full_year:
        return felt
    winter, spring, summer, autumn = (
        max(own, logged) if own > 0 else 0.0 for own, logged in zip(felt, air.coverage, strict=True)
    )
    return winter, spring, summer, autumn


def history_of_temperature(case: Case) -> Seasonal | None:
    """Temperature where the work has been living, where a whole year of that is logged."""
    if case.present is None:
        return None
    found = case.present.exposure(temperature_seasons)
    return found if found is not None and found.full_year else None


def judged_limits(
    case: Case, quantity: Quantity, own: Band | None, history: Seasonal | None, *, recentre: bool
) -> Limits | None:
    """The band that applies to one part of a work, or None where no text gives one of level.

    A lender's limits replace all others. Else the tighter of the guideline's and the medium's own band. With
    ``recentre`` and a ``history`` that is logged it is the guideline's, about the mean of that history and
    widened to what the work has lived with: what a work is used to outranks what its medium usually likes.
    Guidelines are meant for works that take up moisture: metal and stone have only their own band, if any.
    """
    lender = _lender_band(case, quantity)
    general = case.guideline.temperature if quantity == "temperature" else case.guideline.humidity
    if _takes_up_none(case, quantity, own):
        general, recentre = None, False
    open_side = case.library.figure(f"{quantity}.open_side_centre")
    if lender is not None:
        return limits(lender, Source("lender", "the lender"), open_side_centre=open_side)
    which = tighter(general, own)
    if recentre and history is not None and general is not None:
        which = "general"
    band = own if which == "own" else general
    if band is None or (band.low is None and band.high is None and not band.follows_history):
        return None
    made = limits(band, _named(case, which), history=history, recentre=recentre, open_side_centre=open_side)
    own_course = own_history_limits(case) if which == "general" and quantity == "humidity" else None
    if own_course is not None:
        mean_low, mean_high, lower, upper = own_course
        made = replace(made, low=mean_low + lower, high=mean_high + upper)
    if history is None or not recentre or case.work.condition not in PROVEN:
        return made
    figures = case.library.figures
    return widened(
        made, history, figures["humidity.proofed.low"].value, figures["humidity.proofed.high"].value
    )


def _takes_up_none(case: Case, quantity: Quantity, own: Band | None) -> bool:
    """Whether a part neither swells, softens nor ages, so that a guideline's band says nothing of it."""
    medium = case.medium
    if medium.hygroscopic:
        return False
    if quantity == "temperature":
        return medium.group in ("metal", "stone") and medium.activation_energy is None
    return own is not None and own is medium.humidity


def own_history_limits(case: Case) -> tuple[float, float, float, float] | None:
    """Of the place where the work has been living: lowest and highest seasonal course, lower and upper limit.

    None unless the guideline takes its band from a record, and there is one that is long enough.
    """
    rule = case.guideline.own_history
    if rule is None or case.present is None:
        return None
    figures = (
        rule.window,
        rule.lower_percentile,
        rule.upper_percentile,
        rule.floor,
        rule.record_length,
        rule.interval,
    )
    return case.present.exposure(own_limits, *(figure.value for figure in figures))


def _named(case: Case, which: Literal["general", "own", "neither"]) -> Source:
    if which == "general":
        return Source("guideline", short_title(case))
    return Source("medium", f"the band of {case.medium.title.split(',')[0].lower()}")


def short_title(case: Case) -> str:
    """The guideline's title up to its explanation."""
    return case.guideline.title.split(":")[0]


def _lender_band(case: Case, quantity: Quantity) -> Band | None:
    lender = case.work.lender
    if lender is None:
        return None
    if quantity == "temperature":
        low, high, swing = lender.temperature_low_c, lender.temperature_high_c, None
    else:
        low, high, swing = lender.humidity_low_pct, lender.humidity_high_pct, lender.humidity_swing_pct
    if low is None and high is None:
        return None
    return Band(low=low, high=high, short_term=swing, source=LENDER)


def sensor_draws(case: Case, site: Site, role: Role) -> Floats:
    """Draws of the calibration error of a site's logger for a role, zero where nothing is logged."""
    found = site.exposure(sensor, role)
    if found is None:
        return np.zeros(case.draws.count)
    logger, accuracy = found
    return accuracy / Z90 * case.draws.normal(f"logger:{logger}:{role}")


def season_stream(case: Case, quantity: Quantity) -> Callable[[int], Floats]:
    """Standard normal draws for what a season is like that nobody logged, by season."""
    stream = f"season:{case.site.place.id}:{quantity}"

    def draws(index: int) -> Floats:
        return case.draws.normal(f"{stream}:{index}")

    return draws


def climate_ranks(case: Case) -> tuple[int, ...] | None:
    """Ranks of the seasons, coldest first; None in the tropics and where nobody says where the house is."""
    building = case.site.building
    if building is None or building.latitude is None or abs(building.latitude) < TROPICS_DEG:
        return None
    return NORTH if building.latitude > 0 else SOUTH


def guessed_words(questions: bool, guessed: bool, lowest: str, highest: str) -> str:
    """What of a sentence's extremes is a guess about seasons nobody logged, beside what was seen."""
    if not (questions and guessed):
        return ""
    if "nan" in lowest:
        return " All of this is a guess for seasons that nobody logged."
    return f" The log itself shows {lowest} to {highest}; the rest is a guess for seasons that nobody logged."


def needed_seasons(case: Case) -> tuple[int, ...]:
    """Seasons that the stay touches."""
    return seasons_of_stay(case.stay.start, case.stay.end)


def sensor_gain(case: Case, site: Site) -> Floats:
    """Draws of the factor that a hygrometer's error of gain puts on swings; its offset does not matter."""
    found = site.exposure(sensor, "humidity")
    if found is None:
        return np.ones(case.draws.count)
    logger, accuracy = found
    sd = accuracy / Z90 / case.library.figure("humidity_swing.gain_level")
    made: Floats = np.exp(sd * case.draws.normal(f"logger:{logger}:humidity:gain"))
    return made


def unseen_questions(case: Case, seen: Seasonal, what: str) -> tuple[str, ...]:
    """Questions for the seasons that the stay touches and nobody logged."""
    return unseen_seasons_questions(case, unseen(seen.seen, needed_seasons(case)), what)


def unseen_seasons_questions(case: Case, missing: tuple[str, ...], what: str) -> tuple[str, ...]:
    """The question that seasons which nobody logged leave open."""
    if not missing:
        return ()
    asked = _both(case, what, missing)
    if len(missing) == len(SEASONS):
        return (_year_question(case, asked),)
    when = f"in {missing[0]}" if len(missing) == 1 else f"in each of {listed(missing)}"
    return (f"Six weeks of readings of {asked}, {when}, at {place_name(case)}?",)


def unlogged_question(case: Case, what: str) -> str:
    """The question that a place without a log leaves open."""
    return _year_question(case, _both(case, what, SEASONS))


def _year_question(case: Case, what: str) -> str:
    return f"A year of readings of {what}, or at least six weeks in each season, at {place_name(case)}?"


def _both(case: Case, what: str, missing: tuple[str, ...]) -> str:
    """Temperature and humidity, where the other is as little known: one logger answers for both."""
    if what not in ("temperature", "humidity"):
        return what
    other = (
        case.site.exposure(temperature_seasons)
        if what == "humidity"
        else case.site.exposure(humidity_seasons, 0.0)
    )
    unknown = SEASONS if other is None else unseen(other.seen, needed_seasons(case))
    return "temperature and humidity" if unknown == missing else what

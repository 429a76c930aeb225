"""Daily swings of the humidity that a surface feels, against a guideline's short-term part and strain."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from stillwall.case import Case, Site
from stillwall.draws import Floats, median
from stillwall.exposure.felt_climate import Swings, humidity_swings
from stillwall.exposure.seasons import SEEN_SHARE, unseen
from stillwall.exposure.strain import strain_per_humidity
from stillwall.load import Evidence, Load
from stillwall.phrases import counted, percent
from stillwall.reference.sources import Citation
from stillwall.setting.bearing import (
    ENCLOSED_KINDS,
    LENDER,
    PROVEN,
    Part,
    by_the_air,
    moisture_parts,
    needed_seasons,
    own_history_limits,
    sensor_gain,
    short_title,
    unlogged_question,
    unseen_seasons_questions,
)
from stillwall.setting.naming import the_place
from stillwall.units import Amount

NAME: Final = "humidity_swing"
PARTS = {
    "swing": "daily swing of the air that reaches the work",
    "enclosure": "what lends the work its own air: a row of the enclosures of felt.toml",
}


@dataclass(frozen=True, slots=True, eq=False)
class _Test:
    """One allowance for one part: exposure and allowance in draws or as a figure, [%RH]."""

    part: Part
    by: str
    what: Literal["swing", "gradient"]
    exposure: Floats
    allowance: Floats | float
    known: Floats | None
    """Draws of the ratio by what was seen alone, where the others hold a guess."""
    allowed: Floats | float
    """The allowance as it is without what the work has lived with."""
    source: Citation
    swings: Swings
    draws: Floats
    typical: float

    def under(self, factor: Floats | float) -> _Test:
        """The same test where measures change the swing by a factor."""
        if isinstance(factor, float):
            return self
        draws = self.draws * factor
        known = None if self.known is None else self.known * factor
        exposure = self.exposure * factor
        return replace(self, exposure=exposure, known=known, draws=draws, typical=median(draws))


def load(case: Case) -> Load | None:
    """95th percentile of the daily half-swing over what is allowed, and the gradient over what strains.

    The tighter of the guideline's short-term part and the material's limit of strain counts, for picture and
    frame each; both are widened to the swing that the work has lived with, where a year of that is logged.
    """
    parts = tuple(part for part in moisture_parts(case, NAME) if part.hygroscopic)
    if not parts:
        return None
    factor = case.factor(NAME, "swing")
    tests = [test.under(factor) for part in parts for test in case.once(_tests, part)]
    if not tests:
        return _unlogged(case)
    worst = max(tests, key=lambda test: test.typical)
    draws = np.maximum.reduce([test.draws for test in tests])
    seen = tuple(share >= SEEN_SHARE for share in worst.swings.coverage)
    missing = unseen(seen, needed_seasons(case))
    evidence: Evidence = "measured"
    if missing:
        evidence = "missing"
    exposure, allowance = median(worst.exposure), _middle(worst.allowance)
    return Load(
        hazard=NAME,
        kind="graded",
        draws=draws,
        seen=_known(tests),
        reason=_reason(worst, exposure, allowance),
        evidence=evidence,
        sources=(worst.source, worst.part.source),
        missing=(*unseen_seasons_questions(case, missing, "humidity"), *_questions(case, worst)),
        deciding=True,
        exposure=Amount(exposure, "%RH"),
        allowance=Amount(allowance, "%RH"),
        span=None if case.brief or _by_lender(case) else _span(case, worst),
        notes=() if case.brief else _notes(case, worst, tests),
    )


def _known(tests: list[_Test]) -> Floats | None:
    """The worst of the tests by what was seen alone; None where none holds a guess."""
    if all(test.known is None for test in tests):
        return None
    known: Floats = np.maximum.reduce([test.draws if test.known is None else test.known for test in tests])
    return known


def _tests(case: Case, part: Part) -> list[_Test]:
    allowed, window_h, by, source = _short_term(case, part)
    swings = case.site.exposure(humidity_swings, part.surface_t95_h, part.bulk_t95_h, window_h)
    if swings is None:
        return []
    swings = replace(swings, coverage=by_the_air(case.site, swings.coverage))
    made = [_test(case, part, "swing", by, allowed, source, swings, window_h)]
    graded = part.bulk_t95_h > part.surface_t95_h and not _by_lender(case)
    strain = _strain_allowance(case, part, swings) if graded else None
    if strain is not None:
        made.append(_test(case, part, "gradient", *strain, swings, window_h))
    return made


def _test(
    case: Case,
    part: Part,
    what: Literal["swing", "gradient"],
    by: str,
    allowed: Floats | float,
    source: Citation,
    swings: Swings,
    window_h: float,
) -> _Test:
    figures = swings.half_swing if what == "swing" else swings.gradient
    seasons = _worst_season(case, figures, swings.coverage)
    gain = sensor_gain(case, case.site)
    exposure = seasons * gain
    lived = _lived(case, part, what, window_h)
    known = isinstance(allowed, float) and isinstance(lived, float)
    allowance = max(allowed, lived) if known else np.maximum(allowed, lived)
    draws = exposure / allowance
    known_draws = None
    if any(swings.coverage[index] < SEEN_SHARE for index in needed_seasons(case)):
        felt = [figures[index] for index in needed_seasons(case) if not np.isnan(figures[index])]
        known_draws = max(felt, default=0.0) * gain / allowance
    return _Test(
        part, by, what, exposure, allowance, known_draws, allowed, source, swings, draws, median(draws)
    )


def _short_term(case: Case, part: Part) -> tuple[float, float, str, Citation]:
    """Allowed departure, the hours of the mean it is taken from, whose it is, and its source."""
    lender = case.work.lender
    if lender is not None and lender.humidity_swing_pct is not None:
        return lender.humidity_swing_pct, 24.0, "the lender", LENDER
    general = case.guideline.humidity
    found = []
    if general is not None and general.short_term is not None:
        source = general.short_term_source or general.source
        own = own_history_limits(case)
        allowed = general.short_term if own is None else min(-own[2], own[3])
        found.append((allowed, general.short_term_h, short_title(case), source))
    if part.band is not None and part.band.short_term is not None:
        source = part.band.short_term_source or part.band.source
        found.append((part.band.short_term, part.band.short_term_h, f"the {part.name}'s own band", source))
    if found:
        return min(found, key=lambda item: item[0])
    default = case.library.figures["humidity_swing.short_term"]
    return default.value, 24.0, "the least width of EN 15757", default.source


def _by_lender(case: Case) -> bool:
    """Whether a lender has set the swing that is allowed."""
    return case.work.lender is not None and case.work.lender.humidity_swing_pct is not None


def _strain_allowance(case: Case, part: Part, swings: Swings) -> tuple[str, Floats | float, Citation] | None:
    """Difference between surface and bulk at which the restrained material reaches its limit of strain."""
    if part.material is None or not part.restrained:
        return None
    limit = case.library.figures[f"strain.yield.{part.material}"]
    if part.material in ("wood", "gesso"):
        shrinkage = _shrinkage(case, part)
        temperature = case.library.figure("humidity_swing.strain_temperature")
        level = float(np.clip(swings.mean_pct, 5.0, 95.0))
        slope = strain_per_humidity(shrinkage, temperature, level)
    else:
        swelling = case.library.figures[f"strain.swelling.{part.material}"]
        assert swelling.low is not None
        assert swelling.high is not None
        slope = case.draws.between(
            f"model:{NAME}:swelling:{part.material}", swelling.low, swelling.value, swelling.high
        )
    return f"the strain that {part.material} bears", limit.value / slope, limit.source


def _shrinkage(case: Case, part: Part) -> Floats | float:
    """Total shrinkage of the wood that carries the part: of its species and cut, else of any wood. [%]"""
    figures = case.library.figures
    species = (case.work.species or "").strip().lower() if part.name != "frame" else ""
    tangential = figures.get(f"strain.shrinkage.tangential.{species}")
    radial = figures.get(f"strain.shrinkage.radial.{species}")
    stream = f"work:{case.work.id}:shrinkage:{part.name}"
    if tangential is None or radial is None:
        low, mid, high = (
            case.library.figure(f"strain.shrinkage.unknown.{end}") for end in ("low", "mid", "high")
        )
        return case.draws.between(stream, low, mid, high)
    if case.work.cut is None:
        return case.draws.between(stream, radial.value, tangential.value, tangential.value)
    return radial.value if case.work.cut == "radial" else tangential.value


def _worst_season(case: Case, figures: tuple[float, ...], coverage: tuple[float, ...]) -> Floats:
    """The largest figure of the seasons that count; one that nobody logged is guessed from the others."""
    known = [figure for figure in figures if not np.isnan(figure)]
    middle = median(np.array(known)) if known else 0.0
    spread = float(np.log(case.library.figure("humidity_swing.unseen_season")))
    worst: Floats | float = 0.0
    for index in needed_seasons(case):
        if not np.isnan(figures[index]):
            worst = (
                max(worst, figures[index]) if isinstance(worst, float) else np.maximum(worst, figures[index])
            )
        if coverage[index] < SEEN_SHARE:
            draws = case.draws.normal(f"season:{case.site.place.id}:{NAME}:{index}")
            worst = np.maximum(worst, middle * np.exp(spread * draws))
    return np.full(case.draws.count, worst) if isinstance(worst, float) else worst


def _lived(case: Case, part: Part, what: Literal["swing", "gradient"], window_h: float) -> Floats | float:
    """The same figure where the work has been living, over a whole year; 0 where that proves nothing."""
    if case.present is None or case.work.condition not in PROVEN or _by_lender(case):
        return 0.0
    there = _present_swings(case.present, part, window_h)
    if there is None or min(there.coverage) < SEEN_SHARE:
        return 0.0
    figures = there.half_swing if what == "swing" else there.gradient
    lived = max((figure for figure in figures if not np.isnan(figure)), default=0.0)
    return lived * sensor_gain(case, case.present) if lived > 0 else 0.0


def _present_swings(site: Site, part: Part, window_h: float) -> Swings | None:
    found = site.exposure(humidity_swings, part.lived_surface_t95_h, part.lived_bulk_t95_h, window_h)
    return None if found is None else replace(found, coverage=by_the_air(site, found.coverage))


def _questions(case: Case, worst: _Test) -> tuple[str, ...]:
    """What is not known of the work and moves this load."""
    questions = []
    if case.work.kind in ENCLOSED_KINDS and case.work.frame is None:
        questions.append(f"What frame has {case.work.name}? A gilded one is judged beside it.")
    if worst.what == "gradient" and worst.part.name != "frame" and worst.part.material in ("wood", "gesso"):
        if case.work.species is None:
            questions.append(f"On which wood is {case.work.name}?")
        elif case.work.cut is None:
            questions.append(f"Is the wood of {case.work.name} cut tangentially or radially?")
    return tuple(questions)


def _reason(worst: _Test, exposure: float, allowance: float) -> str:
    if worst.what == "swing":
        mean = f"its mean of {_window(worst.swings.window_h)}"
        what = f"the surface of the {worst.part.name} strays from {mean} by no more than"
    else:
        what = f"the surface and the inside of the {worst.part.name} differ by no more than"
    return f"On 19 days in 20 {what} {exposure:.1f} %RH; {worst.by} allows {allowance:.1f} %RH."


def _window(hours: float) -> str:
    return counted(hours, "hour") if hours < 48 else counted(hours / 24, "day")


def _told(test: _Test) -> str:
    """One of the tests that do not govern."""
    what = "Daily swing" if test.what == "swing" else "Difference of surface and inside"
    allowed = f"the allowance by {test.by}"
    return f"{what} of the {test.part.name}: {percent(test.typical)} of {allowed}."


def _notes(case: Case, worst: _Test, tests: list[_Test]) -> tuple[str, ...]:
    notes = [_told(test) for test in tests if test is not worst]
    allowance = _middle(worst.allowance)
    own = _middle(worst.allowed)
    if allowance > own * (1 + 1e-9):
        notes.append(
            f"The allowance is widened from {own:.1f} to {allowance:.1f} %RH, which the work has lived with."
        )
    if worst.what == "swing":
        ranges = [worst.swings.half_range[index] for index in needed_seasons(case)]
        largest = max((figure for figure in ranges if not np.isnan(figure)), default=None)
        if largest is not None:
            notes.append(f"Taken as half of a day's range, the swing is {largest:.1f} %RH.")
    for test in tests:
        if test.what == "gradient":
            begins = case.library.figure(f"strain.yield.{test.part.material}")
            fails = case.library.figure(f"strain.failure.{test.part.material}")
            strained = median(test.exposure / test.allowed)
            notes.append(
                f"That difference strains the {test.part.name} by {100 * begins * strained:.2f} %; "
                f"damage begins at {100 * begins:.2f} %, failure at {100 * fails:.2f} %."
            )
    if not np.isnan(worst.swings.bulk_range) and worst.part.material in ("wood", "gesso"):
        notes.append(
            f"Inside, the {worst.part.name} goes through {worst.swings.bulk_range:.0f} %RH over the record."
        )
    return tuple(notes)


def _middle(figure: Floats | float) -> float:
    return figure if isinstance(figure, float) else median(figure)


def _span(case: Case, worst: _Test) -> tuple[float, float] | None:
    """The median load if the part followed the air in half and in twice the time."""
    ends = [worst.typical]
    for name in ("quicker", "slower"):
        factor = case.library.figure(f"humidity.response_span.{name}")
        swings = case.site.exposure(
            humidity_swings,
            worst.part.surface_t95_h * factor,
            worst.part.bulk_t95_h * factor,
            worst.swings.window_h,
            True,
        )
        if swings is None:
            return None
        figures = swings.half_swing if worst.what == "swing" else swings.gradient
        exposure = _worst_season(case, figures, by_the_air(case.site, swings.coverage)) * case.factor(
            NAME, "swing"
        )
        ends.append(median(exposure / worst.allowance))
    return min(ends), max(ends)


def _unlogged(case: Case) -> Load:
    return Load(
        hazard=NAME,
        kind="graded",
        draws=None,
        reason=f"Humidity is not logged at {the_place(case)} for long enough to know its daily swings.",
        evidence="missing",
        sources=(case.guideline.source,),
        missing=(unlogged_question(case, "humidity"),),
        deciding=True,
    )

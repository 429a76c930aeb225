"""Knocks: how often shoulders, bags, trolleys and chairs touch a work, and how often that harms it."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import numpy as np
import scipy

from stillwall.case import Case
from stillwall.draws import Draws, Floats, median
from stillwall.exposure.contacts import (
    chance_of_damage,
    contact_load,
    stay_days,
    updated_rate,
    yearly_loss_score,
)
from stillwall.load import Evidence, Load
from stillwall.phrases import about, counted, duration, percent, two_figures
from stillwall.setting.hanging import Hanging, hang
from stillwall.setting.naming import place_name
from stillwall.setting.standing import FALLS
from stillwall.setting.touching import Changes, Hung, contact_rates, people_past
from stillwall.setting.traffic import People, figure_draws, occasions, share_of_year
from stillwall.survey.places import HoldingPlace, Pedestal, Wall
from stillwall.units import Amount, show_length

PARTS = {
    "bottom": "lowest height of the bottom edge that is asked for, in m",
    "frame": "kind of frame that the work is given",
    "glazing": "whether the picture's face is glazed",
    "barrier": "distance of a barrier from the wall, in m",
    "furniture": "depth of a console or chest put below, in m",
    "furniture_top": "height of a console or chest put below, in m",
    "bust": "whether the bust is pinned or clipped to its pedestal",
    "tables": "distance of the tables' edges from the wall, in m",
    "events": "whether the work hangs there during occasions",
    "contacts": "contacts, by any means",
}
LONG_STAY_D = 3650.0
"""Stays beyond this are not worth a remark. [d]"""
DAMAGE = "model:bump:damage"
"""One error for the fragility of all frames, so that frames compare alike whatever it is."""
RATE_CAUTION = (
    "Rates of knocks are judgement, good to a factor of five to ten: use them to compare walls and not for "
    "insurance."
)


def load(case: Case) -> Load | None:
    """Damaging contacts over the stay, over one in twenty years; a stay under a year has one year's worth."""
    place = case.site.place
    if isinstance(place, HoldingPlace):
        return None
    hanging = hang(case)
    hung = Hung(hanging.bottom_m, hanging.top_m, hanging.projection_m)
    flows = case.once(people_past)
    rates = case.once(contact_rates, hung, Changes.of(case))
    total, missing = _sum(rates), list(_missing(case, place, hanging, flows))
    marks, years = place.marks_last_year, getattr(place, "marks_years", None) or 1.0
    seen = ""
    if marks is not None:
        # Marks were made without the measures: they update the rate as it was, which measures then lower.
        base = _sum(case.once(contact_rates, hung, Changes()))
        spread = _spread_of_marks(case.draws, f"wall:{place.id}:marks", marks)
        total = updated_rate(base, marks, years) * spread * (total / base)
        seen = f" ({counted(marks, 'mark')} seen in {counted(years, 'year')})"
    total = total * case.factor("bump", "contacts")
    contacts: Floats = total * case.stay.years + _handling(case)
    damage, what = _damage(case, place)
    yearly = case.library.figures["bump.allowance.damaging_contacts"]
    allowed = yearly.value * max(1.0, case.stay.years)
    draws = contact_load(contacts, damage, allowed)
    show = case.survey.head.units
    rate, harm = median(total), median(damage)
    worst = max(rates, key=lambda name: float(np.mean(rates[name])))
    circulation = place.circulation in ("passing", "required_egress")
    evidence: Evidence = "assumed" if missing else "surveyed"
    if circulation and not flows.counted and marks is None:
        evidence = "missing"
    loss = rate * harm * case.library.figure(f"bump.loss.{what}")
    chance = median(chance_of_damage(total, damage, case.stay.days))
    return Load(
        hazard="bump",
        kind="graded",
        draws=draws,
        reason=(
            f"{_contacts(rate)}{seen}, mostly by {WORDS[worst]}, with the bottom edge at "
            f"{show_length(hanging.bottom_m, show)}; {_harmed(what, harm)}, so the chance of damage over the "
            f"stay is {percent(chance)}. One damaging knock in twenty years is allowed."
        ),
        evidence=evidence,
        sources=(yearly.source,),
        missing=tuple(missing),
        deciding=circulation,
        exposure=Amount(median(contacts * damage), "damaging contacts"),
        allowance=Amount(allowed, "damaging contacts"),
        span=_span(case, draws),
        notes=(
            f"Expected loss {about(100 * loss)} % of the value a year: "
            f"{yearly_loss_score(max(loss, 1e-15)):.1f} on a scale of risk where 15 is all of it.",
            *_until(case, total, damage),
            *_notes(case, hanging),
        ),
        cautions=(RATE_CAUTION, FALLS) if isinstance(place, Pedestal) else (RATE_CAUTION,),
        accrues=True,
    )


WORDS = {
    "adult": "people walking past",
    "bags": "backpacks and luggage",
    "child": "children",
    "trolley": "trolleys",
    "wheelchair": "wheelchairs and prams",
    "crowd": "guests at occasions",
    "chairs": "chairs pushed back",
    "waiting": "people waiting",
    "staff": "work at the wall",
}


def _span(case: Case, draws: Floats) -> tuple[float, float]:
    """The load at the two ends of the allowance that is believable."""
    yearly = case.library.figures["bump.allowance.damaging_contacts"]
    assert yearly.low is not None
    assert yearly.high is not None
    middle = median(draws)
    return middle * yearly.value / yearly.high, middle * yearly.value / yearly.low


@lru_cache(maxsize=4096)
def _spread_of_marks(draws: Draws, stream: str, marks: float) -> Floats:
    """Draws of a rate over its mean, where that many marks were seen: gamma of shape 1 + marks."""
    chances = scipy.special.ndtr(draws.normal(stream))
    made: Floats = scipy.special.gammaincinv(1 + marks, chances) / (1 + marks)
    made.flags.writeable = False
    return made


def _sum(rates: dict[str, Floats]) -> Floats:
    made: Floats = np.sum(list(rates.values()), axis=0)
    return made


def _contacts(yearly: float) -> str:
    """How often it is touched."""
    if yearly >= 0.95:
        return f"About {counted(yearly, 'contact')} a year"
    return f"About one contact in {two_figures(float(f'{1 / max(yearly, 1e-6):.2g}'))} years"


def _harmed(what: str, harm: float) -> str:
    """How often that leaves damage."""
    one_in = f"{1 / harm:.0f}"
    often = "nearly every contact" if one_in == "1" else f"one contact in {one_in}"
    return f"{_kind(what)} is damaged by {often}"


def _kind(what: str) -> str:
    names = {
        "composition": "a composition frame",
        "gilded_gesso": "a gilded gesso frame",
        "carved_wood": "a carved frame",
        "plain_wood": "a plain wood frame",
        "metal": "a metal frame",
        "canvas": "a canvas without a frame",
        "bust_fixed": "a bust that is fixed",
        "bust_free": "a bust that stands free",
        "unknown": "a frame of unknown kind",
    }
    return names[what]


def _handling(case: Case) -> Floats | float:
    """Contacts that taking a work down for each occasion is worth."""
    if case.setting("bump", "events") is not False:
        return 0.0
    count = sum(
        event.per_year * share_of_year(case.stay.start, case.stay.last_day, event.months)
        for event in occasions(case)
    )
    fragile = case.work.frame in ("composition", "gilded_gesso") or case.work.condition != "sound"
    harm = figure_draws(case, "handling.fragile" if fragile else "handling.robust")
    return 2 * count * case.stay.years * harm


def _damage(case: Case, place: Wall | Pedestal) -> tuple[Floats, str]:
    """Chance that a contact does visible damage, and what is met."""
    work = case.work
    if isinstance(place, Pedestal) or work.kind in ("bust", "object"):
        fixed = case.setting("bump", "bust") is True or (
            isinstance(place, Pedestal) and place.bust_fixed not in (None, "none")
        )
        what = "bust_fixed" if fixed else "bust_free"
        return np.minimum(figure_draws(case, f"damage.{what}", DAMAGE), 1.0), what
    given = case.setting("bump", "frame")
    frame = str(given) if given is not None else (work.frame or "unknown")
    what = "canvas" if frame == "none" else frame
    damage = figure_draws(case, f"damage.{what}", DAMAGE)
    glazed = case.setting("bump", "glazing") or work.glazing not in (None, "none")
    if what == "canvas" and glazed:
        damage = damage * figure_draws(case, "damage.glazing_factor") + figure_draws(
            case, "damage.glass_breaks"
        )
    elif what == "canvas" and (work.condition == "flaking" or work.surface in ("fragile", "flaking")):
        damage = damage * figure_draws(case, "damage.fragile_surface_factor")
    if given is None and (work.ornament_loose or work.condition == "loose_ornament"):
        damage = damage * figure_draws(case, "damage.loose_ornament_factor")
    return np.minimum(damage, 1.0), what


def _missing(case: Case, place: Wall | Pedestal, hanging: Hanging, flows: People) -> Iterator[str]:
    name = place_name(case)
    if place.marks_last_year is None and not flows.counted:
        yield f"How many knocks or marks were seen in the last year at {name}?"
    if not flows.counted:
        yield f"How many people a day, and how many in the busiest hour, pass {name}?"
    if place.circulation is None:
        yield f"Is there a way through, or a way out that the fire code requires, past {name}?"
    if place.clear_width_m is None:
        yield f"How wide is the space in front of {name}, up to whatever stands opposite?"
    if isinstance(place, Wall):
        if case.work.frame is None and case.setting("bump", "frame") is None:
            yield f"What is the frame of {case.work.name} made of: wood, gilded gesso, composition?"
    elif place.bust_fixed is None:
        yield f"Is {case.work.name} fixed to {name}: by a pin, by wax, by a clip, or not at all?"
    if case.site.building is not None and case.site.building.open_days is None:
        yield f"On how many days a year is {case.site.building.name or case.site.building.id} open?"
    yield from hanging.missing


def _until(case: Case, total: Floats, damage: Floats) -> Iterator[str]:
    """How long it may hang before the chance of damage reaches the one year's worth that is allowed."""
    chance = case.library.figure("bump.allowance.damaging_contacts")
    days = stay_days(median(total), median(damage), chance)
    if days < LONG_STAY_D:
        yield f"The chance of damage there reaches {percent(chance)} after about {duration(days)}."


def _notes(case: Case, hanging: Hanging) -> Iterator[str]:
    custom = case.library.figures
    for name, who in (("bottom_chairs", "chairs"), ("bottom_crowd", "crowds and trolleys")):
        height = custom[f"fit.height.{name}"].value
        if hanging.bottom_m < height:
            units = case.survey.head.units
            yield f"With its bottom edge at {show_length(height, units)} it would clear most {who}."

"""Mould, corrosion and ageing worked out by hand from what a record is laid down to say.

Figures are those of ``mould.toml``, ``corrosion.toml`` and ``ageing.toml``, written down a second time.
"""

from __future__ import annotations

import datetime as dt
import math

import numpy as np
import psychrolib
import pytest

from stillwall.case import Stay
from stillwall.exposure.ageing import Ageing
from stillwall.exposure.ageing import ageing as ageing_of
from stillwall.exposure.exceedance import OFFSETS_PCT, Exceedance, exceedance
from stillwall.exposure.mould import MouldClass
from stillwall.exposure.wall_surface import Months, OutdoorClimate, SurfaceMould, months, surface_mould
from stillwall.hazards import ageing, corrosion, mould
from stillwall.reference.library import load_library
from stillwall.setting.bearing import moisture_parts
from tests.hazards.certain import told, with_measure
from tests.hazards.climate_cases import case, record

psychrolib.SetUnitSystem(psychrolib.SI)
WHOLE = (1.0, 1.0, 1.0, 1.0)
WINTER_LOST = (0.3, 1.0, 1.0, 1.0)
SUMMER = Stay(dt.date(2026, 6, 1), dt.date(2026, 8, 20))
LIBRARY = load_library()


# Mould, at an inside wall


SENSITIVE = MouldClass(0.578, 0.386, 0.3, 6.0, 1.0, 80.0, 0.5)
OFFSETS = (-3.0, 0.0, 3.0, 6.0, 12.0, 18.0)
PEAKS = (0.1, 0.4, 0.9, 1.5, 2.5, 4.0)


def moulded(
    *,
    peaks=PEAKS,
    coverage=WHOLE,
    dampest=60.0,
    growing=500.0,
    accuracy=(0.0, 0.0),
    medium="oil-on-canvas",
    **facts,
):
    made = case(record(accuracy=accuracy), medium=medium, wall={"outside": False}, **facts)
    name = made.medium.mould_class
    fields = ("early", "late", "a", "b", "c", "least", "decline")
    kind = MouldClass(*(LIBRARY.figure(f"mould.class.{name}.{field}") for field in fields))
    found = SurfaceMould((peaks,), growing, 8766.0, OFFSETS, 1.0, coverage)
    told(made, surface_mould, found, kind, (1.0,), None, (-1.0, 0.0, 1.0, 2.0))
    vapour = dampest / 100.0 * psychrolib.GetSatVapPres(20.0)
    monthly = Months(
        (1, 7), (20.0, 20.0), (0.5 * vapour, vapour), (0.0, 0.0), (math.nan, math.nan), 0.0, coverage
    )
    return told(made, months, monthly, OutdoorClimate(0.0, 0.0, southern=False))


def model(made):
    """The model's own error: a factor of two either way."""
    return made.draws.between("model:mould:index", 0.5, 1.0, 2.0)


def test_the_figures_of_a_sensitive_surface():
    fields = ("early", "late", "a", "b", "c", "least", "decline")
    assert MouldClass(*(LIBRARY.figure(f"mould.class.sensitive.{field}") for field in fields)) == SENSITIVE


def test_the_index_by_the_error_of_the_hygrometer_and_of_the_model():
    made = moulded(accuracy=(0.0, 3.0))
    error = made.draws.normal("logger:hall:humidity") * 3.0 / 1.6448536
    index = np.minimum(np.interp(error, OFFSETS, PEAKS) * model(made), 6.0)
    load = mould.load(made)
    assert load.draws == pytest.approx(index, rel=1e-6)
    assert load.exposure.value == pytest.approx(np.median(index))
    assert load.allowance.value == 1.0
    assert load.span == pytest.approx((np.median(index) / 3.0, np.median(index)))
    assert load.evidence == "measured"
    assert load.seen is None


def test_the_index_is_six_at_most_and_a_measure_scales_it():
    high = mould.load(moulded(peaks=(5.0,) * 6))
    assert high.draws.max() == 6.0
    library = with_measure(load_library(), "dry", ("mould", "index", (0.5, 0.5, 0.5)))
    made = moulded(library=library, measures=["dry"])
    assert mould.load(made).draws == pytest.approx(0.2 * model(made))


def test_a_season_that_nobody_logged_may_be_damper():
    made = moulded(coverage=WINTER_LOST)
    spread = LIBRARY.figure("mould.unseen_season")
    guess = np.interp(spread * made.draws.normal("season:north-wall:humidity:0"), OFFSETS, PEAKS)
    load = mould.load(made)
    assert load.draws == pytest.approx(np.minimum(np.maximum(0.4, guess) * model(made), 6.0))
    assert load.seen == pytest.approx(0.4 * model(made))
    assert load.evidence == "missing"
    assert load.deciding
    assert len(load.missing) == 1
    # Not where the stay has no winter.
    summer = mould.load(moulded(coverage=WINTER_LOST, stay=SUMMER))
    assert summer.draws == pytest.approx(0.4 * model(made))
    assert summer.missing == ()


@pytest.mark.parametrize(("dampest", "deciding"), [(64.9, False), (65.1, True)])
def test_mould_decides_where_a_month_is_over_65_per_cent(dampest, deciding):
    load = mould.load(moulded(dampest=dampest))
    assert load.deciding is deciding
    assert any(f"{dampest:.0f} %RH" in note for note in load.notes)


@pytest.mark.parametrize(
    ("peak", "condition", "warned"), [(0.49, None, 0), (0.51, None, 1), (0.1, "active_mould", 1)]
)
def test_people_are_warned_of_mould(peak, condition, warned):
    facts = {} if condition is None else {"condition": condition}
    load = mould.load(moulded(peaks=(peak,) * 6, **facts))
    assert len(load.cautions) == warned
    assert len(load.notes) == 1 + (condition is not None)


@pytest.mark.parametrize(("growing", "words"), [(0.0, "never"), (876.6, "10 %")])
def test_how_long_it_was_damp_enough(growing, words):
    assert words in mould.load(moulded(growing=growing)).reason


# Corrosion


def beyond(*, shift=0.0, coverage=WHOLE, crossings=(3.0, 1.0, 0.0, 2.0), empty=()):
    """By season 10, 20, 30 and 40 % of the time, and a per cent more with each per cent of humidity."""
    shares = tuple(
        ()
        if index in empty
        else tuple(
            float(np.clip(0.1 * (index + 1) + 0.01 * (offset + shift), 0.0, 1.0)) for offset in OFFSETS_PCT
        )
        for index in range(4)
    )
    return Exceedance(shares, crossings, coverage)


DAYS = (90.25, 92.0, 92.0, 91.0)


def corroding(found, *, accuracy=(0.0, 0.0), medium="bronze", **facts):
    made = case(record(accuracy=accuracy), medium=medium, kind="bust", **facts)
    for threshold in made.medium.corrosion:
        t95 = 0.0 if made.medium.moisture is None else made.medium.moisture.surface_t95.value
        for level, above in ((threshold.above_pct, True), (threshold.below_pct, False)):
            if level is not None:
                told(made, exceedance, found, level, above, t95, 1.0)
    return made


def metal_with_one_threshold():
    return next(
        name
        for name, medium in sorted(LIBRARY.media.items())
        if medium.group == "metal" and len(medium.corrosion) == 1 and medium.corrosion[0].below_pct is None
    )


def hours_of(shares, needed=(0, 1, 2, 3)):
    return (
        8766.0 / sum(DAYS[index] for index in needed) * sum(DAYS[index] * shares[index] for index in needed)
    )


def test_hours_a_year_beyond_a_threshold():
    medium = metal_with_one_threshold()
    made = corroding(beyond(), medium=medium)
    allowed = made.medium.corrosion[0].hours_per_year or 438.0
    load = corrosion.load(made)
    hours = hours_of((0.1, 0.2, 0.3, 0.4))
    assert load.draws == pytest.approx(np.full(1000, hours / allowed))
    assert load.exposure.value == pytest.approx(hours)
    assert load.allowance.value == allowed
    assert load.evidence == "measured"
    assert load.seen is None
    # Crossings of a season, four seasons a year.
    assert "6 times" in load.reason
    summer = corrosion.load(corroding(beyond(), medium=medium, stay=SUMMER))
    assert summer.exposure.value == pytest.approx(8766.0 * 0.3)


def test_an_error_of_the_hygrometer_moves_the_hours():
    medium = metal_with_one_threshold()
    made = corroding(beyond(), medium=medium, accuracy=(0.0, 3.0))
    error = made.draws.normal("logger:hall:humidity") * 3.0 / 1.6448536
    hours = hours_of([0.1 * (index + 1) + 0.01 * error for index in range(4)])
    allowed = made.medium.corrosion[0].hours_per_year or 438.0
    assert corrosion.load(made).draws == pytest.approx(hours / allowed, rel=1e-6)


def test_seasons_that_nobody_logged_are_guessed_from_the_dampest():
    medium = metal_with_one_threshold()
    for coverage, empty in ((WINTER_LOST, ()), ((0.0, 1.0, 1.0, 1.0), (0,))):
        made = corroding(beyond(coverage=coverage, empty=empty), medium=medium)
        guess = np.clip(0.4 + 0.01 * 10.0 * made.draws.normal("season:north-wall:humidity:0"), 0.0, 1.0)
        winter = guess if empty else np.maximum(guess, 0.1)
        hours = hours_of([winter, 0.2, 0.3, 0.4])
        known = hours_of([coverage[0] * 0.1 if not empty else 0.0, 0.2, 0.3, 0.4])
        allowed = made.medium.corrosion[0].hours_per_year or 438.0
        load = corrosion.load(made)
        assert load.draws == pytest.approx(hours / allowed)
        assert load.seen == pytest.approx(np.full(1000, known / allowed))
        assert load.evidence in ("missing", "assumed")
        assert load.missing
        assert (load.evidence == "missing") is load.deciding


def test_a_measure_on_hours():
    medium = metal_with_one_threshold()
    library = with_measure(load_library(), "case", ("corrosion", "hours", (0.5, 0.5, 0.5)))
    bare = corrosion.load(corroding(beyond(), medium=medium))
    assert corrosion.load(
        corroding(beyond(), medium=medium, library=library, measures=["case"])
    ).draws == pytest.approx(0.5 * bare.draws)


def test_both_sides_of_a_band_count_together():
    medium = next(
        name
        for name, m in sorted(LIBRARY.media.items())
        if any(t.above_pct and t.below_pct for t in m.corrosion)
    )
    made = corroding(beyond(), medium=medium)
    threshold = next(t for t in made.medium.corrosion if t.above_pct and t.below_pct)
    load = corrosion.load(made)
    allowed = threshold.hours_per_year or 438.0
    assert load.draws.max() >= 2 * hours_of((0.1, 0.2, 0.3, 0.4)) / allowed * (1 - 1e-9)
    assert "12 times" in load.reason


# Ageing


def aged(rates=(0.5, 1.0, 1.5, 1.2), *, coverage=WHOLE, accuracy=(0.0, 0.0), slope=0.0, dry=0.0, **facts):
    """Rates by season; ``slope`` is how much of them each kilojoule adds."""
    made = case(record(accuracy=accuracy), **facts)
    energy = made.medium.activation_energy
    parts = moisture_parts(made, "ageing")
    t95 = parts[0].bulk_t95_h if parts else 0.0
    for value in {energy.low or energy.value, energy.value, energy.high or energy.value}:
        scaled = tuple(rate * math.exp(slope * (value - energy.value)) for rate in rates)
        told(made, ageing_of, Ageing(scaled, 21.0, 55.0, coverage, dry), value, t95)
    return made


def mean_of(rates, needed=(0, 1, 2, 3)):
    return sum(DAYS[index] * rates[index] for index in needed) / sum(DAYS[index] for index in needed)


def test_the_rate_of_a_year_is_the_mean_of_its_seasons():
    load = ageing.load(aged())
    rate = mean_of((0.5, 1.0, 1.5, 1.2))
    # The house allows 1.5, and 1 to 2 are believable.
    assert load.draws == pytest.approx(np.full(1000, rate / 1.5))
    assert load.exposure.value == pytest.approx(rate)
    assert load.span == pytest.approx((rate / 2.0, rate / 1.0))
    assert load.evidence == "measured"
    assert load.seen is None
    assert load.notes == ()
    assert len(ageing.load(aged(dry=0.2)).notes) == 1
    summer = ageing.load(aged(stay=SUMMER))
    assert summer.exposure.value == pytest.approx(1.5)


def test_the_energy_is_uncertain():
    medium = next(
        name
        for name, each in sorted(LIBRARY.media.items())
        if each.activation_energy is not None and each.activation_energy.low and each.activation_energy.high
    )
    made = aged(slope=0.02, medium=medium)
    energy = made.medium.activation_energy
    drawn = made.draws.between(f"model:ageing:energy:{energy.value:g}", energy.low, energy.value, energy.high)
    rate = mean_of((0.5, 1.0, 1.5, 1.2)) * np.exp(
        0.02 * (np.clip(drawn, energy.low, energy.high) - energy.value)
    )
    assert ageing.load(made).draws == pytest.approx(rate / 1.5, rel=1e-6)


def test_errors_of_the_sensors_act_by_arrhenius_and_by_humidity():
    made = aged(accuracy=(0.5, 3.0))
    warm = made.draws.normal("logger:hall:temperature") * 0.5 / 1.6448536
    damp = made.draws.normal("logger:hall:humidity") * 3.0 / 1.6448536
    kelvin = 21.0 + 273.15
    factor = (
        np.exp(made.medium.activation_energy.value * 1000 / 8.314462618 / kelvin**2 * warm)
        * ((55.0 + damp) / 55.0) ** 1.3
    )
    assert ageing.load(made).draws == pytest.approx(mean_of((0.5, 1.0, 1.5, 1.2)) * factor / 1.5, rel=1e-4)


@pytest.mark.parametrize(("winter", "covered"), [(math.nan, 0.0), (0.5, 0.3)])
def test_a_season_that_nobody_logged_ages_about_as_the_worst_seen(winter, covered):
    made = aged((winter, 1.0, 1.5, 1.2), coverage=(covered, 1.0, 1.0, 1.0))
    guess = 1.5 * np.exp(math.log(1.6) * made.draws.normal("season:north-wall:ageing"))
    first = guess if math.isnan(winter) else np.maximum(guess, winter)
    rate = mean_of([first, 1.0, 1.5, 1.2])
    load = ageing.load(made)
    assert load.draws == pytest.approx(rate / 1.5)
    # What was seen, of a year in which the unseen season ages as the worst one.
    seen = sum(DAYS[index] * value for index, value in ((1, 1.0), (2, 1.5), (3, 1.2)))
    seen += 0.0 if math.isnan(winter) else DAYS[0] * winter * covered
    whole = sum(DAYS[index] * value for index, value in ((0, 1.5), (1, 1.0), (2, 1.5), (3, 1.2)))
    assert load.seen == pytest.approx(rate * seen / whole / 1.5)
    assert load.evidence == "assumed"
    assert len(load.missing) == 1


def test_a_measure_on_the_rate():
    library = with_measure(load_library(), "cool", ("ageing", "rate", (0.7, 0.7, 0.7)))
    cooled = ageing.load(aged(library=library, measures=["cool"]))
    assert cooled.draws == pytest.approx(0.7 * ageing.load(aged()).draws)

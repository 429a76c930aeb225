"""Guidelines: conversions and sums that can be made without the data."""

import pytest

from stillwall.reference.library import load_library
from stillwall.reference.listing import limits

GUIDELINES = load_library().guidelines


def celsius(fahrenheit):
    """Definition of the Fahrenheit scale."""
    return (fahrenheit - 32) / 1.8


def test_the_texts_that_practice_asks_for_are_there():
    wanted = {f"ashrae-2019-{kind}" for kind in ("aa", "a1", "a2", "b", "c", "d")}
    wanted |= {"en-15757-2010", "bizot-2014", "bizot-2023", "aic-2008", "aam-2010", "bs-4971-2017"}
    wanted |= {"aiccm-2014", "aiccm-2018-temperate", "aiccm-2018-tropical", "pd-5454-2012"}
    wanted |= {"iso-11799-2003-optimum", "iso-11799-2003-staffed", "smithsonian-2007", "padfield-proposal"}
    assert wanted <= GUIDELINES.keys()


def test_the_smithsonian_box_is_its_fahrenheit_text():
    """70 degF, 4 either way; 45 %RH, 8 either way (Mecklenburg 2007)."""
    band = GUIDELINES["smithsonian-2007"].temperature
    assert (band.low, band.high) == (
        pytest.approx(celsius(66), abs=0.05),
        pytest.approx(celsius(74), abs=0.05),
    )
    humidity = GUIDELINES["smithsonian-2007"].humidity
    assert (humidity.low, humidity.high) == (45 - 8, 45 + 8)


def test_the_aic_guideline_is_its_fahrenheit_text():
    """59 to 77 degF (AIC interim guideline)."""
    band = GUIDELINES["aic-2008"].temperature
    assert (band.low, band.high) == (celsius(59), celsius(77))


@pytest.mark.parametrize(
    ("kind", "mean", "span"),
    [
        ("aa", 50, (45, 55)),
        ("a1", 50, (35, 65)),
        ("a2", 50, (40, 60)),
        ("b", 50, (30, 70)),
        ("a1", 55, (40, 65)),
        ("a2", 40, (35, 50)),
    ],
)
def test_ashrae_types_add_season_and_swing_inside_the_outer_limits(kind, mean, span):
    """Sums of the parts by hand; 65 caps the 70 that type A1 would reach from a mean of 55."""
    band = GUIDELINES[f"ashrae-2019-{kind}"].humidity
    low = max(band.low, mean + band.seasonal_low - band.short_term)
    high = min(band.high, mean + band.seasonal_high + band.short_term)
    assert (low, high) == span


def test_en_15757_needs_the_months_that_its_window_costs():
    """A year of moving means of 30 days takes 12 months and the two half windows, so 13 months."""
    method = GUIDELINES["en-15757-2010"].own_history
    assert method is not None
    assert method.record_length.value == 12 + round(method.window.value / 30.4)
    assert method.lower_percentile.value + method.upper_percentile.value == 100
    assert 100 - (method.upper_percentile.value - method.lower_percentile.value) == 14


def test_no_guideline_is_without_a_band_of_humidity():
    assert all(guideline.humidity is not None for guideline in GUIDELINES.values())


def test_a_limit_from_memory_is_marked_so_in_the_listing():
    marks = {limit.id: limit.source.checked for limit in limits(load_library())}
    assert marks["guideline.aic-2008.humidity.low"] == "secondary"
    assert marks["guideline.aic-2008.humidity.short_term"] == "memory"

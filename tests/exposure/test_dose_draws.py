"""Draws of a year's light against the distributions that they are said to follow, worked out in closed form.

The sizes of spread are the judgement that ``dose_draws.py`` and ``light_year.py`` state, written down a second
time; the laws are those of the log-normal, the uniform and the Student distribution (scipy.stats).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from stillwall.exposure.dose_draws import Light, dose_draws, stay_dose, weeks_from, year_dose
from stillwall.exposure.light_year import YearParts, nothing_logged
from stillwall.exposure.season_kriging import SeasonPosterior

WEEKS = 52
COUNT = 20_000
YEAR_SD, FILL_SD, WEEK_SD = 0.08, 0.35, 0.2
LAMP_SD, LAMP_WEEK_SD = 0.10, 0.20
SUN_WEEK_SD = 0.7
JANUARY_2025 = 20_089
CLOSE = 0.035
"""Three standard errors of a spread estimated from the draws, and of the middle at the spreads here."""


def parts(seen=52, **facts) -> YearParts:
    """A year of 1,000 lx h of daylight a week in the first weeks, and outdoor light of 1e6 lx h a week."""
    is_seen = np.arange(WEEKS) < seen
    unseen = WEEKS - seen
    nothing = np.zeros(WEEKS)
    made = {
        "first_day": JANUARY_2025,
        "seen": is_seen,
        "daylight_lux_h": np.where(is_seen, 1000.0, 0.0),
        "electric_lux_h": nothing,
        "sun_lux_h": nothing,
        "filled_lux_h": nothing,
        "expected_lux_h": np.full(WEEKS, 1e6),
        "posterior": SeasonPosterior(np.full(unseen, np.log(2e-3)), 0.09 * np.eye(unseen)),
        "week_sd": WEEK_SD,
        "lamp_dark_lux_h": nothing,
        "lamp_day_lux_h": nothing,
        "lamp_dusk_lux_h": nothing,
        "lamps_from_survey": True,
        "hidden_h": nothing,
        "sun_expected_lux_h": nothing,
        "sun_log_share": None,
        "sun_log_sd": 0.0,
        "coarse_lux_h": 0.0,
    }
    return YearParts(**(made | facts))


def log_moments(drawn):
    logs = np.log(drawn)
    return float(logs.mean()), float(logs.std())


def electric(made, *, coming=False):
    return dose_draws(made, coming=coming, count=COUNT)[1]


def sun(made, *, coming=False):
    return dose_draws(made, coming=coming, count=COUNT)[2]


def daylight(made, *, coming=False):
    return dose_draws(made, coming=coming, count=COUNT)[0]


def test_a_year_seen_whole_is_certain_and_a_coming_one_varies_by_week_and_year():
    assert (daylight(parts()) == 1000.0).all()
    drawn = daylight(parts(), coming=True)
    middle, spread = log_moments(drawn[:, 7])
    # A week of weather of mean 1, in a year of median 1.
    assert middle == pytest.approx(np.log(1000.0) - 0.5 * WEEK_SD**2, abs=0.006)
    assert spread == pytest.approx(np.hypot(WEEK_SD, YEAR_SD), rel=CLOSE)
    # Weeks of one year share its weather, and nothing else.
    shared = np.corrcoef(np.log(drawn[:, 7]), np.log(drawn[:, 30]))[0, 1]
    assert shared == pytest.approx(YEAR_SD**2 / (YEAR_SD**2 + WEEK_SD**2), abs=0.03)


def test_unseen_weeks_follow_the_posterior_times_the_light_outdoors_and_the_year():
    drawn = daylight(parts(seen=20))
    assert (drawn[:, :20] == 1000.0).all()
    found = np.log(drawn[:, 20:] / (2e-3 * 1e6))
    # A Student of five degrees of freedom and scale 0.3, held under 4 * 0.3 + 1, and the year's 0.08.
    chances = [0.05, 0.25, 0.5, 0.75, 0.95]
    generator = np.random.default_rng(5)
    student = np.minimum(0.3 * stats.t.rvs(5, size=400_000, random_state=generator), 2.2)
    expected = np.quantile(student + YEAR_SD * generator.standard_normal(400_000), chances)
    assert np.quantile(found[:, 3], chances) == pytest.approx(expected, abs=0.02)


def test_no_draw_of_a_ratio_passes_its_middle_by_four_spreads_and_one():
    drawn = daylight(parts(seen=20, posterior=SeasonPosterior(np.zeros(32), np.eye(32))))
    highest = np.log(drawn[:, 20:].max() / 1e6)
    # A Student of five degrees of freedom passes five spreads in 20,000 x 32 draws; the year adds its own.
    assert stats.t.sf(5.0, 5) * COUNT * 32 > 100
    assert 4.9 < highest < 5.0 + 4.6 * YEAR_SD


def test_what_was_filled_in_is_spread_and_what_was_read_is_not():
    half = parts(filled_lux_h=np.full(WEEKS, 500.0))
    drawn = daylight(half)[:, 11]
    assert drawn.min() >= 500.0
    middle, spread = log_moments(drawn - 500.0)
    assert middle == pytest.approx(np.log(500.0) - 0.5 * FILL_SD**2, abs=0.01)
    assert spread == pytest.approx(FILL_SD, rel=CLOSE)
    # Under a hundredth filled in is as good as read.
    assert (daylight(parts(filled_lux_h=np.full(WEEKS, 9.0))) == 1000.0).all()
    assert daylight(parts(filled_lux_h=np.full(WEEKS, 11.0))).std() > 0.0


def test_a_coarse_sensor_may_hide_anything_up_to_what_it_cannot_show():
    added = daylight(parts(coarse_lux_h=400.0)) - 1000.0
    assert added.min() >= 0.0
    assert stats.kstest(added[:, 0], stats.uniform(0.0, 400.0).cdf).pvalue > 0.01
    assert (added == added[:, :1]).all()


@pytest.mark.parametrize("seen", [4, 25])
def test_lamps_of_unseen_weeks_spread_less_the_more_weeks_showed_them(seen):
    made = parts(seen, lamp_dark_lux_h=np.full(WEEKS, 300.0), electric_lux_h=np.full(WEEKS, 250.0))
    drawn = electric(made)
    assert (drawn[:, :seen] == 250.0).all()
    sd = np.hypot(LAMP_SD, LAMP_WEEK_SD / np.sqrt(seen))
    middle, spread = log_moments(drawn[:, 40])
    assert middle == pytest.approx(np.log(300.0) - 0.5 * sd**2, abs=0.006)
    assert spread == pytest.approx(sd, rel=CLOSE)
    # One schedule for all weeks.
    assert drawn[:, 40] == pytest.approx(drawn[:, 51])


def test_lamps_of_seen_weeks_change_by_a_tenth_in_another_year():
    drawn = electric(parts(electric_lux_h=np.full(WEEKS, 250.0)), coming=True)
    middle, spread = log_moments(drawn[:, 3])
    assert middle == pytest.approx(np.log(250.0), abs=0.004)
    assert spread == pytest.approx(LAMP_SD, rel=CLOSE)


def _per_usual(made):
    """The electric draws of a week, over those of the same schedule burning in the dark only."""
    plain = replace(made, lamp_dark_lux_h=np.full(WEEKS, 1.0))
    for name in ("lamp_day_lux_h", "lamp_dusk_lux_h"):
        plain = replace(plain, **{name: np.zeros(WEEKS)})
    return electric(made)[:, 40] / electric(plain)[:, 40]


def test_lamps_by_day_burn_as_surveyed_or_for_a_share_that_is_more_likely_large():
    by_day = {"lamp_day_lux_h": np.full(WEEKS, 300.0)}
    assert _per_usual(parts(10, **by_day)) == pytest.approx(300.0)
    share = _per_usual(parts(10, **by_day, lamps_from_survey=False)) / 300.0
    # The root of a uniform number: P(share < s) = s^2.
    assert stats.kstest(share, lambda s: np.clip(s, 0.0, 1.0) ** 2).pvalue > 0.01


def test_lamps_of_dark_hours_beside_lit_ones_burn_for_any_share():
    share = _per_usual(parts(10, lamp_dusk_lux_h=np.full(WEEKS, 300.0))) / 300.0
    assert stats.kstest(share, stats.uniform.cdf).pvalue > 0.01


def test_hours_of_which_nothing_is_known_hold_a_lamp_every_other_time():
    drawn = electric(parts(10, hidden_h=np.full(WEEKS, 20.0)))
    assert (drawn[:, :10] == 0.0).all()
    lamp = drawn[:, 30] / 20.0
    assert (lamp > 0).mean() == pytest.approx(0.5, abs=3 * np.sqrt(0.25 / COUNT))
    # 45 lx, spread 0.9 as a logarithm, for any share of the hours: the logarithm of a uniform number has mean
    # -1 and variance 1.
    middle, spread = log_moments(lamp[lamp > 0])
    assert middle == pytest.approx(np.log(45.0) - 1.0, abs=0.04)
    assert spread == pytest.approx(np.hypot(0.9, 1.0), rel=CLOSE)
    assert (drawn[:, 30] == drawn[:, 50]).all()


def test_sun_lands_by_its_share_with_the_scatter_of_weeks():
    made = parts(
        20,
        sun_lux_h=np.full(WEEKS, 700.0),
        sun_expected_lux_h=np.full(WEEKS, 900.0),
        sun_log_share=-0.5,
        sun_log_sd=0.4,
    )
    drawn = sun(made)
    assert (drawn[:, :20] == 700.0).all()
    middle, spread = log_moments(drawn[:, 30])
    assert middle == pytest.approx(np.log(900.0) - 0.5 - 0.5 * SUN_WEEK_SD**2, abs=0.02)
    assert spread == pytest.approx(np.hypot(0.4, SUN_WEEK_SD), rel=CLOSE)
    middle, spread = log_moments(sun(made, coming=True)[:, 3])
    assert middle == pytest.approx(np.log(700.0) - 0.5 * SUN_WEEK_SD**2, abs=0.02)
    assert spread == pytest.approx(SUN_WEEK_SD, rel=CLOSE)
    assert not sun(replace(made, sun_log_share=None)).any()


def test_a_year_is_the_sum_of_its_parts_stretched_from_52_weeks():
    made = parts(
        electric_lux_h=np.full(WEEKS, 200.0),
        sun_lux_h=np.full(WEEKS, 0.0),
    )
    annual = replace(nothing_logged(), parts=made)
    assert year_dose(annual) == pytest.approx((1200.0 * 52 * 365 / 364,) * 3)
    assert np.isnan(year_dose(nothing_logged())).all()


def test_the_interval_of_a_year_is_from_its_5th_to_its_95th_hundredth():
    # Lamps alone, all unseen but four weeks: one log-normal factor on 48 weeks.
    made = parts(4, daylight_lux_h=np.zeros(WEEKS), expected_lux_h=np.zeros(WEEKS))
    annual = replace(nothing_logged(), parts=replace(made, lamp_dark_lux_h=np.full(WEEKS, 300.0)))
    sd = np.hypot(LAMP_SD, LAMP_WEEK_SD / 2.0)
    expected = 48 * 300.0 * 365 / 364 * np.exp(sd * stats.norm.ppf([0.5, 0.05, 0.95]) - 0.5 * sd**2)
    assert year_dose(annual, count=COUNT) == pytest.approx(expected, rel=0.01)


def test_the_weeks_of_a_stay_come_in_their_order():
    made = parts()
    assert weeks_from(made, JANUARY_2025).tolist() == list(range(52))
    assert weeks_from(made, JANUARY_2025 + 6).tolist() == list(range(52))
    assert weeks_from(made, JANUARY_2025 + 7)[[0, 51]].tolist() == [1, 0]
    assert weeks_from(made, JANUARY_2025 + 365 * 3 + 14)[0] == 2
    assert weeks_from(made, JANUARY_2025 - 7)[0] == 51
    # The 365th day has no week of its own.
    assert weeks_from(made, JANUARY_2025 + 364)[0] == 51


def test_the_dose_of_a_stay_is_the_running_sum_of_its_weeks():
    week = 1000.0 + 10.0 * np.arange(WEEKS)
    made = parts(lamps_from_survey=True, electric_lux_h=week)
    found = stay_dose(made, JANUARY_2025 + 7 * 10)
    order = (10 + np.arange(WEEKS)) % WEEKS
    run = np.concatenate([[0.0], np.cumsum(week[order])])
    per_week = 365.0 / 364.0
    middle = 33
    # The lamps of a coming year differ by a factor of median one.
    for days in (0.0, 7.0, 28.0, 35.0, 100.0, 300.0, 364.0):
        weeks = days * 52 / 365
        assert found.after(days)[1][middle] == pytest.approx(
            np.interp(weeks, np.arange(53), run) * per_week, rel=0.012, abs=0.5
        )
    year = run[-1] * per_week
    assert found.after(365.0)[1][middle] == pytest.approx(year, rel=0.012)
    assert found.after(912.5)[1][middle] == pytest.approx(2.5 * year, rel=0.012)
    assert not found.after(100.0)[2].any()
    # Points of the distribution: the standard normal's from -3.3 to 3.3 by tenths.
    for at, z in ((23, -1.0), (43, 1.0), (53, 2.0)):
        assert np.log(found.after(365.0)[1][at] / year) == pytest.approx(LAMP_SD * z, abs=0.025)


def test_at_the_weeks_that_are_kept_the_dose_is_that_of_its_weeks_whatever_their_shape():
    week = np.random.default_rng(8).lognormal(6.0, 1.5, WEEKS)
    found = stay_dose(parts(daylight_lux_h=week, week_sd=0.0), JANUARY_2025)
    run = np.concatenate([[0.0], np.cumsum(week)])
    year = np.exp(YEAR_SD * dose_median())
    for weeks in (1, 2, 3, 4, 6, 8, 10, 13, 16, 20, 24, 28, 32, 36, 40, 44, 48, 52):
        after = found.after(weeks * 365.0 / 52.0 - 1e-9)[0][33]
        assert after == pytest.approx(run[weeks] * 365.0 / 364.0 * year, rel=1e-6)


def dose_median():
    """Of a thousand draws the median year is not quite the middle one."""
    drawn = dose_draws(parts(week_sd=0.0), coming=True)[0][:, 0] / 1000.0
    return float(np.log(np.median(drawn)) / YEAR_SD)


def test_the_fan_of_a_stay_holds_nine_of_ten_whole_doses():
    made = parts(electric_lux_h=np.full(WEEKS, 500.0))
    fan = stay_dose(made, JANUARY_2025).fan
    assert fan.shape == (53, 3)
    assert not fan[0].any()
    # Three standard errors of the outer points of a thousand draws that spread by a fifth.
    drawn = sum(part.cumsum(axis=1) for part in dose_draws(made, coming=True, count=COUNT))
    for week in (1, 13, 52):
        assert fan[week] == pytest.approx(np.quantile(drawn[:, week - 1], [0.05, 0.5, 0.95]), rel=0.03)


def test_share_of_the_expected_light_of_a_stay_that_was_logged():
    expected = np.arange(1.0, 53.0)
    made = parts(26, expected_lux_h=expected)
    known = Light(replace(nothing_logged(), parts=made))
    assert known.seen_share(JANUARY_2025, 365.0) == pytest.approx(expected[:26].sum() / expected.sum())
    assert known.seen_share(JANUARY_2025 + 7 * 24, 28.0) == pytest.approx((25 + 26) / (25 + 26 + 27 + 28))
    # A stay of a day is asked about its week, one of years about the year.
    assert known.seen_share(JANUARY_2025 + 7 * 25, 1.0) == 1.0
    assert known.seen_share(JANUARY_2025 + 7 * 26, 1.0) == 0.0
    assert known.seen_share(JANUARY_2025, 4000.0) == known.seen_share(JANUARY_2025, 365.0)
    assert Light(nothing_logged()).seen_share(JANUARY_2025, 30.0) == 0.0

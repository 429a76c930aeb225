"""Mistakes that climate code falls into, each with a record that would show it."""

from __future__ import annotations

import numpy as np
import pytest

from stillwall.exposure import ageing, surface
from stillwall.exposure.classes import class_record
from stillwall.exposure.exceedance import exceedance, share_at
from stillwall.exposure.felt_climate import centred_mean, humidity_seasons, humidity_swings
from stillwall.exposure.local_clock import DAY_S, local_seconds
from stillwall.exposure.own_history import moving_mean, own_history
from stillwall.exposure.readings import air, day_slices, readings
from stillwall.exposure.seasons import seasonal
from stillwall.exposure.wall_surface import OutdoorClimate, months
from stillwall.record import Record
from stillwall.reference.library import load_library
from tests.hazards.climate_cases import START, YEAR_H, channel, hours, record

GUIDELINES = load_library().guidelines
COLD = OutdoorClimate(mean_c=10.0, amplitude_k=9.0, southern=False)
H = np.arange(YEAR_H)


def humidity_of(values, times=None):
    return readings(record(None, values, times), "humidity")


def test_relative_humidity_is_not_averaged_over_temperatures():
    # Half a month at 10 degC and 80 %, half at 30 degC and 40 %: 60 % by the naive mean, 57.3 % of vapour.
    half = np.arange(31 * 24) < 31 * 12
    found = months(record(np.where(half, 10.0, 30.0), np.where(half, 80.0, 40.0), hours(31 * 24)), COLD)
    level = found.vapour_pa[0] / surface.saturation_pressure(found.inside_c[0]) * 100
    assert float(level) == pytest.approx(57.31, abs=0.05)


def test_the_room_is_not_the_cold_wall():
    # 20 degC and 50 %; each kelvin colder adds more than 3 %RH.
    for wall_c, expected in ((16, 64.3), (14, 73.1), (12, 83.4), (10, 95.2), (25, 36.9)):
        assert float(surface.surface_humidity(20.0, 50.0, wall_c)) == pytest.approx(expected, abs=0.06)


@pytest.mark.parametrize(
    ("u_value", "resistance", "factor"),
    [(2.1, 0.25, 0.581), (2.1, 0.50, 0.409), (1.5, 0.25, 0.682), (1.0, 0.25, 0.777), (1.0, 0.50, 0.635),
     (0.6, 0.50, 0.755), (0.3, 0.25, 0.928), (0.3, 0.50, 0.865)],
)  # fmt: skip
def test_another_surface_resistance_restates_the_whole_wall(u_value, resistance, factor):
    assert float(surface.temperature_factor(u_value, resistance)) == pytest.approx(factor, abs=0.0006)
    assert 1 - 2.1 * 0.50 < 0  # what the naive form makes of U 2.1 behind furniture


@pytest.mark.parametrize(
    ("u_value", "behind", "back_c", "humidity"),
    [(2.1, 0.0, 14.5, 70.6), (2.1, 0.18, 10.6, 91.8), (2.1, 0.36, 8.3, 107.0),
     (1.0, 0.0, 17.4, 58.8), (1.0, 0.18, 14.7, 69.7), (1.0, 0.36, 12.8, 79.1)],
)  # fmt: skip
def test_a_picture_cools_the_wall_behind_it(u_value, behind, back_c, humidity):
    # Series resistances by hand: room 20 degC and 50 %, outside 0 degC.
    back = surface.surface_temperature(20.0, 0.0, surface.factor_behind(u_value, behind))
    assert float(back) == pytest.approx(back_c, abs=0.06)
    assert float(surface.surface_humidity(20.0, 50.0, back)) == pytest.approx(humidity, abs=0.6)


def test_a_temperature_factor_comes_from_cold_hours_only():
    outside = 10 - 12 * np.cos(2 * np.pi * H / YEAR_H)
    true = outside + 0.62 * (20 - outside)
    # Summer readings with sun on the wall outside, where the factor means nothing.
    wrong = np.where(20 - outside < 4, true + 3, true)
    assert surface.factor_from_readings(wrong, np.full(YEAR_H, 20.0), outside) == pytest.approx(0.62)
    assert np.isnan(surface.factor_from_readings([20.0], [20.0], [19.0]))


def test_a_centred_mean_leaves_a_tenth_of_what_a_trailing_one_leaks():
    wave = 10 * np.sin(2 * np.pi * np.arange(3 * YEAR_H) / YEAR_H)
    centred = moving_mean(wave, 360)
    assert np.nanmax(np.abs(wave - centred)) == pytest.approx(0.11, abs=0.005)


def test_windows_are_not_shrunk_at_the_ends():
    found = own_history(record(None, 50 + 12 * np.sin(2 * np.pi * np.arange(9481) / 24), hours(9481)))
    assert found.points == 9481 - 720
    _, whole = centred_mean(humidity_of(np.full(100, 50.0), hours(100)), np.full(100, 50.0), 24.0)
    assert whole.sum() == 100 - 24


def test_a_window_is_one_of_time_and_not_of_counts():
    # 20 hours at 40, two days without a reading, 20 hours at 60: a count of 25 would mix both.
    times = np.concatenate((hours(40), hours(40, start=START + np.timedelta64(90, "h"))))
    values = np.concatenate((np.full(40, 40.0), np.full(40, 60.0)))
    mean, whole = centred_mean(humidity_of(values, times), values, 24.0)
    assert set(np.unique(mean[whole])) <= {40.0, 60.0}
    assert not whole[39]
    assert not whole[40]


@pytest.mark.parametrize(
    ("zone", "day", "length"),
    [
        ("Europe/London", "2025-03-30", 23),
        ("Europe/London", "2025-10-26", 25),
        ("Australia/Hobart", "2025-10-05", 23),
        ("Australia/Hobart", "2025-04-06", 25),
        ("+02:00", "2025-03-30", 24),
    ],
)
def test_local_days_have_23_24_or_25_hours(zone, day, length):
    utc = np.arange(np.datetime64("2025-01-01"), np.datetime64("2026-01-01"), np.timedelta64(1, "h"))
    local = local_seconds(utc.astype("datetime64[s]").astype(np.int64), zone)
    assert int((local // DAY_S == np.datetime64(day).astype(int)).sum()) == length
    numbers, starts = day_slices(local)
    assert len(numbers) in (365, 366)
    assert (np.diff(numbers) == 1).all()
    assert (np.diff(np.append(starts, len(local))) > 0).all()


def test_a_logger_that_sleeps_at_night_has_not_seen_its_days():
    # Dead from 20 to 8 h on a daily sine of 8 %RH: its mean is 5 %RH off, and nothing may rest on it.
    hour = H % 24
    awake = (hour >= 8) & (hour < 20)
    values = 50 - 8 * np.sin(2 * np.pi * (hour - 8) / 24)
    found = seasonal(humidity_of(values[awake], hours()[awake]))
    assert found.mean == pytest.approx(45.0, abs=0.3)
    assert found.coverage == (0.0, 0.0, 0.0, 0.0)
    assert not found.full_year


def test_the_mean_of_an_incomplete_year_is_by_months_and_says_how_many():
    # A dense July and a sparse rest: by readings July would weigh five times as much.
    july = np.datetime64("2025-07-01T00:00:00", "s") + np.arange(31 * 24 * 12).astype("timedelta64[s]") * 300
    other = hours()[(hours() < np.datetime64("2025-07-01")) | (hours() >= np.datetime64("2025-08-01"))]
    times = np.sort(np.concatenate((other, july)))
    in_july = (times >= np.datetime64("2025-07-01")) & (times < np.datetime64("2025-08-01"))
    found = seasonal(humidity_of(np.where(in_july, 70.0, 40.0), times))
    assert found.mean == pytest.approx((40 * 334.25 + 70 * 31) / 365.25, abs=0.05)
    assert found.months == 12
    assert seasonal(humidity_of(np.full(24 * 59, 40.0), hours(24 * 59))).months == 2


def test_percentiles_are_by_time_where_the_interval_changes():
    # A tenth of the time at 80 %, logged six times as often.
    calm, busy = hours(900), hours(100, 600, START + np.timedelta64(900, "h"))
    found = seasonal(humidity_of(np.r_[np.full(900, 40.0), np.full(600, 80.0)], np.r_[calm, busy]), 0.5, 0.89)
    assert found.low[0] == 40.0
    assert found.high[0] == pytest.approx(40.0, abs=2.0)


def test_limits_are_closed_and_compared_at_the_resolution_of_the_sensor():
    edge = class_record(record(20.0, 60.04), (GUIDELINES["bizot-2023"],))[0]
    assert edge.status == "met"
    beyond = class_record(record(20.0, 60.1), (GUIDELINES["bizot-2023"],))[0]
    assert beyond.status == "failed"
    assert [clause.name for clause in beyond.clauses if clause.status == "failed"] == ["level"]


def test_one_per_cent_beyond_is_within_the_error_of_a_three_per_cent_sensor():
    found = class_record(record(20.0, 61.0, accuracy=(0.5, 3.0)), (GUIDELINES["bizot-2023"],))[0]
    assert found.status == "within error"
    assert (
        class_record(record(20.0, 64.0, accuracy=(0.5, 3.0)), (GUIDELINES["bizot-2023"],))[0].status
        == "failed"
    )


def test_ten_per_cent_in_24_hours_is_a_departure_and_the_range_is_told_beside_it():
    # A sine of amplitude 8 has a range of 16: inside, by the reading chosen here.
    wave = 50 + 8 * np.sin(2 * np.pi * H / 24)
    assert class_record(record(20.0, wave), (GUIDELINES["bizot-2023"],))[0].status == "met"
    found = humidity_swings(record(None, wave), 0.0, 0.0)
    assert found.half_swing[0] == pytest.approx(8.0, abs=0.01)
    assert found.half_range[0] == pytest.approx(8.0, abs=0.01)


def test_a_door_that_opens_is_no_swing_of_a_panel():
    # 15 %RH for ten minutes twice a day: an hourly rate of 90 %RH that no panel feels, but thin paper does.
    times = hours(24 * 60, 300)
    minute = (times - START).astype(int) // 60
    values = np.where(minute % 720 < 10, 65.0, 50.0)
    panel = humidity_swings(record(None, values, times), 103.2, 624.0)
    sheet = humidity_swings(record(None, values, times), 1.0, 1.0)
    assert max(x for x in panel.half_swing if x == x) < 0.2
    assert max(x for x in sheet.half_swing if x == x) > 4.0


def test_lifetimes_are_averaged_as_damage():
    # Half the time 15, half 25 degC: 0.8063; the mean of lives would say 1.27, the life at the mean 1.
    lives = ageing.relative_life([15.0, 25.0], 50.0, 100.0)
    assert ageing.equivalent_life(lives) == pytest.approx(0.8063, abs=0.0005)
    assert float(lives.mean()) == pytest.approx(1.2702, abs=0.0005)
    assert ageing.equivalent_life(lives, [3.0, 1.0]) == pytest.approx(4 / (3 / 2.0379 + 1 / 0.5026), rel=1e-3)


def test_a_years_ageing_is_the_mean_of_rates_in_the_air():
    half = H < YEAR_H // 2
    found = ageing.ageing(record(np.where(half, 15.0, 25.0), 50.0), 100.0, 0.0)
    assert np.mean(found.rate) == pytest.approx(1 / 0.8063, rel=0.02)
    assert found.rate[0] < found.rate[2]


def test_very_dry_air_does_not_make_life_endless():
    assert float(ageing.relative_life(20.0, 0.0, 100.0)) == float(ageing.relative_life(20.0, 10.0, 100.0))
    dry = ageing.ageing(record(20.0, np.where(H % 4 == 0, 5.0, 50.0)), 70.0, 0.0)
    assert dry.dry_share == pytest.approx(0.25)


def test_two_exponents_of_humidity_disagree_and_the_code_says_which():
    # Sebera 1, Michalski 1.3: at 30 %RH and 20 degC 1.67 and 1.94.
    assert ageing.isoperm_permanence(20, 50, 20, 30, 35.0) == pytest.approx(1.667, abs=0.001)
    assert float(ageing.relative_life(20, 30, 100.0)) == pytest.approx(1.943, abs=0.001)


def test_a_record_of_july_says_which_seasons_it_has_not_seen():
    july = hours(31 * 24, start=np.datetime64("2025-07-01T00:00:00", "s"))
    found = humidity_seasons(record(None, 50.0, july), 24.0)
    assert [share > 0 for share in found.coverage] == [False, False, True, False]
    assert not any(found.seen)


def test_crossings_need_hysteresis_or_noise_would_be_counted():
    noise = np.random.default_rng(3).normal(0, 0.4, YEAR_H)
    quiet = exceedance(record(None, 60 + noise), 60.0, True, 0.0, 1.0)
    assert sum(quiet.crossings) < 100
    real = exceedance(record(None, 60 + 8 * np.sin(2 * np.pi * H / 240) + noise), 60.0, True, 0.0, 1.0)
    assert sum(real.crossings) == pytest.approx(YEAR_H / 240, abs=1.5)


def test_time_above_a_threshold_is_counted_and_not_taken_from_the_mean():
    values = np.where(H % 10 < 3, 70.0, 40.0)
    found = exceedance(record(None, values), 60.0, True, 0.0, 1.0)
    assert [float(share_at(season, 0.0)) for season in found.share] == pytest.approx([0.3] * 4, abs=0.003)
    below = exceedance(record(None, values), 60.0, False, 0.0, 1.0)
    assert [float(share_at(season, 0.0)) for season in below.share] == pytest.approx([0.7] * 4, abs=0.003)


def test_channels_on_two_clocks_are_matched_by_time_and_not_by_row():
    slow = hours(500)
    fast = hours(500, 600) + np.timedelta64(120, "s")
    seconds = (fast - START).astype(int)
    ramp = 15 + seconds / 3600 / 100
    made = Record(
        place="wall",
        channels={
            "temperature": channel("temperature", slow, 15 + np.arange(500) / 100),
            "humidity": channel("humidity", fast, 50.0),
        },
    )
    both = air(made)
    inside = (both.humidity.seconds - slow[0].astype(int)) / 3600 / 100 + 15
    kept = np.isin(both.humidity.seconds, fast.astype(int))
    assert kept.all()
    np.testing.assert_allclose(both.temperature.values[:-5], inside[:-5], atol=1e-9)
    assert len(ramp) - len(both.humidity.values) <= 6


def test_humidity_may_come_from_a_logged_dew_point():
    times = hours(100)
    made = Record(
        place="wall",
        channels={
            "temperature": channel("temperature", times, 20.0),
            "dew_point": channel("dew_point", times, 9.272),
        },
    )
    assert readings(made, "humidity").values == pytest.approx(np.full(100, 50.0), abs=0.01)

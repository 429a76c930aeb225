"""The yearly estimate: what it must hold whatever the room, and rooms of which the answer is known."""

from __future__ import annotations

import numpy as np
import pvlib.spa
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillwall.exposure.annual_dose import annual_dose
from stillwall.exposure.daylight_reference import Location, WindowFace, zone_offsets_h
from stillwall.exposure.dose_draws import light, stay_dose, year_dose
from stillwall.exposure.lamps import LampFacts
from stillwall.exposure.light_year import SPREADS, LightSite
from stillwall.exposure.season_kriging import posterior_draws, season_posterior
from stillwall.record import Record

from .light_records import clock, record_of

JANUARY_2025 = 20_089
AMSTERDAM = Location(52.37, 4.9, "Europe/Amsterdam")


def _sky_lux(seconds, latitude=52.37, longitude=4.9):
    """Light of an even sky by the height of the sun (SPA), without a formula of the estimator. [lx]"""
    found = pvlib.spa.solar_position_numpy(
        np.asarray(seconds, dtype=float), latitude, longitude, 0.0, 0.0, 12.0, 67.0, 0.5667, 1
    )
    return 40_000.0 * np.maximum(np.sin(np.radians(found[3])), 0.0) ** 1.2


def _lamps(seconds, on_h, off_h, lux):
    local = (np.asarray(seconds) / 3600.0 + 1.0) % 24.0
    return np.where((local >= on_h) & (local < off_h), lux, 0.0)


def _room(first_day, days, *, ratio=0.004, lamp=0.0, on=17.0, off=22.0, step_s=300, offset=0.0):
    seconds = clock(first_day, days, step_s)
    lux = ratio * _sky_lux(seconds) + offset
    if lamp:
        lux = lux + _lamps(seconds, on, off, lamp)
    return seconds, lux


def test_a_whole_year_is_kept_as_measured():
    seconds, lux = _room(JANUARY_2025, 365, lamp=60.0)
    annual = annual_dose(record_of(seconds, lux), LightSite(AMSTERDAM))
    median, low, high = year_dose(annual)
    truth = lux.sum() / 12.0
    assert annual.weeks_seen == 52
    assert median == pytest.approx(truth, rel=0.005)
    assert high / low < 1.02
    assert annual.expected_share == pytest.approx(1.0)
    assert annual.june_seen
    assert annual.december_seen


@pytest.mark.parametrize("start", [0, 80, 172, 265])
@pytest.mark.parametrize("weeks", [2, 4, 13])
def test_a_plain_room_is_held_from_any_season(start, weeks):
    _, lux = _room(JANUARY_2025, 365, lamp=40.0)
    truth = lux.sum() / 12.0
    part, part_lux = _room(JANUARY_2025 + start, 7 * weeks, lamp=40.0)
    _, low, high = year_dose(annual_dose(record_of(part, part_lux), LightSite(AMSTERDAM)))
    assert low <= truth <= high


def test_two_weeks_of_december_are_not_scaled_by_days():
    seconds, lux = _room(JANUARY_2025 + 344, 14)
    scaled = lux.sum() / 12.0 * 365.0 / 14.0
    median, low, _ = year_dose(annual_dose(record_of(seconds, lux), LightSite(AMSTERDAM)))
    assert low > 1.5 * scaled
    assert median > 3.0 * scaled


def test_a_longer_record_narrows_the_interval():
    widths = []
    for weeks in (2, 8, 26, 52):
        seconds, lux = _room(JANUARY_2025, 7 * weeks)
        _, low, high = year_dose(annual_dose(record_of(seconds, lux), LightSite(AMSTERDAM)))
        widths.append(high / low)
    assert widths == sorted(widths, reverse=True)


def test_more_facts_narrow_the_interval():
    seconds, lux = _room(JANUARY_2025, 28)
    widths = []
    for site in (
        LightSite(Location()),
        LightSite(AMSTERDAM),
        LightSite(AMSTERDAM, (WindowFace(0.0),)),
    ):
        _, low, high = year_dose(annual_dose(record_of(seconds, lux), site))
        widths.append(high / low)
    assert widths[0] > widths[2]
    assert widths[1] > widths[2]


def test_the_method_is_named():
    seconds, lux = _room(JANUARY_2025, 28)
    named = annual_dose(record_of(seconds, lux), LightSite(AMSTERDAM, (WindowFace(180.0),)))
    assert named.basis == "windows"
    assert "kriging" in named.method
    assert "windows" in named.method
    unknown = annual_dose(record_of(seconds, lux), LightSite(Location(None, None, "Europe/Amsterdam")))
    assert unknown.basis == "latitude_unknown"
    assert "30 to 60 degrees" in unknown.method


@settings(max_examples=25)
@given(st.floats(1.01, 20.0), st.integers(0, 364), st.integers(1, 20))
def test_more_light_never_lowers_the_estimate(factor, start, weeks):
    seconds, lux = _room(JANUARY_2025 + start, 7 * weeks, step_s=1800)
    site = LightSite(AMSTERDAM)
    less = year_dose(annual_dose(record_of(seconds, lux), site))
    more = year_dose(annual_dose(record_of(seconds, factor * lux), site))
    assert all(high >= low for high, low in zip(more, less, strict=True))


@settings(max_examples=15)
@given(st.integers(0, 364), st.integers(1, 30))
def test_never_under_what_was_measured(start, weeks):
    seconds, lux = _room(JANUARY_2025 + start, 7 * weeks, lamp=80.0, step_s=1800)
    annual = annual_dose(record_of(seconds, lux), LightSite(AMSTERDAM))
    _, low, _ = year_dose(annual)
    assert low >= 0.995 * annual.measured_lux_h


def test_night_offset_is_taken_off():
    plain = year_dose(annual_dose(record_of(*_room(JANUARY_2025, 365)), LightSite(AMSTERDAM)))
    annual = annual_dose(record_of(*_room(JANUARY_2025, 365, offset=2.0)), LightSite(AMSTERDAM))
    assert annual.offset_lux == pytest.approx(2.0, abs=0.01)
    # Left in, it would be 17,520 lx h (2 lx for 8,760 h).
    assert year_dose(annual)[0] == pytest.approx(plain[0], rel=0.002)


def test_missing_nights_are_filled_by_the_lamp_that_other_nights_show():
    seconds, lux = _room(JANUARY_2025, 364, lamp=100.0, on=17.0, off=22.0)
    truth = lux.sum() / 12.0
    local = (seconds / 3600.0 + 1.0) % 24.0
    day = seconds // 86_400
    lost = (local >= 16.0) & (day % 2 == 0)
    kept = ~lost
    median, low, high = year_dose(annual_dose(record_of(seconds[kept], lux[kept]), LightSite(AMSTERDAM)))
    as_dark = lux[kept].sum() / 12.0
    assert as_dark < 0.9 * truth
    assert median == pytest.approx(truth, rel=0.04)
    assert high / low < 1.3


def test_missing_mornings_are_no_darkness():
    seconds, lux = _room(JANUARY_2025, 364)
    truth = lux.sum() / 12.0
    hour = (seconds / 3600.0) % 24.0
    kept = ~((hour < 10.0) & (seconds // 86_400 % 3 == 0))
    _, low, high = year_dose(annual_dose(record_of(seconds[kept], lux[kept]), LightSite(AMSTERDAM)))
    assert low <= truth <= high


def test_saturation_and_steps_are_told():
    seconds, lux = _room(JANUARY_2025, 60, ratio=0.2)
    annual = annual_dose(
        record_of(seconds, np.minimum(np.floor(lux / 11.8) * 11.8, 944.0)), LightSite(AMSTERDAM)
    )
    assert annual.saturated_share > 0.0
    assert annual.step_lux == pytest.approx(11.8, rel=0.01)


def test_a_coarse_sensor_widens_a_dark_wall():
    seconds, lux = _room(JANUARY_2025 + 60, 60, ratio=0.0001)
    fine = year_dose(annual_dose(record_of(seconds, lux), LightSite(AMSTERDAM)))
    number = np.arange(len(lux))
    coarse_lux = 11.8 * sum((number % every == 0).astype(float) for every in (997, 1994, 3988, 7976))
    coarse = year_dose(annual_dose(record_of(seconds, coarse_lux), LightSite(AMSTERDAM)))
    assert coarse[2] / coarse[1] > fine[2] / fine[1]


def test_nothing_read_is_no_estimate():
    for record in (Record("wall", {}), record_of([0], [5.0])):
        annual = annual_dose(record, LightSite(AMSTERDAM))
        assert annual.parts is None
        assert np.isnan(year_dose(annual)[0])
    assert light(Record("wall", {}), LightSite(AMSTERDAM)).annual.parts is None


def test_readings_that_are_no_numbers_are_left_out():
    seconds, lux = _room(JANUARY_2025, 364)
    plain = year_dose(annual_dose(record_of(seconds, lux), LightSite(AMSTERDAM)))
    record = record_of(seconds, np.where(np.arange(len(lux)) % 7 == 3, np.nan, lux))
    record.channels["light"].excluded[:] = False
    assert year_dose(annual_dose(record, LightSite(AMSTERDAM)))[0] == pytest.approx(plain[0], rel=0.01)


def test_southern_seasons_are_turned_over():
    # Six weeks of June in Sydney: the year must come out above day scaling, as December does in the north.
    seconds = clock(JANUARY_2025 + 151, 42)
    lux = 0.004 * _sky_lux(seconds, -33.87, 151.2)
    year = clock(JANUARY_2025, 365)
    truth = 0.004 * _sky_lux(year, -33.87, 151.2).sum() / 12.0
    site = LightSite(Location(-33.87, 151.2, "Australia/Sydney"))
    median, low, high = year_dose(annual_dose(record_of(seconds, lux), site))
    assert low <= truth <= high
    assert median > 1.2 * lux.sum() / 12.0 * 365.0 / 42.0


def test_hemisphere_of_an_unknown_latitude_follows_the_zone():
    assert Location(None, None, "Australia/Sydney").southern
    assert not Location(None, None, "Europe/Dublin").southern
    assert not Location().southern


def test_polar_night_does_not_break_the_estimate():
    seconds = clock(JANUARY_2025 - 25, 60)
    lux = 0.01 * _sky_lux(seconds, 69.6, 18.9) + _lamps(seconds, 8.0, 16.0, 30.0)
    site = LightSite(Location(69.6, 18.9, "Europe/Oslo"))
    median, low, high = year_dose(annual_dose(record_of(seconds, lux), site))
    assert np.isfinite([median, low, high]).all()
    assert 0 < low <= median <= high


def test_a_clock_without_zone_is_taken_as_local():
    seconds, lux = _room(JANUARY_2025, 364, lamp=50.0)
    local = seconds + 3600
    known = year_dose(annual_dose(record_of(seconds, lux), LightSite(AMSTERDAM)))
    unknown = year_dose(annual_dose(record_of(local, lux, utc=False), LightSite(AMSTERDAM)))
    assert unknown[0] == pytest.approx(known[0], rel=0.01)


def test_offsets_of_zones():
    assert zone_offsets_h("Europe/Amsterdam", JANUARY_2025, 1) == (1.0,)
    assert zone_offsets_h("Europe/Amsterdam", JANUARY_2025 + 180, 1) == (2.0,)
    assert zone_offsets_h("-03:30", JANUARY_2025, 2) == (-3.5, -3.5)
    assert zone_offsets_h("+0530", JANUARY_2025, 1) == (5.5,)
    assert zone_offsets_h(None, JANUARY_2025, 2) == (0.0, 0.0)


def test_two_years_are_averaged():
    seconds, lux = _room(JANUARY_2025, 728)
    lux = np.where(np.arange(len(lux)) < len(lux) // 2, lux, 2.0 * lux)
    median, _, _ = year_dose(annual_dose(record_of(seconds, lux), LightSite(AMSTERDAM)))
    assert median == pytest.approx(lux.sum() / 12.0 / 2.0 * 365.0 / 364.0, rel=0.01)


def test_a_stay_grows_with_its_days_and_follows_the_season():
    seconds, lux = _room(JANUARY_2025, 364)
    parts = annual_dose(record_of(seconds, lux), LightSite(AMSTERDAM)).parts
    assert parts is not None
    winter, summer = (stay_dose(parts, JANUARY_2025 + day) for day in (320, 150))
    z = 33
    doses = [float(summer.after(days)[0][z]) for days in (0, 10, 60, 200, 364, 365, 800)]
    assert doses == sorted(doses)
    assert doses[0] == 0.0
    assert summer.after(60.0)[0][z] > 4.0 * winter.after(60.0)[0][z]
    assert summer.after(365.0)[0][z] == pytest.approx(winter.after(365.0)[0][z], rel=0.02)
    assert summer.after(730.0)[0][z] == pytest.approx(2.0 * summer.after(365.0)[0][z])
    assert (np.diff(summer.fan, axis=0) >= -1e-9).all()


def test_share_of_a_stay_that_was_seen():
    seconds, lux = _room(JANUARY_2025 + 150, 56)
    found = light(record_of(seconds, lux), LightSite(AMSTERDAM))
    assert found.seen_share(JANUARY_2025 + 365 + 155, 40.0) > 0.95
    assert found.seen_share(JANUARY_2025 + 365 + 320, 40.0) == 0.0
    assert 0.1 < found.seen_share(JANUARY_2025, 365.0) < 0.4


def test_kriging_returns_the_weeks_it_was_given_and_widens_away_from_them():
    seen = np.array([3.5, 10.5, 17.5])
    day = np.arange(3.5, 365.0, 7.0)
    level = np.log(np.array([0.01, 0.01, 0.01]))
    posterior = season_posterior(seen, level, SPREADS["facade"], day)
    assert posterior.mean[1] == pytest.approx(np.log(0.01), abs=0.01)
    assert posterior.sd[26] > 2.0 * posterior.sd[1]
    drawn = posterior_draws(posterior, 4000, np.random.default_rng(1))
    assert drawn.shape == (4000, 52)
    assert np.median(drawn[:, 26]) == pytest.approx(posterior.mean[26], abs=0.05)
    # Heavier tails than the normal's: a t of five degrees of freedom.
    assert np.std(drawn[:, 26]) > 1.1 * posterior.sd[26]


@settings(max_examples=30)
@given(st.floats(-3.0, 3.0))
def test_kriging_shifts_with_the_level(shift):
    seen, day = np.array([100.5, 107.5]), np.array([20.0, 200.0])
    first = season_posterior(seen, np.array([0.0, 0.2]), SPREADS["horizontal"], day)
    moved = season_posterior(seen, np.array([0.0, 0.2]) + shift, SPREADS["horizontal"], day)
    assert moved.mean == pytest.approx(first.mean + shift, abs=1e-9)
    assert moved.covariance == pytest.approx(first.covariance, abs=1e-12)


def test_lamps_seen_in_winter_are_carried_to_summer():
    seconds, lux = _room(JANUARY_2025, 28, ratio=1e-5, lamp=100.0, on=17.0, off=22.0)
    annual = annual_dose(record_of(seconds, lux), LightSite(AMSTERDAM))
    assert annual.lamp_level_lux == pytest.approx(100.0, rel=0.02)
    assert annual.lamp_daily_h == pytest.approx(5.0, abs=0.3)
    assert annual.hidden_lamp_h == 0.0
    _, low, high = year_dose(annual)
    assert low < 100.0 * 5.0 * 365.0 < high


def test_lamps_that_summer_hides_are_left_open_unless_the_survey_gives_their_hours():
    seconds, lux = _room(JANUARY_2025 + 160, 28, lamp=0.0)
    hidden = annual_dose(record_of(seconds, lux), LightSite(AMSTERDAM))
    assert hidden.hidden_lamp_h > 20.0
    lamps = (LampFacts(level_lux=50.0, from_h=17.0, to_h=22.0),)
    told = annual_dose(record_of(seconds, lux), LightSite(AMSTERDAM, lamps=lamps))
    assert told.hidden_lamp_h == 0.0
    assert told.lamps_from_survey
    # Two rooms that look alike in June differ by their winter evenings.
    assert (
        year_dose(hidden)[2]
        > year_dose(
            annual_dose(
                record_of(seconds, lux),
                LightSite(AMSTERDAM, lamps=(LampFacts(level_lux=0.5, from_h=17.0, to_h=22.0),)),
            )
        )[2]
    )


def test_a_wall_without_daylight_is_told_from_one_with_it():
    seconds = clock(JANUARY_2025, 28)
    only_lamps = annual_dose(record_of(seconds, _lamps(seconds, 9.0, 18.0, 80.0)), LightSite(AMSTERDAM))
    assert not only_lamps.daylight_seen
    assert annual_dose(record_of(*_room(JANUARY_2025, 28)), LightSite(AMSTERDAM)).daylight_seen
    truth = 80.0 * 9.0 * 365.0
    _, low, high = year_dose(only_lamps)
    assert low <= truth <= high


def test_readings_by_night_alone_say_nothing_of_the_year():
    seconds = np.asarray(clock(JANUARY_2025, 28, 600))
    night = seconds[seconds % 86_400 < 4 * 3600]
    annual = annual_dose(record_of(night, np.full(len(night), 5.0)), LightSite(AMSTERDAM))
    assert annual.parts is None

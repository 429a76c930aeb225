"""Climate of real rooms: exposures and loads against plain numpy over the files themselves."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from stillwall.exposure.exceedance import OFFSETS_PCT, exceedance
from stillwall.exposure.felt_climate import humidity_seasons, humidity_swings, temperature_seasons
from stillwall.exposure.own_history import own_history
from stillwall.record import Record
from tests.real.plain import (
    columns,
    followed,
    largest_by_day,
    moving_mean,
    p95_by_season,
    percentiles_by_season,
    trapezoid,
)

HOUSES = {
    "larch-study-inner": "house-R3_indoor1.csv",
    "larch-bedroom-inner": "house-R3_indoor2.csv",
    "fern-study-inner": "house-R4_indoor1.csv",
    "fern-bedroom-inner": "house-R4_indoor2.csv",
}
FOUR_SIDES = {"sorting-north": "S1", "sorting-east": "S2", "sorting-south": "S3", "sorting-west": "S4"}
SURFACE_H, BULK_H = 103.2, 624.0
"""Response of a panel 8 mm thick; the tests ask for these, whatever the survey's works are given."""


def load(opened, work, place, hazard):
    judged = opened.vet(work, place).placed.judged
    return next(load for load in judged.loads if load.hazard == hazard)


@pytest.mark.parametrize(("place", "file"), HOUSES.items())
def test_seasonal_percentiles_of_temperature(opened, real_logs, place, file):
    times, air = columns(real_logs / file, "t_UTC+2", "T")
    expected = percentiles_by_season(times, air)
    seen = opened("houses").site(place).exposure(temperature_seasons)
    assert seen.low == pytest.approx(expected[:, 0], abs=0.02)
    assert seen.high == pytest.approx(expected[:, 1], abs=0.02)
    assert min(seen.coverage) > 0.98


@pytest.mark.parametrize(("place", "file"), HOUSES.items())
def test_load_of_temperature(opened, real_logs, place, file):
    """Bizot's band of 16 to 25 degC: how far the percentiles reach from 20.5, over 4.5 K."""
    times, air = columns(real_logs / file, "t_UTC+2", "T")
    expected = percentiles_by_season(times, air)
    lowest, highest = expected[:, 0].min(), expected[:, 1].max()
    reach = max(highest - 20.5, 20.5 - lowest)
    found = load(opened("houses"), "pond-canvas", place, "temperature")
    assert found.exposure.value == pytest.approx(reach, abs=0.05)
    assert found.ratio == pytest.approx(reach / 4.5, abs=0.02)
    assert found.evidence == "measured"


@pytest.mark.parametrize(("place", "file"), HOUSES.items())
def test_felt_humidity_by_season(opened, real_logs, place, file):
    times, humidity = columns(real_logs / file, "t_UTC+2", "RH")
    felt = followed(humidity, BULK_H)
    settled = np.arange(len(felt)) >= BULK_H
    expected = percentiles_by_season(times[settled], felt[settled])
    seen = opened("houses").site(place).exposure(humidity_seasons, BULK_H)
    assert seen.low == pytest.approx(expected[:, 0], abs=0.05)
    assert seen.high == pytest.approx(expected[:, 1], abs=0.05)


@pytest.mark.parametrize(("place", "file"), HOUSES.items())
def test_reach_of_felt_humidity_of_a_work_without_history(opened, real_logs, place, file):
    """About 50 %RH, the guideline's own centre: the canvas of which nobody knows where it has hung."""
    times, humidity = columns(real_logs / file, "t_UTC+2", "RH")
    felt = followed(humidity, 48.0)
    settled = np.arange(len(felt)) >= 48.0
    expected = percentiles_by_season(times[settled], felt[settled])
    reach = max(expected[:, 1].max() - 50.0, 50.0 - expected[:, 0].min())
    found = load(opened("houses"), "pond-canvas", place, "humidity")
    assert found.exposure.value == pytest.approx(reach, abs=0.2)
    assert found.allowance.value == 10.0
    assert found.evidence == "assumed"


def test_humidity_is_centred_on_where_the_work_has_been_living(opened, real_logs):
    """The panel hangs in the study of the one house: its yearly mean there centres the band in the other."""
    times, at_home = columns(real_logs / HOUSES["larch-study-inner"], "t_UTC+2", "RH")
    felt = followed(at_home, BULK_H)[int(BULK_H) :]
    months = times[int(BULK_H) :].astype("datetime64[M]").astype(int) % 12
    centre = np.average(
        [felt[months == month].mean() for month in range(12)],
        weights=[31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31],
    )
    times, there = columns(real_logs / HOUSES["fern-study-inner"], "t_UTC+2", "RH")
    away = followed(there, BULK_H)
    settled = np.arange(len(away)) >= BULK_H
    expected = percentiles_by_season(times[settled], away[settled])
    reach = max(expected[:, 1].max() - centre, centre - expected[:, 0].min())
    found = load(opened("houses"), "orchard-panel", "fern-study-inner", "humidity")
    assert found.exposure.value == pytest.approx(reach, abs=0.3)
    assert f"{centre:.0f} %RH, the yearly mean where the work has been living" in found.reason
    assert found.evidence == "measured"


@pytest.mark.parametrize(("place", "file"), HOUSES.items())
def test_daily_swings_and_gradients(opened, real_logs, place, file):
    """Largest departure of the day from the mean of its 24 h, the outermost two readings counted half."""
    times, humidity = columns(real_logs / file, "t_UTC+2", "RH")
    for surface_h, bulk_h in ((SURFACE_H, BULK_H), (4.0, 48.0)):
        surface, bulk = followed(humidity, surface_h), followed(humidity, bulk_h)
        sums = np.convolve(surface, [0.5, *[1.0] * 23, 0.5], "same") / 24.0
        usable = np.arange(len(surface)) >= surface_h
        usable[-12:] = usable[:12] = False
        days, departures = largest_by_day(times[usable], np.abs(surface - sums)[usable])
        swings = opened("houses").site(place).exposure(humidity_swings, surface_h, bulk_h)
        assert swings.half_swing == pytest.approx(p95_by_season(days, departures), abs=0.05)
        both = usable & (np.arange(len(bulk)) >= bulk_h)
        days, differences = largest_by_day(times[both], np.abs(surface - bulk)[both])
        assert swings.gradient == pytest.approx(p95_by_season(days, differences), abs=0.1)


@pytest.mark.parametrize(("place", "file"), HOUSES.items())
def test_band_of_a_calendar_year(opened, real_logs, facts, place, file):
    """EN 15757's averages and percentiles for 2011, against another script's and against plain sums."""
    record = opened("houses").site(place).record
    channel = record.channels["humidity"]
    first, last = (np.datetime64(day) - np.timedelta64(2, "h") for day in ("2010-12-17", "2012-01-16"))
    keep = (channel.times >= first) & (channel.times < last)
    year = Record(
        place,
        {
            "humidity": replace(
                channel,
                times=channel.times[keep],
                values=channel.values[keep],
                excluded=channel.excluded[keep],
            )
        },
        zone=record.zone,
    )
    band = own_history(year)
    fact = facts[file]["year"]
    assert band.points == fact["hours"]
    assert band.mean_low == pytest.approx(fact["moving_average_30d_min"], abs=1e-4)
    assert band.mean_high == pytest.approx(fact["moving_average_30d_max"], abs=1e-4)
    assert band.lower_percentile == pytest.approx(fact["p07_of_deviation"], abs=1e-4)
    assert band.upper_percentile == pytest.approx(fact["p93_of_deviation"], abs=1e-4)
    assert (band.lower, band.upper) == (-10.0, 10.0)

    times, humidity = columns(real_logs / file, "t_UTC+2", "RH")
    departure = humidity - moving_mean(humidity, 360)
    inside = (times >= np.datetime64("2011-01-01")) & (times < np.datetime64("2012-01-01"))
    assert band.lower_percentile == pytest.approx(np.percentile(departure[inside], 7), abs=1e-6)
    assert band.upper_percentile == pytest.approx(np.percentile(departure[inside], 93), abs=1e-6)


def test_hours_above_sixty_in_a_bathroom(opened, real_logs):
    """Steel rusts above 60 %RH: the hours of winter and spring at least, and nowhere else in the house.

    The file is a random quarter of a record, so its rows stand for equal shares of the time, within sampling.
    """
    times, humidity = columns(real_logs / "nine-rooms_testing.csv", "date", "RH_5")
    winter = np.isin(times.astype("datetime64[M]").astype(int) % 12 + 1, [12, 1, 2])
    shares = [(humidity[part] > 60.0).mean() for part in (winter, ~winter)]
    site = opened("nine_rooms").site("bathroom-wall")
    seen = site.exposure(exceedance, 60.0, True, 0.0, 0.0)
    at = list(OFFSETS_PCT).index(0.0)
    assert [seen.share[index][at] for index in (0, 1)] == pytest.approx(shares, abs=0.02)
    found = load(opened("nine_rooms"), "spade", "bathroom-wall", "corrosion")
    assert found.exposure.value > sum(shares) / 4 * 8766.0
    assert found.ratio > 1.0
    for dry in ("office-wall", "ironing-room-wall", "living-room-wall"):
        assert load(opened("nine_rooms"), "spade", dry, "corrosion").ratio < 0.1


@pytest.mark.parametrize(("place", "box"), FOUR_SIDES.items())
def test_light_on_four_sides_of_a_room(opened, facts, place, box):
    channel = opened("office").site(place).record.channels["light"]
    expected = facts["room-four-walls_Occupancy_Estimation.csv"]["light_lux_hours_trapezoid"][f"{box}_Light"]
    assert trapezoid(*channel.kept, longest_gap_s=300.0) == pytest.approx(expected, abs=0.01)


def test_light_of_two_downloads(opened, facts):
    channel = opened("office").site("bursars-wall").record.channels["light"]
    expected = sum(
        facts[name]["light_lux_hours_trapezoid"]
        for name in ("office_datatraining.txt", "office_datatest2.txt")
    )
    assert trapezoid(*channel.kept, longest_gap_s=600.0) == pytest.approx(expected, abs=0.01)

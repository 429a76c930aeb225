"""Comparing two seasons, against scipy's regression and plain loops."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from stillwall.exposure.readings import readings
from stillwall.exposure.season_change import Daily, compare, daily_means, drift, outdoor_drivers
from stillwall.record import Record
from tests.exposure.light_records import DAY_S
from tests.exposure.test_climate_plainly import START, channel

FIRST = 20_000


def daily(values, first=FIRST, days=None):
    values = np.asarray(values, float)
    return Daily(first + np.arange(len(values)) if days is None else np.asarray(days), values)


def inflation(groups):
    """(1 + r) / (1 - r) of neighbouring days' residuals, r raised by (1 + 4 r) / n, held to 0 to 0.9."""
    top, bottom, count = 0.0, 0.0, 0
    for days, rest in groups:
        for at in range(len(days) - 1):
            if days[at + 1] - days[at] == 1:
                top += rest[at] * rest[at + 1]
                bottom += rest[at] ** 2
                count += 1
    if count < 3:
        return 1.0
    r = top / bottom
    r = min(max(r + (1 + 4 * r) / count, 0.0), 0.9)
    return (1 + r) / (1 - r)


def smoothed(seed, count, share=0.6):
    chance = np.random.default_rng(seed)
    made = [0.0]
    for step in chance.standard_normal(count - 1):
        made.append(share * made[-1] + step)
    return np.array(made)


@pytest.mark.parametrize(("seed", "lost"), [(1, ()), (2, (5, 6, 20, 40))])
def test_without_weather_the_change_is_the_difference_of_means_with_inflated_errors(seed, lost):
    keep = np.setdiff1d(np.arange(80), lost)
    first, second = smoothed(seed, 80)[keep] + 50.0, smoothed(seed + 10, 90) + 53.0
    before, now = daily(first, days=FIRST + keep), daily(second, FIRST + 365)
    found = compare(before, now, spread=0.7)
    groups = [(before.days, first - first.mean()), (now.days, second - second.mean())]
    pooled = sum((rest**2).sum() for _, rest in groups) / (len(first) + len(second) - 2)
    variance = pooled * (1 / len(first) + 1 / len(second)) * inflation(groups)
    sd = np.sqrt(variance + 0.7**2)
    assert found.change == pytest.approx(second.mean() - first.mean())
    assert found.sd == pytest.approx(sd)
    half = stats.norm.ppf(0.95) * sd
    assert (found.low, found.high) == pytest.approx((found.change - half, found.change + half))
    assert found.score == pytest.approx(abs(found.change) / sd)
    assert (found.adjusted, found.days_before, found.days_now) == (False, len(first), 90)


def test_with_weather_the_change_is_that_of_a_regression():
    chance = np.random.default_rng(3)
    weather = [chance.normal(5.0, 4.0, (60, 2)), chance.normal(8.0, 4.0, (70, 2))]
    weights = np.array([0.4, -0.2])
    made = [
        weather[0] @ weights + chance.normal(0, 0.3, 60),
        weather[1] @ weights + 1.5 + chance.normal(0, 0.3, 70),
    ]
    before, now = daily(made[0]), daily(made[1], FIRST + 365)
    found = compare(before, now, spread=0.0, drivers=(weather[0], weather[1]))
    design = np.column_stack([np.ones(130), np.repeat([0.0, 1.0], [60, 70]), np.vstack(weather)])
    values = np.concatenate(made)
    solution = np.linalg.solve(design.T @ design, design.T @ values)
    rest = values - design @ solution
    variance = rest @ rest / (130 - 4) * np.linalg.inv(design.T @ design)[1, 1]
    variance *= inflation([(before.days, rest[:60]), (now.days, rest[60:])])
    assert found.adjusted
    assert found.change == pytest.approx(solution[1])
    assert found.sd == pytest.approx(np.sqrt(variance))


def test_a_driver_that_never_changes_does_no_harm():
    chance = np.random.default_rng(4)
    before, now = daily(chance.normal(0, 1, 30)), daily(chance.normal(2, 1, 30), FIRST + 365)
    plain = compare(before, now, spread=0.1)
    still = compare(before, now, spread=0.1, drivers=(np.full((30, 1), 7.0), np.full((30, 1), 7.0)))
    assert (still.change, still.sd) == pytest.approx((plain.change, plain.sd))


@pytest.mark.parametrize(("before", "now", "told"), [(14, 14, True), (13, 40, False), (40, 13, False)])
def test_two_weeks_of_each_year_are_needed(before, now, told):
    chance = np.random.default_rng(5)
    found = compare(
        daily(chance.normal(0, 1, before)), daily(chance.normal(0, 1, now), FIRST + 365), spread=1.0
    )
    assert (found is not None) is told


def test_nothing_that_varies_leaves_the_spread_alone():
    found = compare(daily(np.full(20, 5.0)), daily(np.full(20, 6.0), FIRST + 365), spread=0.4)
    assert (found.change, found.sd) == pytest.approx((1.0, 0.4))
    still = compare(daily(np.zeros(20)), daily(np.zeros(20), FIRST + 365), spread=0.0)
    assert (still.change, still.score) == (0.0, 0.0)


@pytest.mark.parametrize("step_at", [12, 40, 60, 77])
def test_the_day_of_a_step_inside_the_season_is_found(step_at):
    chance = np.random.default_rng(step_at)
    values = chance.normal(0, 0.4, 90) + np.where(np.arange(90) >= step_at, 3.0, 0.0)
    found = compare(daily(chance.normal(0, 0.4, 90)), daily(values, FIRST + 365), spread=0.5)
    # The split of least squares, tried one by one.
    squares = {
        at: ((values[:at] - values[:at].mean()) ** 2).sum() + ((values[at:] - values[at:].mean()) ** 2).sum()
        for at in range(9, 81)
    }
    assert found.since_day == FIRST + 365 + min(squares, key=squares.get)
    assert abs(found.since_day - FIRST - 365 - step_at) <= 1


def test_a_step_counts_from_half_of_the_squares_on():
    # Alternating days of +a and -a with a step of 2: the step takes 1 of 1 + a^2 of the squares.
    for size, told in ((0.9, True), (1.1, False)):
        values = size * np.where(np.arange(60) % 2 == 0, 1.0, -1.0) + np.where(np.arange(60) >= 30, 2.0, 0.0)
        found = compare(daily(np.zeros(60)), daily(values, FIRST + 365), spread=0.5)
        assert (found.since_day is not None) is told
        if told:
            assert found.since_day == FIRST + 365 + 30


def test_daily_means_of_half_days_and_of_what_is_kept():
    seconds = START + np.arange(0, 3 * DAY_S, 3600)
    keep_rows = np.ones(72, bool)
    keep_rows[24:37] = False
    values = np.arange(72.0)
    made = Record("wall", {"humidity": channel("humidity", seconds[keep_rows], values[keep_rows])})
    taken = readings(made, "humidity")
    found = daily_means(taken)
    # The second day has eleven readings of an hour each.
    assert found.days.tolist() == [START // DAY_S, START // DAY_S + 2]
    assert found.values == pytest.approx([np.arange(24).mean(), np.arange(48, 72).mean()])
    mask = np.isin(taken.seconds - START, [3600, 7200, 30 * 3600, 50 * 3600, 51 * 3600])
    part = daily_means(taken, mask)
    assert part.days.tolist() == found.days.tolist()
    assert part.values == pytest.approx([1.5, 50.5])


def test_twelve_hours_make_a_day():
    for rows, told in ((12, 1), (11, 0)):
        seconds = START + np.arange(0, rows * 3600, 3600)
        taken = readings(
            Record("wall", {"humidity": channel("humidity", seconds, np.full(rows, 50.0))}), "humidity"
        )
        assert len(daily_means(taken).days) == told


def test_a_room_follows_the_air_outdoors_today_and_with_a_memory():
    values = np.array([4.0, 8.0, -2.0, 3.0, 10.0, 6.0])
    outdoors = daily(values, days=FIRST + np.array([0, 1, 2, 3, 7, 8]))
    filled = np.interp(np.arange(9), [0, 1, 2, 3, 7, 8], values)
    asked = FIRST + np.array([-1, 0, 2, 4, 5, 8, 9])
    found, known = outdoor_drivers(outdoors, asked, hinges=(5.0, 2.0))
    columns = [filled]
    for memory in (1.5, 6.0):
        run = [filled[0]]
        for value in filled[1:]:
            run.append(run[-1] + (1 - np.exp(-1 / memory)) * (value - run[-1]))
        columns.append(np.array(run))
    columns += [np.minimum(columns[1] - hinge, 0.0) for hinge in (5.0, 2.0)]
    inside = [1, 2, 3, 4, 5]
    assert found[inside] == pytest.approx(np.column_stack(columns)[[0, 2, 4, 5, 8]])
    # Known up to two days before a day with readings, and within the log.
    assert known.tolist() == [False, True, True, False, True, True, False]


def test_drift_of_two_loggers_is_a_regression():
    chance = np.random.default_rng(6)
    days = np.sort(chance.choice(400, 200, replace=False))
    base = chance.normal(50, 5, 400)
    walk = smoothed(7, 200, 0.5)
    one = daily(base[days] + 0.004 * days + 0.1 * walk, days=FIRST + days)
    other = daily(base[50:], days=FIRST + np.arange(50, 400))
    slope, sd = drift(one, other)
    common = days[days >= 50]
    fitted = stats.linregress(common / 365.25, 0.004 * common + 0.1 * walk[days >= 50])
    assert slope == pytest.approx(fitted.slope)
    rest = 0.004 * common + 0.1 * walk[days >= 50] - fitted.intercept - fitted.slope * common / 365.25
    assert sd == pytest.approx(fitted.stderr * np.sqrt(inflation([(common, rest)])))
    short = daily(base[:60], days=FIRST + np.arange(60))
    assert drift(short, daily(base)) is not None
    assert drift(daily(base[:59]), daily(base)) is None

"""Clauses of made-up guidelines on logs of which every figure can be counted."""

from __future__ import annotations

import numpy as np
import pytest

from stillwall.exposure.classes import class_record
from stillwall.exposure.felt_climate import centred_mean
from stillwall.exposure.readings import readings
from stillwall.record import Record
from stillwall.reference.guidelines import Band, Guideline
from stillwall.reference.sources import Citation
from tests.hazards.climate_cases import START, YEAR_H, hours, record

SOURCE = Citation(key="judgement", checked="judgement")
HOUR = np.arange(YEAR_H)


def guideline(name="made", **bands):
    made = {quantity: Band(source=SOURCE, **facts) for quantity, facts in bands.items()}
    return Guideline(id=name, title=name, year=2026, status="proposal", source=SOURCE, **made)


def clauses(made, **bands):
    (found,) = class_record(made, (guideline(**bands),))
    return found, {(each.quantity, each.name): each for each in found.clauses}


def spikes(base, level, at, count):
    """A year of hours at one level, with some at another."""
    return np.where((at <= HOUR) & (at + count > HOUR), level, base)


@pytest.mark.parametrize(
    ("level", "status", "worst"),
    [
        (60.0, "met", 0.0),
        (60.04, "met", 0.0),
        (60.06, "failed", 0.1),
        (71.0, "failed", 11.0),
        (39.0, "failed", 1.0),
        (40.0, "met", 0.0),
    ],
)
def test_levels_are_closed_and_compared_at_a_tenth(level, status, worst):
    found, by_name = clauses(
        record(20.0, spikes(50.0, level, 1000, 30)), humidity={"low": 40.0, "high": 60.0}
    )
    clause = by_name["humidity", "level"]
    assert (found.status, clause.status) == (status, status)
    assert clause.worst == pytest.approx(worst)
    assert (clause.low, clause.high) == (40.0, 60.0)
    assert clause.share == pytest.approx(30 / YEAR_H if worst else 0.0)
    first = int((START + np.timedelta64(1000, "h")).astype(np.int64))
    assert clause.first == (first if worst else None)


@pytest.mark.parametrize(
    ("accuracy", "status"), [(0.9, "failed"), (1.0, "within error"), (3.0, "within error")]
)
def test_what_the_logger_may_have_wrong_is_said(accuracy, status):
    made = record(20.0, spikes(50.0, 61.0, 1000, 30), accuracy=(0.0, accuracy))
    found, _ = clauses(made, humidity={"high": 60.0})
    assert found.status == status


def test_one_open_side_is_open():
    for band, level in (({"low": 40.0}, 90.0), ({"high": 60.0}, 10.0)):
        found, by_name = clauses(record(20.0, spikes(50.0, level, 5, 5)), humidity=band)
        assert found.status == "met"
        assert by_name["humidity", "level"].low == band.get("low")
        assert by_name["humidity", "level"].high == band.get("high")


@pytest.mark.parametrize(
    ("mean", "accuracy", "status", "worst"),
    [
        (45.0, 0.0, "met", 0.0),
        (44.0, 0.0, "failed", 1.0),
        (44.0, 1.0, "within error", 1.0),
        (57.0, 0.0, "failed", 2.0),
        (55.0, 0.0, "met", 0.0),
    ],
)
def test_the_yearly_mean_has_its_own_levels(mean, accuracy, status, worst):
    made = record(20.0, mean, accuracy=(0.0, accuracy))
    found, by_name = clauses(made, humidity={"mean_low": 45.0, "mean_high": 55.0})
    clause = by_name["humidity", "yearly mean"]
    assert (found.status, clause.status) == (status, status)
    assert clause.worst == pytest.approx(worst)
    assert clause.share == float(worst > 0)
    assert (clause.low, clause.high) == (45.0, 55.0)


def test_a_band_about_the_yearly_mean_takes_the_short_term_on_top():
    # The mean is 50; the season may depart by -10 and 5, the day by 4 more: 36 to 59.
    for level, status in ((59.0, "met"), (59.2, "failed"), (36.0, "met"), (35.8, "failed")):
        other = 2 * 50.0 - level
        values = np.full(YEAR_H, 50.0)
        values[100:112], values[4000:4012] = level, other if 36 <= other <= 59 else 50.0
        made = record(20.0, values)
        found, by_name = clauses(
            made,
            humidity={
                "follows_history": True,
                "seasonal_low": -10.0,
                "seasonal_high": 5.0,
                "short_term": 4.0,
                "short_term_h": 10_000.0,
            },
        )
        clause = by_name["humidity", "range about the yearly mean"]
        assert clause.status == status
        assert (clause.low, clause.high) == pytest.approx((36.0, 59.0), abs=0.05)
        assert found.status in ("failed", "not enough record")
    _, plain = clauses(record(20.0, 50.0), humidity={"follows_history": True})
    assert plain["humidity", "range about the yearly mean"].low == pytest.approx(50.0)


def test_the_short_term_is_a_departure_from_a_centred_mean():
    values = 50.0 + 6.0 * np.sin(2 * np.pi * HOUR / 24.0)
    taken = readings(record(20.0, values), "humidity")
    mean, whole = centred_mean(taken, taken.values, 24.0)
    largest = np.abs(np.round(taken.values - mean, 1))[whole].max()
    for allowed, status in ((largest, "met"), (largest - 0.2, "failed")):
        _, by_name = clauses(record(20.0, values), humidity={"short_term": float(allowed)})
        clause = by_name["humidity", "short term"]
        assert clause.status == status
        assert (clause.low, clause.high) == (-allowed, allowed)
    outside = (np.abs(np.round(taken.values - mean, 1)) > largest - 0.2 + 0.05) & whole
    assert clause.share == pytest.approx(outside.sum() / whole.sum())
    # Hours without a whole window do not count, whatever they read.
    edge = np.where(HOUR < 6, 80.0, 50.0)
    _, by_name = clauses(record(20.0, edge), humidity={"short_term": 35.0})
    assert by_name["humidity", "short term"].status == "met"


def test_each_guideline_has_its_own_hours():
    values = 50.0 + 6.0 * np.sin(2 * np.pi * HOUR / 24.0)
    made = record(20.0, values)
    day = guideline("day", humidity={"short_term": 5.0, "short_term_h": 24.0})
    hour = guideline("hour", humidity={"short_term": 5.0, "short_term_h": 3.0})
    assert [each.status for each in class_record(made, (day, hour, day))] == ["failed", "met", "failed"]


def test_part_of_a_year_fails_and_cannot_meet():
    short = record(20.0, 50.0, hours(3000))
    found, by_name = clauses(short, humidity={"high": 60.0, "mean_low": 45.0}, temperature={"high": 25.0})
    assert found.status == "not enough record"
    assert {each.status for each in by_name.values()} == {"not enough record"}
    found, _ = clauses(record(20.0, 70.0, hours(3000)), humidity={"high": 60.0})
    assert found.status == "failed"


def test_the_worst_clause_gives_the_status():
    made = record(26.0, spikes(50.0, 61.0, 10, 5), accuracy=(0.0, 3.0))
    found, by_name = clauses(made, humidity={"high": 60.0}, temperature={"high": 25.0})
    assert found.status == "failed"
    assert by_name["humidity", "level"].status == "within error"
    assert clauses(made, humidity={"high": 60.0}, temperature={"high": 27.0})[0].status == "within error"
    assert clauses(made, humidity={"high": 62.0}, temperature={"high": 27.0})[0].status == "met"
    assert [each.quantity for each in found.clauses] == ["temperature", "humidity"]


def test_what_is_not_logged_cannot_be_judged():
    alone = Record("wall", {"temperature": record().channels["temperature"]})
    found, by_name = clauses(alone, humidity={"high": 60.0}, temperature={"high": 25.0})
    assert found.status == "not enough record"
    assert by_name["humidity", "record"].status == "not enough record"
    assert (by_name["humidity", "record"].worst, by_name["humidity", "record"].share) == (0.0, 0.0)
    assert by_name["temperature", "level"].status == "met"
    nothing, by_name = clauses(alone, temperature={"high": 25.0})
    assert nothing.status == "met"
    assert len(by_name) == 1
    assert clauses(alone)[0].status == "not enough record"

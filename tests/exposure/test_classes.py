"""A record classed against every guideline: hand cases, and a real house checked by a slow second way."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import numpy as np
import pytest

from stillwall.exposure.classes import class_record
from stillwall.reference.library import load_library
from tests.hazards.climate_cases import YEAR_H, hours, record

DATA = Path(__file__).parents[3] / "shared" / "data" / "logs"
GUIDELINES = load_library().guidelines
ALL = tuple(GUIDELINES.values())
H = np.arange(YEAR_H)
# The house R3, logger 1, hours of 2011, each line checked once against a plain reading of the guideline.
HOUSE_2011 = {
    "aam-2010": "failed",
    "aic-2008": "failed",
    "aiccm-2014": "failed",
    "aiccm-2018-temperate": "failed",
    "aiccm-2018-tropical": "failed",
    "ashrae-2019-a1": "failed",
    "ashrae-2019-a2": "failed",
    "ashrae-2019-aa": "failed",
    "ashrae-2019-b": "failed",
    "ashrae-2019-c": "failed",
    "ashrae-2019-d": "met",
    "bizot-2014": "failed",
    "bizot-2023": "failed",
    "bs-4971-2017": "failed",
    "en-15757-2010": "not enough record",
    "iso-11799-2003-optimum": "failed",
    "iso-11799-2003-staffed": "failed",
    "padfield-proposal": "failed",
    "pd-5454-2012": "failed",
    "smithsonian-2007": "failed",
}


def statuses(made):
    return {found.guideline: found.status for found in class_record(made, ALL)}


def clause(found, quantity, name):
    return next(item for item in found.clauses if (item.quantity, item.name) == (quantity, name))


def test_a_steady_room_at_50_and_20_meets_all_that_allow_it():
    found = statuses(record(20.0, 50.0))
    met = {name for name, status in found.items() if status == "met"}
    assert met >= {"ashrae-2019-aa", "ashrae-2019-a1", "ashrae-2019-a2", "ashrae-2019-b", "ashrae-2019-c"}
    assert met >= {"bizot-2014", "bizot-2023", "aic-2008", "aiccm-2014", "smithsonian-2007", "bs-4971-2017"}
    assert found["iso-11799-2003-optimum"] == "failed"


def test_a1_allows_the_season_and_a2_the_swing():
    # Types A1 and A2 are alternatives: ten of season with five of swing, or none with ten.
    seasonal = record(20.0, 50 + 9 * np.sin(2 * np.pi * H / YEAR_H))
    swinging = record(20.0, 50 + 9 * np.sin(2 * np.pi * H / 24))
    assert statuses(seasonal)["ashrae-2019-a1"] == "met"
    assert statuses(seasonal)["ashrae-2019-aa"] == "failed"
    assert statuses(swinging)["ashrae-2019-a2"] == "met"
    assert statuses(swinging)["ashrae-2019-a1"] == "failed"
    found = class_record(swinging, (GUIDELINES["ashrae-2019-a1"],))[0]
    assert clause(found, "humidity", "short term").status == "failed"
    assert clause(found, "humidity", "short term").worst == pytest.approx(4.0, abs=0.1)
    assert clause(found, "humidity", "range about the yearly mean").status == "met"


def test_a_clause_says_when_it_first_failed_and_by_how_much():
    values = np.full(YEAR_H, 50.0)
    values[5000:5010] = 67.0
    found = class_record(record(20.0, values), (GUIDELINES["ashrae-2019-a1"],))[0]
    level = clause(found, "humidity", "level")
    assert (level.status, level.worst) == ("failed", 2.0)
    assert np.datetime64(level.first, "s") == hours()[5000]
    assert level.share == pytest.approx(10 / YEAR_H)


def test_the_set_point_of_the_aic_must_lie_between_45_and_55():
    found = class_record(record(20.0, 43.0), (GUIDELINES["aic-2008"],))[0]
    assert clause(found, "humidity", "level").status == "met"
    assert clause(found, "humidity", "yearly mean").status == "failed"


def test_part_of_a_year_can_fail_and_cannot_meet():
    spring = hours(24 * 60)
    assert statuses(record(20.0, 50.0, spring))["bizot-2023"] == "not enough record"
    assert statuses(record(20.0, 80.0, spring))["bizot-2023"] == "failed"


def test_en_15757_needs_thirteen_months():
    longer = hours(24 * 400)
    assert statuses(record(20.0, 50.0, longer))["en-15757-2010"] == "met"
    assert statuses(record(20.0, 50.0))["en-15757-2010"] == "not enough record"


def test_a_place_without_humidity_is_judged_by_temperature_and_says_so():
    found = class_record(record(20.0, None), (GUIDELINES["bizot-2023"],))[0]
    assert found.status == "not enough record"
    assert clause(found, "temperature", "level").status == "met"


def slow_departures(times, values):
    """Departure from the mean of the 24 hours about each reading, by trapezium, one at a time."""
    made = np.full(len(values), np.nan)
    for index in range(12, len(values) - 12):
        window = values[index - 12 : index + 13]
        made[index] = values[index] - np.trapezoid(window) / 24
    return np.round(made, 1)


@pytest.mark.skipif(not DATA.is_dir(), reason="the real logs are not here")
def test_table_of_a_real_house():
    with (DATA / "house-R3_indoor1.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    times = np.array([row["t_UTC+2"] for row in rows], "datetime64[s]")
    year = (times >= np.datetime64("2011-01-01")) & (times < np.datetime64("2012-01-01"))
    temperature = np.array([float(row["T"]) for row in rows])[year]
    humidity = np.array([float(row["RH"]) for row in rows])[year]
    made = class_record(record(temperature, humidity, times[year]), ALL)
    assert {found.guideline: found.status for found in made} == HOUSE_2011
    facts = json.loads((DATA / "facts.json").read_text("utf-8"))["house-R3_indoor1.csv"]["year"]
    bizot = next(found for found in made if found.guideline == "bizot-2023")
    level = clause(bizot, "humidity", "level")
    assert 1 - level.share == pytest.approx(facts["share_RH_40_to_60"], abs=0.0005)
    assert level.worst == pytest.approx(40 - facts["min_RH"], abs=0.05)
    assert clause(bizot, "temperature", "level").share == pytest.approx(
        (temperature > 25.049).mean(), abs=1e-9
    )
    departures = slow_departures(times[year], humidity)
    beyond = np.abs(departures) > 10.0
    short = clause(bizot, "humidity", "short term")
    assert np.datetime64(short.first, "s") == times[year][beyond.argmax()]
    assert short.worst == pytest.approx(np.nanmax(np.abs(departures)) - 10, abs=0.051)
    c_class = next(found for found in made if found.guideline == "ashrae-2019-c")
    assert clause(c_class, "humidity", "level").worst == pytest.approx(25 - facts["min_RH"], abs=0.05)
    assert facts["max_RH"] < 75  # why type D is met

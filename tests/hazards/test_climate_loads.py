"""All climate loads together: every medium and guideline, hostile records, measures, laws across hazards."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillwall.case import Stay
from stillwall.hazards import (
    ageing,
    corrosion,
    humidity,
    humidity_swing,
    mould,
    salts,
    temperature,
    wall_climate,
)
from stillwall.record import Record
from stillwall.reference.library import load_library
from stillwall.survey.works import LenderLimits
from tests.hazards.climate_cases import START, YEAR_H, case, channel, hours, outdoor, record

HAZARDS = (temperature, humidity, humidity_swing, ageing, mould, corrosion, salts, wall_climate)
LIBRARY = load_library()
H = np.arange(YEAR_H)
PANEL = {"medium": "oil-on-panel", "kind": "panel"}
BUSTS = [{"medium": "plaster", "kind": "bust"}, {"medium": "bronze", "kind": "bust"}]
COLD_WALL = {"outside": True, "u_value_w_m2k": 1.4}
YEARLY, DAILY = np.sin(2 * np.pi * H / YEAR_H), np.sin(2 * np.pi * H / 24)
HOUSE = record(
    20 + 3 * YEARLY + DAILY,
    50 + 9 * YEARLY - 5 * DAILY,
    accuracy=(0.5, 3.0),
    outdoors=outdoor(8 - 8 * np.cos(2 * np.pi * H / YEAR_H)),
)
ATTIC = record(
    18 + 6 * YEARLY, 58 + 12 * YEARLY - 9 * DAILY, place="attic", logger="attic", accuracy=(0.5, 3.0)
)


def all_loads(made):
    return {hazard.NAME: load for hazard in HAZARDS if (load := hazard.load(made)) is not None}


def is_sound(load):
    assert load.reason.endswith((".", "?"))
    assert load.sources
    assert all(source.key in LIBRARY.sources for source in load.sources)
    if load.draws is None:
        assert load.evidence == "missing"
        assert load.missing
        return
    assert np.isfinite(load.draws).all()
    assert (load.draws >= 0).all()
    assert load.low <= load.ratio <= load.high
    if load.exposure is not None and load.allowance is not None:
        assert load.allowance.value > 0
    if load.span is not None:
        assert load.span[0] <= load.span[1] + 1e-12


@pytest.mark.parametrize("medium", sorted(LIBRARY.media))
def test_every_medium_has_sound_loads(medium):
    for wall in ({"outside": False}, {"outside": True, "build": "brick"}):
        found = all_loads(case(HOUSE, medium=medium, kind="object", lived=ATTIC, wall=wall, count=100))
        kind = LIBRARY.media[medium]
        minerals = (
            kind.group in ("metal", "stone") and not kind.hygroscopic and kind.activation_energy is None
        )
        assert ("temperature" in found) == (not minerals)
        assert ("humidity_swing" in found) == kind.hygroscopic
        assert ("humidity" in found) == (
            LIBRARY.media[medium].hygroscopic or LIBRARY.media[medium].humidity is not None
        )
        assert ("wall_climate" in found) == (
            wall["outside"] and LIBRARY.media[medium].wall_humidity is not None
        )
        assert ("ageing" in found) == (LIBRARY.media[medium].activation_energy is not None)
        assert ("salts" in found) == bool(LIBRARY.media[medium].salts)
        for load in found.values():
            is_sound(load)


@pytest.mark.parametrize("guideline", sorted(LIBRARY.guidelines))
@pytest.mark.parametrize("lived", [None, ATTIC])
def test_every_guideline_gives_sound_loads(guideline, lived):
    for facts in ({}, {"medium": "oil-on-panel", "kind": "panel", "frame": "composition"}):
        for load in all_loads(case(HOUSE, guideline=guideline, lived=lived, count=100, **facts)).values():
            is_sound(load)


def century():
    return np.array([START, START + np.timedelta64(1, "h"), START + np.timedelta64(36_500, "D")])


HOSTILE = {
    "no channel": Record(place="north-wall", channels={}),
    "no reading": record(20.0, 50.0, hours(0)),
    "one reading": record(20.0, 50.0, hours(1)),
    "two readings": record(20.0, 50.0, hours(2)),
    "a century between two": record(20.0, 50.0, century()),
    "all excluded": Record(
        place="north-wall",
        channels={
            "humidity": channel("humidity", hours(99), 50.0, excluded=np.ones(99, bool)),
            "temperature": channel("temperature", hours(99), 20.0),
        },
    ),
    "one second apart": record(20.0, 50.0, START + np.arange(5000).astype("timedelta64[s]")),
    "one reading a day": record(20.0, 50.0, START + np.arange(400).astype("timedelta64[D]")),
    "bone dry": record(20.0, 0.0),
    "saturated": record(20.0, 101.5),
    "arctic": record(-35.0, 70.0),
    "oven": record(65.0, 5.0),
    "humidity only": record(None, 55.0),
    "temperature only": record(21.0, None),
    "never at the same time": Record(
        place="north-wall",
        channels={
            "temperature": channel("temperature", hours(500), 20.0),
            "humidity": channel("humidity", hours(500, start=START + np.timedelta64(90, "D")), 50.0),
        },
    ),
}


@pytest.mark.parametrize("name", HOSTILE)
@pytest.mark.parametrize("facts", [{}, *BUSTS])
def test_a_hostile_record_gives_sound_loads_or_none(name, facts):
    made = case(HOSTILE[name], wall=COLD_WALL, frame="gilded_gesso", count=100, **facts)
    for load in all_loads(made).values():
        is_sound(load)
    if name in ("no channel", "no reading", "one reading", "two readings", "all excluded"):
        assert any(load.blocks for load in all_loads(made).values())


MEASURES = ("stand-off", "sealed-backing-board", "microclimate-frame", "lower-heating", "humidifier")


@pytest.mark.parametrize("measure", [*MEASURES, "dehumidifier", "insulate-wall"])
def test_a_measure_changes_the_loads_that_it_names_and_no_others(measure):
    plain = case(ATTIC, wall=COLD_WALL, frame="plain_wood")
    before, after = all_loads(plain), all_loads(plain.with_measures(frozenset({measure})))
    named = {effect.hazard for effect in LIBRARY.measures[measure].effects}
    for name in before:
        same = np.array_equal(before[name].draws, after[name].draws)
        assert same or name in named, name
    assert any(not np.array_equal(before[n].draws, after[n].draws) for n in named & set(before))


def test_every_part_that_a_measure_names_exists():
    parts = {hazard.NAME: set(hazard.PARTS) for hazard in HAZARDS}
    for measure in LIBRARY.measures.values():
        for effect in measure.effects:
            if effect.hazard in parts:
                assert effect.on in parts[effect.hazard], (measure.id, effect.hazard, effect.on)


def test_en_15757_takes_its_band_from_where_the_work_has_been_living():
    long = hours(24 * 400)
    h = np.arange(len(long))
    lively = record(
        20.0, 50 + 8 * np.sin(2 * np.pi * h / YEAR_H) + 16 * np.sin(2 * np.pi * h / 24), long, place="old"
    )
    made = case(HOUSE, guideline="en-15757-2010", lived=lively)
    load = humidity_swing.load(made)
    # p93 of a daily sine of 16 %RH is 0.9686 of it, sampled by the hour.
    assert load.allowance.value == pytest.approx(0.9686 * 16, rel=0.01)
    assert humidity.load(made).ratio < humidity.load(case(HOUSE, guideline="en-15757-2010")).ratio


def test_a_lender_that_speaks_of_light_alone_changes_nothing_here():
    for hazard in (temperature, humidity, humidity_swing):
        plain = hazard.load(case(HOUSE, lived=ATTIC))
        lent = hazard.load(case(HOUSE, lived=ATTIC, lender=LenderLimits(illuminance_lux=50.0)))
        np.testing.assert_array_equal(plain.draws, lent.draws)


def test_strain_is_told_with_its_limits():
    load = humidity_swing.load(
        case(ATTIC, medium="oil-on-panel", kind="panel", species="oak", cut="tangential")
    )
    assert any("damage begins at 0.40 %, failure at 0.90 %" in note for note in load.notes)


def test_the_order_of_channels_and_the_names_of_works_change_nothing():
    turned = replace(HOUSE, channels=dict(reversed(list(HOUSE.channels.items()))))
    for name, load in all_loads(case(HOUSE)).items():
        np.testing.assert_array_equal(load.draws, all_loads(case(turned))[name].draws)


def test_a_short_stay_is_judged_by_its_own_seasons():
    # Damp in summer only: a loan of February is not.
    july = np.isin(hours().astype("datetime64[M]").astype(int) % 12, (5, 6, 7))
    damp = record(20.0, np.where(july, 70.0, 50.0))
    winter = Stay(dt.date(2026, 1, 10), dt.date(2026, 2, 20))
    assert humidity.load(case(damp)).ratio == pytest.approx(2.0, abs=0.02)
    assert humidity.load(case(damp, stay=winter)).ratio < 0.5


@settings(max_examples=25)
@given(
    seed=st.integers(0, 10_000),
    count=st.integers(2, 3000),
    longest_s=st.sampled_from([60, 3600, 86_400, 30 * 86_400]),
    zone=st.sampled_from([None, "Europe/London", "Australia/Hobart", "+05:30"]),
)
def test_any_clock_and_any_gaps_give_sound_loads(seed, count, longest_s, zone):
    generator = np.random.default_rng(seed)
    times = START + np.cumsum(generator.integers(1, longest_s + 1, count)).astype("timedelta64[s]")
    channels = {
        role: replace(channel(role, times, generator.normal(mean, sd, count), accuracy=1.0), utc=True)
        for role, mean, sd in (("temperature", 20, 8), ("humidity", 60, 15))
    }
    made = Record("north-wall", channels, zone=zone, outdoors=outdoor(5.0, times))
    for facts in ({"frame": "gilded_gesso", **PANEL}, *BUSTS):
        for load in all_loads(case(made, wall=COLD_WALL, lived=made, count=50, **facts)).values():
            is_sound(load)


FACTS = [{"u_value_w_m2k": 0.3}, {"insulated": True}, {"build": "gypsum_stud"}]


@pytest.mark.parametrize("fact", FACTS)
def test_leaving_out_what_the_wall_is_made_of_never_helps(fact):
    known = wall_climate.load(case(HOUSE, wall={"outside": True} | fact))
    unknown = wall_climate.load(case(HOUSE, wall={"outside": True}))
    assert unknown.chance_over >= known.chance_over
    assert unknown.high >= known.high


@settings(max_examples=12)
@given(st.sampled_from(["temperature", "humidity"]), st.integers(30, 300))
def test_leaving_out_readings_never_clears_a_wall(role, days):
    whole = case(HOUSE, lived=ATTIC, count=200)
    keep = channel(
        role, hours(24 * days), HOUSE.channels[role].values[: 24 * days], logger="hall", accuracy=1.0
    )
    part = case(Record("north-wall", {**HOUSE.channels, role: keep}), lived=ATTIC, count=200)
    before, after = all_loads(whole), all_loads(part)
    for name in ("humidity", "humidity_swing", "mould"):
        load = after[name]
        if load.evidence != before[name].evidence:
            assert load.blocks or load.chance_over >= before[name].chance_over - 1e-9

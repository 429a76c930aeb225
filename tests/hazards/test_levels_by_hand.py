"""Temperature and humidity over the seasons worked out by hand, with a lender's band and laid-down percentiles."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import replace

import numpy as np
import pytest

from stillwall.case import Stay
from stillwall.exposure.felt_climate import humidity_seasons, temperature_seasons
from stillwall.exposure.seasons import Seasonal
from stillwall.hazards import humidity, temperature
from stillwall.reference.library import load_library
from stillwall.setting.bearing import moisture_parts
from stillwall.survey.works import LenderLimits
from tests.hazards.certain import told, with_measure
from tests.hazards.climate_cases import case, record

SUMMER = Stay(dt.date(2026, 6, 1), dt.date(2026, 8, 20))
LOAN = LenderLimits(
    temperature_low_c=18.0, temperature_high_c=24.0, humidity_low_pct=40.0, humidity_high_pct=60.0
)


def seasons(low, high, coverage=(1.0, 1.0, 1.0, 1.0)):
    return Seasonal(tuple(low), tuple(high), coverage, 21.0, 12, 365, 0, 86_400 * 365)


def warm(low=(17.0, 19.0, 20.0, 18.5), high=(20.0, 21.0, 26.0, 22.0), *, accuracy=0.0, **facts):
    made = case(record(accuracy=(accuracy, 0.0)), lender=LOAN, **facts)
    return told(made, temperature_seasons, seasons(low, high))


def damp(low=(35.0, 42.0, 45.0, 44.0), high=(50.0, 52.0, 63.0, 56.0), *, accuracy=0.0, **facts):
    made = case(record(accuracy=(0.0, accuracy)), lender=LOAN, **facts)
    for part in moisture_parts(made, "humidity"):
        told(made, humidity_seasons, seasons(low, high), part.bulk_t95_h)
    return made


@pytest.mark.parametrize(
    ("low", "high", "load", "side"),
    [
        # The band is 18 to 24 degC: three kelvin either side of 21.
        ((20.0,) * 4, (20.0, 21.0, 26.0, 22.0), 5.0 / 3.0, 5.0),
        ((17.0, 19.0, 20.0, 18.5), (22.0,) * 4, 4.0 / 3.0, 4.0),
        ((17.0, 19.0, 20.0, 18.5), (20.0, 21.0, 26.0, 22.0), 5.0 / 3.0, 5.0),
        ((15.0, 19.0, 20.0, 18.5), (20.0, 21.0, 26.0, 22.0), 6.0 / 3.0, 6.0),
    ],
)
def test_temperature_reaches_from_the_centre_of_the_band(low, high, load, side):
    found = temperature.load(warm(low, high))
    assert found.draws == pytest.approx(np.full(1000, load))
    assert found.exposure.value == pytest.approx(side)
    assert found.allowance.value == pytest.approx(3.0)
    assert found.evidence == "measured"
    assert found.missing == ()
    assert found.seen is None
    assert ("above" in found.reason) is (max(high) - 21 >= 21 - min(low))


def test_only_the_seasons_of_a_stay_count():
    assert temperature.load(warm((10.0, 19.0, 20.0, 10.0), stay=SUMMER)).ratio == pytest.approx(5.0 / 3.0)
    assert humidity.load(damp((10.0, 42.0, 45.0, 10.0), stay=SUMMER)).ratio == pytest.approx(1.3)


def test_the_error_of_a_thermometer_moves_both_ends():
    made = warm(accuracy=0.6)
    error = made.draws.normal("logger:hall:temperature") * 0.6 / 1.6448536
    expected = np.maximum(26.0 + error - 21.0, 21.0 - 17.0 - error) / 3.0
    assert temperature.load(made).draws == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(("part", "load"), [("high_side", 4.0 / 3.0), ("low_side", 5.0 / 3.0)])
def test_measures_on_a_side_of_temperature(part, load):
    library = with_measure(load_library(), "help", ("temperature", part, (0.5, 0.5, 0.5)))
    made = warm(library=library, measures=("help",))
    assert temperature.load(made).draws == pytest.approx(np.full(1000, load))
    cold = warm((15.0,) * 4, library=library, measures=("help",))
    assert temperature.load(cold).ratio == pytest.approx(6.0 / 3.0 if part == "high_side" else 5.0 / 3.0)


@pytest.mark.parametrize(
    ("low", "high", "load", "side"),
    [((45.0,) * 4, (50.0, 52.0, 63.0, 56.0), 1.3, 13.0), ((35.0, 42.0, 45.0, 44.0), (55.0,) * 4, 1.5, 15.0)],
)
def test_humidity_reaches_from_the_centre_of_the_band(low, high, load, side):
    found = humidity.load(damp(low, high))
    assert found.draws == pytest.approx(np.full(1000, load))
    assert found.exposure.value == pytest.approx(side)
    assert found.allowance.value == pytest.approx(10.0)
    assert found.evidence == "measured"
    assert found.span is None
    assert found.seen is None
    assert ("above" in found.reason) is (side == 13.0)


def test_the_error_of_a_hygrometer_moves_both_ends():
    made = damp(accuracy=3.0)
    error = made.draws.normal("logger:hall:humidity") * 3.0 / 1.6448536
    expected = np.maximum(63.0 + error - 50.0, 50.0 - 35.0 - error) / 10.0
    assert humidity.load(made).draws == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(("part", "load"), [("high_side", 1.5), ("low_side", 1.3)])
def test_measures_on_a_side_of_humidity(part, load):
    library = with_measure(load_library(), "help", ("humidity", part, (0.5, 0.5, 0.5)))
    made = damp(library=library, measures=("help",))
    assert humidity.load(made).ratio == pytest.approx(load)


def test_the_frame_is_judged_beside_the_picture():
    plain = humidity.load(damp())
    framed = humidity.load(damp(frame="composition"))
    assert framed.ratio == pytest.approx(plain.ratio)
    assert len(framed.notes) == len(plain.notes) + 1
    assert framed.kind == "graded"


def test_a_season_that_nobody_logged_is_missing():
    for module, made, function, parts in (
        (temperature, warm(), temperature_seasons, ((),)),
        (
            humidity,
            damp(),
            humidity_seasons,
            tuple((part.bulk_t95_h,) for part in moisture_parts(damp(), "humidity")),
        ),
    ):
        seen = module.load(made)
        assert seen.evidence == "measured"
        found = seasons((math.nan, 42.0, 45.0, 44.0), (math.nan, 52.0, 55.0, 56.0), (0.0, 1.0, 1.0, 1.0))
        for each in parts:
            told(made, function, found, *each)
        lost = module.load(replace(made, stay=made.stay))
        assert lost.evidence == ("missing" if lost.deciding else "assumed")
        assert len(lost.missing) > len(seen.missing)
        assert lost.seen is not None

"""Wood's moisture and strain against published statements and a table worked by hand."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillwall.exposure.moisture import wood_moisture_content
from stillwall.exposure.strain import free_strain, humidity_at_strain, strain_per_humidity
from stillwall.reference.library import load_library

FIGURE = load_library().figure


@pytest.mark.parametrize(
    ("humidity_pct", "content_pct", "slope"),
    [
        (10, 2.49, 0.224),
        (20, 4.51, 0.182),
        (30, 6.19, 0.158),
        (40, 7.73, 0.152),
        (50, 9.28, 0.161),
        (60, 11.00, 0.189),
        (70, 13.14, 0.244),
        (80, 16.05, 0.351),
        (90, 20.54, 0.581),
    ],
)
def test_moisture_content_at_20_degrees(humidity_pct, content_pct, slope):
    # Two-hydrate isotherm with the coefficients of the Wood Handbook, worked apart from this project.
    assert float(wood_moisture_content(20.0, humidity_pct)) == pytest.approx(content_pct, abs=0.006)
    by_hand = (
        wood_moisture_content(20.0, humidity_pct + 0.5) - wood_moisture_content(20.0, humidity_pct - 0.5)
    ) / 1
    assert float(by_hand) == pytest.approx(slope, abs=0.002)


@pytest.mark.parametrize(("humidity_pct", "content_pct"), [(30, 6), (50, 9), (65, 12), (80, 16)])
def test_the_rule_of_the_trade(humidity_pct, content_pct):
    # Flooring trade: 30, 50, 65, 80 % make 6, 9, 12, 16 % of moisture at 21 degC.
    assert float(wood_moisture_content(21.0, humidity_pct)) == pytest.approx(content_pct, abs=0.5)


# RH at which fully restrained wood in equilibrium with 50 % and 20 degC strains by -0.004, +0.004 and -0.009:
# Mecklenburg and Tumosa's limits with Hoadley's shrinkage, worked by hand.
RESTRAINED = [
    ("oak", "tangential", 42.5, 57.0, 32.8),
    ("oak", "radial", 35.0, 63.0, 17.7),
    ("lime", "tangential", 41.9, 57.5, 31.5),
    ("lime", "radial", 38.6, 60.2, 24.6),
    ("poplar", "tangential", 40.9, 58.3, 29.4),
    ("poplar", "radial", 27.2, 68.6, 5.1),
    ("pine", "tangential", 39.9, 59.1, 27.4),
    ("pine", "radial", 30.5, 66.3, 10.1),
    ("walnut", "tangential", 37.9, 60.8, 23.1),
    ("walnut", "radial", 31.9, 65.3, 12.3),
    ("mahogany", "tangential", 34.7, 63.2, 17.2),
    ("mahogany", "radial", 25.9, 69.5, 3.2),
]


@pytest.mark.parametrize(("species", "cut", "dry", "damp", "failing"), RESTRAINED)
def test_table_of_restrained_wood(species, cut, dry, damp, failing):
    total = FIGURE(f"strain.shrinkage.{cut}.{species}")
    limit, failure = FIGURE("strain.yield.wood"), FIGURE("strain.failure.wood")
    # Lime's shrinkage is 9.5 in the table; its damp side comes out at 57.5 and its dry side at 41.9.
    assert humidity_at_strain(total, 20.0, 50.0, -limit) == pytest.approx(dry, abs=0.06)
    assert humidity_at_strain(total, 20.0, 50.0, limit) == pytest.approx(damp, abs=0.06)
    assert humidity_at_strain(total, 20.0, 50.0, -failure) == pytest.approx(failing, abs=0.12)


def test_the_linear_model_over_predicts_spruce_by_half():
    # Mecklenburg and Tumosa measured 3.5 % between 5 and 95 %RH; the model says 5.6 %, and is pessimistic.
    modelled = float(free_strain(FIGURE("strain.shrinkage.tangential.spruce"), 20.0, 5.0, 95.0))
    assert modelled == pytest.approx(0.0559, abs=0.0005)
    assert modelled / 0.035 > 1.5


def test_radial_wood_moves_less_than_tangential():
    figures = load_library().figures
    species = [name.rsplit(".", 1)[1] for name in figures if name.startswith("strain.shrinkage.radial.")]
    assert len(species) == 17
    for name in species:
        assert FIGURE(f"strain.shrinkage.radial.{name}") < FIGURE(f"strain.shrinkage.tangential.{name}")


def test_a_strain_that_no_humidity_reaches_has_no_answer():
    assert np.isnan(humidity_at_strain(3.2, 20.0, 50.0, -0.05))


@given(st.floats(5, 95), st.floats(5, 95), st.floats(1, 12))
def test_strain_goes_with_humidity_and_back(first, second, shrinkage):
    there = float(free_strain(shrinkage, 20.0, first, second))
    assert there == pytest.approx(-float(free_strain(shrinkage, 20.0, second, first)))
    assert (there >= 0) == (second >= first) or first == pytest.approx(second)


@given(st.floats(10, 90), st.floats(1, 12))
def test_the_slope_is_that_of_the_strain(humidity, shrinkage):
    step = float(free_strain(shrinkage, 20.0, humidity - 0.1, humidity + 0.1)) / 0.2
    assert float(strain_per_humidity(shrinkage, 20.0, humidity)) == pytest.approx(step, rel=0.01)

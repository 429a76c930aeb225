"""Swings and cold walls worked out by hand from what a record is laid down to say.

Figures are those of ``wall_climate.toml`` and ``humidity_swing.toml``, written down a second time; saturation is
psychrolib's.
"""

from __future__ import annotations

import datetime as dt
import math

import numpy as np
import psychrolib
import pytest

from stillwall.case import Stay
from stillwall.exposure.felt_climate import Swings, humidity_swings
from stillwall.exposure.strain import strain_per_humidity
from stillwall.exposure.wall_surface import Months, OutdoorClimate, months
from stillwall.hazards import humidity_swing, wall_climate
from stillwall.reference.library import load_library
from stillwall.setting.bearing import moisture_parts
from stillwall.setting.wall_face import wall_face
from stillwall.survey.works import LenderLimits
from tests.hazards.certain import told, with_measure
from tests.hazards.climate_cases import case, hours, record

psychrolib.SetUnitSystem(psychrolib.SI)
WHOLE = (1.0, 1.0, 1.0, 1.0)
OUTSIDE = {"outside": True, "u_value_w_m2k": 1.0}


def saturated(celsius):
    return psychrolib.GetSatVapPres(float(celsius))


def months_of(**facts):
    """A year of 20 degC and 1,100 Pa indoors; outdoors 0 degC in winter, 8 in spring and autumn, 16 in summer."""
    outside = {12: 0.0, 1: 0.0, 2: 0.0, 6: 16.0, 7: 16.0, 8: 16.0}
    made = {
        "month": tuple(range(1, 13)),
        "inside_c": (20.0,) * 12,
        "vapour_pa": (1100.0,) * 12,
        "outside_c": tuple(outside.get(month, 8.0) for month in range(1, 13)),
        "surface_c": (math.nan,) * 12,
        "outdoors_logged": 1.0,
        "coverage": WHOLE,
    }
    return Months(**(made | facts))


def cold(found, *, work=None, wall=OUTSIDE, accuracy=(0.0, 0.0), library=None, **facts):
    made = case(record(accuracy=accuracy), wall=wall, library=library, **(work or {}), **facts)
    return told(made, months, found, wall_face(made, "wall_climate").climate)


def face_humidity(made, vapour, outside, inside=20.0):
    factor = wall_face(made, "wall_climate").factor
    surface = outside + factor * (inside - outside)
    return 100.0 * vapour / np.array([saturated(each) for each in surface])


def test_the_coldest_month_by_hand():
    made = cold(months_of())
    load = wall_climate.load(made)
    expected = face_humidity(made, 1100.0, 0.0)
    # For canvas 75 %RH behind the work.
    assert load.draws == pytest.approx(expected / 75.0, rel=2e-4)
    assert load.exposure.value == pytest.approx(np.median(expected), rel=2e-4)
    assert load.evidence == "surveyed"


@pytest.mark.parametrize(
    ("month", "name", "vapour"), [(7, "July", 1900.0), (4, "April", 1500.0), (10, "October", 1500.0)]
)
def test_a_damp_month_may_be_worse_than_a_cold_one(month, name, vapour):
    damp = tuple(vapour if each == month else 900.0 for each in range(1, 13))
    made = cold(months_of(vapour_pa=damp))
    outside = 16.0 if month == 7 else 8.0
    assert name in wall_climate.load(made).reason
    assert wall_climate.load(made).draws == pytest.approx(
        face_humidity(made, vapour, outside) / 75.0, rel=2e-4
    )


def test_a_stay_is_judged_by_the_months_of_its_own_seasons():
    summer = Stay(dt.date(2026, 6, 1), dt.date(2026, 8, 20))
    made = cold(months_of(), stay=summer)
    assert wall_climate.load(made).draws == pytest.approx(face_humidity(made, 1100.0, 16.0) / 75.0, rel=2e-4)
    # December belongs to the winter, March to the spring.
    for month, start, end in (
        (12, (2026, 1, 5), (2026, 2, 20)),
        (3, (2026, 4, 1), (2026, 5, 20)),
        (11, (2026, 9, 5), (2026, 10, 20)),
    ):
        damp = tuple(1400.0 if each == month else 900.0 for each in range(1, 13))
        made = cold(
            months_of(vapour_pa=damp, outside_c=(5.0,) * 12), stay=Stay(dt.date(*start), dt.date(*end))
        )
        assert wall_climate.load(made).draws == pytest.approx(
            face_humidity(made, 1400.0, 5.0) / 75.0, rel=2e-4
        )


def test_a_logged_surface_needs_no_wall():
    made = cold(months_of(surface_c=(12.0, *(15.0,) * 11)))
    load = wall_climate.load(made)
    assert load.draws == pytest.approx(np.full(1000, 100 * 1100.0 / saturated(12.0) / 75.0), rel=2e-4)
    assert load.evidence == "measured"
    partly = wall_climate.load(cold(months_of(surface_c=(math.nan, *(15.0,) * 11))))
    assert partly.evidence == "surveyed"


def test_errors_of_the_sensors_shift_vapour_and_temperature():
    made = cold(months_of(surface_c=(12.0,) * 12), accuracy=(0.5, 3.0))
    warm = made.draws.normal("logger:hall:temperature") * 0.5 / 1.645
    damp = made.draws.normal("logger:hall:humidity") * 3.0 / 1.645
    vapour = (1100.0 + damp / 100.0 * saturated(20.0)) * np.exp(0.06 * warm)
    expected = 100.0 * vapour / saturated(12.0)
    assert wall_climate.load(made).draws == pytest.approx(expected / 75.0, rel=1e-3)


def test_a_measure_on_the_humidity_of_the_face():
    library = with_measure(load_library(), "dry", ("wall_climate", "surface_humidity", (0.8, 0.8, 0.8)))
    bare = wall_climate.load(cold(months_of()))
    dry = wall_climate.load(cold(months_of(), library=library, measures=["dry"]))
    assert dry.draws == pytest.approx(0.8 * bare.draws)


def test_water_condenses_from_100_per_cent_on():
    for vapour, told_of in ((0.999, 0), (1.001, 1)):
        level = vapour * saturated(12.0)
        load = wall_climate.load(cold(months_of(vapour_pa=(level,) * 12, surface_c=(12.0,) * 12)))
        assert len(load.notes) == told_of


def test_the_frame_counts_where_it_bears_less():
    library = load_library()
    canvas, frame = (
        library.media["oil-on-canvas"].wall_humidity,
        library.media["frame-composition"].wall_humidity,
    )
    load = wall_climate.load(cold(months_of(surface_c=(12.0,) * 12), work={"frame": "composition"}))
    least = min(canvas.value, math.inf if frame is None else frame.value)
    assert load.allowance.value == least
    humidity = 100 * 1100.0 / saturated(12.0)
    assert load.exposure.value == pytest.approx(humidity, rel=2e-4)
    if canvas.low is not None:
        plain = wall_climate.load(cold(months_of(surface_c=(12.0,) * 12)))
        assert plain.span == pytest.approx((humidity / canvas.high, humidity / canvas.low), rel=2e-4)


def test_outdoors_that_nobody_logged_may_be_otherwise():
    made = cold(months_of(outdoors_logged=0.25))
    face = wall_face(made, "wall_climate")
    outside = 0.0 + 0.75 * face.outdoor_error_k
    surface = outside + face.factor * (20.0 - outside)
    expected = 100.0 * 1100.0 / np.array([saturated(each) for each in surface])
    load = wall_climate.load(made)
    winter = expected / 75.0
    # Other months may be worse where outdoors was colder; never better than the first.
    assert (load.draws >= winter * (1 - 1e-3)).all()
    assert np.median(load.draws) == pytest.approx(np.median(winter), rel=0.01)
    assert load.evidence == "assumed"
    assert wall_climate.load(cold(months_of(outdoors_logged=0.9))).evidence == "surveyed"
    assert wall_climate.load(cold(months_of(outdoors_logged=0.89))).evidence == "assumed"


def test_a_season_that_nobody_logged_is_guessed_at_its_coldest():
    spring = tuple(range(3, 12))
    base = months_of()
    part = {
        name: tuple(getattr(base, name)[month - 1] for month in spring)
        for name in ("inside_c", "vapour_pa", "outside_c", "surface_c")
    }
    made = cold(months_of(month=spring, coverage=(0.2, 1.0, 1.0, 1.0), **part))
    load = wall_climate.load(made)
    face = wall_face(made, "wall_climate")
    # The stated climate is coldest in mid January.
    climate = face.climate
    coldest = climate.mean_c - climate.amplitude_k
    spread = load_library().figure("wall_climate.unseen_vapour")
    vapour = 1100.0 * np.exp(spread * made.draws.normal("season:north-wall:wall_climate:0"))
    outside = coldest + face.outdoor_error_k
    surface = outside + face.factor * (20.0 - outside)
    guessed = 100.0 * vapour / np.array([saturated(each) for each in surface])
    logged = face_humidity(made, 1100.0, 8.0)
    assert load.draws == pytest.approx(np.maximum(guessed, logged) / 75.0, rel=2e-3)
    assert load.evidence == "missing"
    assert load.blocks
    assert len(load.missing) == 1


def test_the_stated_climate_is_a_sine_of_the_year():
    day = 86_400
    north = OutdoorClimate(10.0, 7.0, southern=False)
    south = OutdoorClimate(10.0, 7.0, southern=True)
    january, july = np.array([15 * day]), np.array([round((15 + 365.25 / 2) * day)])
    assert north.at(january)[0] == pytest.approx(3.0)
    assert north.at(july)[0] == pytest.approx(17.0)
    assert south.at(january)[0] == pytest.approx(17.0)
    assert north.at(np.array([round((15 + 365.25 / 4) * day)]))[0] == pytest.approx(10.0, abs=1e-3)


# Swings


def swings_of(**facts):
    made = {
        "half_swing": (3.0, 5.0, 4.0, 2.0),
        "half_range": (3.5, 5.5, 4.5, 2.5),
        "gradient": (1.0, 1.5, 2.0, 0.5),
        "mean_pct": 50.0,
        "bulk_range": 12.0,
        "coverage": WHOLE,
        "days": 300,
        "window_h": 24.0,
    }
    return Swings(**(made | facts))


def swung(found, *, accuracy=(0.0, 0.0), lived=None, lived_hours=8760, lender=None, **facts):
    work = {} if lender is None else {"lender": lender}
    there = None if lived is None else record(times=hours(lived_hours), place="present")
    made = case(record(accuracy=accuracy), lived=there, **work, **facts)
    for part in moisture_parts(made, "humidity_swing"):
        for window in (24.0, part.band.short_term_h if part.band is not None else 24.0, 720.0):
            told(made, humidity_swings, found, part.surface_t95_h, part.bulk_t95_h, window)
            for factor in (0.5, 2.0):
                told(
                    made,
                    humidity_swings,
                    found,
                    part.surface_t95_h * factor,
                    part.bulk_t95_h * factor,
                    window,
                    True,
                )
            if there is not None:
                made.present.memory[
                    (
                        humidity_swings.__module__,
                        "humidity_swings",
                        (part.lived_surface_t95_h, part.lived_bulk_t95_h, window),
                    )
                ] = lived
    return made


def lender(swing):
    return LenderLimits(humidity_swing_pct=swing)


@pytest.mark.parametrize(("allowed", "ratio"), [(10.0, 0.5), (4.0, 1.25)])
def test_what_a_lender_allows_is_the_whole_test(allowed, ratio):
    load = humidity_swing.load(swung(swings_of(), lender=lender(allowed)))
    assert load.draws == pytest.approx(np.full(1000, ratio))
    assert load.exposure.value == pytest.approx(5.0)
    assert load.allowance.value == allowed
    assert load.evidence == "measured"
    assert load.span is None
    # Past swings widen nothing that a lender has set.
    lived = humidity_swing.load(
        swung(swings_of(), lender=lender(allowed), lived=swings_of(half_swing=(20.0,) * 4))
    )
    assert lived.draws == pytest.approx(load.draws)


def test_the_guideline_s_ten_per_cent_in_a_day():
    # Bizot 2023: at most 10 %RH in 24 hours.
    load = humidity_swing.load(swung(swings_of(half_swing=(30.0, 5.0, 4.0, 2.0))))
    made = moisture_parts(case(record()), "humidity_swing")[0]
    own = math.inf if made.band is None or made.band.short_term is None else made.band.short_term
    assert load.allowance.value == pytest.approx(min(10.0, own))
    assert load.draws == pytest.approx(np.full(1000, 30.0 / min(10.0, own)))
    assert any(("30" not in note and "3.5" in note) or "5.5" in note for note in load.notes)


def test_only_the_seasons_of_the_stay_count():
    summer = Stay(dt.date(2026, 6, 1), dt.date(2026, 8, 20))
    load = humidity_swing.load(swung(swings_of(), lender=lender(10.0), stay=summer))
    assert load.draws == pytest.approx(np.full(1000, 0.4))


def test_errors_of_the_hygrometer_and_measures_scale_the_swing():
    library = with_measure(load_library(), "case", ("humidity_swing", "swing", (0.5, 0.5, 0.5)))
    bare = humidity_swing.load(swung(swings_of(), lender=lender(10.0)))
    kept = humidity_swing.load(swung(swings_of(), lender=lender(10.0), library=library, measures=["case"]))
    assert kept.draws == pytest.approx(0.5 * bare.draws)
    rough = humidity_swing.load(swung(swings_of(), lender=lender(10.0), accuracy=(0.0, 3.0)))
    assert np.median(rough.draws) == pytest.approx(0.5, rel=0.01)
    assert rough.high > 0.5 > rough.low


def test_a_season_that_nobody_logged_is_as_the_others_give_or_take():
    found = swings_of(half_swing=(math.nan, 5.0, 4.0, 2.0), coverage=(0.0, 1.0, 1.0, 1.0))
    made = swung(found, lender=lender(10.0))
    load = humidity_swing.load(made)
    spread = math.log(load_library().figure("humidity_swing.unseen_season"))
    z = made.draws.normal("season:north-wall:humidity_swing:0")
    assert load.draws == pytest.approx(np.maximum(5.0, 4.0 * np.exp(spread * z)) / 10.0)
    # What was seen by itself, without the guess.
    assert load.seen == pytest.approx(np.full(1000, 0.5))
    assert load.evidence == "missing"
    assert len(load.missing) >= 1
    seen = humidity_swing.load(swung(swings_of(), lender=lender(10.0)))
    assert seen.seen is None


def test_what_a_work_has_lived_with_widens_its_allowance():
    plain = humidity_swing.load(swung(swings_of(half_swing=(8.0,) * 4)))
    lived = humidity_swing.load(
        swung(
            swings_of(half_swing=(8.0,) * 4),
            lived=swings_of(half_swing=(16.0, 1.0, 2.0, 3.0), gradient=(30.0,) * 4),
        )
    )
    assert lived.ratio == pytest.approx(8.0 / 16.0)
    assert lived.ratio < plain.ratio
    assert len([note for note in lived.notes if "16.0" in note]) == 1
    # Not with part of a year, nor for a work that has not survived it.
    part = humidity_swing.load(
        swung(
            swings_of(half_swing=(8.0,) * 4),
            lived=swings_of(half_swing=(16.0,) * 4, coverage=(1.0, 0.4, 0.0, 0.0)),
            lived_hours=2500,
        )
    )
    assert part.ratio == pytest.approx(plain.ratio)
    flaking = humidity_swing.load(
        swung(swings_of(half_swing=(8.0,) * 4), lived=swings_of(half_swing=(16.0,) * 4), condition="flaking")
    )
    assert flaking.ratio == pytest.approx(
        humidity_swing.load(swung(swings_of(half_swing=(8.0,) * 4), condition="flaking")).ratio
    )


def test_a_panel_is_judged_by_the_difference_of_its_surface_and_its_inside():
    panel = {"medium": "oil-on-panel", "kind": "panel"}
    if panel["medium"] not in load_library().media:
        panel["medium"] = next(
            name
            for name, m in load_library().media.items()
            if m.strain and m.strain.material == "wood" and m.strain.restrained
        )
    gentle = {"half_swing": (0.1,) * 4, "gradient": (2.0, 6.0, 1.0, 0.5)}
    library = load_library()
    limit = library.figure("strain.yield.wood")
    for cut, direction in (("tangential", "tangential"), ("radial", "radial")):
        made = swung(swings_of(**gentle), species="oak", cut=cut, **panel)
        load = humidity_swing.load(made)
        shrinkage = library.figure(f"strain.shrinkage.{direction}.oak")
        slope = float(
            strain_per_humidity(shrinkage, library.figure("humidity_swing.strain_temperature"), 50.0)
        )
        assert load.draws == pytest.approx(np.full(1000, 6.0 * slope / limit), rel=1e-6)
        assert load.allowance.value == pytest.approx(limit / slope)
    radial, tangential = (library.figure(f"strain.shrinkage.{each}.oak") for each in ("radial", "tangential"))
    unsaid = humidity_swing.load(swung(swings_of(**gentle), species="oak", **panel))
    cuts = [
        humidity_swing.load(swung(swings_of(**gentle), species="oak", cut=cut, **panel)).ratio
        for cut in ("radial", "tangential")
    ]
    assert radial < tangential
    assert unsaid.ratio == pytest.approx(cuts[1], rel=0.01)
    assert unsaid.low == pytest.approx(cuts[0], rel=0.01)
    unknown = humidity_swing.load(swung(swings_of(**gentle), **panel))
    low, mid, high = (library.figure(f"strain.shrinkage.unknown.{end}") for end in ("low", "mid", "high"))
    assert unknown.ratio / cuts[0] == pytest.approx(mid / radial, rel=0.01)
    assert (unknown.low, unknown.high) == pytest.approx(
        (unknown.ratio * low / mid, unknown.ratio * high / mid), rel=0.02
    )
    # What is asked: the wood, else how it was cut.
    assert (
        len(unknown.missing)
        == len(unsaid.missing)
        == len(humidity_swing.load(swung(swings_of(**gentle), species="oak", cut="radial", **panel)).missing)
        + 1
    )
    # How far the inside goes is told.
    assert any("12 %RH" in note for note in unknown.notes)
    assert not any(
        "12 %RH" in note
        for note in humidity_swing.load(swung(swings_of(**gentle, bulk_range=math.nan), **panel)).notes
    )


def test_nothing_logged_and_nothing_that_moves():
    assert humidity_swing.load(swung(None)).blocks
    assert humidity_swing.load(swung(swings_of(), medium="bronze", kind="bust")) is None


def test_the_wood_is_asked_about_where_its_strain_governs():
    panel = {"medium": "oil-on-panel", "kind": "panel"}
    strained = humidity_swing.load(swung(swings_of(half_swing=(0.1,) * 4, gradient=(6.0,) * 4), **panel))
    swinging = humidity_swing.load(swung(swings_of(half_swing=(60.0,) * 4, gradient=(0.1,) * 4), **panel))
    assert len(strained.missing) == len(swinging.missing) + 1
    canvas = humidity_swing.load(swung(swings_of(half_swing=(60.0,) * 4, gradient=(0.1,) * 4)))
    assert len(canvas.missing) == len(swinging.missing)
    framed = humidity_swing.load(swung(swings_of(half_swing=(60.0,) * 4), frame="plain_wood"))
    assert len(framed.missing) == len(canvas.missing) - 1

"""Ultraviolet worked out by hand from light that a test lays down, with every figure at its middle.

Figures are those of ``ultraviolet.toml``, written down a second time.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from stillwall.exposure.light_year import nothing_logged
from stillwall.exposure.ultraviolet import Ultraviolet, logged_ultraviolet
from stillwall.hazards import ultraviolet
from stillwall.reference.library import load_library
from stillwall.setting.lighting import LightAt
from stillwall.survey.features import Lamp
from stillwall.survey.works import LenderLimits
from tests.hazards.certain import told, with_measure
from tests.hazards.light_cases import LAMP, NORTH_WINDOW, WALL, WORK, case_of, reading

ONES = np.ones(1000)
LIBRARY = load_library()
HOURS = 365.0 * 9.0
BARE = replace(WORK, glazing="none")
GLAZED = replace(WORK, glazing="acrylic")


def light(daylight=600_000.0, electric=200_000.0, sun=0.0):
    """Half of the daylight and a quarter of the lamps fall into nine open hours a day."""
    annual = replace(nothing_logged(), open_daylight_share=0.5, open_electric_share=0.25, open_h=9.0)
    return LightAt(daylight * ONES, electric * ONES, sun * ONES, "log", "measured", annual, (), ())


@pytest.fixture
def lay(monkeypatch):
    def put(found):
        monkeypatch.setattr(ultraviolet, "light_at", lambda case, days: found)

    return put


def loaded(lay, found, *, work=BARE, measured=None, library=None, measures=(), **facts):
    lay(found)
    made = case_of(work=work, **({"windows": (NORTH_WINDOW,)} | facts))
    made = replace(made, library=load_library() if library is None else library, measures=frozenset(measures))
    told(made, logged_ultraviolet, measured)
    return ultraviolet.load(made), made


def glazing(made, kind="none"):
    figures = made.library.figures
    name = f"ultraviolet.glazing.{kind}"
    if name in figures:
        figure = figures[name]
        low, middle, high = figure.low or figure.value, figure.value, figure.high or figure.value
    else:
        low, middle, high = (figures[f"{name}.{end}"].value for end in ("low", "mid", "high"))
    return made.draws.between(f"work:{made.work.id}:uv_glazing", low, middle, high)


LOGGED = Ultraviolet(60.0, 3.0, 400, "meter", 0.0)


def test_a_logged_proportion_over_its_limit_and_its_irradiance():
    figure = LIBRARY.figure
    assert (figure("ultraviolet.limit.proportion"), figure("ultraviolet.limit.modern")) == (75, 10)


@pytest.mark.parametrize("kind", ["none", "acrylic", "uv_acrylic", "glass"])
def test_a_logger_s_word_through_the_work_s_own_glazing(lay, kind):
    load, made = loaded(lay, light(), work=replace(WORK, glazing=kind), measured=LOGGED)
    # A meter is trusted within a twentieth at best.
    meter = np.exp(0.05 * made.draws.normal("logger:meter:ultraviolet"))
    proportion = 60.0 * meter * glazing(made, kind)
    lux = (600_000 * 0.5 + 200_000 * 0.25) / HOURS
    strong = LIBRARY.figure("ultraviolet.limit.irradiance")
    assert load.draws == pytest.approx(np.maximum(proportion / 75.0, proportion * lux / 1000.0 / strong))
    assert load.exposure.value == pytest.approx(np.median(proportion))
    assert load.allowance.value == 75
    assert load.evidence == "measured"
    assert load.missing == ()


@pytest.mark.parametrize("accuracy", [1.0, 20.0, 900.0])
def test_the_accuracy_of_the_logger_spreads_it(lay, accuracy):
    load, made = loaded(lay, light(), measured=replace(LOGGED, accuracy=accuracy))
    # Half width of 90 %, beside a twentieth; never more than meters differ.
    spread = min(float(np.hypot(accuracy / 1.6448536 / 60.0, 0.05)), 0.4)
    meter = np.exp(spread * made.draws.normal("logger:meter:ultraviolet"))
    assert load.draws == pytest.approx(60.0 * meter * glazing(made) / 75.0, rel=1e-5)


def test_strong_light_is_too_much_at_a_low_proportion(lay):
    load, made = loaded(
        lay, light(daylight=60_000_000.0, electric=0.0), measured=replace(LOGGED, proportion_uw_lm=20.0)
    )
    lux = 30_000_000 / HOURS
    strong = LIBRARY.figure("ultraviolet.limit.irradiance")
    proportion = 20.0 * np.exp(0.05 * made.draws.normal("logger:meter:ultraviolet")) * glazing(made)
    assert load.draws == pytest.approx(proportion * lux / 1000.0 / strong)


@pytest.mark.parametrize(("house", "limit"), [(75, 75), (10, 10)])
def test_the_house_and_the_lender_set_the_limit(lay, house, limit):
    load, _ = loaded(lay, light(), measured=LOGGED, uv_limit=house)
    assert load.allowance.value == limit
    asked = replace(BARE, lender=LenderLimits(uv_uw_lm=30.0))
    lent, made = loaded(lay, light(), work=asked, measured=LOGGED, uv_limit=house)
    meter = np.exp(0.05 * made.draws.normal("logger:meter:ultraviolet"))
    assert lent.draws == pytest.approx(60.0 * meter * glazing(made) / 30.0)


def test_what_ultraviolet_does_not_touch(lay):
    assert loaded(lay, light(), work=replace(BARE, sensitivity="R0"), measured=LOGGED)[0] is None
    asked = replace(BARE, sensitivity="R0", lender=LenderLimits(uv_uw_lm=30.0))
    assert loaded(lay, light(), work=asked, measured=LOGGED)[0].allowance.value == 30


def test_measures_on_daylight_lamps_and_glazing(lay):
    daylight, electric = 600_000.0, 200_000.0
    bare, made = loaded(lay, light(daylight, electric), measured=LOGGED)
    for part, share in (
        ("daylight", (0.5 * daylight + electric) / 800_000), ("electric", (daylight + 0.5 * electric) / 800_000), ("all", 0.5),
    ):  # fmt: skip
        library = with_measure(load_library(), "film", ("ultraviolet", part, (0.5, 0.5, 0.5)))
        load, _ = loaded(lay, light(daylight, electric), measured=LOGGED, library=library, measures=["film"])
        assert load.draws == pytest.approx(share * bare.draws)
    library = with_measure(load_library(), "pane", ("ultraviolet", "glazing", (0.1, 0.1, 0.1)))
    load, _ = loaded(lay, light(), work=GLAZED, measured=LOGGED, library=library, measures=["pane"])
    meter = np.exp(0.05 * made.draws.normal("logger:meter:ultraviolet"))
    assert load.draws == pytest.approx(60.0 * meter * 0.1 / 75.0)


def test_sun_counts_with_the_daylight(lay):
    library = with_measure(load_library(), "film", ("ultraviolet", "daylight", (0.5, 0.5, 0.5)))
    load, made = loaded(
        lay, light(300_000.0, 200_000.0, 300_000.0), measured=LOGGED, library=library, measures=["film"]
    )
    meter = np.exp(0.05 * made.draws.normal("logger:meter:ultraviolet"))
    assert load.draws == pytest.approx(60.0 * meter * glazing(made) * 500_000 / 800_000 / 75.0)


def test_hand_held_readings_of_ultraviolet(lay):
    readings = (
        reading("2026-02-10T12:00", 80.0, uv=40.0),
        reading("2026-02-11T12:00", 80.0),
        reading("2026-02-12T12:00", 80.0, uv=60.0),
    )
    load, made = loaded(lay, light(), wall=replace(WALL, light_readings=readings))
    meter = np.exp(LIBRARY.figure("ultraviolet.meter_spread") * made.draws.normal("wall:fern-north:uv_meter"))
    assert load.draws == pytest.approx(50.0 * meter * glazing(made) / 75.0)
    assert load.evidence == "surveyed"
    assert load.missing == ()
    assert "2 hand-held" in load.reason


def span(made, name):
    figures = made.library.figures
    if name in figures:
        figure = figures[name]
        return figure.low or figure.value, figure.value, figure.high or figure.value
    return tuple(figures[f"{name}.{end}"].value for end in ("low", "mid", "high"))


@pytest.mark.parametrize(
    ("windows", "kind"),
    [
        ((NORTH_WINDOW,), "plain"), ((replace(NORTH_WINDOW, film="uv"),), "filtered"), ((replace(NORTH_WINDOW, film="neutral"),), "filtered"),
        ((replace(NORTH_WINDOW, film="tinted"),), "filtered"), ((replace(NORTH_WINDOW, glass="laminated"),), "filtered"),
        ((replace(NORTH_WINDOW, glass=None, film=None),), "unknown"), ((replace(NORTH_WINDOW, glass=None),), "plain"), ((), "unknown"),
        ((replace(NORTH_WINDOW, film="uv"), replace(NORTH_WINDOW, id="other", glass=None, film=None)), "unknown"),
        ((replace(NORTH_WINDOW, film="uv"), replace(NORTH_WINDOW, id="other")), "plain"),
    ],
)  # fmt: skip
def test_daylight_by_the_kind_of_window(lay, windows, kind):
    load, made = loaded(lay, light(electric=0.0), windows=windows)
    day = made.draws.between("wall:fern-north:uv_window", *span(made, f"ultraviolet.window.{kind}"))
    if kind == "unknown":
        day = np.minimum(day, LIBRARY.figure("ultraviolet.window.plain.high"))
    assert load.draws == pytest.approx(day * glazing(made) / 75.0, rel=1e-6)
    assert load.evidence == "assumed"
    assert len(load.missing) == 1


@pytest.mark.parametrize(
    ("lamps", "expected"),
    [
        ((), "unknown"), ((LAMP,), "led"), ((LAMP, Lamp(id="old", kind="halogen", room="fern-room")), "worst"),
        ((replace(LAMP, uv_uw_lm=30.0),), (24.0, 30.0, 37.5)), ((replace(LAMP, uv_uw_lm=0.0),), (0.08, 0.1, 0.125)),
        ((replace(LAMP, uv_uw_lm=900.0), Lamp(id="old", kind="led", room="fern-room")), (720.0, 900.0, 1125.0)),
    ],
)  # fmt: skip
def test_lamps_by_their_kind_or_by_what_is_stated(lay, lamps, expected):
    load, made = loaded(lay, light(daylight=0.0), lamps=lamps)
    if expected == "worst":
        expected = max(
            (span(made, f"ultraviolet.lamp.{kind}") for kind in ("led", "halogen")), key=lambda each: each[1]
        )
    elif isinstance(expected, str):
        expected = span(made, f"ultraviolet.lamp.{expected}")
    lamp = made.draws.between("wall:fern-north:uv_lamp", *expected)
    assert load.draws == pytest.approx(lamp * glazing(made) / 75.0, rel=1e-6)


def test_without_light_the_mixture_and_the_level_are_guessed(lay):
    load, made = loaded(lay, None)
    day = made.draws.between("wall:fern-north:uv_window", *span(made, "ultraviolet.window.plain"))
    lamp = made.draws.between("wall:fern-north:uv_lamp", *span(made, "ultraviolet.lamp.unknown"))
    sky = made.draws.between("model:ultraviolet:light", 0.02, 0.5, 5.0)
    bulb = made.draws.between("model:ultraviolet:lamps", 0.02, 0.3, 5.0)
    lux = made.draws.between("wall:fern-north:lux", 8.0, 80.0, 600.0)
    proportion = (day * sky + lamp * bulb) / (sky + bulb) * glazing(made)
    strong = LIBRARY.figure("ultraviolet.limit.irradiance")
    assert load.draws == pytest.approx(
        np.maximum(proportion / 75.0, proportion * lux / 1000.0 / strong), rel=1e-6
    )
    assert load.evidence == "assumed"
    assert loaded(lay, None, measured=LOGGED)[0].evidence == "measured"
    readings = (reading("2026-02-10T12:00", 80.0, uv=40.0),)
    assert loaded(lay, None, wall=replace(WALL, light_readings=readings))[0].evidence == "assumed"

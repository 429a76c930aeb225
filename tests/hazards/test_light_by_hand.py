"""Dose, sun and seeing worked out by hand from light and geometry that a test lays down.

Figures are those of ``light_dose.toml``, ``sunlight.toml`` and ``viewing.toml``, written down a second time.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from stillwall.case import Stay
from stillwall.exposure import fading
from stillwall.exposure.light_year import nothing_logged
from stillwall.exposure.sun_in_log import SunInLog
from stillwall.exposure.sun_on_wall import SunOn
from stillwall.hazards import light_dose, sunlight, viewing
from stillwall.reference.library import load_library
from stillwall.setting.lighting import LightAt, geometry_of
from stillwall.survey.works import DoseSpent, LenderLimits
from tests.exposure.test_dose_draws import parts
from tests.hazards.certain import certain, with_measure
from tests.hazards.light_cases import NORTH_WINDOW, ROOM, SOUTH_WINDOW, WORK, case_of

ONES = np.ones(1000)
YEAR = Stay(dt.date(2026, 1, 1))
LIBRARY = load_library()


def light(
    daylight=60_000.0,
    electric=20_000.0,
    sun=10_000.0,
    *,
    kind="log",
    evidence="measured",
    missing=(),
    spread=False,
    **annual,
):
    """A year fully seen, of so many lux hours."""
    known = {
        "weeks_seen": 52,
        "expected_share": 1.0,
        "june_seen": True,
        "december_seen": True,
        "daylight_seen": True,
        "method": "by hand",
    }
    scale = np.linspace(0.5, 1.5, 1000) if spread else ONES
    made = replace(nothing_logged(), **(known | annual))
    return LightAt(daylight * scale, electric * scale, sun * scale, kind, evidence, made, tuple(missing), ())


@pytest.fixture
def lay(monkeypatch):
    """Puts light into the hazards as if a record had told it."""

    def put(found):
        for module in (light_dose, sunlight, viewing):
            monkeypatch.setattr(module, "light_at", lambda case, days: found)

    return put


def dosed(lay, found, *, work=WORK, library=None, stay=YEAR, measures=(), **facts):
    lay(found)
    made = case_of(work=work, stay=stay, **({"windows": (NORTH_WINDOW,)} | facts))
    library = load_library() if library is None else library
    return light_dose.load(replace(made, library=library, measures=frozenset(measures)))


@pytest.mark.parametrize(("sensitivity", "limit"), [("R1", 600_000), ("R2", 150_000), ("R3", 15_000)])
def test_dose_over_the_limit_of_its_class(lay, sensitivity, limit):
    load = dosed(lay, light(), work=replace(WORK, sensitivity=sensitivity))
    # An open stay is judged by a year of 365.25 days.
    years = YEAR.days / 365.25
    assert load.allowance.value == pytest.approx(limit * years)
    assert load.draws == pytest.approx(90_000 / (limit * years) * ONES)
    assert load.exposure.value == 90_000
    assert load.evidence == "measured"
    assert load.accrues
    assert load.deciding
    assert load.span is None


def test_the_span_of_a_class_is_that_of_its_medium(lay):
    load = dosed(lay, light())
    response = LIBRARY.media[WORK.medium].light
    limits = {"R1": 600_000, "R2": 150_000, "R3": 15_000}
    own = limits[response.responsivity] * YEAR.days / 365.25
    assert load.ratio == pytest.approx(90_000 / own)
    ends = [0.0 if end == "R0" else 90_000 / (limits[end] * YEAR.days / 365.25) for end in response.span]
    assert load.span == pytest.approx((min(ends), max(ends)))


def test_what_light_does_not_fade(lay):
    assert dosed(lay, light(), work=replace(WORK, sensitivity="R0")) is None
    asked = replace(WORK, sensitivity="R0", lender=LenderLimits(dose_lux_h=50_000.0))
    assert dosed(lay, light(), work=asked).ratio == pytest.approx(90_000 / (50_000 * YEAR.days / 365.25))


def test_a_lender_s_dose_is_in_proportion(lay):
    month = Stay(dt.date(2026, 3, 1), dt.date(2026, 3, 31))
    asked = replace(WORK, lender=LenderLimits(dose_lux_h=12_000.0))
    load = dosed(lay, light(900.0, 50.0, 50.0), work=asked, stay=month)
    assert load.allowance.value == pytest.approx(12_000 * month.days / 365.25)
    assert load.ratio == pytest.approx(1000 / (12_000 * month.days / 365.25))
    assert load.span is None
    assert len(load.sources) == 1


def test_a_short_stay_may_use_what_the_year_before_has_left(lay):
    month = Stay(dt.date(2026, 3, 1), dt.date(2026, 3, 31))
    work = replace(WORK, sensitivity="R2")
    whole = dosed(lay, light(900.0, 50.0, 50.0), work=work, stay=month)
    assert whole.allowance.value == 150_000
    # Half of the past dose fell into the twelve months before.
    spent = DoseSpent(dose_lux_h=100_000.0, since=dt.date(2024, 3, 1), to=dt.date(2026, 3, 1))
    used = dosed(lay, light(900.0, 50.0, 50.0), work=replace(work, dose_spent=spent), stay=month)
    assert used.allowance.value == pytest.approx(150_000 - 100_000 * 365 / 730)
    # Something is left always: a hundredth.
    over = replace(spent, dose_lux_h=900_000.0)
    assert dosed(lay, light(), work=replace(work, dose_spent=over), stay=month).allowance.value == 1500
    year = dosed(lay, light(), work=replace(work, dose_spent=spent))
    assert year.allowance.value == pytest.approx(150_000 * YEAR.days / 365.25)


@pytest.mark.parametrize(
    ("part", "value", "dose"),
    [
        ("daylight", (0.5, 0.5, 0.5), 60_000), ("electric", (0.5, 0.5, 0.5), 80_000), ("sun", (0.5, 0.5, 0.5), 85_000),
        ("all", (0.5, 0.5, 0.5), 45_000),
    ],
)  # fmt: skip
def test_measures_on_parts_of_the_light(lay, part, value, dose):
    library = with_measure(load_library(), "less", ("light_dose", part, value))
    assert dosed(lay, light(), library=library, measures=["less"]).exposure.value == pytest.approx(dose)


def test_without_light_nothing_is_known(lay):
    load = dosed(lay, None)
    assert load.blocks
    assert load.draws is None
    assert load.allowance.value > 0
    assert len(load.missing) == 1


@pytest.mark.parametrize(
    ("annual", "kind", "evidence", "questions"),
    [
        ({}, "log", "measured", 0),
        ({"weeks_seen": 4}, "log", "measured", 0),
        ({"weeks_seen": 3}, "log", "assumed", 0),
        ({"hidden_lamp_h": 3.0}, "log", "measured", 1),
        ({"hidden_lamp_h": 3.0}, "readings", "measured", 0),
        ({"june_seen": False}, "log", "missing", 1),
        ({"december_seen": False}, "room_log", "missing", 1),
        ({"june_seen": False, "december_seen": False}, "log", "missing", 1),
        ({"june_seen": False, "weeks_seen": 2}, "readings", "measured", 0),
    ],
)
def test_how_well_a_dose_is_known(lay, annual, kind, evidence, questions):
    load = dosed(lay, light(kind=kind, **annual), work=replace(WORK, sensitivity="R1"))
    assert load.evidence == evidence
    assert len(load.missing) == questions


def test_a_record_that_saw_most_of_the_stay_clears_and_one_of_any_length_condemns(lay):
    share = LIBRARY.figure("light_dose.clear_share")
    for seen, evidence in ((52, "measured"), (10, "missing")):
        found = light(june_seen=False, parts=parts(seen))
        assert dosed(lay, found, work=replace(WORK, sensitivity="R1")).evidence == evidence
    assert 10 / 52 < share < 1.0
    over = light(june_seen=False, daylight=60_000.0)
    assert dosed(lay, over, work=replace(WORK, sensitivity="R3")).evidence == "measured"
    chance = LIBRARY.figure("light_dose.clear_after_chance")
    for level, evidence in ((chance + 0.02, "measured"), (chance - 0.02, "missing")):
        # Even draws from a half to three halves of a middle that passes the limit with such a chance.
        middle = 150_000 * YEAR.days / 365.25 / (1.5 - level)
        found = light(daylight=middle, electric=0.0, sun=0.0, june_seen=False, spread=True)
        load = dosed(lay, found, work=replace(WORK, sensitivity="R2"))
        assert float(np.mean(load.draws > 1.0)) == pytest.approx(level, abs=2e-3)
        assert load.evidence == evidence


def notes_of(lay, found, **facts):
    return dosed(lay, found, **facts).notes


def test_what_the_sensor_and_the_sun_have_to_say(lay):
    work = replace(WORK, sensitivity="R1")
    base = len(notes_of(lay, light(), work=work))
    for annual, more in (
        ({"offset_lux": 0.06}, 1), ({"offset_lux": 0.04}, 0), ({"saturated_share": 0.01}, 1), ({"step_lux": 1.6}, 1),
        ({"step_lux": 1.4}, 0), ({"peak_lux": 900.0}, 1),
    ):  # fmt: skip
        assert len(notes_of(lay, light(**annual), work=work)) == base + more
    sun = SunInLog(True, np.zeros(3), np.arange(3), 1.5, 9000.0, 11.0, 13.5, ())
    found = notes_of(lay, light(sun=0.0), work=work), notes_of(lay, replace_sun(light(), sun), work=work)
    assert len(found[1]) == len(found[0]) + 1
    assert any("3 days" in note for note in found[1])


def replace_sun(found, sun):
    return replace(found, annual=replace(found.annual, sun=sun))


def test_years_to_a_step_that_is_seen(lay):
    notes = notes_of(lay, light(spread=True), work=replace(WORK, sensitivity="R2"))
    load = dosed(lay, light(spread=True), work=replace(WORK, sensitivity="R2"))
    year = 365.25 / YEAR.days
    low, high = load.low * load.allowance.value * year, load.high * load.allowance.value * year
    expected = []
    for doses in ((10, 30, 100), (3.5, 8, 20)):
        step = float(np.prod(doses)) ** (1 / 3)
        expected += fading.years_span(step, 0.70, low, high)
    note = next(each for each in notes if "just noticeable" in each)
    shown = [f"{years:.1f}" if years < 9.95 else f"{float(f'{years:.2g}'):,.0f}" for years in expected]
    assert all(each in note for each in shown)
    # Only for a stay of a year and more.
    month = Stay(dt.date(2026, 3, 1), dt.date(2026, 3, 31))
    assert not any(
        "just noticeable" in each
        for each in notes_of(lay, light(), work=replace(WORK, sensitivity="R2"), stay=month)
    )


def test_time_on_show_that_keeps_to_the_allowance(lay):
    r3 = replace(WORK, sensitivity="R3")
    share = 15_000 / (90_000 * 365.25 / YEAR.days)
    notes = notes_of(lay, light(), work=r3)
    assert any(f"{100 * share:.0f} %" in note for note in notes)
    rested = notes_of(lay, light(), work=replace(r3, on_show_months=3.0, rest_months=9.0))
    assert any("3 months" in note and "22" in note for note in rested)
    base = len(notes_of(lay, light(), work=replace(WORK, sensitivity="R1")))
    assert len(notes) == base + 1


# Sun


def sunny(lay, monkeypatch, found, mapped, *, library=None, measures=(), work=WORK, **facts):
    lay(found)
    monkeypatch.setattr(sunlight, "sun_on_work", lambda case: mapped)
    made = case_of(work=work, **facts)
    library = certain("sunlight") if library is None else library
    return sunlight.load(replace(made, library=library, measures=frozenset(measures)))


def sun_on(low=0.0, middle=300.0, high=600.0, hours=50.0, clock=(11.0, 14.0)):
    return SunOn(np.array([0.0, hours, 2 * hours]), np.array([low, middle, high]), np.full(52, 100.0), clock)


def test_the_rise_of_a_surface_in_the_sun(lay, monkeypatch):
    for reflectance in (0.2, 0.9):
        load = sunny(
            lay, monkeypatch, None, sun_on(300.0, 300.0, 300.0), work=replace(WORK, reflectance=reflectance)
        )
        # Absorbed power over an exchange of 10 W/m2 K; five kelvin are allowed, or what the medium says.
        rise = 300.0 * (1 - reflectance) / 10.0
        limit = LIBRARY.media[WORK.medium].sun_rise_limit
        limit = 5.0 if limit is None else limit.value
        assert load.draws == pytest.approx(rise / limit * ONES)
        assert load.exposure.value == pytest.approx(rise)
        assert load.allowance.value == limit
        assert load.deciding
        assert "50 h a year" in load.reason


def test_what_is_uncertain_of_the_windows_spreads_the_beam(lay, monkeypatch):
    load = sunny(lay, monkeypatch, None, sun_on(), work=replace(WORK, reflectance=0.5))
    z = case_of().draws.normal("wall:fern-north:sun_geometry")
    beam = np.interp(z, (-1.645, 0.0, 1.645), (0.0, 300.0, 600.0))
    assert load.draws * load.allowance.value == pytest.approx(beam * 0.5 / 10.0)


def test_a_measure_on_the_beam(lay, monkeypatch):
    work = replace(WORK, reflectance=0.5)
    library = with_measure(certain("sunlight"), "blind", ("sunlight", "beam", (0.3, 0.3, 0.3)))
    bare = sunny(lay, monkeypatch, None, sun_on(), work=work)
    kept = sunny(lay, monkeypatch, None, sun_on(), work=work, library=library, measures=["blind"])
    assert kept.draws == pytest.approx(0.3 * bare.draws)


def logged_sun(peak=20_000.0, start=11.5, end=13.5):
    return SunInLog(True, np.zeros(365), np.arange(40), 60.0, peak, start, end, ())


def test_sun_in_the_log_counts_where_it_is_hotter(lay, monkeypatch):
    work = replace(WORK, reflectance=0.5)
    for peak, beam in ((60_000.0, 600.0), (20_000.0, 300.0)):
        # A hundred lumens a watt.
        found = replace_sun(light(parts=parts(52)), logged_sun(peak))
        load = sunny(lay, monkeypatch, found, sun_on(300.0, 300.0, 300.0), work=work)
        assert load.exposure.value == pytest.approx(beam * 0.5 / 10)
        assert load.evidence == "measured"
    alone = sunny(
        lay, monkeypatch, replace_sun(light(parts=parts(52)), logged_sun(20_000.0)), None, work=work
    )
    assert alone.exposure.value == pytest.approx(200.0 * 0.5 / 10)


def foreseen(seen=52, share=-2.0, sd=0.0, expected=1000.0, shown=0.0):
    return parts(
        seen,
        sun_expected_lux_h=np.where(np.arange(52) < 26, expected, 0.0),
        sun_lux_h=np.where(np.arange(52) < seen, shown, 0.0),
        sun_log_share=share,
        sun_log_sd=sd,
    )


@pytest.mark.parametrize(("seen", "tested"), [(52, 26), (13, 13), (1, 1)])
def test_a_log_without_sun_speaks_against_the_geometry(lay, monkeypatch, seen, tested):
    work = replace(WORK, reflectance=0.5)
    load = sunny(lay, monkeypatch, light(parts=foreseen(seen)), sun_on(300.0, 300.0, 300.0), work=work)
    enough = 7 * tested >= LIBRARY.figure("sunlight.log_denies_after")
    share = tested / 26
    left = share * np.exp(-2.0) + 1 - share if enough else 1.0
    assert load.exposure.value == pytest.approx(300.0 * left * 0.5 / 10)
    assert len(load.notes) == int(enough)
    # Never more than the geometry says.
    more = sunny(
        lay, monkeypatch, light(parts=foreseen(seen, share=2.0)), sun_on(300.0, 300.0, 300.0), work=work
    )
    assert more.exposure.value == pytest.approx(300.0 * 0.5 / 10)


@pytest.mark.parametrize(
    ("shown", "start", "end", "notes"),
    [
        # Weeks alike; hours alike, or more than an hour and a quarter apart.
        (500.0, 11.5, 13.5, 2), (500.0, 12.7, 14.7, 2), (500.0, 12.8, 14.8, 3), (500.0, 10.2, 12.2, 3),
    ],
)  # fmt: skip
def test_log_and_survey_are_held_against_each_other(lay, monkeypatch, shown, start, end, notes):
    made = foreseen(52, shown=0.0)
    made = replace(made, sun_lux_h=np.where(np.arange(52) < 26, shown, 0.0))
    found = replace_sun(light(parts=made), logged_sun(start=start, end=end))
    load = sunny(lay, monkeypatch, found, sun_on(), work=replace(WORK, reflectance=0.5))
    assert len(load.notes) == notes
    assert any("26 of 26" in note for note in load.notes)
    if notes == 3:
        assert ("later" if start > 12 else "earlier") in load.notes[-1]


def test_weeks_that_do_not_agree_are_told(lay, monkeypatch):
    for first, agrees in ((12, True), (15, False)):
        made = foreseen(52)
        made = replace(
            made, sun_lux_h=np.where((np.arange(52) >= first) & (np.arange(52) < first + 26), 500.0, 0.0)
        )
        found = replace_sun(light(parts=made), logged_sun())
        load = sunny(lay, monkeypatch, found, sun_on(), work=replace(WORK, reflectance=0.5))
        both, either = 26 - first, 26 + first
        assert (both / either >= 0.3) is agrees
        assert any(f"{both} of {either}" in note for note in load.notes) is agrees


def test_a_year_s_log_without_sun_bounds_it(lay, monkeypatch):
    work = replace(WORK, reflectance=0.5)
    for share, told_of in ((0.9, True), (0.89, False)):
        load = sunny(
            lay,
            monkeypatch,
            light(expected_share=share, peak_lux=9000.0, daylight_seen=True),
            None,
            work=work,
            windows=(SOUTH_WINDOW,),
        )
        assert (load.draws is not None) is told_of
        assert load.deciding
        if told_of:
            # Under 1,500 lx nothing would be marked.
            assert load.exposure.value == pytest.approx(1500.0 / 100.0 * 0.5 / 10)
            assert load.evidence == "measured"
    dim = sunny(lay, monkeypatch, light(expected_share=1.0, peak_lux=200.0), None, work=work)
    assert dim.exposure.value == pytest.approx(200.0 / 100.0 * 0.5 / 10)
    assert sunny(lay, monkeypatch, light(kind="room_log"), None, work=work).draws is None


def test_no_window_no_sun(lay, monkeypatch):
    assert sunny(lay, monkeypatch, None, None, windows=()).blocks
    dark = replace(ROOM, windowless=True)
    assert sunny(lay, monkeypatch, None, None, windows=(), room=dark) is None
    assert sunny(lay, monkeypatch, light(daylight_seen=False), None, windows=()) is None
    assert sunny(lay, monkeypatch, light(daylight_seen=True), None, windows=()).blocks


# Seeing


def seen(lay, found, *, work, measures=(), library=None, **facts):
    lay(found)
    made = case_of(work=work, **({"windows": (NORTH_WINDOW,)} | facts))
    library = certain("viewing") if library is None else library
    return viewing.load(replace(made, library=library, measures=frozenset(measures)))


def figure(name):
    return LIBRARY.figure(f"viewing.{name}")


def opened(lux_day, lux_lamp, **annual):
    """Light of which the mean in opening hours is known: nine hours a day, half of the daylight, a third of the lamps."""
    shares = {"open_daylight_share": 0.5, "open_electric_share": 0.25, "open_h": 9.0}
    hours = 365.0 * 9.0
    return light(lux_day * hours / 0.5, lux_lamp * hours / 0.25, 0.0, **(shares | annual))


@pytest.mark.parametrize("reflectance", [0.05, 0.2, 0.5, 0.9])
def test_light_needed_over_light_there(lay, reflectance):
    work = replace(WORK, reflectance=reflectance)
    load = seen(lay, opened(30.0, 10.0), work=work)
    sheet = figure("light_sheet")
    base = figure("base") * sheet / min(reflectance, sheet)
    needed = min(base * figure("older_eyes"), figure("cap"))
    assert load.exposure.value == pytest.approx(needed)
    assert load.allowance.value == pytest.approx(40.0)
    assert load.ratio == pytest.approx(needed / 40.0)
    assert load.evidence == "measured"
    assert load.deciding is (reflectance <= figure("dark_picture"))
    assert load.notes == ()


def test_measures_of_seeing(lay):
    work = replace(WORK, reflectance=0.3)
    base = seen(lay, opened(30.0, 10.0), work=work)
    for part, value, there in (
        ("daylight", (0.5, 0.5, 0.5), 25.0), ("electric", (0.5, 0.5, 0.5), 35.0), ("all", (0.5, 0.5, 0.5), 20.0), ("added", 15.0, 55.0),
    ):  # fmt: skip
        library = with_measure(certain("viewing"), "less", ("viewing", part, value))
        load = seen(lay, opened(30.0, 10.0), work=work, library=library, measures=["less"])
        assert load.allowance.value == pytest.approx(there)
    library = with_measure(certain("viewing"), "less", ("viewing", "needed", (0.5, 0.5, 0.5)))
    assert seen(
        lay, opened(30.0, 10.0), work=work, library=library, measures=["less"]
    ).ratio == pytest.approx(0.5 * base.ratio)


def test_the_eyes_of_the_young_and_of_the_old_are_the_span(lay):
    work = replace(WORK, reflectance=0.5)
    eyes = LIBRARY.figures["viewing.older_eyes"]
    library = certain("viewing", spans=("viewing.older_eyes",))
    load = seen(lay, opened(30.0, 10.0), work=work, library=library)
    needed = load.exposure.value
    ends = [
        min(needed * age / eyes.value, max(figure("cap"), needed)) / 40.0 for age in (eyes.low, eyes.high)
    ]
    assert load.span == pytest.approx(tuple(ends))


def test_where_nobody_measured_it_is_as_likely_too_little_as_enough(lay):
    work = replace(WORK, reflectance=0.5)
    load = seen(lay, None, work=work)
    assert load.ratio == pytest.approx(1.0, rel=0.01)
    assert load.evidence == "assumed"
    assert len(load.missing) == 1
    dark = seen(lay, None, work=replace(WORK, reflectance=figure("dark_picture")))
    assert dark.draws is None
    assert dark.blocks
    unknown = seen(lay, opened(30.0, 10.0), work=WORK)
    assert len(unknown.notes) == 1
    assert not unknown.deciding


def test_almost_no_light_counts_as_a_tenth_of_a_lux(lay):
    work = replace(WORK, reflectance=0.5)
    load = seen(lay, opened(0.0, 0.0), work=work)
    assert load.ratio == pytest.approx(load.exposure.value / 0.1)


def test_a_window_opposite_is_mirrored_in_glass_and_in_gloss(lay):
    # Glass throws 8.3 % of 2,000 cd/m2 back, gloss varnish 4.3 %: over a picture that gives off as much, half of the
    # contrast is lost.
    glazed = replace(WORK, reflectance=0.05, glazing="acrylic")
    gloss = replace(glazed, glazing="none", varnish="gloss")
    bare = replace(glazed, glazing="none")
    made = case_of(work=glazed, windows=(SOUTH_WINDOW,))
    assert geometry_of(made).facing

    def ratio(work, lux, **facts):
        return seen(lay, opened(lux, 0.0), work=work, **({"windows": (SOUTH_WINDOW,)} | facts)).ratio

    for lux, by_glass, by_gloss in ((600.0, True, True), (7000.0, True, False), (11_000.0, False, False)):
        plain = ratio(bare, lux)
        assert plain == pytest.approx(300.0 / lux)
        assert (ratio(glazed, lux) > plain) is by_glass
        assert (ratio(gloss, lux) > plain) is by_gloss
        # Beside a window in its own wall nothing is mirrored.
        assert ratio(glazed, lux, windows=(NORTH_WINDOW,)) == pytest.approx(plain)
    for pane, like in (("glass", glazed), ("none", bare)):
        library = with_measure(certain("viewing"), "pane", ("viewing", "pane", pane))
        for work in (glazed, bare):
            assert ratio(work, 600.0, library=library, measures=["pane"]) == pytest.approx(ratio(like, 600.0))

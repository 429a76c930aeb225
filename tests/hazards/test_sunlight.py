"""Direct sun on a work: geometry, logs, blinds, what was not measured."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillwall.exposure.sun_on_wall import Shade, SunWindow, WallSun, sun_calendar, sun_on, wall_patch
from stillwall.exposure.sun_patch import Window, lit_fraction
from stillwall.hazards.sunlight import load
from stillwall.record import Record
from stillwall.setting.sun_geometry import sun_geometry
from stillwall.setting.sun_on_work import patches_of, sun_calendar_of, sun_on_work
from stillwall.survey.features import Blind
from stillwall.survey.places import HoldingPlace
from stillwall.survey.room_sides import side_point
from stillwall.units import Size

from .light_cases import NORTH_WINDOW, ORANGERY, ROOM, SOUTH_WINDOW, WALL, WORK, case_of, lit, survey_of

RAYS = 4000


def test_sun_through_a_south_window_on_the_wall_opposite():
    loaded = load(case_of(lit(28)))
    # Low winter sun: single glass passes 0.75 of some 700 W/m2; 0.75 absorbed over 10 W/m2K is some 35 K.
    assert 3.0 < loaded.ratio < 9.0
    assert loaded.evidence == "surveyed"
    assert loaded.deciding
    assert "h a year" in loaded.reason
    assert loaded.missing == ()


def test_the_calendar_is_that_of_winter_noons():
    calendar = sun_calendar_of(case_of())
    spells = calendar.spells()
    assert spells
    for first, last, start_h, end_h in spells:
        months = {int(str(np.datetime64(day, "D"))[5:7]) for day in range(first, last + 1)}
        assert months <= {10, 11, 12, 1, 2, 3}
        assert 9.0 < start_h < end_h < 16.5
    assert calendar.hours == pytest.approx(sun_on_work(case_of()).hours[1], rel=0.35)


def test_patches_lie_on_the_wall():
    found = patches_of(case_of())
    assert found
    for patch in found:
        for corners in patch.corners_m:
            along, height = np.array(corners).T
            assert along.min() >= WALL.at_m - 1e-9
            assert along.max() <= WALL.at_m + WALL.span_m + 1e-9
            assert height.min() >= -1e-9


@pytest.mark.parametrize("window_side", ["north", "east", "south", "west"])
@pytest.mark.parametrize("wall_side", ["north", "east", "south", "west"])
def test_every_pair_of_sides_agrees_with_rays_in_the_rooms_plan(window_side, wall_side):
    """Random points of the wall, rays in east, north and up, the window as it stands in the plan."""
    if window_side == wall_side:
        return
    turned = 20.0
    room = replace(ROOM, bearing_deg=turned)
    outwards = {"north": 0.0, "east": 90.0, "south": 180.0, "west": 270.0}[window_side] + turned
    window = replace(SOUTH_WINDOW, side=window_side, bearing_deg=outwards % 360.0, at_m=1.6, reveal_m=0.0)
    wall = replace(WALL, side=wall_side, at_m=0.5, span_m=4.0)
    case = case_of(survey=survey_of(windows=(window,), room=room, wall=wall))
    geometry = sun_geometry(case.survey, case.library, case.site)
    assert geometry.wall is not None
    left, right, bottom, top = 1.0, 3.0, 0.6, 2.0
    draw = np.random.default_rng(5)
    lit_cases = 0
    for _ in range(30):
        elevation, azimuth = float(draw.uniform(5, 50)), float(outwards + draw.uniform(-70, 70))
        entry = geometry.wall.windows[0]
        target = entry.target(left, right, bottom, top)
        share = float(lit_fraction(np.array([elevation]), np.array([azimuth]), entry.window, target)[0])
        traced = _traced(
            room, wall_side, window, (left, right, bottom, top), elevation, azimuth - turned, draw
        )
        assert share == pytest.approx(traced, abs=0.04)
        lit_cases += share > 0.05
    assert lit_cases >= 2


def _traced(room, wall_side, window, box, elevation, azimuth, draw):
    along, height = draw.uniform(box[0], box[1], RAYS), draw.uniform(box[2], box[3], RAYS)
    start = np.array([side_point(room, wall_side, float(a)) for a in along])
    g, a = np.radians(elevation), np.radians(azimuth)
    east, north, up = np.cos(g) * np.sin(a), np.cos(g) * np.cos(a), np.sin(g)
    first = np.array(side_point(room, window.side, window.at_m))
    last = np.array(side_point(room, window.side, window.at_m + window.size.width_m))
    sideways = (last - first) / np.linalg.norm(last - first)
    normal = np.array([-sideways[1], sideways[0]])
    towards = np.array([east, north]) @ normal
    if towards <= 0:
        return 0.0
    length = ((first - start) @ normal) / towards
    hit = start + length[:, None] * np.array([east, north])
    u = (hit - first) @ sideways
    z = height + length * up
    inside = (length > 0) & (u >= 0) & (u <= window.size.width_m)
    inside &= (z >= window.sill_m) & (z <= window.sill_m + window.size.height_m)
    return float(inside.mean())


def test_north_windows_send_no_sun_to_the_wall_opposite_in_the_north():
    wall = replace(WALL, side="south")
    loaded = load(case_of(lit(28), windows=(NORTH_WINDOW,), wall=wall))
    assert loaded.high == pytest.approx(0.0, abs=1e-9)
    assert "no sun reaches" in loaded.reason


def test_in_the_south_the_sun_comes_from_the_north():
    building = replace(ORANGERY, latitude=-51.7, longitude=-57.9, timezone="Atlantic/Stanley")
    wall = replace(WALL, side="south")
    north = load(case_of(windows=(NORTH_WINDOW,), wall=wall, building=building))
    assert north.ratio > 1.0


def test_the_windows_own_wall_is_not_in_line():
    assert load(case_of(lit(28), wall=replace(WALL, side="south"))) is None


def test_metal_and_stone_are_left_out_and_so_are_stores():
    assert load(case_of(work=replace(WORK, medium="marble"))) is None
    store = HoldingPlace(id="rack", room="fern-room")
    assert load(case_of(place=store)) is None


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"sill_m": None}, "sill"),
        ({"at_m": None}, "left corner"),
        ({"size": None}, "size"),
        ({"reveal_m": None}, "reveal"),
        ({"obstruction_deg": None}, "stands opposite"),
    ],
)
def test_what_was_not_measured_is_asked_for_and_widens(change, word):
    loaded = load(case_of(windows=(replace(SOUTH_WINDOW, **change),)))
    assert loaded.evidence == "assumed"
    assert any(word in question for question in loaded.missing)
    assert loaded.chance_over > 0.2


def test_unknown_sides_sizes_or_latitude_block():
    for facts in (
        {"wall": replace(WALL, side=None)},
        {"room": replace(ROOM, size=None)},
        {"building": replace(ORANGERY, latitude=None)},
        {"windows": (replace(SOUTH_WINDOW, kind="skylight"),)},
    ):
        loaded = load(case_of(**facts))
        assert loaded.blocks
        assert loaded.missing


def test_a_room_without_listed_windows_is_not_taken_for_one_without_windows():
    assert load(case_of(windows=())).blocks
    assert load(case_of(lit(60), windows=())).blocks
    only_lamps = lit(60, level=0.0, lamp=50.0)
    assert load(case_of(only_lamps, windows=())) is None


def test_a_years_log_without_sun_stands_where_the_plan_is_unknown():
    loaded = load(case_of(lit(365), wall=replace(WALL, side=None)))
    assert loaded.evidence == "measured"
    assert loaded.high < 1.0


def test_sun_in_the_log_counts_and_is_matched():
    loaded = load(case_of(lit(365, sun_lux=40_000.0)))
    assert loaded.evidence == "measured"
    assert loaded.ratio > 3.0
    assert any("log shows sun" in note for note in loaded.notes)
    assert any("weeks with sun" in note or "both in" in note for note in loaded.notes)


def test_sun_in_the_log_that_no_window_explains_is_said():
    loaded = load(
        case_of(lit(365, sun_lux=40_000.0), windows=(NORTH_WINDOW,), wall=replace(WALL, side="south"))
    )
    assert any("do not explain" in note for note in loaded.notes)


def test_a_log_that_shows_none_of_the_predicted_sun_is_said_and_counts():
    loaded, alone = load(case_of(lit(365))), load(case_of())
    assert any("shows none" in note for note in loaded.notes)
    assert loaded.ratio < alone.ratio


@pytest.mark.parametrize("measure", ["neutral-film", "blind-when-sunny", "tinted-shade", "uv-film"])
def test_measures_cool_the_surface(measure):
    case = case_of()
    assert (load(case.with_measures(frozenset({measure}))).draws <= load(case).draws).all()


def test_a_blind_in_the_survey_counts_only_while_it_is_drawn():
    plain = load(case_of()).ratio
    sunny = replace(SOUTH_WINDOW, blind=Blind(kind="roller", drawn="when sunny"))
    evening = replace(SOUTH_WINDOW, blind=Blind(kind="roller", drawn="17:00 to 09:00"))
    unused = replace(SOUTH_WINDOW, blind=Blind(kind="roller"))
    closed = replace(SOUTH_WINDOW, blind=Blind(kind="blackout", drawn="closed hours"))
    assert load(case_of(windows=(sunny,))).ratio == pytest.approx(0.2 * plain, rel=0.05)
    assert load(case_of(windows=(evening,))).ratio == pytest.approx(plain, rel=0.01)
    assert load(case_of(windows=(unused,))).ratio == pytest.approx(plain, rel=0.01)
    assert load(case_of(windows=(closed,))).ratio <= plain


def test_darker_surfaces_grow_hotter():
    dark, pale = (load(case_of(work=replace(WORK, reflectance=share))) for share in (0.1, 0.7))
    assert dark.ratio == pytest.approx(3.0 * pale.ratio, rel=0.02)


@settings(max_examples=15)
@given(st.floats(0.0, 1.0), st.floats(0.0, 15.0))
def test_a_larger_window_never_lowers_the_load(grown, lower):
    small = replace(SOUTH_WINDOW, obstruction_deg=15.0)
    large = replace(
        SOUTH_WINDOW,
        size=Size(2.0 + grown, 1.2 + grown),
        obstruction_deg=15.0 - lower,
    )
    assert (load(case_of(windows=(large,))).draws >= load(case_of(windows=(small,))).draws - 1e-9).all()


def test_shade_works_round_midnight_and_moments_become_patches():
    window = SunWindow(Window(180.0, 1.0, 2.2, 0.9, 2.5), "facing", 4.0, None, shade=Shade(0.0, 9.0, 17.0))
    location = sun_geometry(*_parts()).wall.location
    open_by_day = WallSun(location, (replace(window, shade=Shade(0.0, 17.0, 9.0)),), 0.0, 4.0)
    closed = WallSun(location, (window,), 0.0, 4.0)
    assert sun_calendar(closed, 0.5, 3.0, 0.5, 2.0).hours == 0.0
    assert sun_calendar(open_by_day, 0.5, 3.0, 0.5, 2.0).hours > 20.0
    record = Record("wall", {})
    assert sun_on(record, closed, 0.5, 3.0, 0.5, 2.0).week_lux_h.sum() == 0.0
    lit_weeks = sun_on(record, open_by_day, 0.5, 3.0, 0.5, 2.0).week_lux_h
    assert lit_weeks[:8].sum() > lit_weeks[22:30].sum()
    noon = float(np.datetime64("2026-12-21T11:40:00", "s").astype(np.int64))
    assert len(wall_patch(open_by_day, noon).corners_m) == 1
    assert wall_patch(open_by_day, noon + 43_200.0).corners_m == ()


def _parts():
    case = case_of()
    return case.survey, case.library, case.site


@pytest.mark.parametrize(
    "left_out",
    [
        "sill_m",
        "at_m",
        "size",
        "reveal_m",
        "bearing_deg",
        "obstruction_deg",
        "glass",
        "film",
        "glazed_share",
        "overhang_m",
    ],
)
def test_leaving_out_a_fact_of_the_window_never_clears_a_sunny_wall(left_out):
    """Unknown is not safe: either the load blocks or its chance of passing 1 stays over a fifth."""
    surveyed = replace(SOUTH_WINDOW, glazed_share=0.9, overhang_m=0.1)
    assert load(case_of(windows=(surveyed,))).chance_over > 0.2
    unknown = load(case_of(windows=(replace(surveyed, **{left_out: None}),)))
    assert unknown.blocks or unknown.chance_over > 0.2


@pytest.mark.parametrize(
    "left_out", ["side", "room_size", "room_bearing", "latitude", "longitude", "windows"]
)
def test_leaving_out_the_room_or_the_place_never_clears_a_sunny_wall(left_out):
    facts = {
        "side": {"wall": replace(WALL, side=None)},
        "room_size": {"room": replace(ROOM, size=None)},
        "room_bearing": {"room": replace(ROOM, bearing_deg=None)},
        "latitude": {"building": replace(ORANGERY, latitude=None)},
        "longitude": {"building": replace(ORANGERY, longitude=None)},
        "windows": {"windows": ()},
    }[left_out]
    unknown = load(case_of(**facts))
    assert unknown.blocks or unknown.chance_over > 0.2

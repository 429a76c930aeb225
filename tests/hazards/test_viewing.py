"""Whether the work can be seen: darkness, dark pictures, windows mirrored in glass."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillwall.exposure.viewing import (
    contrast_left,
    fresnel_reflectance,
    illuminance_for_same_luminance,
    mirrored_m,
    pupil_diameter_mm,
    veiled_share,
)
from stillwall.hazards.viewing import load
from stillwall.survey.places import HoldingPlace

from .light_cases import LAMP, SOUTH_WINDOW, WALL, WORK, case_of, lit, reading


def test_a_dim_wall_is_hard_to_see_on_and_a_bright_one_is_not():
    dim, bright = load(case_of(lit(level=10.0))), load(case_of(lit(level=400.0)))
    assert dim.ratio > 1.0
    assert bright.ratio < 0.5
    assert "lx in opening hours" in bright.reason


def test_a_dark_picture_needs_more_and_decides():
    dark = replace(WORK, reflectance=0.06)
    light_one = replace(WORK, reflectance=0.6)
    assert (
        load(case_of(lit(level=100.0), work=dark)).ratio
        > 5.0 * load(case_of(lit(level=100.0), work=light_one)).ratio
    )
    assert load(case_of(lit(), work=dark)).deciding
    assert not load(case_of(lit(), work=light_one)).deciding
    assert load(case_of(work=dark)).blocks


def test_unknown_reflectance_is_said_and_spreads():
    unknown = load(case_of(lit()))
    known = load(case_of(lit(), work=replace(WORK, reflectance=0.6)))
    assert any("not recorded" in note for note in unknown.notes)
    assert unknown.high / unknown.low > known.high / known.low


def test_without_light_evidence_the_answer_is_wide():
    loaded = load(case_of())
    assert loaded.evidence == "assumed"
    assert loaded.high / loaded.low > 20.0
    assert loaded.missing


def test_readings_count():
    readings = (
        reading("2026-03-04 11:10", 160.0, "overcast"),
        reading("2026-05-20 14:10", 275.0, "overcast"),
        reading("2026-01-20 20:00", 40.0, "night", "on"),
    )
    assert load(case_of(wall=replace(WALL, light_readings=readings))).ratio < 1.0


def test_nobody_looks_in_a_store():
    assert load(case_of(place=HoldingPlace(id="rack", room="fern-room"))) is None


@pytest.mark.parametrize("measure", ["neutral-film", "uv-film", "tinted-shade"])
def test_what_saves_light_costs_sight(measure):
    case = case_of(lit(level=60.0), work=replace(WORK, reflectance=0.3))
    assert (load(case.with_measures(frozenset({measure}))).draws > load(case).draws).all()


def test_dimming_costs_sight_where_lamps_burn_in_opening_hours():
    case = case_of(lit(level=5.0, lamp=100.0), lamps=(LAMP,), work=replace(WORK, reflectance=0.3))
    assert (load(case.with_measures(frozenset({"dim-lamps"}))).draws > load(case).draws).all()


def test_a_picture_light_helps():
    case = case_of(lit(level=10.0))
    assert (load(case.with_measures(frozenset({"add-picture-light"}))).draws < load(case).draws).all()


def test_a_window_opposite_is_mirrored_in_glass():
    dark = replace(WORK, reflectance=0.1, glazing="glass", viewed_from_m=2.0)
    wide = replace(
        SOUTH_WINDOW, at_m=0.3, size=replace(SOUTH_WINDOW.size, height_m=2.2, width_m=5.0), sill_m=0.3
    )
    glazed = load(case_of(lit(level=400.0), work=dark, windows=(wide,)))
    bare = load(case_of(lit(level=400.0), work=replace(dark, glazing="none"), windows=(wide,)))
    assert glazed.ratio > 1.2
    assert bare.ratio < glazed.ratio
    assert any("Glare" in note for note in glazed.notes)
    gloss = replace(dark, glazing="none", varnish="gloss")
    assert load(case_of(lit(level=400.0), work=gloss, windows=(wide,))).ratio > bare.ratio
    added = case_of(
        lit(level=400.0), work=replace(dark, glazing="none"), windows=(wide,), measures=("uv-glazing",)
    )
    assert load(added).ratio > bare.ratio


@given(st.floats(0.02, 0.9), st.floats(0.02, 0.9))
def test_darker_pictures_need_more(first, second):
    dark, pale = sorted((first, second))
    assert illuminance_for_same_luminance(50.0, 0.6, dark) >= illuminance_for_same_luminance(50.0, 0.6, pale)


@given(st.floats(0.0, 89.0))
def test_glass_throws_back_more_aslant(angle):
    assert fresnel_reflectance(0.0) - 1e-12 <= fresnel_reflectance(angle) <= 1.0
    assert fresnel_reflectance(angle) <= fresnel_reflectance(min(angle + 1.0, 89.9)) + 2e-3


def test_pupils_narrow_with_age_and_light():
    assert pupil_diameter_mm(10.0, 700.0, 20.0) > pupil_diameter_mm(10.0, 700.0, 70.0)
    assert pupil_diameter_mm(1.0, 700.0, 40.0) > pupil_diameter_mm(100.0, 700.0, 40.0)


def test_mirror_image_by_similar_triangles():
    # Eye and point at one height: mirrored at that height.
    assert mirrored_m(1.5, 1.5, 2.0, 5.0) == pytest.approx(1.5)
    # As far behind as the eye: half way between the two heights.
    assert mirrored_m(1.0, 2.0, 3.0, 3.0) == pytest.approx(1.5)


def test_veiled_share_against_rays():
    picture, window, source = (1.0, 2.0, 1.0, 2.0), (0.5, 3.0, 0.8, 2.6), 5.0
    viewers, eyes = np.array([2.5]), np.array([1.6])
    draw = np.random.default_rng(2)
    hits = []
    for stand in (0.25, 0.5, 0.75):
        eye = np.array([1.0 + stand, 2.5, 1.6])
        x, z = draw.uniform(1.0, 2.0, 20_000), draw.uniform(1.0, 2.0, 20_000)
        # The ray from eye to picture leaves at the same angle: follow it to the wall behind.
        length = source / eye[1]
        back_x, back_z = x + (x - eye[0]) * length, z + (z - eye[2]) * length
        hits.append(((back_x > 0.5) & (back_x < 3.0) & (back_z > 0.8) & (back_z < 2.6)).mean())
    assert veiled_share(picture, window, source, viewers, eyes) == pytest.approx(np.mean(hits), abs=0.01)
    assert veiled_share(picture, window, 2.0, viewers, eyes) == 0.0


def test_contrast_of_a_dark_picture_behind_plain_glass_opposite_a_window():
    # 150 lx on reflectance 0.06 behind a pane of 8 % under a sky of 3,000 cd/m2 leaves 1.2 %.
    left = contrast_left(np.array([0.06 * 150.0 / np.pi]), np.array([3000.0]), 0.08)
    assert left[0] == pytest.approx(0.012, abs=0.001)


def test_unmeasured_light_is_as_likely_enough_as_not():
    unlit = load(case_of(None, work=replace(WORK, reflectance=0.3)))
    assert unlit.ratio == pytest.approx(1.0, rel=0.1)
    assert unlit.chance_over > 0.2
    assert unlit.reason.startswith("Nobody measured the light")

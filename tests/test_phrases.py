"""Phrases: counts agree, figures are plain, units are those of the reader."""

from __future__ import annotations

import pytest

from stillwall.phrases import (
    about,
    counted,
    duration,
    in_words,
    listed,
    percent,
    sentence,
    show_distance,
    show_energy,
    show_force,
    show_inches,
    show_rise,
    show_round,
    show_speed,
    times,
    two_figures,
)


@pytest.mark.parametrize(
    ("number", "said"),
    [
        (0, "no years"),
        (1, "1 year"),
        (2, "2 years"),
        (0.5, "0.5 years"),
        (8.0, "8 years"),
        (1200, "1,200 years"),
    ],
)
def test_counts_agree_with_what_they_count(number, said):
    assert counted(number, "year") == said


def test_a_plural_of_its_own():
    assert (counted(1, "loaf", "loaves"), counted(3, "loaf", "loaves")) == ("1 loaf", "3 loaves")


@pytest.mark.parametrize(
    ("number", "said"), [(0, "never"), (0.4, "never"), (1, "once"), (2, "twice"), (195.2, "195 times")]
)
def test_how_often(number, said):
    assert times(number) == said


@pytest.mark.parametrize(
    ("number", "said"),
    [
        (0, "0"),
        (0.00002, "less than 0.0001"),
        (0.000194, "0.00019"),
        (0.0194, "0.019"),
        (0.07, "0.07"),
        (4.86, "4.9"),
        (9.97, "10"),
        (69.4, "69"),
        (162, "160"),
        (7466, "7,500"),
        (1234567, "1,200,000"),
        (-0.25, "-0.25"),
    ],
)
def test_two_figures_are_plain(number, said):
    assert two_figures(number) == said


def test_rough_figures_and_shares():
    assert (about(0.0019), about(1e-9)) == ("about 0.0019", "less than 0.0001")
    assert [percent(share) for share in (0, 0.001, 0.12, 1)] == ["0 %", "less than 1 %", "12 %", "100 %"]


@pytest.mark.parametrize(
    ("days", "said"),
    [(1, "1 day"), (19.4, "19 days"), (96, "3 months"), (443, "15 months"), (1339, "3.7 years")],
)
def test_lengths_of_time(days, said):
    assert duration(days) == said


def test_lists_and_sentences():
    assert [listed(["A", "B", "C"][:n]) for n in (1, 2, 3)] == ["A", "A and B", "A, B and C"]
    assert listed(["A", "B"], "or") == "A or B"
    assert [sentence(text) for text in ("so it is", "Is it?", "Yes.")] == ["So it is.", "Is it?", "Yes."]


# Exact by definition: 1 in = 25.4 mm, 1 lb = 0.45359237 kg, g = 9.80665 m/s2 (international yard and pound, 1959).
@pytest.mark.parametrize(
    ("si", "us"),
    [
        ((show_distance, 0.35), "1 ft 2 in"),
        ((show_distance, 2.5908), "8 ft 6 in"),
        ((show_distance, 10.25), "34 ft"),
        ((show_force, 98.0), "22 lbf"),
        ((show_energy, 35.0), "26 ft-lb"),
        ((show_speed, 2.0), "0.08 in/s"),
        ((show_inches, 2.032), "80 in"),
        ((show_rise, 5.0), "9 °F"),
        ((show_rise, 26.0), "47 °F"),
        ((show_round, 20.0), "68 °F"),
    ],
)
def test_quantities_in_us_units(si, us):
    show, value = si
    assert show(value, "us") == us


@pytest.mark.parametrize(
    ("us", "si"),
    [
        ((show_distance, 0.352), "350 mm"),
        ((show_distance, 2.59), "2.59 m"),
        ((show_distance, 10.25), "10.2 m"),
        ((show_force, 98.0), "98 N"),
        ((show_energy, 35.0), "35 J"),
        ((show_speed, 2.0), "2 mm/s"),
        ((show_inches, 0.6858), "686 mm"),
        ((show_rise, 5.4), "5.4 K"),
        ((show_round, 20.0), "20 °C"),
    ],
)
def test_quantities_in_si_units(us, si):
    show, value = us
    assert show(value, "si") == si


def test_round_figures_in_a_text_are_said_in_the_units_of_its_readers() -> None:
    # 1 in = 25.4 mm and 1 lb = 0.45359237 kg, the international yard and pound agreement of 1959.
    said = "Hang it 2 to 3 cm off the wall, its edge at 1.30 m, 80 kg below, 3 K less than 20 °C at 150 lx"
    assert in_words(said, "si") == said
    assert in_words(said, "us") == (
        "Hang it 1 in off the wall, its edge at 4 ft 3 in, 180 lb below, 5 °F less than 68 °F at 150 lx"
    )
    for kept in ("1.5 m2 of glass", "75 uW/lm", "1.5 m²", "5 mW/m2", "20 mm/s", "2 km"):
        assert in_words(kept, "us") == kept

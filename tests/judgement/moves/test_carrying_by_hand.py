"""What a work is to the crew: packed size, mass, who carries it, and what moving it once weighs.

Figures are those of ``moves.toml``, written down a second time.
"""

from __future__ import annotations

import pytest

from stillwall.judgement.moves.crew import CrewRules, carry_words
from stillwall.judgement.moves.handling import carry_of, handling_of
from stillwall.judgement.moves.model import Carry
from stillwall.reference.library import load_library
from stillwall.survey.works import Work
from stillwall.units import Size

LIBRARY = load_library()
PACKING = LIBRARY.figure("moves.packing")


def work(**facts):
    made = {
        "id": "ferns",
        "kind": "painting_canvas",
        "medium": "oil-on-canvas",
        "title": "Ferns",
        "framed": Size(0.6, 0.5, 0.04),
        "mass_kg": 4.0,
        "mass_known": "weighed",
        "frame": "plain_wood",
        "glazing": "none",
        "condition": "sound",
    }
    return Work(**(made | facts))


def test_a_work_is_carried_with_its_packing_on_every_side():
    carry = carry_of(LIBRARY, work())
    assert (carry.height_m, carry.width_m) == pytest.approx((0.6 + 2 * PACKING, 0.5 + 2 * PACKING))
    assert carry.depth_m == pytest.approx(0.04 + 2 * PACKING)
    assert PACKING > 0
    packed = carry_of(LIBRARY, work(packed=Size(0.9, 0.8, 0.2)))
    assert (packed.height_m, packed.width_m, packed.depth_m) == (0.9, 0.8, 0.2)
    flat = carry_of(LIBRARY, work(packed=Size(0.9, 0.8)))
    assert flat.depth_m == pytest.approx(0.04 + 2 * PACKING)


def test_what_is_known_of_a_mass():
    assert carry_of(LIBRARY, work()).mass_known
    assert not carry_of(LIBRARY, work(mass_known="estimated")).mass_known
    assert not carry_of(LIBRARY, work(mass_kg=None)).mass_known
    assert carry_of(LIBRARY, work()).mass_kg == 4.0
    assert carry_of(LIBRARY, work(mass_kg=None)).mass_kg > 0
    nothing = carry_of(LIBRARY, work(mass_kg=None, framed=None, image=None))
    assert (nothing.height_m, nothing.width_m, nothing.depth_m, nothing.mass_kg) == (None,) * 4
    assert carry_of(LIBRARY, work(framed=None, image=None)).mass_kg == 4.0


@pytest.mark.parametrize(
    ("facts", "ornate", "glazed", "stops"),
    [
        ({}, False, False, False), ({"frame": "composition"}, True, False, False), ({"frame": "gilded_gesso"}, True, False, False),
        ({"frame": "carved_wood"}, True, False, False), ({"glazing": "glass"}, False, True, False), ({"glazing": "laminated"}, False, True, False),
        ({"glazing": "acrylic"}, False, False, False), ({"condition": "flaking"}, False, False, True),
        ({"ornament_loose": True}, False, False, True), ({"condition": "active_mould"}, False, False, True),
        ({"condition": None}, False, False, False),
    ],
)  # fmt: skip
def test_what_the_crew_has_to_know(facts, ornate, glazed, stops):
    carry = carry_of(LIBRARY, work(**facts))
    assert (carry.ornate, carry.glazed, bool(carry.stop)) == (ornate, glazed, stops)


def base(kind):
    return LIBRARY.figure(f"moves.handling.{kind}")


@pytest.mark.parametrize(
    ("facts", "kind", "factor"),
    [
        ({}, "light", 1), ({"condition": None}, "light", 1), ({"condition": "watch"}, "two_people", 1), ({"mass_kg": 10.0}, "light", 1),
        ({"mass_kg": 10.1}, "two_people", 1), ({"mass_kg": 25.0}, "two_people", 1), ({"mass_kg": 25.1}, "large", 1),
        ({"framed": Size(1.5, 0.5, 0.04)}, "light", 1), ({"framed": Size(1.51, 0.5, 0.04)}, "large", 1),
        ({"framed": Size(0.5, 1.51, 0.04)}, "large", 1), ({"frame": "composition"}, "large", 1),
        ({"condition": "flaking"}, "two_people", "flaking"), ({"surface": "flaking"}, "light", "flaking"),
    ],
)  # fmt: skip
def test_what_moving_once_weighs(facts, kind, factor):
    factor = base("flaking") if factor == "flaking" else factor
    assert handling_of(LIBRARY, work(**facts)) == pytest.approx(base(kind) * factor)
    assert handling_of(LIBRARY, work(handling=7.5, **facts)) == 7.5


def test_who_carries():
    rules = CrewRules.of(LIBRARY)

    def people(height, width, mass):
        return rules.people(Carry(name="Ferns", height_m=height, width_m=width, depth_m=0.1, mass_kg=mass))

    # 10, 25 and 60 kg; 0.8, 1.5 and 2.5 m.
    for size, mass, count in (
        (0.8, 10.0, 1), (0.81, 10.0, 2), (0.8, 10.1, 2), (1.5, 25.0, 2), (1.51, 25.0, 3), (0.5, 25.1, 3), (2.5, 60.0, 3),
        (2.51, 5.0, 4), (0.5, 60.1, 4),
    ):  # fmt: skip
        assert people(size, 0.3, mass) == people(0.3, size, mass) == count


def test_sizes_and_masses_in_words():
    def words(**facts):
        return carry_words(
            Carry(
                **(
                    {
                        "name": "Ferns",
                        "height_m": 0.6,
                        "width_m": 0.5,
                        "depth_m": 0.1,
                        "mass_kg": 4.0,
                        "mass_known": True,
                    }
                    | facts
                )
            ),
            "si",
        )

    whole = words()
    assert "4" in whole
    assert "*" not in whole
    assert words(mass_known=False).endswith("*")
    for unknown in ({"height_m": None}, {"width_m": None}, {"height_m": None, "width_m": None}):
        assert words(**unknown) != whole
        assert words(**unknown).split(",")[-1] == whole.split(",")[-1]
    assert words(mass_kg=None) != whole

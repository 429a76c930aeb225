"""Media: each says what its group has to say."""

import pytest

from stillwall.reference.library import load_library

LIBRARY = load_library()
MEDIA = list(LIBRARY.media.values())
AGEING = {"painting", "paper", "photograph", "textile", "wood"}
HAZARDS = {"temperature", "humidity", "humidity_swing", "mould", "corrosion", "salts", "light_dose"}
ORGANIC = {"very_sensitive", "sensitive"}

every_medium = pytest.mark.parametrize("medium", MEDIA, ids=lambda medium: medium.id)


def test_there_are_enough_of_them():
    assert len(MEDIA) >= 66
    assert {medium.group for medium in MEDIA} == AGEING | {"metal", "stone", "other"}


@pytest.mark.parametrize("kind", ["metal", "plain-wood", "carved-wood", "gilded-gesso", "composition"])
def test_frames_are_media_of_their_own(kind):
    assert f"frame-{kind}" in LIBRARY.media


@every_medium
def test_what_every_medium_says(medium):
    assert medium.title
    assert medium.mould_class is not None
    assert medium.wall_humidity is not None
    assert 65 <= medium.wall_humidity.value <= 80
    assert medium.reflectance is not None or "glass" in medium.id


@every_medium
def test_a_hygroscopic_medium_has_response_times_and_no_other_has(medium):
    assert medium.hygroscopic == (medium.moisture is not None)
    if medium.moisture is not None:
        surface, bulk = medium.moisture.surface_t95, medium.moisture.bulk_t95
        assert surface.value <= bulk.value
        for figure in (surface, bulk):
            assert figure.unit == "h"
            assert (figure.low, figure.high) == (figure.value / 2, figure.value * 2)


@every_medium
def test_what_ages_has_an_activation_energy(medium):
    if medium.group in AGEING:
        assert medium.activation_energy is not None
        assert 70 <= medium.activation_energy.value <= 120


@every_medium
def test_what_corrodes_or_holds_salts_says_at_which_humidity(medium):
    if medium.group == "metal":
        assert medium.corrosion
    if medium.id in ("marble", "plaster", "painted-plaster", "terracotta", "fresco"):
        assert medium.salts
    assert all(f"salts.salt.{salt}.a" in LIBRARY.figures for salt in medium.salts)
    assert all(threshold.hours_per_year and threshold.hours_source for threshold in medium.corrosion)


@every_medium
def test_the_strain_limit_names_a_material_with_figures(medium):
    if medium.strain is not None:
        assert f"strain.yield.{medium.strain.material}" in LIBRARY.figures


@every_medium
def test_what_evidence_decides_follows_from_what_it_is(medium):
    """Photographs, wax, acrylic and lacquer by temperature; what takes up water by humidity; organics by
    mould; metals by corrosion; stone and plaster by salts; what light changes by dose."""
    expected = set()
    soft = {"wax", "acrylic-painting", "asian-lacquer", "japanning"}
    if medium.group == "photograph" or medium.id in soft:
        expected |= {"temperature"}
    if medium.hygroscopic:
        expected |= {"humidity", "humidity_swing"}
    if medium.hygroscopic and medium.mould_class in ORGANIC:
        expected |= {"mould"}
    if medium.group == "metal" or medium.id == "crizzled-glass":
        expected |= {"corrosion"}
    if medium.salts:
        expected |= {"salts"}
    if medium.light.responsivity != "R0":
        expected |= {"light_dose"}
    assert set(medium.deciding) == expected
    assert expected <= HAZARDS


@every_medium
def test_wax_acrylic_panels_paper_and_composition_never_hang_over_a_fire(medium):
    barred = medium.group in ("paper", "photograph") or medium.id in {
        *("wax", "acrylic-painting", "oil-on-panel", "egg-tempera-panel", "marquetry", "frame-composition"),
        *("botanical-specimen", "miniature-on-ivory"),
    }
    assert medium.hearth_bar == barred


@every_medium
def test_what_softens_does_so_above_a_room_and_below_a_fire(medium):
    if medium.heat_limit is not None:
        assert 25 <= medium.heat_limit.value <= 50


def test_originals_that_must_not_be_shown_say_why():
    barred = {medium.id for medium in MEDIA if medium.light.bar}
    assert barred == {"unfixed-print", "autochrome"}


def test_stone_bears_any_light():
    assert LIBRARY.media["marble"].light.responsivity == "R0"


@pytest.mark.parametrize(
    ("medium", "responsivity"),
    [("watercolour", "R2"), ("chromogenic-print", "R3"), ("oil-on-canvas", "R1"), ("bronze", "R0")],
)
def test_classes_that_everybody_agrees_on(medium, responsivity):
    """Examples of CIE 157:2004 and of Michalski's list."""
    assert LIBRARY.media[medium].light.responsivity == responsivity

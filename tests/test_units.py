"""Quantities: what is read, what is refused, and that units never matter."""

from __future__ import annotations

import math
import pickle
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillwall.spellings import SPELLINGS
from stillwall.units import (
    EXAMPLE,
    SI_UNIT,
    QuantityError,
    Size,
    parse_footprint,
    parse_quantity,
    parse_size,
    registry,
    show_length,
    show_mass,
    show_size,
    show_temperature,
    show_temperature_difference,
)

# Exact by the international yard and pound agreement of 1959: 1 ft = 0.3048 m, 1 lb = 0.45359237 kg.
FOOT, POUND = 0.3048, 0.45359237
INCH = FOOT / 12

READ = [
    ("6 ft 2 in", "length", 74 * INCH),
    ("6'2\"", "length", 74 * INCH),
    ("6' 2''", "length", 74 * INCH),
    ("6′ 2″", "length", 74 * INCH),
    ("6’2”", "length", 74 * INCH),
    ("5 ft 10 1/2 in", "length", 70.5 * INCH),
    ("5 ft. 10½ in.", "length", 70.5 * INCH),
    ("48 1/2 in", "length", 48.5 * INCH),
    ("48-1/2 in", "length", 48.5 * INCH),
    ("3/8 inch", "length", 0.375 * INCH),
    ("2 feet", "length", 2 * FOOT),
    ("2 yd", "length", 6 * FOOT),
    ("1.8 m", "length", 1.8),
    ("1.8m", "length", 1.8),
    (".5 m", "length", 0.5),
    ("180 cm", "length", 1.8),
    ("1800 mm", "length", 1.8),
    ("1 m 80 cm", "length", 1.8),
    ("-2 ft 6 in", "length", -2.5 * FOOT),
    ("−2 ft 6 in", "length", -2.5 * FOOT),
    ("1,234,567 mm", "length", 1234.567),
    ("1,234.5 mm", "length", 1.2345),
    ("18 kg", "mass", 18),
    ("40 lb", "mass", 40 * POUND),
    ("40 lbs", "mass", 40 * POUND),
    ("850 g", "mass", 0.85),
    ("11 st 4 lb", "mass", 158 * POUND),
    ("2 lb 8 oz", "mass", 2.5 * POUND),
    ("68 degF", "temperature", 20),
    ("68 °F", "temperature", 20),
    ("68 F", "temperature", 20),
    ("68 deg F", "temperature", 20),
    ("-40 °F", "temperature", -40),
    ("20 degC", "temperature", 20),
    ("20°C", "temperature", 20),
    ("-4.5 C", "temperature", -4.5),
    ("293.15 K", "temperature", 20),
    ("0.4 K", "temperature_difference", 0.4),
    ("-0.4 degC", "temperature_difference", -0.4),
    ("9 degF", "temperature_difference", 5),
    ("50 %", "humidity", 50),
    ("50 %RH", "humidity", 50),
    ("50% RH", "humidity", 50),
    ("50 lx", "illuminance", 50),
    ("1,200 lux", "illuminance", 1200),
    ("1.2 klx", "illuminance", 1200),
    ("5 fc", "illuminance", 5 / FOOT**2),
    ("5 foot-candles", "illuminance", 5 / FOOT**2),
    ("150,000 lx h", "light_dose", 150_000),
    ("150 klx h", "light_dose", 150_000),
    ("150 klx·h", "light_dose", 150_000),
    ("0.15 Mlx h", "light_dose", 150_000),
    ("150000 lux hours", "light_dose", 150_000),
    ("1.5e5 lux-hours", "light_dose", 150_000),
    ("100 fc h", "light_dose", 100 / FOOT**2),
    ("90 deg", "angle", 90),
    ("90°", "angle", 90),
    ("90 degrees", "angle", 90),
    ("2 m2", "area", 2),
    ("2 m²", "area", 2),
    ("2 m^2", "area", 2),
    ("2 sq ft", "area", 2 * FOOT**2),
    ("1.5 W/m2K", "conductance", 1.5),
    ("1.5 W/(m2 K)", "conductance", 1.5),
    ("1.5 W/m²·K", "conductance", 1.5),
    ("1.5 W/m^2/K", "conductance", 1.5),
    ("1.5 W m-2 K-1", "conductance", 1.5),
    ("75 uW/lm", "uv_proportion", 75),
    ("75 µW/lm", "uv_proportion", 75),
    ("75 μW/lm", "uv_proportion", 75),
    ("500 W", "power", 500),
    ("4 kW", "power", 4000),
    ("90 min", "time", 1.5),
    ("1 h 30 min", "time", 1.5),
    ("4 hours", "time", 4),
    ("100 N", "force", 100),
    ("1 kgf", "force", 9.80665),
    ("2 mm/s", "speed", 2),
    ("0.1 in/s", "speed", 2.54),
]


@pytest.mark.parametrize(("text", "kind", "value"), READ)
def test_a_quantity_is_read(text: str, kind: str, value: float) -> None:
    assert parse_quantity(text, kind) == pytest.approx(value, rel=1e-7)


# NIST Special Publication 811 (2008), appendix B.8, International Table Btu; figures from memory. Half a
# unit in the last digit printed is the tolerance.
@pytest.mark.parametrize(
    ("text", "kind", "published", "half_digit"),
    [("1 Btu/(h ft2 °F)", "conductance", 5.678263, 5e-7), ("1 Btu/h", "power", 0.2930711, 5e-8)],
)
def test_heat_units_match_the_published_factors(
    text: str, kind: str, published: float, half_digit: float
) -> None:
    assert parse_quantity(text, kind) == pytest.approx(published, rel=0, abs=half_digit)


REFUSED = [
    ("", "length", "not a number"),
    ("tall", "length", "not a number"),
    ("6", "length", "no unit"),
    ("6 ft 2", "length", "no unit"),
    ("ft 6", "length", "not a number"),
    ("6 fete", "length", "unknown unit 'fete'"),
    ("6 kg", "length", "is a mass"),
    ("6 m", "illuminance", "is a length"),
    ("1/0 in", "length", "not a number"),
    ("6 1/0 in", "length", "not a number"),
    ("nan m", "length", "not a number"),
    ("inf m", "length", "not a number"),
    ("1e400 m", "length", "not a finite number"),
    ("9" * 400 + " m", "length", "not a number"),
    ("1,5 m", "length", "comma"),
    ("0,500 m", "length", "comma"),
    ("1,80 m", "length", "comma"),
    ("1.234,5 m", "length", ""),
    ("1,800 m", "length", "1800 and as 1.800"),
    ("12,34,567 mm", "length", "comma"),
    ("1 500 mm", "length", "not a number"),
    ("5 mlx h", "light_dose", "unknown unit"),
    ("20 degC 5 degC", "temperature", ""),
    ("5 --- m", "length", ""),
    ("--5 m", "length", "not a number"),
    ("5 m**9**9**9", "area", ""),
    ("5 (((((((m", "area", ""),
    ("__import__('os') m", "length", "not a number"),
    ("5 exit()", "length", ""),
    ("5 m; 6 m", "length", ""),
    ("6-2 ft", "length", ""),
    ("6 ft 2 ft", "length", "out of order"),
    ("2 in 6 ft", "length", "out of order"),
    ("6 to 8 ft", "length", ""),
    ("~6 ft", "length", "not a number"),
    ("6 ft\x00", "length", ""),
    ("٦ ft", "length", ""),
]


@pytest.mark.parametrize(("text", "kind", "says"), REFUSED)
def test_what_is_no_quantity_is_refused_in_words(text: str, kind: str, says: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text, kind)
    assert says in caught.value.found
    assert caught.value.expected
    assert caught.value.fix
    assert isinstance(caught.value, ValueError)
    assert len(str(caught.value)) < 200


def test_a_decimal_comma_is_answered_with_the_point() -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity("1,5 m", "length")
    assert "1.5" in caught.value.fix


def test_an_error_survives_being_sent_to_another_process() -> None:
    error = QuantityError("a", "b", "c")
    again = pickle.loads(pickle.dumps(error))
    assert (again.found, again.expected, again.fix) == ("a", "b", "c")


@pytest.mark.parametrize("kind", SI_UNIT)
def test_every_kind_has_an_example_that_is_read(kind: str) -> None:
    assert parse_quantity(EXAMPLE[kind], kind) > 0


NUMBERS = st.floats(min_value=1e-3, max_value=900).map(lambda value: float(f"{value:.6g}"))


@given(NUMBERS, st.sampled_from(sorted(SI_UNIT)), st.data())
def test_every_spelling_converts_as_the_registry_does(value: float, kind: str, data: st.DataObject) -> None:
    # pint evaluates the unit itself here; the reader takes slopes from a closed list of spellings.
    unit = data.draw(st.sampled_from(sorted(SPELLINGS[kind])))
    spelling = data.draw(st.sampled_from(SPELLINGS[kind][unit].split()))
    expected = float(registry().Quantity(value, unit).to(SI_UNIT[kind]).magnitude)
    assert parse_quantity(f"{value!r} {spelling}", kind) == pytest.approx(expected, rel=1e-9, abs=1e-9)


@given(NUMBERS)
def test_us_and_si_say_the_same(feet: float) -> None:
    assert parse_quantity(f"{feet!r} ft", "length") == pytest.approx(
        parse_quantity(f"{feet * FOOT!r} m", "length"), rel=1e-12
    )
    assert parse_quantity(f"{feet!r} lb", "mass") == pytest.approx(
        parse_quantity(f"{feet * POUND!r} kg", "mass"), rel=1e-12
    )
    assert parse_quantity(f"{feet!r} degF", "temperature") == pytest.approx((feet - 32) / 1.8, abs=1e-8)


@given(st.floats(min_value=0.01, max_value=50))
def test_a_length_shown_is_read_back_as_it_was_shown(metres: float) -> None:
    # Half an inch is the finest that US lengths are shown in, 1 cm (1 mm below a metre) the finest of SI.
    assert parse_quantity(show_length(metres, "us"), "length") == pytest.approx(metres, abs=INCH / 4 + 1e-9)
    assert parse_quantity(show_length(metres, "si"), "length") == pytest.approx(metres, abs=0.005 + 1e-9)


@given(st.text(max_size=40), st.sampled_from(sorted(SI_UNIT)))
def test_any_text_is_a_finite_number_or_an_error(text: str, kind: str) -> None:
    try:
        value = parse_quantity(text, kind)
    except QuantityError:
        return
    assert math.isfinite(value)


@given(st.text(alphabet="0123456789 .,/-'\"xXbyftinmchwd×½()", max_size=30))
def test_any_text_is_a_size_above_zero_or_an_error(text: str) -> None:
    try:
        size = parse_size(text)
    except QuantityError:
        return
    assert size.height_m > 0
    assert size.width_m > 0


SIZES = [
    ("6 ft x 8 ft", (6 * FOOT, 8 * FOOT)),
    ("30 x 40 in", (30 * INCH, 40 * INCH)),
    ("30x40in", (30 * INCH, 40 * INCH)),
    ("30 X 40 in", (30 * INCH, 40 * INCH)),
    ("30 by 40 in", (30 * INCH, 40 * INCH)),
    ("30½ × 40¼ in", (30.5 * INCH, 40.25 * INCH)),
    ("6'2\" x 8'", (74 * INCH, 8 * FOOT)),
    ("6 ft 2 in x 8 ft 1/2 in", (74 * INCH, 96.5 * INCH)),
    ("6 ft high x 8 ft wide", (6 * FOOT, 8 * FOOT)),
    ("6 ft (h) x 8 ft (w)", (6 * FOOT, 8 * FOOT)),
    ("H 6 ft x W 8 ft", (6 * FOOT, 8 * FOOT)),
    ("1.2 m x 90 cm", (1.2, 0.9)),
    ("1.2 × 0.9 m", (1.2, 0.9)),
    ("600mm x 800mm x 35mm", (0.6, 0.8, 0.035)),
    ("72 in. x 96 in.", (72 * INCH, 96 * INCH)),
]


@pytest.mark.parametrize(("text", "sides"), SIZES)
def test_a_size_is_height_by_width(text: str, sides: tuple[float, ...]) -> None:
    size = parse_size(text)
    read = (size.height_m, size.width_m, size.depth_m)[: len(sides)]
    assert read == pytest.approx(sides)


@pytest.mark.parametrize(
    ("text", "says", "advice"),
    [
        ("8 ft wide x 6 ft high", "width before height", "'6 ft x 8 ft'"),
        ("8 ft w x 6 ft h", "width before height", "'6 ft x 8 ft'"),
        ("W 8 ft x H 6 ft", "width before height", "'6 ft x 8 ft'"),
        ("8 ft wide x 6 ft", "width", "height first"),
        ("6 ft", "not height x width", "height x width"),
        ("6 ft x", "not height x width", ""),
        ("6 x 8", "no unit", "add the unit"),
        ("30 in x 40", "no unit", ""),
        ("5 x 4 ft 6 in", "no unit", ""),
        ("6 ft 2 x 8 ft", "no unit", ""),
        ("1 x 2 x 3 x 4 in", "not height x width", ""),
        ("0 x 8 ft", "not above zero", ""),
        ("-6 ft x 8 ft", "not above zero", ""),
        ("6 kg x 8 kg", "is a mass", ""),
        ("1,5 x 2 m", "comma", "1.5"),
        ("6 ft x 8 ft" * 100, "too long", ""),
    ],
)
def test_a_size_that_is_none_is_refused_in_words(text: str, says: str, advice: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_size(text)
    assert says in caught.value.found
    assert advice in caught.value.fix


@given(NUMBERS, NUMBERS)
def test_the_first_number_of_a_size_is_its_height(height: float, width: float) -> None:
    us, si = (
        parse_size(f"{height!r} ft x {width!r} ft"),
        parse_size(f"{height * FOOT!r} x {width * FOOT!r} m"),
    )
    assert us.height_m == pytest.approx(height * FOOT)
    assert us.width_m == pytest.approx(width * FOOT)
    assert (si.height_m, si.width_m) == pytest.approx((us.height_m, us.width_m))


def test_a_footprint_is_width_by_depth() -> None:
    assert parse_footprint("14 in x 12 in") == Size(
        parse_quantity("14 in", "length"), parse_quantity("12 in", "length")
    )
    assert parse_footprint("14 in wide x 12 in deep") == parse_footprint("14 x 12 in")
    with pytest.raises(QuantityError, match="depth before width"):
        parse_footprint("12 in deep x 14 in wide")


def test_how_quantities_are_shown() -> None:
    assert show_length(74 * INCH, "us") == "6 ft 2 in"
    assert show_length(0.5 * INCH, "us") == "0.5 in"
    assert show_length(2 * FOOT, "us") == "2 ft"
    assert show_length(-30 * INCH, "us") == "-2 ft 6 in"
    assert show_length(1.8796, "si") == "1.88 m"
    assert show_length(0.35, "si") == "350 mm"
    assert show_size(Size(6 * FOOT, 8 * FOOT), "us") == "6 ft x 8 ft"
    assert show_size(Size(1.8, 2.4, 0.05), "si") == "1.80 m x 2.40 m x 50 mm"
    assert show_mass(100 * POUND, "us") == "100 lb"
    assert (show_mass(45.4, "si"), show_mass(4.54, "si")) == ("45 kg", "4.5 kg")
    assert (show_temperature(20, "us"), show_temperature(20, "si")) == ("68 °F", "20.0 °C")
    assert (show_temperature_difference(5, "us"), show_temperature_difference(5, "si")) == ("9.0 °F", "5.0 K")


def test_units_import_no_registry_until_one_is_needed() -> None:
    code = "import sys, stillwall.units; print('pint' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"

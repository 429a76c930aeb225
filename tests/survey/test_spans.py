"""Times of the day and the year as people write them."""

from __future__ import annotations

import pytest

from stillwall.survey.quantities import UnusableError
from stillwall.survey.spans import daily_hours, month_number, year_span


@pytest.mark.parametrize(
    ("text", "start", "end"),
    [
        ("09:00 to 18:00", 9, 18),
        ("9:30 - 18:15", 9.5, 18.25),
        ("17:00 until 09:00", 17, 9),
        ("00:00 to 24:00", 0, 24),
    ],
)
def test_hours_of_the_day(text: str, start: float, end: float) -> None:
    assert daily_hours(text) == (start, end)


@pytest.mark.parametrize(
    "text", ["", "9 to 5", "25:00 to 26:00", "24:30 to 09:00", "09:60 to 10:00", "always"]
)
def test_hours_that_are_none(text: str) -> None:
    with pytest.raises(UnusableError):
        daily_hours(text)


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("1 Oct to 30 Apr", (10, 1), (4, 30)),
        ("15 September until 1 May", (9, 15), (5, 1)),
        ("29 Feb - 1 Mar.", (2, 29), (3, 1)),
    ],
)
def test_spans_of_the_year(text: str, first: tuple[int, int], last: tuple[int, int]) -> None:
    assert year_span(text) == (first, last)


@pytest.mark.parametrize(
    "text", ["", "winter", "31 Sep to 1 May", "0 Oct to 1 May", "1 Okt to 1 May", "Oct to Apr"]
)
def test_spans_that_are_none(text: str) -> None:
    with pytest.raises(UnusableError):
        year_span(text)


def test_names_of_months() -> None:
    assert [month_number(word) for word in ("jan", "Feb.", "SEPT", "december", "ju", "", "x")] == [
        1,
        2,
        9,
        12,
        0,
        0,
        0,
    ]

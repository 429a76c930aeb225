"""Light of a place as it is drawn: by hour and day, when the sun lands, the dose against its budget."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from stillwall.answers import Placed
from stillwall.charts.carpet import CarpetView, carpet_drawing
from stillwall.charts.dose import DoseView, dose_drawing
from stillwall.charts.figures import significant
from stillwall.charts.sun import SunView, sun_drawing
from stillwall.charts.theme import Drawing
from stillwall.exposure.light_carpet import light_carpet
from stillwall.exposure.sun_on_wall import LEAST_LIT, SunCalendar
from stillwall.setting.lighting import dose_fan
from stillwall.setting.sun_on_work import sun_calendar_of

MOST_SLOTS = 96
EPOCH = dt.date(1970, 1, 1)
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def light_charts(
    placed: Placed, *, prefix: str, drawn: dict[str, Drawing]
) -> Iterator[tuple[str, Drawing, str]]:
    """Heading, drawing and caption for what is known of the light; ``drawn`` remembers each drawing."""
    case = placed.case
    channel = case.site.record.get("light")
    calendar = sun_calendar_of(case)
    if channel is not None and len(channel.times) > 1:
        slots = int(np.clip(86_400 // max(channel.step_s, 1.0), 24, MOST_SLOTS))
        carpet = light_carpet(case.site.record, slots)
        if carpet is not None:
            sun = None if calendar is None else _over(calendar, carpet.first_day, len(carpet.lux))
            name = f"{prefix}-light"
            if name not in drawn:
                drawn[name] = carpet_drawing(CarpetView(carpet.first_day, carpet.lux, sun), prefix=name)
            yield (
                "When is it light? Illuminance by hour and day",
                drawn[name],
                " ".join(
                    (
                        "Darker is more light, from 10 to 5,000 lx; paper where nothing was read.",
                        sun_words(calendar, outlined=sun is not None and bool(sun.any())),
                    )
                ),
            )
    if calendar is not None and calendar.hours:
        first_day = np.datetime64(calendar.first_day, "D")
        lit = np.where(calendar.lit > LEAST_LIT, calendar.lit, 0.0)
        name = f"{prefix}-sun"
        if name not in drawn:
            drawn[name] = sun_drawing(SunView(first_day, lit), prefix=name)
        yield (
            "When can the sun land on the work?",
            drawn[name],
            f"Under a clear sky, by the windows surveyed: about {calendar.hours:.0f} h a year. Deeper is "
            "more of the work.",
        )
    fan = dose_fan(case)
    budget = next((load.allowance for load in placed.judged.loads if load.hazard == "light_dose"), None)
    if fan is not None and budget is not None and len(fan.days) > 1:
        view = DoseView(
            days=fan.days,
            low=fan.low,
            median=fan.median,
            high=fan.high,
            budget_lux_h=budget.value,
            budget_words=f"allowance, {significant(budget.value / 1000)} klx h",
        )
        name = f"{prefix}-dose"
        if name not in drawn:
            drawn[name] = dose_drawing(view, prefix=name)
        yield (
            "Will the light stay within its budget?",
            drawn[name],
            "Dose from the first day of the stay on: best estimate and 90 % fan.",
        )


def _over(calendar: SunCalendar, first_day: np.datetime64, days: int) -> NDArray[np.bool_]:
    """Whether the sun lands on each day and slot of a carpet; a calendar year stands for every year."""
    start = int(first_day.astype("datetime64[D]").astype(np.int64))
    row = (start + np.arange(days) - calendar.first_day) % len(calendar.lit)
    lit: NDArray[np.bool_] = calendar.lit[row] > LEAST_LIT
    return lit


def sun_words(calendar: SunCalendar | None, *, outlined: bool) -> str:
    """When the sun lands on the work, by its spells: ``15:40 to 16:25, 3 Feb to 9 Apr``."""
    if calendar is None:
        return "No window is surveyed from which the sun could be followed."
    spells = calendar.spells()
    if not spells:
        return "By the windows surveyed, no sun lands on the work."
    told = [
        f"{_clock(early)} to {_clock(late)}, {_day(first)} to {_day(last)}"
        for first, last, early, late in spells[:3]
    ]
    more = " and at other times" if len(spells) > 3 else ""
    where = "Outlined: sun" if outlined else "In none of these days, but in others, there is sun"
    return f"{where} on the work under a clear sky, {'; '.join(told)}{more}."


def _clock(hour: float) -> str:
    minutes = round(hour * 60)
    return f"{minutes // 60}:{minutes % 60:02d}"


def _day(day: int) -> str:
    date = EPOCH + dt.timedelta(days=day)
    return f"{date.day} {MONTHS[date.month - 1]}"

"""Is the room steady? Humidity or temperature over time: least and greatest of each day, against a band."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import matplotlib.dates as mdates
import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray
from scipy.ndimage import maximum_filter1d

from stillwall.charts.calendar import calendar_axis
from stillwall.charts.theme import (
    BAND,
    DATA,
    LIMIT,
    NARROW_PX,
    PX,
    RULE,
    SMALL_PT,
    WASH,
    WIDE_PX,
    Drawing,
    drawn,
    strokes,
)
from stillwall.record import Channel

Floats = NDArray[np.float64]
LETTER_PX = 6.2
"""Mean width of a small letter. [px]"""
Days = NDArray[np.datetime64]


@dataclass(frozen=True, slots=True, eq=False)
class DayRange:
    """Least, mean and greatest reading of each day; NaN where nothing was read. Shape (n,) each."""

    days: Days
    least: Floats
    mean: Floats
    greatest: Floats


@dataclass(frozen=True, slots=True, eq=False)
class BandLine:
    """A band over time, with its label. Shape (n,) each; constant bands have two points."""

    times: Days
    low: Floats
    high: Floats
    label: str
    centre: Floats | None = None


@dataclass(frozen=True, slots=True)
class SeriesView:
    """One quantity of one room as it is drawn."""

    title: str
    unit: str
    days: DayRange
    bands: tuple[BandLine, ...] = ()
    share_recorded: float | None = None


def day_ranges(channel: Channel) -> DayRange:
    """Least, mean and greatest of every day of a channel, so that no peak is lost in drawing."""
    times, values = channel.kept
    if not len(times):
        empty = np.empty(0)
        return DayRange(np.empty(0, "datetime64[D]"), empty, empty, empty)
    day = times.astype("datetime64[D]")
    number = (day - day[0]).astype(np.int64)
    starts = np.flatnonzero(np.diff(number, prepend=-1))
    least, mean, greatest = (np.full(number[-1] + 1, np.nan) for _ in range(3))
    which = number[starts]
    least[which] = np.minimum.reduceat(values, starts)
    greatest[which] = np.maximum.reduceat(values, starts)
    mean[which] = np.add.reduceat(values, starts) / np.diff(np.append(starts, len(values)))
    return DayRange(day[0] + np.arange(len(mean)), least, mean, greatest)


def draw_series(ax: Axes, view: SeriesView, *, compact: bool = False) -> None:
    """Draw the daily range in slate, brown where it leaves the first band, over the bands."""
    days = view.days
    at = mdates.date2num(days.days)
    for band in view.bands:
        ax.fill_between(mdates.date2num(band.times), band.low, band.high, color=BAND, linewidth=0, zorder=1)
        if band.centre is not None:
            ax.plot(mdates.date2num(band.times), band.centre, color=LIMIT, linewidth=0.9, zorder=4)
    low, high = _limits(view, at)
    known = ~np.isnan(days.least)
    wide = _day_px(ax, at)
    _bars(ax, at[known], days.least[known], days.greatest[known], DATA, wide_px=wide)
    over = known & (days.greatest > high)
    under = known & (days.least < low)
    _bars(ax, at[over], np.maximum(days.least, high)[over], days.greatest[over], WASH[3], wide_px=wide)
    _bars(ax, at[under], days.least[under], np.minimum(days.greatest, low)[under], WASH[3], wide_px=wide)
    ax.spines["bottom"].set_color(RULE)
    ax.spines["left"].set_visible(False)
    if len(at):
        ax.set_xlim(at[0] - 0.5, at[-1] + 0.5)
        _headroom(ax, view)
    _ticks(ax, view, at, compact=compact)
    _label_bands(ax, view)


def _width_px(ax: Axes) -> float:
    """Width of the axes on the page. [px]"""
    root = ax.get_figure(root=True)
    assert root is not None
    return float(root.get_size_inches()[0] / PX) * ax.get_position().width


def _day_px(ax: Axes, at: Floats) -> float:
    """Width of a day on the page. [px]"""
    width_px = _width_px(ax)
    return width_px / max(1.0, float(at[-1] - at[0]) + 1.0) if len(at) else width_px


def _headroom(ax: Axes, view: SeriesView) -> None:
    days = view.days
    low = np.nanmin(days.least) if not np.isnan(days.least).all() else 0.0
    high = np.nanmax(days.greatest) if not np.isnan(days.greatest).all() else 1.0
    for band in view.bands:
        low, high = min(low, band.low.min()), max(high, band.high.max())
    margin = 0.05 * (high - low) + 0.5
    ax.set_ylim(low - margin, high + 2.2 * margin)


def _bars(ax: Axes, at: Floats, low: Floats, high: Floats, color: str, *, wide_px: float) -> None:
    """Upright bars as one broken line; days closer than a pixel share a bar, so that no peak is lost."""
    if not len(at):
        return
    together = max(1.0, float(np.ceil(1.0 / wide_px)))
    group = np.floor((at - at[0]) / together).astype(np.int64)
    starts = np.flatnonzero(np.diff(group, prepend=-1))
    middle = np.add.reduceat(at, starts) / np.diff(np.append(starts, len(at)))
    lower, upper = np.minimum.reduceat(low, starts), np.maximum.reduceat(high, starts)
    upper = np.maximum(upper, lower + 0.1)
    strokes(ax, (middle, middle), (lower, upper), color=color, linewidth=wide_px * together * 0.75, zorder=3)


def _limits(view: SeriesView, at: Floats) -> tuple[Floats, Floats]:
    if not view.bands:
        return np.full(len(at), -np.inf), np.full(len(at), np.inf)
    band = view.bands[0]
    times = mdates.date2num(band.times)
    low = np.interp(at, times, band.low, left=-np.inf, right=-np.inf)
    high = np.interp(at, times, band.high, left=np.inf, right=np.inf)
    return low, high


def _ticks(ax: Axes, view: SeriesView, at: Floats, *, compact: bool) -> None:
    if len(at):
        calendar_axis(ax, float(at[0]), float(at[-1]), compact=compact)
    ax.yaxis.grid(visible=True, color=RULE, linewidth=0.5)
    ax.yaxis.set_major_locator(MaxNLocator(nbins=5, integer=True))
    ticks = [tick for tick in ax.get_yticks() if ax.get_ylim()[0] <= tick <= ax.get_ylim()[1]]
    labels = [f"{tick:g}" for tick in ticks]
    if labels:
        labels[-1] = f"{labels[-1]} {view.unit}"
    ax.set_yticks(ticks, labels)


def _label_bands(ax: Axes, view: SeriesView) -> None:
    """Name each band where it is emptiest; above everything where readings leave it no room."""
    style: dict[str, Any] = {"color": LIMIT, "fontsize": SMALL_PT, "zorder": 5, "ha": "center"}
    for band in view.bands if len(view.days.days) else ():
        daily = band if len(band.times) > 2 else _daily(band, view.days)
        spot, clear = _emptiest(view, daily, LETTER_PX * len(band.label) / _width_px(ax))
        place = float(mdates.date2num(daily.times[spot]))
        if clear:
            ax.text(place, float(daily.high[spot]), band.label, va="bottom", **style)
        else:
            ax.text(place, 1.0, band.label, va="top", transform=ax.get_xaxis_transform(), **style)


def _daily(band: BandLine, days: DayRange) -> BandLine:
    """A constant band on every day that is drawn."""
    low, high = (np.full(len(days.days), float(level[0])) for level in (band.low, band.high))
    return BandLine(days.days, low, high, band.label)


def _emptiest(view: SeriesView, band: BandLine, share: float) -> tuple[int, bool]:
    """Index where the label stands freest, and whether no reading or rise of the band crosses it there.

    High up on the band, away from its ends and from readings; ``share`` is the label's part of the width.
    """
    days = view.days
    peaks = np.interp(
        mdates.date2num(band.times), mdates.date2num(days.days), np.nan_to_num(days.greatest, nan=-1e3)
    )
    count = len(band.times)
    wide = 1 + int(min(share, 0.9) * count)
    edge = min(max(1, wide // 2), (count - 1) // 2)
    peaks = maximum_filter1d(peaks, wide)
    crest = maximum_filter1d(band.high, wide)
    room = band.high - np.maximum(peaks, band.low) + 0.2 * (band.high - band.high.min())
    spot = edge + int(np.argmax(room[edge : count - edge]))
    rise = crest[spot] - band.high[spot]
    return spot, bool(peaks[spot] <= band.high[spot] and rise <= 0.1 * (crest[spot] - band.low.min()))


def series_drawing(view: SeriesView, *, prefix: str) -> Drawing:
    """A quantity over time for the page, with its months in a table."""
    return Drawing(
        wide=drawn(
            lambda ax: draw_series(ax, view),
            (WIDE_PX, 232),
            left=62,
            right=8,
            top=16,
            bottom=26,
            prefix=f"{prefix}-w",
        ),
        narrow=drawn(
            lambda ax: draw_series(ax, view, compact=True),
            (NARROW_PX, 210),
            left=58,
            right=4,
            top=16,
            bottom=26,
            prefix=f"{prefix}-n",
        ),
        alternative=_say(view),
        columns=("month", "days read", "least", "mean", "greatest"),
        rows=tuple(_months(view.days)),
    )


def _months(days: DayRange) -> Sequence[tuple[str, ...]]:
    months = days.days.astype("datetime64[M]")
    rows = []
    for month in np.unique(months):
        here = (months == month) & ~np.isnan(days.mean)
        if here.any():
            rows.append(
                (
                    str(month),
                    str(int(here.sum())),
                    f"{days.least[here].min():.1f}",
                    f"{days.mean[here].mean():.1f}",
                    f"{days.greatest[here].max():.1f}",
                )
            )
    return rows


def _say(view: SeriesView) -> str:
    days = view.days
    known = ~np.isnan(days.mean)
    if not known.any():
        return f"{view.title}: no readings."
    return (
        f"{view.title} from {days.days[known][0]} to {days.days[known][-1]}, drawn as the range of each day: "
        f"least {days.least[known].min():.1f}, mean {days.mean[known].mean():.1f}, greatest "
        f"{days.greatest[known].max():.1f} {view.unit}."
    )

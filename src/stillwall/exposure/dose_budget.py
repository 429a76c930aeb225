"""A work's light as a budget: what a stay may use, what has been used, how to rest."""

from __future__ import annotations

from datetime import date, timedelta

DAYS = 365.25


def spent_before(spent_lux_h: float, since: date, to: date, start: date, *, window_days: int = 365) -> float:
    """The part of a past dose that fell in the year before a stay, spread evenly over its dates. [lx h]"""
    first = max(since, start - timedelta(days=window_days))
    last = min(to, start)
    length = max((to - since).days, 1)
    return spent_lux_h * min(max((last - first).days, 0) / length, 1.0)


def stay_allowance(annual_limit_lux_h: float, days: float, spent_lux_h: float = 0.0) -> float:
    """What a stay may use. [lx h]

    A stay of less than a year: the whole yearly limit less what was taken in the twelve months before,
    never under a hundredth of it; a longer one: in proportion.
    """
    if days >= 365.0:
        return annual_limit_lux_h * days / DAYS
    return max(annual_limit_lux_h - spent_lux_h, 0.01 * annual_limit_lux_h)


def lender_allowance(annual_limit_lux_h: float, days: float) -> float:
    """What a loan may use: the lender's yearly figure in proportion. [lx h]"""
    return annual_limit_lux_h * days / DAYS


def on_show_share(annual_dose_lux_h: float, annual_limit_lux_h: float) -> float:
    """Share of the time on show that keeps a long-run mean within the limit. [1]"""
    return 1.0 if annual_dose_lux_h <= annual_limit_lux_h else annual_limit_lux_h / annual_dose_lux_h


def dark_years_after(used_lux_h: float, annual_limit_lux_h: float, show_years: float) -> float:
    """Years in the dark after which a stay's mean is back within the limit; rest undoes no fading. [a]"""
    return max(used_lux_h / annual_limit_lux_h - show_years, 0.0)


def pace_limit(step_dose_mlx_h: float, years_per_step: float) -> float:
    """Yearly dose that makes one just noticeable step in so many years. [lx h]"""
    return step_dose_mlx_h * 1e6 / years_per_step

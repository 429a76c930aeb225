"""Openings of outer doors seen in a log: how a breath of outdoor air moves temperature and humidity."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, TypeVar

import numpy as np
import scipy
from numpy.typing import NDArray

from stillwall.exposure.moist_air import vapour_pressure
from stillwall.exposure.readings import Readings, at_times, readings
from stillwall.record import Record

Floats = NDArray[np.float64]
Value = TypeVar("Value", float, NDArray[np.float64])

LONGEST_S: Final = 3600
"""A breath comes and goes within an hour; what stays longer is weather or a window."""
SMOOTH_S: Final = 180
"""Readings closer than this are averaged, which takes off noise and the grain of the sensor."""
QUICK_S: Final = 600
"""It comes within ten minutes."""
CONTRAST_K: Final = 5.0
"""Less than this between indoors and outdoors and doors cannot be seen."""
LEAST_K: Final = 0.40
"""Least fall that the sensor shows."""
NOISE_TIMES: Final = 6.0
"""Least fall in terms of the sensor's own unrest."""
STANDS_OUT: Final = 0.5
"""Least prominence of a peak in terms of the least fall: openings soon after one another show as one hill."""
CAME: Final = 0.4
"""Share of the prominence that comes within ten minutes."""
RECOVERS: Final = 0.3
"""Share of the prominence that is made good within three quarters of an hour."""
FRACTION: Final = (0.015, 0.7)
"""Believable shares of outdoor air at the wall."""
VAPOUR_CONTRAST_PA: Final = 150.0
"""Less than this between indoors and outdoors and vapour says nothing."""
LINE_SHARE: Final = 0.75
LINE_LEAST: Final = 0.10
"""Shares of outdoor air by temperature and by vapour may differ by this much of the larger, and this."""
COARSEST_S: Final = 1800


def sensor_peak_fraction(pulse_min: float, tau_min: float) -> float:
    """Share of a rectangular pulse that a first-order sensor shows at its end."""
    return -math.expm1(-pulse_min / tau_min)


def outdoor_fraction(before: Value, after: Value, outdoors: Value) -> Value:
    """Share of outdoor air in a mixture, from any conserved quantity before, after and outdoors."""
    return (after - before) / (outdoors - before)


@dataclass(frozen=True, slots=True)
class Draughts:
    """Breaths of outdoor air that a log has seen.

    Attributes
    ----------
    count
        Breaths seen. Openings close together merge into one.
    days
        Days on which indoors and outdoors differed enough for breaths to show. [d]
    step_k, step_pct
        Size of the ordinary breath, its 75th percentile: fall of temperature, change of relative
        humidity. [K], [%]
    hours_a_day
        Time with a disturbance under way, on such days. [h/d]
    step_s
        Interval of the log. [s]
    times
        Local times of the breaths, datetime64[s].
    """

    count: int = 0
    days: float = 0.0
    step_k: float = 0.0
    step_pct: float = 0.0
    hours_a_day: float = 0.0
    step_s: float = math.nan
    times: tuple[np.datetime64, ...] = ()

    @property
    def per_day(self) -> float:
        """Breaths a day on which they could be seen."""
        return self.count / self.days if self.days > 0 else 0.0


def draughts_seen(record: Record) -> Draughts | None:
    """Breaths of outdoor air in a record; None where there is no outdoor record or the log is too coarse."""
    inside = readings(record, "temperature")
    outside = None if record.outdoors is None else readings(record.outdoors, "temperature")
    if inside is None or outside is None:
        return None
    step_s = float(np.median(np.diff(inside.seconds)))
    if step_s > COARSEST_S:
        return None
    outdoors_c, known = at_times(outside, inside.seconds)
    contrast = np.where(known, outdoors_c - inside.values, 0.0)
    visible = np.abs(contrast) >= CONTRAST_K
    days = float(inside.hours[visible].sum()) / 24
    if days <= 0:
        return Draughts(step_s=step_s)
    sign = np.sign(contrast)
    fall = _pulse(inside.values, step_s, sign)
    at = _breaths(fall, inside, step_s, visible)
    at = at[_on_mixing_line(record, inside, fall, contrast, at)]
    if len(at) == 0:
        return Draughts(days=days, step_s=step_s)
    under_way = (fall > 0.5 * LEAST_K) & visible
    humidity = readings(record, "humidity")
    return Draughts(
        count=len(at),
        days=days,
        step_k=float(np.quantile(fall[at], 0.75)),
        step_pct=0.0 if humidity is None else _humidity_step(humidity, inside.seconds[at], step_s),
        hours_a_day=float(inside.hours[under_way].sum()) / days,
        step_s=step_s,
        times=tuple(inside.local_seconds[at].astype("datetime64[s]")),
    )


def _pulse(values: Floats, step_s: float, sign: Floats) -> Floats:
    """How far each reading lies towards outdoors from where it was and soon is again.

    A closing with a window of an hour fills every shorter pulse: the greatest, then the least, of the
    values turned so that outdoors is down.
    """
    size = max(3, round(LONGEST_S / step_s) | 1)
    smooth = scipy.ndimage.uniform_filter1d(values, max(1, round(SMOOTH_S / step_s)), mode="nearest")
    towards = np.where(sign > 0, -smooth, smooth)
    filled = scipy.ndimage.minimum_filter1d(
        scipy.ndimage.maximum_filter1d(towards, size, mode="nearest"), size, mode="nearest"
    )
    made: Floats = filled - towards
    return made


def _breaths(fall: Floats, inside: Readings, step_s: float, visible: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Indices of peaks of the pulse that stand out, come quickly and pass."""
    quick = max(1, math.ceil(QUICK_S / step_s))
    longest = max(1, math.ceil(0.75 * LONGEST_S / step_s))
    unrest = 1.4826 * float(np.median(np.abs(np.diff(inside.values)))) / math.sqrt(2)
    least = max(LEAST_K, NOISE_TIMES * unrest)
    peaks, found = scipy.signal.find_peaks(
        np.where(_whole(inside, step_s) & visible, fall, 0.0),
        height=least,
        prominence=STANDS_OUT * least,
        distance=max(1, quick // 3),
        wlen=2 * round(LONGEST_S / step_s) + 1,
    )
    if len(peaks) == 0:
        return np.zeros(0, dtype=np.int64)
    stands_out = found["prominences"]
    came = fall[peaks] - _least_near(fall, peaks, -quick)
    went = fall[peaks] - _least_near(fall, peaks, longest)
    made: NDArray[np.int64] = peaks[(came >= CAME * stands_out) & (went >= RECOVERS * stands_out)]
    return made


def _whole(inside: Readings, step_s: float) -> NDArray[np.bool_]:
    """Readings with no gap and no end of the log within half an hour."""
    wide = np.diff(inside.seconds) > max(3 * step_s, 1200)
    broken = np.concatenate(([True], wide)) | np.concatenate((wide, [True]))
    size = 2 * math.ceil(LONGEST_S / 2 / step_s) + 1
    made: NDArray[np.bool_] = (
        scipy.ndimage.maximum_filter1d(broken.astype(np.int8), size, mode="nearest") == 0
    )
    return made


def _least_near(values: Floats, at: NDArray[np.int64], reach: int) -> Floats:
    """Least value among the ``reach`` readings after each index, before it where that is negative."""
    steps = np.arange(1, abs(reach) + 1) * (1 if reach > 0 else -1)
    index = np.clip(at[:, None] + steps, 0, len(values) - 1)
    made: Floats = values[index].min(axis=1)
    return made


def _on_mixing_line(
    record: Record, inside: Readings, fall: Floats, contrast: Floats, at: NDArray[np.int64]
) -> NDArray[np.bool_]:
    """Which breaths move temperature and vapour along one line towards the air outdoors."""
    share = outdoor_fraction(np.zeros(len(at)), fall[at], np.maximum(np.abs(contrast[at]) + fall[at], 1e-9))
    believable = (share >= FRACTION[0]) & (share <= FRACTION[1])
    humidity = readings(record, "humidity")
    assert record.outdoors is not None
    wet_out, warm_out = readings(record.outdoors, "humidity"), readings(record.outdoors, "temperature")
    if humidity is None or wet_out is None or warm_out is None:
        return believable
    rh, known = at_times(humidity, inside.seconds)
    rh_out, known_out = at_times(wet_out, inside.seconds)
    t_out, _ = at_times(warm_out, inside.seconds)
    vapour, vapour_out = vapour_pressure(inside.values, rh), vapour_pressure(t_out, rh_out)
    step_s = float(np.median(np.diff(inside.seconds)))
    quick = max(1, math.ceil(QUICK_S / step_s))
    smooth = scipy.ndimage.uniform_filter1d(vapour, max(1, round(120 / step_s)), mode="nearest")
    before = smooth[np.clip(at - 2 * quick, 0, len(smooth) - 1)]
    towards = vapour_out[at] - before
    moved = (smooth[at] - before) / np.where(np.abs(towards) > 1.0, towards, 1.0)
    tells = known[at] & known_out[at] & (np.abs(towards) >= VAPOUR_CONTRAST_PA)
    off_line = np.abs(share - moved) > LINE_SHARE * np.maximum(share, moved) + LINE_LEAST
    made: NDArray[np.bool_] = believable & ~(tells & off_line)
    return made


def _humidity_step(humidity: Readings, seconds: NDArray[np.int64], step_s: float) -> float:
    """Ordinary change of relative humidity within a quarter of an hour about the breaths. [%]"""
    reach = max(1, math.ceil(900 / step_s))
    at = np.clip(np.searchsorted(humidity.seconds, seconds), 0, len(humidity.values) - 1)
    index = np.clip(at[:, None] + np.arange(-reach, reach + 1), 0, len(humidity.values) - 1)
    around = humidity.values[index]
    return float(np.quantile(around.max(axis=1) - around.min(axis=1), 0.75))

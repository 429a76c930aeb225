"""What goes wrong with loggers: each function returns the readings with one believable fault in them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from .clock import Floats, Times


@dataclass(frozen=True)
class Readings:
    """Readings of one logger in the order of its file: clock of the file, one column a channel."""

    times: Times
    columns: tuple[Floats, ...]

    def after(self, moment: str) -> int:
        """Index of the first reading at or after a moment of the file's clock."""
        return int(np.argmax(self.times >= np.datetime64(moment)))


def _changed(readings: Readings, column: int, values: Floats) -> Readings:
    columns = list(readings.columns)
    columns[column] = values
    return replace(readings, columns=tuple(columns))


def stuck(readings: Readings, column: int, moment: str, count: int) -> Readings:
    """One channel repeats its value ``count`` times."""
    values, first = readings.columns[column].copy(), readings.after(moment)
    values[first : first + count] = values[first]
    return _changed(readings, column, values)


def spike(readings: Readings, column: int, moment: str, height: float) -> Readings:
    """One reading jumps and the next is back."""
    values = readings.columns[column].copy()
    values[readings.after(moment)] += height
    return _changed(readings, column, values)


def sentinel(readings: Readings, column: int, moment: str, count: int, value: float) -> Readings:
    """A number that stands for no reading."""
    values, first = readings.columns[column].copy(), readings.after(moment)
    values[first : first + count] = value
    return _changed(readings, column, values)


def gap(readings: Readings, begin: str, end: str) -> Readings:
    """Nothing is written between two moments: a flat battery, a full memory."""
    keep = (readings.times < np.datetime64(begin)) | (readings.times >= np.datetime64(end))
    return Readings(readings.times[keep], tuple(column[keep] for column in readings.columns))

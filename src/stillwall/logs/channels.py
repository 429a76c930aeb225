"""Channels of one file: rows parted by sensor and quantity, units converted, order and repeats settled."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from stillwall.errors import LogError
from stillwall.logs.arrow import pa, pc
from stillwall.logs.clock import Moments, Zone, zone_of
from stillwall.logs.columns import Columns
from stillwall.logs.daylight import localise
from stillwall.logs.encoding import refuse
from stillwall.logs.faults import find_faults
from stillwall.logs.parse import Rows
from stillwall.logs.plausible import doubt, light_is_doubtful
from stillwall.logs.quantities import CONVERTED, convert, kept_unit, settled, split_unit, unit_of
from stillwall.logs.questions import ask
from stillwall.logs.sentinels import without_sentinels
from stillwall.logs.series import Clocked, Ints, Series, clocked, moments_of, series
from stillwall.logs.table import Table
from stillwall.logs.thresholds import limit
from stillwall.logs.words import role_of
from stillwall.record import Channel, Flag, Floats, Role, Times
from stillwall.survey.loggers import LoggerSettings
from stillwall.units import parse_quantity

MOST_CONFLICTING = 0.2


@dataclass(frozen=True, slots=True, eq=False)
class _Part:
    """Values of one sensor and quantity, in the file's unit; ``group`` says which rows they are of."""

    group: str
    header: str
    role: Role
    unit: str
    unit_told: bool
    sensor: str | None
    values: Floats
    place: int


@dataclass(frozen=True, slots=True, eq=False)
class _Group:
    """Rows that one clock wrote."""

    clock: Clocked
    times: Times
    flags: tuple[Flag, ...]


def build(
    rows: Rows,
    when: Moments,
    columns: Columns,
    table: Table,
    settings: LoggerSettings,
    zone: str | None,
    name: str,
    cut: int | None,
) -> tuple[tuple[Channel, ...], tuple[str, ...]]:
    """Channels of a file, and notes.

    ``cut`` is the column of the last row that may be cut short.

    Raises
    ------
    LogError
        If a unit is doubtful, or if nothing tells sensors apart.
    """
    known = Zone() if when.utc else zone_of(columns, table, settings, zone, name)
    notes = [known.note] if known.note else []
    picks, labels = _row_groups(rows, columns)
    groups: dict[str, _Group] = {}
    for key, pick in picks.items():
        groups[key], more = _group(when, pick, known)
        notes += [note for note in more if note not in notes]
    utc = when.utc or known.offset_min is not None or known.name is not None
    parts = _parts(rows, columns, picks, labels, settings, name, notes)
    made: list[Channel] = []
    for part in parts:
        channel = _channel(
            part, groups[part.group], picks[part.group], rows, columns, table, settings, name, utc, cut, notes
        )
        if channel is not None:
            made.append(channel)
    if not made:
        raise refuse(name, "its columns hold no readings", "numbers in the columns of readings",
                     "export the file again")  # fmt: skip
    made = _without_unused(made, notes)
    made = _doubtful_light(made, rows, columns, when, picks, name, notes)
    return tuple(find_faults(made, settings)), tuple(notes)


def _row_groups(rows: Rows, columns: Columns) -> tuple[dict[str, Ints | None], dict[str, str | None]]:
    """Rows by sensor (and by quantity and unit in long form); None stands for all rows."""
    keys = [place for place in (columns.sensor, columns.quantity, columns.unit) if place is not None]
    if not keys:
        return {"": None}, {"": None}
    texts = [pc.utf8_trim_whitespace(pc.fill_null(rows.texts[key].cast(pa.string()), "")) for key in keys]
    joined = texts[0] if len(texts) == 1 else pc.binary_join_element_wise(*texts, "\x1f")
    if isinstance(joined, pa.ChunkedArray):
        joined = joined.combine_chunks()
    coded = joined.dictionary_encode()
    coded = coded.combine_chunks() if isinstance(coded, pa.ChunkedArray) else coded
    codes = np.asarray(coded.indices)
    names = [str(text) for text in coded.dictionary.to_pylist()]
    if len(names) == 1:
        return {names[0]: None}, {names[0]: names[0].split("\x1f")[0] if columns.sensor is not None else None}
    order = np.argsort(codes, kind="stable")
    ends = np.flatnonzero(np.diff(codes[order])) + 1
    picks: dict[str, Ints | None] = {}
    labels: dict[str, str | None] = {}
    for piece in np.split(order, ends):
        key = names[codes[piece[0]]]
        picks[key] = piece.astype(np.int64)
        labels[key] = key.split("\x1f")[0] if columns.sensor is not None else None
    return picks, labels


def _group(when: Moments, pick: Ints | None, known: Zone) -> tuple[_Group, tuple[str, ...]]:
    seconds = when.seconds if pick is None else when.seconds[pick]
    notes: tuple[str, ...] = ()
    flags: list[Flag] = []
    if known.offset_min is not None:
        seconds = seconds - 60 * known.offset_min
    elif known.name is not None:
        found = localise(seconds, known.name)
        for title, touched, note in (
            ("hour_twice", found.repeated_hour, "readings in the hour that the clock showed twice"),
            (
                "hour_that_never_was",
                found.never_was,
                "readings in an hour that the clock should have skipped",
            ),
        ):
            if len(touched):
                stamps = np.sort(found.seconds[touched])
                flags.append(Flag(title, False, stamps, moments_of(stamps[:1])[0], note))
        seconds, notes = found.seconds, found.notes
    clock = clocked(seconds)
    return _Group(clock, moments_of(clock.seconds), tuple(flags)), notes


def _parts(
    rows: Rows,
    columns: Columns,
    picks: Mapping[str, Ints | None],
    labels: Mapping[str, str | None],
    settings: LoggerSettings,
    name: str,
    notes: list[str],
) -> list[_Part]:
    if columns.long:
        return _long_parts(rows, columns, picks, labels, settings, name, notes)
    made: list[_Part] = []
    for key, pick in picks.items():
        for column in columns.readings:
            values = rows.values[column.place]
            sensor = " ".join(filter(None, (labels[key], column.sensor))) or None
            made.append(
                _Part(key, column.header, column.role, column.unit, column.unit_told, sensor,
                      values if pick is None else values[pick], column.place)
            )  # fmt: skip
    return made


def _long_parts(
    rows: Rows,
    columns: Columns,
    picks: Mapping[str, Ints | None],
    labels: Mapping[str, str | None],
    settings: LoggerSettings,
    name: str,
    notes: list[str],
) -> list[_Part]:
    assert columns.value is not None
    made: list[_Part] = []
    unknown: list[str] = []
    for key, pick in picks.items():
        bits = key.split("\x1f")
        quantity = bits[1] if columns.sensor is not None else bits[0]
        given = unit_of(bits[-1]) if columns.unit is not None else None
        text, unit = split_unit(quantity)
        unit = given or unit
        if unit in ("C?", "F?", "K?"):
            unit = settled(unit)
        forced = settings.columns.get(quantity)
        role: Role | None = forced if forced in CONVERTED else role_of(text, unit)  # type: ignore[assignment]
        unit = None if unit is None else settled(unit)
        if role is None:
            unknown.append(quantity)
            continue
        wanted = settings.units.get(quantity) or settings.units.get(role)
        if wanted is not None:
            unit = settled(unit_of(wanted) or "")
        told = unit is not None and unit in CONVERTED[role]
        usual = "" if role == "ultraviolet" else {"humidity": "%", "light": "lx"}.get(role, "degC")
        values = rows.values[columns.value]
        made.append(
            _Part(key, quantity, role, unit if told and unit else usual, told, labels[key],
                  values if pick is None else values[pick], columns.value)
        )  # fmt: skip
    if unknown:
        notes.append(f"not read: {', '.join(sorted(set(unknown)))}")
    return made


def _channel(
    part: _Part,
    group: _Group,
    pick: Ints | None,
    rows: Rows,
    columns: Columns,
    table: Table,
    settings: LoggerSettings,
    name: str,
    utc: bool,
    cut: int | None,
    notes: list[str],
) -> Channel | None:
    if not part.unit:
        notes.append(
            f"{part.header!r} has no unit and is left out; to read it, add to survey.toml:\n"
            f'[logger."{name}"]\nunits = {{ {part.role} = "uW/lm" }}\n(or "mW/m2")'
        )
        return None
    values, missing = without_sentinels(part.values, part.role, part.unit)
    marked = np.isnan(values) & ~np.isnan(part.values)
    if not np.isfinite(values).any():
        if np.isnan(part.values).all():
            return None
        notes.append(f"{part.header!r} holds only marks for no reading")
        return None
    if not {part.header, part.role, str(part.place + 1)} & set(settings.units):
        problem: LogError | None = doubt(values, part.role, part.unit, part.header, name, told=part.unit_told)
        if problem is not None:
            raise problem
    values = _as_kept(values, part, notes)
    kept = kept_unit(part.role, part.unit)
    values = _calibrated(values, part.role, settings)
    found: Series = series(group.clock, values, group.times)
    flags = list(found.flags)
    _one_sensor(found, columns, table, part, name)
    excluded = found.excluded
    if missing:
        at = group.times[
            np.flatnonzero(marked if group.clock.order is None else marked[group.clock.order])[0]
        ]
        flags.append(
            Flag("no_reading", True, np.zeros(0, np.int64), at, "marks such as -999 for no reading", missing)
        )
    if cut == part.place and (pick is None or pick[-1] == rows.count - 1) and np.isfinite(values[-1]):
        last = (
            len(values) - 1
            if group.clock.order is None
            else int(np.flatnonzero(group.clock.order == len(values) - 1)[0])
        )
        where = np.searchsorted(found.times, group.times[last : last + 1])
        excluded = excluded.copy()
        excluded[where] = True
        flags.append(Flag("cut_short", True, where, group.times[last], "the file ends within this line"))
    for flag in group.flags:
        where = np.flatnonzero(np.isin(found.times.astype(np.int64), flag.where))
        if len(where):
            flags.append(replace(flag, where=where, first=found.times[where[0]]))
    if not part.unit_told and part.role not in ("humidity",):
        notes.append(f"{part.header!r} has no unit: taken as {part.unit}")
    return Channel(
        part.role, part.sensor, kept, part.unit, found.times, found.values, excluded, tuple(flags), utc, name,
        _accuracy(part.role, settings), (name,),
    )  # fmt: skip


def _one_sensor(found: Series, columns: Columns, table: Table, part: _Part, name: str) -> None:
    """Many stamps with two values are the readings of several sensors that nothing tells apart."""
    odd = sum(flag.count for flag in found.flags if flag.name == "conflicting")
    if odd < MOST_CONFLICTING * len(found.values) or odd < 3:
        return
    text = f"{odd} of {len(found.values)} stamps in {part.header!r} have different values: several sensors in one file"  # noqa: E501
    for place in range(table.width):
        held = [row[place].strip() for row in table.sample if place < len(row)]
        apart = 1 < len(set(held)) <= max(2, len(held) // 2)
        if (
            place in columns.time.places
            or place == part.place
            or not apart
            or any("." in cell for cell in held)
        ):
            continue
        raise ask(name, text, "the column that tells them apart", names={"sensor_column": str(place + 1)},
                  instead="by its header or its number")  # fmt: skip
    raise refuse(
        name, text, "one sensor in a file, or a column that names it", "export each sensor by itself"
    )


def _as_kept(values: Floats, part: _Part, notes: list[str]) -> Floats:
    if part.role == "humidity" and part.unit == "%" and not part.unit_told:
        top = float(np.nanmax(values))
        if 0.0 < top <= 1.0:
            notes.append(f"{part.header!r} holds shares of 1 and has no unit: read as a fraction")
            return convert(values, "humidity", "fraction")
    return convert(values, part.role, part.unit)


def _calibrated(values: Floats, role: Role, settings: LoggerSettings) -> Floats:
    gain = settings.gain.get(role)
    if gain is not None:
        values = values * float(gain)
    offset = settings.offset.get(role)
    if offset is not None:
        values = values + parse_quantity(offset, _DIFFERENCE[role])
    return values


_DIFFERENCE: Mapping[Role, str] = {
    "temperature": "temperature_difference",
    "dew_point": "temperature_difference",
    "surface_temperature": "temperature_difference",
    "humidity": "humidity",
    "light": "illuminance",
    "ultraviolet": "uv_proportion",
}


def _accuracy(role: Role, settings: LoggerSettings) -> float:
    told = settings.accuracy.get(role)
    if told is None:
        return limit(f"accuracy.{role}")
    if role in ("light", "ultraviolet"):
        return parse_quantity(told, "humidity") / 100.0
    return parse_quantity(told, _DIFFERENCE[role])


def _without_unused(channels: Sequence[Channel], notes: list[str]) -> list[Channel]:
    """Leave out an input that nothing was plugged into: 0 throughout, beside another of its role."""
    made: list[Channel] = []
    for channel in channels:
        same = [other for other in channels if other.role == channel.role and other is not channel]
        idle = not channel.values.any() and len(channel.values) > 10
        if (idle and channel.role != "light") or (idle and any(other.values.any() for other in same)):
            notes.append(f"{channel.sensor or channel.role} reads 0 throughout: an unused input, left out")
        else:
            made.append(channel)
    if len(made) == len(channels) or not made:
        return made or list(channels)
    roles = [channel.role for channel in made]
    if len(set(roles)) == len(roles):
        return [replace(channel, sensor=None) for channel in made]
    return made


def _doubtful_light(
    channels: Sequence[Channel],
    rows: Rows,
    columns: Columns,
    when: Moments,
    picks: Mapping[str, Ints | None],
    name: str,
    notes: list[str],
) -> list[Channel]:
    """Exclude light that sunshine beside it in the file shows to be in another unit than its header says."""
    made: list[Channel] = []
    for channel in channels:
        if channel.role == "light" and columns.irradiance and len(picks) == 1:
            ratio = light_is_doubtful(
                channel, [rows.values[place] for place in columns.irradiance], rows, columns
            )
            if ratio is not None:
                note = (
                    f"light of {ratio:.1f} lm for each W of sunshine in the same file: {channel.unit_in_file!r} cannot "  # noqa: E501
                    f'be its unit; excluded until survey.toml says\n[logger."{name}"]\nunits = {{ light = "hlx" }}'  # noqa: E501
                )
                notes.append(note)
                everything = np.arange(len(channel.values), dtype=np.int64)
                flag = Flag("unit_doubtful", True, everything, channel.times[0], note)
                channel = replace(
                    channel, flags=(*channel.flags, flag), excluded=np.ones(len(channel.values), bool)
                )
        made.append(channel)
    return made

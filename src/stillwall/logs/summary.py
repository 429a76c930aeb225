"""A check of loggers in plain words, for a terminal of 80 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from pathlib import PurePath

import numpy as np

from stillwall.logs.checkup import CheckedFile, CheckedPlace, Checkup, kept_summary
from stillwall.logs.gaps import coverage_by_hour
from stillwall.logs.harmless import shown
from stillwall.record import Channel, Role
from stillwall.units import System

WIDTH = 80
MOST_NAMED = 6
THIN_HOUR = 0.75
_ROLES: dict[Role, str] = {
    "temperature": "temperature",
    "humidity": "humidity",
    "light": "light",
    "ultraviolet": "ultraviolet",
    "dew_point": "dew point",
    "surface_temperature": "surface temperature",
}
_FLAGS = {
    "stuck": "stuck at one value",
    "out_of_range": "out of range",
    "far_above_100": "above 102 %",
    "above_100": "just above 100 %",
    "too_dry": "under 5 %",
    "negative": "below zero",
    "spike": "spikes",
    "transient": "brief changes in both channels (a door, a hand, the sun)",
    "sun_patch": "sun on the logger",
    "saturated": "at the end of the scale",
    "night_offset": "never dark",
    "handling": "handled",
    "all_zero": "rows of zeros",
    "gap": "gaps",
    "clock_jump": "clock set or restarted",
    "clock_reset": "clock far off",
    "far_apart": "more than a year apart",
    "repeated": "repeated readings",
    "conflicting": "one stamp, two values",
    "overlap": "in two downloads",
    "downloads_disagree": "downloads differ",
    "out_of_order": "out of order",
    "no_reading": "marked as no reading",
    "cut_short": "cut short",
    "hour_twice": "in the hour that came twice",
    "hour_that_never_was": "in an hour that never was",
    "dew_above_air": "dew point above the air",
    "unit_doubtful": "unit in doubt",
}


def check_text(checkup: Checkup, units: System = "si", names: Mapping[str, str] | None = None) -> str:
    """What was read, what is wrong with it, and what to find out first.

    ``names`` are what people call the places, by id.
    """
    names = names or {}
    lines: list[str] = []
    for file in checkup.files:
        lines += _file(file, units)
    if checkup.places:
        lines += ["", "What each place rests on"]
        lines += [line for one in checkup.places for line in _place(one, names)]
    lines += ["", "To find out first" if checkup.missing else "Nothing is missing."]
    for missing in checkup.missing:
        lines += _wrapped(missing.what, "- ", "  ")
        if missing.blocks:
            lines += _wrapped(
                f"waits for it: {_few([_called(block, names) for block in missing.blocks], '; ')}",
                "  ",
                "    ",
            )
    return "\n".join(map(shown, lines)).strip("\n")


def _wrapped(text: str, first: str, later: str) -> list[str]:
    made: list[str] = []
    for number, part in enumerate(text.splitlines() or [""]):
        if part.startswith("[logger") or (" = " in part and number):
            made.append(part)  # lines to copy stay whole
            continue
        made += textwrap.wrap(
            part, WIDTH, initial_indent=first if number == 0 else later, subsequent_indent=later,
            break_on_hyphens=False, break_long_words=True,
        )  # fmt: skip
    return made


def _called(block: str, names: Mapping[str, str]) -> str:
    """What waits, as people call it: a place, a hazard at a place, a file."""
    hazard, at, place = block.rpartition(" at ")
    if at and place in names:
        return f"{hazard.replace('_', ' ')} at {names[place]}"
    return names.get(block, PurePath(block).name)


def _few(names: Sequence[str], between: str = ", ") -> str:
    shown = between.join(names[:MOST_NAMED])
    return shown if len(names) <= MOST_NAMED else f"{shown} and {len(names) - MOST_NAMED} more"


def _file(file: CheckedFile, units: System) -> list[str]:
    lines = ["", *_wrapped(file.name, "", "  ")]
    if file.log is None:
        assert file.error is not None
        lines += ["  cannot be read:"]
        for fault in file.error.faults:
            lines += _wrapped(f"{fault.where}: {fault.found}", "  ", "    ")
            lines += _wrapped(f"expected: {fault.expected}", "    ", "      ")
            lines += _wrapped(f"to fix: {fault.fix}", "    ", "      ")
        return lines
    for channel in file.log.channels:
        lines += _channel(channel, units)
    for note in file.log.notes:
        lines += _wrapped(note, "  note: ", "    ")
    return lines


def _channel(channel: Channel, units: System) -> list[str]:
    name = _ROLES[channel.role] + (f" [{channel.sensor}]" if channel.sensor else "")
    summary = kept_summary(channel)
    if summary is None:
        figures = "no usable reading"
    else:
        least, mean, most = (_shown(value, channel, units) for value in summary)
        figures = f"{least} to {most}, mean {mean}"
    lines = _wrapped(f"{name}: {figures}", "  ", "      ")
    zone = "UTC" if channel.utc else "local time of the file"
    span = f"{_stamp(channel.times[0])} to {_stamp(channel.times[-1])} {zone}"
    lines += _wrapped(
        f"{len(channel.values):,} readings{_every(channel.step_s)}, {span}, {100 * channel.coverage:.0f} % covered",  # noqa: E501
        "      ",
        "      ",
    )
    thin = [hour for hour, share in enumerate(coverage_by_hour(channel)) if share < THIN_HOUR]
    if channel.step_s <= 3600 and 0 < len(thin) < 24:
        lines += _wrapped(
            f"thin at {_hours(thin)} o'clock: under {100 * THIN_HOUR:.0f} % of readings there",
            "      ",
            "      ",
        )
    for flag in channel.flags:
        what = _FLAGS.get(flag.name, flag.name.replace("_", " "))
        effect = "left out" if flag.excludes else "kept"
        lines += _wrapped(
            f"{flag.count:,} {what}, {effect}, first {_stamp(flag.first)}", "      ! ", "        "
        )
    return lines


def _hours(hours: Sequence[int]) -> str:
    return ", ".join(str(hour) for hour in hours)


def _every(step_s: float) -> str:
    if np.isnan(step_s):
        return ""
    if step_s >= 86_400 and step_s % 86_400 == 0:
        return f" every {step_s / 86_400:g} d"
    if step_s >= 60:
        return f" every {step_s / 60:.3g} min"
    return f" every {step_s:g} s"


def _stamp(time: np.datetime64) -> str:
    return str(np.datetime_as_string(time, unit="m")).replace("T", " ")


def _shown(value: float, channel: Channel, units: System) -> str:
    if channel.unit == "degC":
        return f"{value * 1.8 + 32:.1f} °F" if units == "us" else f"{value:.1f} °C"
    if channel.unit == "%":
        return f"{value:.1f} %"
    if channel.unit == "lx":
        return f"{value:,.0f} lx" if value >= 10 else f"{value:.1f} lx"
    return f"{value:.1f} {channel.unit}"


def _place(one: CheckedPlace, names: Mapping[str, str]) -> list[str]:
    name = names.get(one.place.id, one.place.name or one.place.id)
    if one.record is None:
        return _wrapped(f"{name}: cannot be judged until its log is put right", "  ", "    ")
    if not one.record.channels:
        return _wrapped(f"{name}: nothing is logged", "  ", "    ")
    bits = []
    for role, channel in one.record.channels.items():
        shared = " (the room's)" if role in one.record.from_room else ""
        bits.append(f"{_ROLES[role]} from {_few([PurePath(file).name for file in channel.files])}{shared}")
    return _wrapped(f"{name}: {'; '.join(bits)}", "  ", "    ")

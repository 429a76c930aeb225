"""What one entry of a survey says against itself."""

from __future__ import annotations

import re
import zoneinfo
from collections.abc import Iterator, Mapping
from datetime import date
from functools import singledispatch
from typing import Any

from stillwall.errors import Fault
from stillwall.record import ROLES
from stillwall.survey.features import Lamp, Opening
from stillwall.survey.loggers import LoggerSettings
from stillwall.survey.names import Nearest
from stillwall.survey.places import Building, Pedestal, Room, Wall
from stillwall.survey.rows import Origin, plain
from stillwall.survey.survey import Acceptance, Acknowledgement, Note
from stillwall.survey.works import LenderLimits, Work
from stillwall.units import QuantityError, Size, parse_quantity

_TOLERANCE_M = 0.002
"""Sizes measured twice may differ by this much. Common practice, no source."""


_OFFSETS = {"humidity": "humidity", "light": "illuminance", "ultraviolet": "uv_proportion"}
_ACCURACIES = {"humidity": "humidity", "light": "humidity", "ultraviolet": "humidity"}
"""Kinds of quantity by role; the other roles are temperatures, and light is accurate to a percentage."""

Given = Mapping[str, Any]
"""What the text says of an entry, usable or not."""


@singledispatch
def contradictions(entry: Any, given: Given, origin: Origin) -> Iterator[Fault]:
    """A fault for every two facts of an entry that cannot both be true."""
    yield from ()


@contradictions.register
def _building(entry: Building, given: Given, origin: Origin) -> Iterator[Fault]:
    if ("latitude" in given) != ("longitude" in given):
        there, lacking = ("latitude", "longitude") if "latitude" in given else ("longitude", "latitude")
        yield Fault(
            origin.where(there),
            f"{there} without {lacking}",
            "both, or neither",
            f"add {lacking}, in degrees",
        )
    if entry.timezone is not None:
        yield from zone_faults(entry.timezone, origin, "timezone")


@contradictions.register
def _room(entry: Room, given: Given, origin: Origin) -> Iterator[Fault]:
    if entry.plan and (len(entry.plan) < 3 or abs(_area(entry.plan)) < 1e-6):
        yield Fault(
            origin.where("plan"), "a plan without area", "at least three corners", "list the corners in order"
        )


@contradictions.register(Wall)
@contradictions.register(Pedestal)
def _wall(entry: Wall | Pedestal, given: Given, origin: Origin) -> Iterator[Fault]:
    yield from _order(entry.free_from, entry.free_until, "free_from", "free_until", origin)
    if isinstance(entry, Wall) and entry.marks_years == 0:
        yield Fault(
            origin.where("marks_years"), "marks counted over 0 years", "above 0", "leave it out for one year"
        )


@contradictions.register
def _work(entry: Work, given: Given, origin: Origin) -> Iterator[Fault]:
    yield from _order(entry.arrives, entry.leaves, "arrives", "leaves", origin)
    for name, size in (("image", entry.image), ("framed", entry.framed)):
        if size is not None and entry.orientation is not None:
            yield from _turned(name, size, entry.orientation, origin)
    if entry.image is not None and entry.framed is not None:
        short = [
            side
            for side, image, framed in (
                ("height", entry.image.height_m, entry.framed.height_m),
                ("width", entry.image.width_m, entry.framed.width_m),
            )
            if framed < image - _TOLERANCE_M
        ]
        if short:
            yield Fault(
                origin.where("framed"),
                f"framed {' and '.join(short)} below that of the image",
                "the outer edge of the frame, height x width",
                "measure the frame, and check that both sizes say the height first",
            )
    deep = None if entry.framed is None else entry.framed.depth_m
    if deep is not None and entry.depth_m is not None and abs(deep - entry.depth_m) > _TOLERANCE_M:
        yield Fault(
            origin.where("depth"), "depth is not that of framed", "one depth", "delete one of the two"
        )
    if entry.dose_spent is not None:
        yield from _order(entry.dose_spent.since, entry.dose_spent.to, "since", "to", origin, ("dose_spent",))
    if entry.lender is not None:
        yield from _lender(entry.lender, origin)


@contradictions.register
def _note(entry: Note, given: Given, origin: Origin) -> Iterator[Fault]:
    yield from _order(entry.date, entry.to, "date", "to", origin)


@contradictions.register(Acknowledgement)
@contradictions.register(Acceptance)
def _until(entry: Acknowledgement | Acceptance, given: Given, origin: Origin) -> Iterator[Fault]:
    yield from _order(entry.on, entry.until, "on", "until", origin)


@contradictions.register
def _opening(entry: Opening, given: Given, origin: Origin) -> Iterator[Fault]:
    if "room" not in given and "wall" not in given:
        yield Fault(
            origin.where(), "neither room nor wall", "where it is", "add room, with the id of its room"
        )
    if "room" not in given and entry.wall in ("north", "east", "south", "west"):
        yield Fault(
            origin.where("wall"),
            f"side {entry.wall!r} of no room",
            "the room as well",
            "add room, with its id",
        )


@contradictions.register
def _logger(entry: LoggerSettings, given: Given, origin: Origin) -> Iterator[Fault]:
    for key in ("units", "offset", "gain", "accuracy"):
        for role in getattr(entry, key):
            if role not in ROLES:
                near = Nearest().to(role, ROLES)
                yield Fault(
                    origin.where(key, role),
                    f"unknown quantity {plain(role)!r}",
                    f"one of {', '.join(ROLES)}",
                    "write " + " or ".join(map(repr, near)) if near else "correct the name",
                )
    for key, kinds in (("offset", _OFFSETS), ("accuracy", _ACCURACIES)):
        for role, text in getattr(entry, key).items():
            try:
                parse_quantity(text, kinds.get(role, "temperature_difference"))
            except QuantityError as error:
                if role in ROLES:
                    yield Fault(origin.where(key, role), error.found, error.expected, error.fix)
    if entry.zone is not None and not re.fullmatch(r"Z|[+-](?:0\d|1[0-4]):[0-5]\d", entry.zone):
        yield from zone_faults(entry.zone, origin, "zone")
    yield from _order(entry.calibrated_on, entry.calibration_due, "calibrated_on", "calibration_due", origin)


@contradictions.register
def _lamp(entry: Lamp, given: Given, origin: Origin) -> Iterator[Fault]:
    if "room" not in given and "wall" not in given:
        yield Fault(origin.where(), "neither room nor wall", "where it is", "add room, with its id")


def zone_faults(name: str, origin: Origin, *keys: str) -> Iterator[Fault]:
    """A fault where a name is no zone of the time-zone database."""
    try:
        zoneinfo.ZoneInfo(name)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        zones = zoneinfo.available_timezones()
        short = {zone.rsplit("/", 1)[-1]: zone for zone in sorted(zones)}
        near = Nearest().to(name, zones) or [short[one] for one in Nearest().to(name, short)]
        yield Fault(
            origin.where(*keys),
            f"unknown time zone {plain(name)!r}",
            "a name of the time-zone database, such as 'Europe/Dublin'",
            "write " + " or ".join(map(repr, near)) if near else "write its region and city",
        )


def _order(
    first: date | None,
    last: date | None,
    key: str,
    last_key: str,
    origin: Origin,
    inside: tuple[str, ...] = (),
) -> Iterator[Fault]:
    if first is not None and last is not None and last < first:
        yield Fault(
            origin.where(*inside, last_key),
            f"{last_key} {last} is before {key} {first}",
            f"{key}, then {last_key}",
            "check the two dates",
        )


def _turned(name: str, size: Size, orientation: str, origin: Origin) -> Iterator[Fault]:
    difference = size.height_m - size.width_m
    is_so = {"upright": difference > -_TOLERANCE_M, "landscape": difference < _TOLERANCE_M}.get(
        orientation, abs(difference) <= 0.05 * max(size.height_m, size.width_m)
    )
    if not is_so:
        shape = "higher than wide" if difference > 0 else "wider than high"
        yield Fault(
            origin.where(name),
            f"{name} is {shape}, orientation is {orientation}",
            "height x width, height first",
            "exchange the two numbers, or correct orientation",
        )


def _lender(limits: LenderLimits, origin: Origin) -> Iterator[Fault]:
    for low, high, key in (
        (limits.humidity_low_pct, limits.humidity_high_pct, "humidity"),
        (limits.temperature_low_c, limits.temperature_high_c, "temperature"),
    ):
        if low is not None and high is not None and high <= low:
            yield Fault(
                origin.where("lender", f"{key}_high"),
                f"{key}_high is not above {key}_low",
                "the lower limit, then the higher",
                "check the two limits",
            )


def _area(corners: tuple[tuple[float, float], ...]) -> float:
    following = (*corners[1:], corners[0])
    return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(corners, following, strict=True)) / 2

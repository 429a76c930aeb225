"""Windows of a surveyed room as they stand to a wall in it, with what the survey leaves open."""

from __future__ import annotations

from dataclasses import dataclass
from weakref import WeakKeyDictionary

from stillwall.case import Site
from stillwall.exposure.daylight_reference import Location, WindowFace
from stillwall.exposure.sun_on_wall import Shade, SunWindow, WallSun
from stillwall.exposure.sun_patch import Relation, Window
from stillwall.phrases import listed
from stillwall.reference.library import Library
from stillwall.setting.naming import names_of, place_named, size_question
from stillwall.survey.features import Opening
from stillwall.survey.places import Building, Pedestal, Place, Room, Side, Wall
from stillwall.survey.room_sides import opening_size, relation, side_length, side_of
from stillwall.survey.spans import CLOSED_HOURS, WHEN_SUNNY, daily_hours
from stillwall.survey.survey import Survey

SIDE_BEARING_DEG: dict[Side, float] = {"north": 0.0, "east": 90.0, "south": 180.0, "west": 270.0}
UNKNOWN_SPAN_M = 2.5

_MADE: WeakKeyDictionary[Site, tuple[Survey, SunGeometry]] = WeakKeyDictionary()


@dataclass(frozen=True, slots=True, eq=False)
class SunGeometry:
    """Windows from which sun may reach a wall.

    Attributes
    ----------
    wall
        Their geometry, or None where nothing can be computed.
    listed
        Windows and skylights that the survey gives this room.
    in_line
        Of these, those that are not in the wall's own plane.
    complete
        Whether every dimension of those was surveyed.
    facing
        Windows on the opposite side, which a glazed picture mirrors.
    missing
        What to measure, as questions.
    """

    wall: WallSun | None
    listed: int
    in_line: int
    complete: bool
    facing: tuple[SunWindow, ...]
    missing: tuple[str, ...]


def location_of(building: Building | None) -> Location:
    """Where a building stands, as far as the survey says."""
    if building is None:
        return Location()
    return Location(building.latitude, building.longitude, building.timezone)


def windows_of(survey: Survey, room: Room | None) -> list[Opening]:
    """Windows and skylights of a room that look outdoors."""
    if room is None:
        return []
    return [window for window in survey.windows_of(room) if window.leads_to is None]


def bearing_of(survey: Survey, window: Opening, room: Room | None) -> tuple[float, bool] | None:
    """True bearing in which a window looks out [deg] and whether it was measured, or None."""
    if window.bearing_deg is not None:
        return window.bearing_deg % 360.0, True
    side = side_of(survey, window)
    if side is None:
        return None
    turned = 0.0 if room is None or room.bearing_deg is None else room.bearing_deg
    return (SIDE_BEARING_DEG[side] + turned) % 360.0, room is not None and room.bearing_deg is not None


def window_faces(survey: Survey, site: Site) -> tuple[WindowFace, ...]:
    """Faces of the room's windows, for the daylight that they let in."""
    made = []
    for window in windows_of(survey, site.room):
        if window.kind == "skylight":
            return ()
        bearing = bearing_of(survey, window, site.room)
        if bearing is None:
            return ()
        size = opening_size(window)
        made.append(WindowFace(bearing[0], 1.8 if size is None else size[0] * size[1]))
    return tuple(made)


def sun_geometry(survey: Survey, library: Library, site: Site) -> SunGeometry:
    """Geometry of the sun on a place. Remembered by site."""
    found = _MADE.get(site)
    if found is not None and found[0] is survey:
        return found[1]
    made = _sun_geometry(survey, library, site)
    _MADE[site] = (survey, made)
    return made


def _sun_geometry(survey: Survey, library: Library, site: Site) -> SunGeometry:
    room, place, names = site.room, site.place, names_of(survey)
    windows = windows_of(survey, room)
    side = place.side if isinstance(place, Wall | Pedestal) else None
    location = location_of(site.building)
    missing: list[str] = []
    made: list[SunWindow] = []
    in_line = 0
    complete = True
    unknown = False
    for window in windows:
        own = side_of(survey, window)
        if own is not None and own == side and window.kind != "skylight":
            continue
        in_line += 1
        if window.kind == "skylight":
            through = names.fittings_of[window.id]
            missing.append(f"When does the sun through {through} reach {place_named(survey, place)}?")
            complete, unknown = False, True
            continue
        if side is None or own is None or room is None or room.size is None or room.size.depth_m is None:
            complete, unknown = False, True
            continue
        stands, known = _stands(survey, library, site, window, own, side, room)
        made.append(stands)
        if known:
            complete = False
            missing.append(f"What are {listed(known)} of {names.fittings_of[window.id]}?")
    if in_line:
        if side is None:
            missing.append(
                f"On which side of its room is {place_named(survey, place)}: north, east, south or west?"
            )
        if room is not None and (room.size is None or room.size.depth_m is None):
            missing.append(size_question(survey, room.id))
        if location.latitude_deg is None or location.longitude_deg is None:
            where = "the house" if site.building is None else site.building.name or site.building.id
            missing.append(f"At which latitude and longitude is {where}?")
            complete, unknown = False, True
    usable = bool(made) and not unknown
    return SunGeometry(
        wall=_wall_sun(location, tuple(made), place, room, side) if usable else None,
        listed=len(windows),
        in_line=in_line,
        complete=complete,
        facing=tuple(entry for entry in made if entry.relation == "facing"),
        missing=tuple(dict.fromkeys(missing)),
    )


def _wall_sun(
    location: Location, windows: tuple[SunWindow, ...], place: Place, room: Room | None, side: Side | None
) -> WallSun:
    """The stretch of wall that matters: a wall's clear field, or that behind a pedestal."""
    length = side_length(room, side) or UNKNOWN_SPAN_M
    if isinstance(place, Pedestal):
        middle = length / 2 if place.at_m is None else place.at_m
        return WallSun(location, windows, max(middle - 0.4, 0.0), middle + 0.4, 0.6, 2.2)
    assert isinstance(place, Wall)
    left = min(place.at_m, max(length - 0.3, 0.0))
    right = left + (place.span_m if place.span_m is not None else length - left)
    height = 2.8 if room is None or room.size is None else room.size.height_m
    return WallSun(location, windows, left, max(right, left + 0.3), 0.4, max(min(height, 4.0), 1.0))


def _stands(
    survey: Survey, library: Library, site: Site, window: Opening, own: Side, side: Side, room: Room
) -> tuple[SunWindow, list[str]]:
    """A window's geometry to a wall on another side, and the names of what was not measured."""

    def figure(name: str) -> float:
        return library.figure(f"sunlight.{name}")

    unknown: list[str] = []
    length = side_length(room, own)
    other = side_length(room, side)
    assert length is not None
    assert other is not None
    measured, guessed = figure("window.measured_sd"), figure("window.unmeasured_sd")
    size = opening_size(window)
    size_known = size is not None
    if size is None:
        unknown.append("its size")
        size = (figure("window.height"), figure("window.width"))
    side_sd = height_sd = measured if size_known else guessed
    at = window.at_m
    if at is None:
        unknown.append("its distance from the left corner")
        at = max((length - size[1]) / 2.0, 0.0)
        side_sd = max(length / 5.0, guessed)
    sill = window.sill_m
    if sill is None:
        unknown.append("the height of its sill")
        sill = figure("window.sill")
        height_sd = guessed
    reveal = window.reveal_m if window.reveal_m is not None else window.wall_depth_m
    if reveal is None:
        unknown.append("the depth of its reveal outside the glass")
        reveal = figure("window.reveal")
    horizon, horizon_sd = window.obstruction_deg, figure("horizon.measured_sd")
    if horizon is None:
        unknown.append("the angle up to the top of what stands opposite")
        horizon, horizon_sd = figure("horizon.unknown"), figure("horizon.unknown_sd")
    bearing = bearing_of(survey, window, room)
    assert bearing is not None
    if not bearing[1]:
        unknown.append("its bearing, from a map")
    seen = relation(own, side)
    stands_as: dict[str, Relation] = {"right": "right", "left": "left", "facing": "facing"}
    plane = {"facing": _depth_from(room, own), "right": length, "left": 0.0}[seen]
    made = SunWindow(
        window=Window(
            bearing_deg=bearing[0],
            left_m=at,
            right_m=at + size[1],
            sill_m=sill,
            head_m=sill + size[0],
            reveal_m=reveal,
            overhang_m=window.overhang_m or 0.0,
            horizon_deg=max(horizon, 0.0),
            glazed_share=0.8 if window.glazed_share is None else window.glazed_share,
            transmittance=figure(f"glass.{window.glass or 'unknown'}")
            * figure(f"film.{window.film or 'unknown'}"),
        ),
        relation=stands_as[seen],
        plane_m=plane,
        mirror_m={"facing": length, "left": other}.get(seen),
        side_sd_m=side_sd,
        height_sd_m=height_sd,
        bearing_sd_deg=figure("bearing.measured_sd" if bearing[1] else "bearing.side_sd"),
        horizon_sd_deg=horizon_sd,
        shade=_shade(library, site, window),
    )
    return made, unknown


def _depth_from(room: Room, own: Side) -> float:
    """Distance from a side to the one opposite. [m]"""
    assert room.size is not None
    assert room.size.depth_m is not None
    return room.size.depth_m if own in ("north", "south") else room.size.width_m


def _shade(library: Library, site: Site, window: Opening) -> Shade | None:
    blind = window.blind
    if blind is None or blind.drawn is None:
        return None
    passes = blind.transmittance
    if passes is None:
        passes = library.figure(f"sunlight.blind.{blind.kind}")
    if blind.drawn == WHEN_SUNNY:
        return Shade(passes)
    if blind.drawn == CLOSED_HOURS:
        if site.building is None or site.building.open_hours is None:
            return None
        start, end = daily_hours(site.building.open_hours)
        return Shade(passes, end, start)
    start, end = daily_hours(blind.drawn)
    return Shade(passes, start, end)

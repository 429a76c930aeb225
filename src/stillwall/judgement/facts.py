"""Facts of a case on which measures rest: a blind needs a window, glazing needs a frame."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from stillwall.case import Case
from stillwall.survey.features import DOORS, HeatSource, Lamp, Opening
from stillwall.survey.survey import HoldingPlace, Pedestal, Wall

FIRES = frozenset({"hearth", "stove", "gas_fire"})
HEATERS = frozenset({"radiator", "pipe", "register", "diffuser", "fan_coil", "electric_fire", "warmer"})
FLAT = frozenset({"painting_canvas", "panel", "paper", "pastel", "textile", "photograph"})

ORNATE = ("composition", "gilded_gesso", "carved_wood")


def facts(case: Case) -> frozenset[str]:
    """The facts that hold, of those in :data:`NEEDS`. What is not known does not hold."""
    return frozenset(name for name, holds in NEEDS.items() if holds(case))


def _openings(case: Case, kinds: frozenset[str]) -> list[Opening]:
    room = case.site.room
    walls = {case.site.place.id}
    if room is not None:
        walls.update(wall.id for wall in case.survey.walls.values() if wall.room == room.id)
    return [
        opening
        for opening in case.survey.openings.values()
        if opening.kind in kinds and ((room is not None and opening.room == room.id) or opening.wall in walls)
    ]


def _lamps(case: Case) -> list[Lamp]:
    return case.survey.lamps_of(case.site.place)


def _heat(case: Case) -> list[HeatSource]:
    place, room = case.site.place, case.site.room
    in_room = [] if room is None else case.survey.heat_of(room)
    at_wall = [source for source in case.survey.heat_sources.values() if source.wall == place.id]
    return list({source.id: source for source in [*in_room, *at_wall]}.values())


def _heat_of(kinds: frozenset[str]) -> Callable[[Case], bool]:
    return lambda case: any(source.kind in kinds and source.used != "never" for source in _heat(case))


def _place_is(kind: type) -> Callable[[Case], bool]:
    return lambda case: isinstance(case.site.place, kind)


def _outside(case: Case) -> bool:
    return isinstance(case.site.place, Wall) and case.site.place.outside is True


def _circulation(case: Case) -> bool:
    place = case.site.place
    return isinstance(place, Wall | Pedestal) and place.circulation in ("passing", "required_egress")


NEEDS: Mapping[str, Callable[[Case], bool]] = {
    "wall": _place_is(Wall),
    "pedestal": _place_is(Pedestal),
    "holding_place": _place_is(HoldingPlace),
    "outside_wall": _outside,
    "circulation": _circulation,
    "window": lambda case: bool(_openings(case, frozenset({"window", "skylight"}))),
    "door": lambda case: bool(_openings(case, DOORS)),
    "lamp": lambda case: bool(_lamps(case)),
    "dimmable_lamp": lambda case: any(lamp.dimmable for lamp in _lamps(case)),
    "heat_source": lambda case: bool(_heat(case)),
    "hearth": _heat_of(FIRES),
    "radiator": _heat_of(HEATERS),
    "picture_light": _heat_of(frozenset({"picture_light"})),
    "sconce": _heat_of(frozenset({"sconce"})),
    "candle": _heat_of(frozenset({"candle"})),
    "tables": lambda case: isinstance(case.site.place, Wall) and case.site.place.tables is not None,
    "flat": lambda case: case.work.kind in FLAT,
    "painting": lambda case: case.work.kind in ("painting_canvas", "panel"),
    "frame": lambda case: case.work.frame not in (None, "none"),
    "plain_frame": lambda case: case.work.frame not in (None, "none", *ORNATE),
    "ornate_frame": lambda case: case.work.frame in ORNATE,
    "unglazed": lambda case: case.work.frame not in (None, "none") and case.work.glazing in (None, "none"),
    "glazed": lambda case: case.work.glazing not in (None, "none"),
    "unbacked": lambda case: case.work.kind in FLAT and case.work.backing in (None, "none", "open"),
}
"""Every need that a measure may name, and how it is read from a case."""

"""The way a work is carried: through which doors, turns, stairs and lifts, and whether it passes.

Rooms are joined by the doors that the survey gives and by its written routes. Of all ways between two
rooms the one is taken whose tightest point is widest for this work.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections import OrderedDict
from collections.abc import Hashable
from dataclasses import dataclass

import numpy as np

from stillwall.draws import Z90, Draws, Floats
from stillwall.exposure.passage import (
    corner_max_length,
    corridor_to_door_max_length,
    opening_max_side,
    stair_max_length,
)
from stillwall.reference.library import Library
from stillwall.setting.naming import names_of, step_name
from stillwall.survey.features import DOORS, Opening, Route
from stillwall.survey.room_sides import room_of
from stillwall.survey.survey import Survey

OUTSIDE = "outside"
CARRIED: frozenset[str] = DOORS | {"arch", "lift", "hatch"}
NODES = np.array([-2.6, -1.64, -0.8, 0.0, 0.8, 1.64, 2.6])
"""Standard deviations at which the limits of an unmeasured opening are worked out."""


@dataclass(frozen=True, slots=True)
class Packet:
    """What has to pass: shorter side, longer side and thickness, hands and wrapping included. [m]"""

    short_m: float
    long_m: float
    thick_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """One opening, turn, stair or lift, with its name in a sentence. What is not measured is None."""

    id: str
    kind: str
    name: str
    height_m: float | None = None
    width_m: float | None = None
    depth_m: float | None = None
    turn_m: tuple[float, float] | None = None
    wall_depth_m: float = 0.0
    corridor_m: float | None = None
    """Width of the corridor from which a door is entered, where it is in the corridor's side."""

    @property
    def known(self) -> bool:
        """Whether everything is measured that decides whether a work passes."""
        if self.kind == "turn":
            return self.turn_m is not None
        if self.kind == "outside":
            return True
        deep = self.kind != "lift" or self.depth_m is not None
        return self.height_m is not None and self.width_m is not None and deep

    @property
    def question(self) -> str:
        """What to measure here."""
        sizes = {
            "turn": "widths of both legs",
            "lift": "clear height of the door and width and depth of the car",
            "stair": "clear width, headroom and turns",
        }
        return f"What are the {sizes.get(self.kind, 'clear height and width')} of {self.name}?"


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """The way from one place to another, or what is known of it."""

    passages: tuple[Passage, ...]
    found: bool


_GRAPHS: OrderedDict[int, tuple[Survey, dict[str, list[tuple[str, tuple[Passage, ...]]]]]] = OrderedDict()
_WAYS: OrderedDict[Hashable, tuple[Survey, dict[str, Way]]] = OrderedDict()


def way(survey: Survey, library: Library, packet: Packet, start: str, end: str) -> Way:
    """The way between two nodes on which the tightest point is widest for a packet.

    A node is the id of a room or a building, or ``outside``. ``found`` is False where the survey joins
    them by nothing.
    """
    key = (id(survey), id(library), packet, start)
    if key not in _WAYS:
        _WAYS[key] = (survey, _widest_ways(survey, library, packet, start))
        if len(_WAYS) > 512:
            _WAYS.popitem(last=False)
    return _WAYS[key][1].get(end, Way(passages=(), found=False))


def ratio(library: Library, passage: Passage, packet: Packet) -> float:
    """What a packet needs of a passage over what the passage offers; unmeasured ones at their middle."""
    return float(_ratio(_limits(library, passage, packet.thick_m, np.zeros(1)), packet)[0])


def ratio_draws(
    library: Library, draws: Draws, passage: Passage, packet: Packet, short_m: Floats, long_m: Floats
) -> Floats:
    """Draws of the same, for draws of both sides; an unmeasured opening enters with its believable span."""
    if passage.known:
        side, length = (limit[0] for limit in _limits(library, passage, packet.thick_m, np.zeros(1)))
    else:
        z = draws.normal(f"way:{passage.id}:size")
        side, length = (
            np.interp(z, NODES, limit) for limit in _limits(library, passage, packet.thick_m, NODES)
        )
    return _of_limits(side, length, short_m, long_m)


def _of_limits(side: Floats | float, length: Floats | float, short_m: Floats, long_m: Floats) -> Floats:
    """The better of carrying the long side along the way or upright."""
    along = np.maximum(short_m / np.maximum(side, 1e-6), long_m / np.maximum(length, 1e-6))
    upright = np.maximum(long_m / np.maximum(side, 1e-6), short_m / np.maximum(length, 1e-6))
    made: Floats = np.minimum(along, upright)
    return made


def _ratio(limits: tuple[Floats, Floats], packet: Packet) -> Floats:
    return _of_limits(*limits, np.full(1, packet.short_m), np.full(1, packet.long_m))


def _limits(library: Library, passage: Passage, thick: float, z: Floats) -> tuple[Floats, Floats]:
    """Longest side across the opening and longest length along the way, at each ``z``. [m]"""
    if passage.kind == "outside":
        return np.full(len(z), np.inf), np.full(len(z), np.inf)
    heights, widths, depths = _dimensions(library, passage, z)
    endless = np.full(len(z), np.inf)
    if passage.kind == "turn":
        first, second = (widths, widths) if passage.turn_m is None else (endless, endless)
        legs = [passage.turn_m] * len(z) if passage.turn_m else list(zip(first, second, strict=True))
        return heights, np.array([corner_max_length(a, b, thick) for a, b in legs])
    side = np.array([opening_max_side(w, h, thick) for h, w in zip(heights, widths, strict=True)])
    length = endless
    if passage.kind == "lift":
        length = np.array([opening_max_side(w, d, thick) for w, d in zip(widths, depths, strict=True)])
        side = heights
    elif passage.turn_m is not None:
        length = np.full(len(z), corner_max_length(*passage.turn_m, thick))
        if passage.kind == "stair":
            pitch = library.figure("fit.way.stair_pitch")
            length = np.array([stair_max_length(item, pitch) for item in length])
    elif passage.corridor_m is not None:
        corridor, wall = passage.corridor_m, passage.wall_depth_m
        length = np.array([corridor_to_door_max_length(corridor, w, wall, thick) for w in widths])
    return side, length


def _dimensions(library: Library, passage: Passage, z: Floats) -> tuple[Floats, Floats, Floats]:
    narrow = "corridor" if passage.kind in ("corridor", "stair", "ramp", "turn") else "door"
    depth = passage.depth_m
    width = "fit.way.lift_width" if passage.kind == "lift" else f"fit.way.{narrow}_width"
    return (
        _spread(library, f"fit.way.{narrow}_height", passage.height_m, z),
        _spread(library, width, passage.width_m, z),
        _spread(library, "fit.way.lift_depth", depth, z),
    )


def _spread(library: Library, name: str, known: float | None, z: Floats) -> Floats:
    if known is not None:
        return np.full(len(z), known)
    figure = library.figures[name]
    assert figure.low is not None
    assert figure.high is not None
    side = np.where(z < 0, math.log(figure.value / figure.low), math.log(figure.high / figure.value))
    made: Floats = figure.value * np.exp(z / Z90 * side)
    return made


def _widest_ways(survey: Survey, library: Library, packet: Packet, start: str) -> dict[str, Way]:
    """Dijkstra's method with the tightest point in place of the sum; fewer passages break a tie."""
    graph = _graph(survey)
    best: dict[str, Way] = {}
    entry = itertools.count()
    queue: list[tuple[float, int, str, int, tuple[Passage, ...]]] = [(0.0, 0, start, next(entry), ())]
    while queue:
        tightest, steps, node, _, passages = heapq.heappop(queue)
        if node in best:
            continue
        best[node] = Way(passages=passages, found=True)
        for following, through in graph.get(node, []):
            if following not in best:
                worst = max([tightest, *(ratio(library, passage, packet) for passage in through)])
                way_on = (worst, steps + len(through), following, next(entry), passages + through)
                heapq.heappush(queue, way_on)
    return best


def _graph(survey: Survey) -> dict[str, list[tuple[str, tuple[Passage, ...]]]]:
    if id(survey) not in _GRAPHS:
        _GRAPHS[id(survey)] = (survey, _joined(survey))
        if len(_GRAPHS) > 8:
            _GRAPHS.popitem(last=False)
    return _GRAPHS[id(survey)][1]


def _joined(survey: Survey) -> dict[str, list[tuple[str, tuple[Passage, ...]]]]:
    graph: dict[str, list[tuple[str, tuple[Passage, ...]]]] = {}

    def join(first: str, second: str, passages: tuple[Passage, ...]) -> None:
        graph.setdefault(first, []).append((second, passages))
        graph.setdefault(second, []).append((first, passages[::-1]))

    for opening in sorted(survey.openings.values(), key=lambda each: each.id):
        room = room_of(survey, opening)
        end = opening.leads_to or (OUTSIDE if opening.kind in ("outside_door", "lobby_door") else None)
        if room is not None and end is not None and opening.kind in CARRIED:
            join(room, _node(survey, end), (_door(survey, opening, room),))
    for building in survey.buildings:
        join(OUTSIDE, building, ())
    for route in sorted(survey.routes.values(), key=lambda each: each.id):
        steps = tuple(_step(survey, route, number) for number in range(1, len(route.steps) + 1))
        join(_node(survey, route.start), _node(survey, route.end), steps)
    return graph


def _node(survey: Survey, name: str) -> str:
    """A place stands for its room."""
    place = survey.places.get(name)
    return name if place is None or place.room is None else place.room


def _door(survey: Survey, opening: Opening, room: str) -> Passage:
    clear = opening.clear or opening.size
    leaf = opening.leaf_width_m
    surveyed = survey.rooms.get(room)
    corridor = None
    if surveyed is not None and surveyed.use == "corridor" and surveyed.size is not None:
        sides = [surveyed.size.width_m, surveyed.size.depth_m or surveyed.size.width_m]
        corridor = min(sides)
    return Passage(
        id=opening.id,
        kind="lift" if opening.kind == "lift" else "door",
        name=names_of(survey).fittings_of[opening.id],
        height_m=None if clear is None else clear.height_m,
        width_m=leaf if clear is None else clear.width_m,
        depth_m=None if clear is None else clear.depth_m,
        wall_depth_m=opening.wall_depth_m or 0.0,
        corridor_m=corridor,
    )


def _step(survey: Survey, route: Route, number: int) -> Passage:
    step = route.steps[number - 1]
    clear, turn = step.clear, step.turn
    return Passage(
        id=f"{route.id}, step {number}",
        kind=step.kind,
        name=step_name(survey, route, number),
        height_m=None if clear is None else clear.height_m,
        width_m=None if clear is None else clear.width_m,
        depth_m=step.depth_m if clear is None or clear.depth_m is None else clear.depth_m,
        turn_m=None if turn is None else (turn.height_m, turn.width_m),
        wall_depth_m=step.wall_depth_m or 0.0,
    )

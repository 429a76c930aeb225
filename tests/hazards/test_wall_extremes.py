"""Facts that are allowed but absurd: the wall's hazards answer, and never with what is no number."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from stillwall.hazards import loads
from stillwall.survey.features import Opening
from stillwall.survey.places import Event, Furniture, KeepClear, Stair, Tables
from stillwall.units import Size
from tests.hazards.wall_cases import case

WALL_HAZARDS = frozenset(
    {"fit", "fixing", "hearth", "doorway", "bump", "water", "smoke", "vibration", "theft"}
)
lengths = st.sampled_from([0.0, 1e-6, 0.05, 0.3, 1.0, 2.5, 9.0, 1e4])
maybe_length = st.none() | lengths
counts = st.none() | st.sampled_from([0.0, 0.5, 1.0, 30.0, 1e4, 1e9])
shares = st.none() | st.sampled_from([0.0, 0.5, 1.0])
sides = st.sampled_from([1e-4, 0.02, 0.4, 1.0, 3.0, 50.0])
sizes = st.builds(Size, sides, sides, st.none() | sides)
yes_no = st.none() | st.booleans()


def words(*names):
    return st.none() | st.sampled_from(names)


works = st.fixed_dictionaries(
    {
        "framed": st.none() | sizes,
        "image": st.none() | sizes,
        "depth_m": maybe_length,
        "mass_kg": st.none() | st.sampled_from([0.0, 1e-6, 3.0, 80.0, 1e6]),
        "frame": words("none", "metal", "plain_wood", "composition"),
        "glazing": words("none", "acrylic"),
        "hanging": words("wire", "plates", "ledge"),
        "wire_sag_m": maybe_length,
        "orientation": words("upright", "landscape", "square"),
        "packed": st.none() | sizes,
        "kind": st.sampled_from(["painting_canvas", "panel", "paper", "bust"]),
    }
)
walls = st.fixed_dictionaries(
    {
        "height_m": maybe_length,
        "span_m": maybe_length,
        "at_m": lengths,
        "side": words("north", "east"),
        "dado_top_m": maybe_length,
        "picture_rail_m": maybe_length,
        "mantel_shelf_m": maybe_length,
        "clear_width_m": maybe_length,
        "barrier_m": maybe_length,
        "centre_m": maybe_length,
        "pipes_within_m": maybe_length,
        "circulation": words("none", "passing", "required_egress"),
        "marks_last_year": counts,
        "build": words("brick", "lath_plaster", "chimney_breast", "unknown"),
        "stair": st.none() | st.builds(Stair, riser_m=sides, tread_m=sides),
        "tables": st.none() | st.builds(Tables, edge_to_wall_m=lengths, seatings_per_year=st.just(1e6)),
        "furniture_below": st.none()
        | st.builds(Furniture, what=st.just("chest"), height_m=lengths, depth_m=maybe_length),
        "keep_clear": st.just(())
        | st.tuples(
            st.builds(KeepClear, what=st.just("switch"), at_m=lengths, size=sizes, sill_m=maybe_length)
        ),
    }
)
rooms = st.fixed_dictionaries(
    {
        "size": st.none() | sizes,
        "use": words("hall", "corridor", "dining", "bar", "ballroom"),
        "people_per_day": counts,
        "people_peak_hour": counts,
        "children_share": shares,
        "bags_share": shares,
        "supervised_share": shares,
        "unseen_hours": counts,
        "flood_level_m": maybe_length,
        "candles_evenings_per_year": counts,
        "cooking": words("none", "near", "open"),
        "leaks_known": yes_no,
        "events": st.just(())
        | st.tuples(st.builds(Event, name=st.just("ball"), per_year=st.just(1e3), guests=counts)),
    }
)
doors = st.lists(
    st.builds(
        Opening,
        id=st.sampled_from(["a", "b"]),
        kind=st.sampled_from(["outside_door", "inside_door", "service_door", "lift", "window"]),
        room=st.just("room"),
        side=words("north", "east", "south", "west"),
        at_m=maybe_length,
        clear=st.none() | sizes,
        leaf_width_m=maybe_length,
        hinge=words("left", "right"),
        hinge_to_corner_m=maybe_length,
        opens=words("in", "out", "both"),
        opens_to_deg=st.none() | st.sampled_from([-10.0, 0.0, 90.0, 180.0, 720.0]),
        stop=yes_no,
        opens_per_day=counts,
        leads_to=st.just("outside"),
    ),
    max_size=2,
    unique_by=lambda opening: opening.id,
)
heat = st.lists(
    st.fixed_dictionaries(
        {
            "id": st.just("source"),
            "kind": st.sampled_from(
                ["hearth", "radiator", "register", "candle", "picture_light", "range", "flue", "gas_fire"]
            ),
            "used": words("never", "seasonal", "daily", "events"),
            "fires_per_year": counts,
            "power_w": st.none() | st.sampled_from([0.0, 50.0, 1e9]),
            "wall": words("wall", "south"),
            "at_m": maybe_length,
            "width_m": maybe_length,
            "top_m": maybe_length,
            "offset_m": maybe_length,
            "rise_m": maybe_length,
            "facing_wall": words("wall"),
            "facing_distance_m": maybe_length,
            "shelf_depth_m": maybe_length,
            "flue": words("open", "damper", "closed"),
        }
    ),
    max_size=1,
)


def sound(made):
    for each in loads(made):
        if each.hazard not in WALL_HAZARDS:
            continue
        assert each.reason.endswith("."), each.reason
        assert "nan" not in each.reason
        if each.draws is not None:
            assert each.draws.shape == (made.draws.count,)
            assert not np.isnan(each.draws).any(), each.hazard
            assert (each.draws >= 0).all(), each.hazard


@given(work=works, wall=walls, room=rooms, openings=doors, sources=heat, units=st.sampled_from(["us", "si"]))
@settings(max_examples=150)
def test_any_wall_is_answered(work, wall, room, openings, sources, units):
    sound(case(work=work, wall=wall, room=room, doors=openings, heat=sources, units=units))


def test_a_way_out_past_a_wall_of_no_size_is_answered():
    sound(case(wall={"height_m": 0.0, "span_m": 0.0, "circulation": "required_egress"}))


@given(
    work=works,
    room=rooms,
    facts=st.fixed_dictionaries(
        {
            "mass_kg": st.none() | st.sampled_from([0.0, 1e-6, 30.0, 1e5]),
            "height_m": maybe_length,
            "base": st.none() | sizes,
            "top": st.none() | sizes,
            "bust_base": st.none() | sizes,
            "fixed": words("none", "wall"),
            "bust_fixed": words("none", "pin", "wax"),
            "clear_width_m": maybe_length,
            "at_m": maybe_length,
        }
    ),
)
@settings(max_examples=60)
def test_any_pedestal_is_answered(work, room, facts):
    sound(case(work=work, pedestal=facts, room=room))

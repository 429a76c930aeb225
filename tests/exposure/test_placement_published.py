"""Every formula of fit, load, heat, doors and people against values worked out by another hand.

``tests/published/placement.csv`` holds a worked value for each quantity with its source; most follow from
geometry or statics and were computed by two independently written scripts.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import pytest

from stillwall.exposure import (
    contacts,
    door_swing,
    draughts,
    egress,
    framed_size,
    heat_source,
    mass,
    passage,
    placing,
    suspension,
    tipping,
)
from stillwall.reference.library import load_library

PUBLISHED = Path(__file__).parents[1] / "published" / "placement.csv"
OURS = range(1, 58)
INCH = 0.0254
FIGURE = load_library().figure

Inputs = dict[str, float]


def _numbers(inputs: str) -> tuple[Inputs, dict[str, list[float]]]:
    single: Inputs = {}
    several: dict[str, list[float]] = {}
    for part in filter(None, inputs.split(";")):
        name, value = part.split("=")
        several[name] = [float(item) for item in value.split("|")]
        single[name] = several[name][0]
    return single, several


def _span_needed(v: Inputs, s: dict[str, list[float]]) -> float:
    return placing.span_needed(s["widths"], v["gap"], v["margin"])


COMPUTE: dict[str, Callable[[Inputs, dict[str, list[float]]], float]] = {
    "framed_dimension": lambda v, s: framed_size.framed_dimension(v["image"], v["face"], v["rebate"]),
    "frame_face_per_side": lambda v, s: framed_size.face_per_side(v["framed"], v["image"]),
    "span_needed": _span_needed,
    "span_load": lambda v, s: placing.span_load(_span_needed(v, s), v["clear"]),
    "centre_height": lambda v, s: placing.centre_height(v["preferred"], v["bottom_min"], v["height"]),
    "hook_height": lambda v, s: placing.hook_height(v["centre"], v["height"], v["drop"]),
    "stair_corner_clearance": lambda v, s: placing.stair_corner_clearance(
        v["centre_above_nosing"], v["height"], v["width"], v["riser"], v["tread"]
    ),
    "viewing_distance": lambda v, s: placing.viewing_distance(v["height"], v["angle_deg"]),
    "opening_max_side": lambda v, s: passage.opening_max_side(v["W"], v["H"], v["t"]),
    "opening_max_side_rule": lambda v, s: passage.opening_max_side_rule(v["W"], v["H"], v["t"]),
    "opening_fits": lambda v, s: float(passage.opening_fits(v["short_side"], v["t"], v["W"], v["H"])),
    "corner_max_length": lambda v, s: passage.corner_max_length(v["a"], v["b"], v["t"]),
    "corridor_to_door_max_length": lambda v, s: passage.corridor_to_door_max_length(
        v["a"], v["W"], v["depth"], v["t"]
    ),
    "frame_mass": lambda v, s: mass.frame_mass(
        v["framed_h"], v["framed_w"], v["face"], v["depth"], v["fill"], v["rho"]
    ),
    "sheet_mass": lambda v, s: mass.sheet_mass(v["h"], v["w"], v["thickness"], v["rho"]),
    "wire_tension": lambda v, s: suspension.wire_tension(v["mass"], v["angle_deg"]),
    "wire_tension_sag": lambda v, s: suspension.wire_tension_sag(v["mass"], v["span"], v["sag"]),
    "wire_inward_force": lambda v, s: suspension.wire_inward_force(v["mass"], v["angle_deg"]),
    "fixing_share": lambda v, s: suspension.fixing_share(v["mass"], v["spacing"], v["offset"]),
    "fixing_rating_needed": lambda v, s: suspension.fixing_rating_needed(v["mass"], int(v["n"]), v["factor"]),
    "top_pullout": lambda v, s: suspension.top_pullout(v["mass"], v["forward"], v["lever"]),
    "combined_cg": lambda v, s: tipping.combined_centre([v["m1"], v["m2"]], [v["z1"], v["z2"]]),
    "tip_angle": lambda v, s: tipping.tip_angle(v["b"], v["h"]),
    "tip_force": lambda v, s: tipping.tip_force(v["mass"], v["b"], v["z"]),
    "tip_energy": lambda v, s: tipping.tip_energy(v["mass"], v["b"], v["h"]),
    "ballast_needed": lambda v, s: tipping.ballast_needed(v["force"], v["z"], v["b"], v["mass"]),
    "rocking_acceleration": lambda v, s: tipping.rocking_acceleration(v["b"], v["h"]),
    "rh_at_constant_vapour": lambda v, s: heat_source.humidity_at_constant_vapour(v["rh"], v["t1"], v["t2"]),
    "radiant_flux": lambda v, s: heat_source.radiant_flux(v["power"], v["r"]),
    "surface_rise": lambda v, s: heat_source.surface_rise(v["flux"], v["absorptance"], v["h"]),
    "line_plume_rise": lambda v, s: heat_source.line_plume_rise(v["q_per_m"], v["z"]),
    "wall_plume_rise": lambda v, s: heat_source.wall_plume_rise(v["q_per_m"], v["z"]),
    "point_plume_rise": lambda v, s: heat_source.point_plume_rise(v["q"], v["z"]),
    "light_surface_rise": lambda v, s: heat_source.light_surface_rise(
        v["lux"], v["lm_per_W"], v["absorptance"], v["h"]
    ),
    "door_tip_reach_on_side_wall": lambda v, s: _known(
        door_swing.tip_reach_on_side_wall(v["leaf"], v["hinge_to_corner"])
    ),
    "door_angle_at_side_wall": lambda v, s: _known(
        door_swing.angle_at_side_wall(v["leaf"], v["hinge_to_corner"])
    ),
    "sensor_peak_fraction": lambda v, s: draughts.sensor_peak_fraction(v["pulse_min"], v["tau_min"]),
    "outdoor_fraction": lambda v, s: draughts.outdoor_fraction(v["x_before"], v["x_after"], v["x_out"]),
    "meeting_probability": lambda v, s: contacts.meeting_probability(v["per_hour"], v["zone"], v["speed"]),
    "contact_per_pass": lambda v, s: contacts.contact_per_pass(v["clear"], v["per_hour"], v["lapse"]),
    "contacts_per_year": lambda v, s: contacts.contacts_per_year(
        v["passes"], v["clear"], v["per_hour"], v["lapse"], v["overlap"]
    ),
    "height_overlap": lambda v, s: contacts.height_overlap(v["bottom"], v["top"], v["low"], v["high"]),
    "chair_contacts": lambda v, s: contacts.chair_contacts(v["seatings"], v["gap"], v["reach"], v["sd"]),
    "contact_load": lambda v, s: contacts.contact_load(v["contacts"], v["p_damage"], v["allowed"]),
    "chance_of_damage": lambda v, s: contacts.chance_of_damage(v["contacts"], v["p_damage"], v["days"]),
    "stay_days": lambda v, s: contacts.stay_days(v["contacts"], v["p_damage"], v["chance"]),
    "dust_ratio": lambda v, s: contacts.dust_ratio(v["distance"], v["half"]),
    "yearly_loss_exponent_score": lambda v, s: contacts.yearly_loss_score(v["fraction_per_year"]),
    "protrusion_limit": lambda v, s: (
        egress.protrusion_limit(
            v["edge_height_in"] * INCH,
            *(FIGURE(f"fit.code.projection_{n}") * INCH for n in ("limit", "from", "to")),
        )
        / INCH
    ),
    "corridor_min_width": lambda v, s: (
        egress.corridor_min_width(
            v["occupants"],
            FIGURE("fit.code.corridor_width") * INCH,
            FIGURE("fit.code.corridor_width_few") * INCH,
            FIGURE("fit.code.corridor_few"),
        )
        / INCH
    ),
    "wheelchair_handle_height": lambda v, s: FIGURE("bump.band.wheelchair_high"),
    "decoration_area_limit": lambda v, s: egress.decoration_area_limit(
        v["wall_area"], FIGURE("fit.code.decoration_share")
    ),
}


def _known(value: float | None) -> float:
    assert value is not None
    return value


def _rows() -> list[dict[str, str]]:
    with PUBLISHED.open(encoding="utf-8", newline="") as stream:
        return [row for row in csv.DictReader(stream) if int(row["id"][1:]) in OURS]


def test_no_row_is_missing():
    assert [row["id"] for row in _rows()] == [f"P{number:03d}" for number in OURS]


@pytest.mark.parametrize("row", _rows(), ids=lambda row: row["id"])
def test_worked_value(row):
    computed = float(COMPUTE[row["quantity"]](*_numbers(row["inputs"])))
    assert computed == pytest.approx(float(row["expected"]), abs=max(float(row["abs_tol"]), 1e-12))

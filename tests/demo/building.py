"""Rooms of the three buildings: heat, moisture and what happens at each wall.

Heat: one node for air with furnishings and one for the room's mass, joined by a surface coefficient; losses
through windows and leakage from the air, through walls from the mass; a proportional heater with a setpoint
and radiators of half an hour (lumped models after Mathews, Richards and Lombard, Energy and Buildings 21,
1994). The gallery's heater follows a humidistat (conservation heating: Staniforth, Hayes and Bullock 1994,
Preprints of the IIC Ottawa congress).

Moisture: the air exchanges with outdoors, takes what people breathe out, and exchanges with a fast store
(plaster, curtains: hours) and a slow one (timber, books, walls: weeks), each a first-order store in relative
humidity, as in the effective penetration depth model (Cunningham, Building and Environment 27, 1992).
Capacities follow moisture buffer values of 0.5 to 1 g/(m2 %RH) over the room's surfaces (Rode and others,
NORDTEST project report, 2005).

People give 85 W and 50 g/h each (order of ISO 7730 and ASHRAE Fundamentals for seated to light work).
A fire sends 0.6 to 1.4 kW into the room, draws 0.8 air changes up the flue, and warms the breast above it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .clock import STEP_S, Floats
from .occupancy import Use
from .sun import Sky
from .weather import Weather, saturation_g_m3

AIR_J_M3K = 1206.0
SATURATED_20_G_M3 = 17.3
RADIATOR_MIN = 35.0
PERSON_W = 85.0
PERSON_G_H = 50.0


@dataclass(frozen=True)
class RoomBody:
    """A room as the simulation knows it."""

    id: str
    volume_m3: float
    air_share: float
    """Heat capacity of air with what warms at once, over that of air alone."""
    surface_w_k: float
    mass_mj_k: float
    loss_air_w_k: float
    loss_mass_w_k: float
    leakage_per_h: float
    heater_w: float
    glass_m2: float
    damp_g_h: float
    steady_w: float
    """Hot water pipes, kitchens below, lamps and neighbours: heat that is always there."""
    fast_per_h: float = 1.3
    slow_per_h: float = 0.10
    humidistat_k_pct: float = 0.0
    dryer_g_h: float = 0.0
    """Most that a dehumidifier takes out, at 4 %RH above its setting of 52 %RH."""
    band_k: float = 2.5
    """Difference from the setpoint at which the heater gives all it has."""


ROOMS = (
    RoomBody("orangery-gallery", 330, 6, 900, 110, 100, 80, 0.25, 9000, 5, 60, 650, 2.0, 0.25, 0.30, 420),
    RoomBody("ballroom", 1150, 4, 2200, 190, 480, 240, 0.50, 26000, 34, 90, 3600, 1.2, 0.12),
    RoomBody("reading-hall", 260, 5, 800, 90, 90, 60, 0.35, 8000, 4, 60, 600, 1.8, 0.25, 0.32, 230),
    RoomBody("dining-room", 210, 5, 700, 80, 90, 50, 0.40, 8000, 7, 60, 550, 2.0, 0.25, 0.22, 260),
    RoomBody("library", 190, 6, 750, 90, 75, 45, 0.30, 7000, 5, 45, 400, 2.6, 0.60, 0.25, 130),
    RoomBody("landing", 120, 5, 420, 55, 36, 24, 0.30, 3500, 2, 25, 300, 1.8, 0.30, 0.30, 120),
    RoomBody("drawing-room", 175, 5, 620, 62, 85, 45, 0.45, 6500, 9, 45, 350, 1.6, 0.15),
    RoomBody("seed-lobby", 62, 1.3, 150, 20, 40, 35, 0.5, 4500, 3, 15, 220, 0.7, 0.06, band_k=7.0),
    RoomBody("meeting-room", 300, 5, 950, 110, 120, 90, 0.30, 10000, 7, 80, 700, 2.0, 0.25, 0.25, 380),
    RoomBody("seed-corridor", 70, 4, 220, 26, 26, 18, 0.4, 2200, 2, 18, 150, 0.8, 0.08),
    RoomBody("seed-store", 140, 4, 420, 60, 40, 50, 0.2, 3000, 1, 30, 120, 1.2, 0.20, 0.25, 150),
)


@dataclass(frozen=True)
class Climate:
    """Air of one room on the simulation's grid."""

    temperature_c: Floats
    vapour_g_m3: Floats
    mass_c: Floats


def simulate(weather: Weather, sky: Sky, uses: dict[str, Use]) -> dict[str, Climate]:
    """Run all rooms side by side by explicit steps of five minutes."""

    def column(name: str) -> Floats:
        return np.array([getattr(room, name) for room in ROOMS], dtype=float)

    volume, surface = column("volume_m3"), column("surface_w_k")
    air_j_k = AIR_J_M3K * volume * column("air_share")
    mass_j_k = 1e6 * column("mass_mj_k")
    loss_air, loss_mass, heater = column("loss_air_w_k"), column("loss_mass_w_k"), column("heater_w")
    fast, slow, follow = column("fast_per_h"), column("slow_per_h"), column("humidistat_k_pct")
    humid, dryer = follow > 0, column("dryer_g_h") / volume

    irradiance = (
        0.5 * sky.sky_lux + np.sin(np.radians(np.maximum(sky.elevation, 0))) * sky.sun_normal_lux
    ) / 110
    setpoint = np.column_stack([uses[room.id].setpoint_c for room in ROOMS])
    changes = np.column_stack([room.leakage_per_h + uses[room.id].air_changes_per_h for room in ROOMS])
    people = np.column_stack([uses[room.id].people for room in ROOMS])
    gain = (
        PERSON_W * people
        + np.column_stack([uses[room.id].heat_w for room in ROOMS])
        + column("steady_w")
        + irradiance[:, None] * 0.35 * column("glass_m2")
    )
    water = (PERSON_G_H * people + column("damp_g_h")) / volume

    air = np.full(len(ROOMS), 19.0)
    mass = np.full(len(ROOMS), 18.5)
    vapour = np.full(len(ROOMS), 9.0)
    fast_store = np.full(len(ROOMS), 0.55)
    slow_store = np.full(len(ROOMS), 0.55)
    out = np.empty((3, len(weather.times), len(ROOMS)))
    step_h = STEP_S / 3600
    warming = STEP_S / 60 / RADIATOR_MIN
    proportional = heater / column("band_k")
    heat = np.zeros(len(ROOMS))
    outside_t, outside_v = weather.temperature_c.tolist(), weather.vapour_g_m3.tolist()
    for i, (to, vo) in enumerate(zip(outside_t, outside_v, strict=True)):
        humidity = vapour / saturation_g_m3(air)
        aim = setpoint[i]
        aim = np.where(humid, np.clip(aim + follow * (100 * humidity - 51), 17.3, np.maximum(aim, 21.2)), aim)
        heat = heat + warming * (np.clip(proportional * (aim - air), 0, heater) - heat)
        exchange = changes[i]
        carried = AIR_J_M3K / 3600 * exchange * volume
        into_mass = surface * (air - mass)
        from_fast = fast * (fast_store - humidity)
        from_slow = slow * (slow_store - humidity)
        air = air + STEP_S / air_j_k * ((to - air) * (loss_air + carried) - into_mass + heat + gain[i])
        mass = mass + STEP_S / mass_j_k * (into_mass + loss_mass * (to - mass))
        dried = dryer * np.clip((100 * humidity - 52) / 4, 0, 1)
        vapour = vapour + step_h * (
            exchange * (vo - vapour) + water[i] - dried + SATURATED_20_G_M3 * (from_fast + from_slow)
        )
        fast_store = fast_store - step_h / 4.0 * from_fast / fast
        slow_store = slow_store - step_h / 260.0 * from_slow / slow
        out[0, i], out[1, i], out[2, i] = air, vapour, mass
    return {
        room.id: Climate(out[0, :, k].copy(), out[1, :, k].copy(), out[2, :, k].copy())
        for k, room in enumerate(ROOMS)
    }


def follow_up(target: Floats, up_min: float, down_min: float) -> Floats:
    """First-order course towards a target with one time constant for rising and one for falling."""
    rise, fall = (1 - float(np.exp(-STEP_S / 60 / minutes)) for minutes in (up_min, down_min))
    value, course = float(target[0]), []
    for aim in target.tolist():
        value += (rise if aim > value else fall) * (aim - value)
        course.append(value)
    return np.array(course)


def outside_wall_surface(room: Climate, weather: Weather, temperature_factor: float) -> Floats:
    """Inner surface of an outside wall that follows the weather of the last half day. [degC]"""
    lagged = follow_up(weather.temperature_c, 600, 600)
    return lagged + temperature_factor * (room.temperature_c - lagged)

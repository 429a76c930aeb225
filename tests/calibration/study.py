"""Verdicts on worlds with a known truth, counted.

What measures truly do is not known to the estimator either: each effect is drawn evenly over its published
span and a tenth beyond, where the estimator draws it by logarithms about its middle.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from stillwall.case import Case, Site, Stay
from stillwall.draws import Draws
from stillwall.hazards import loads
from stillwall.judgement.measures import Evaluate, Responses, Search
from stillwall.judgement.verdict import judge, one_hazard
from stillwall.load import Load
from stillwall.record import Channel, Record
from stillwall.reference.library import Library, load_library
from stillwall.reference.measures import Effect
from stillwall.survey.features import Lamp, Opening
from stillwall.survey.survey import Building, Room, Survey, SurveyHead, Wall
from stillwall.survey.works import Work
from stillwall.units import Size
from tests.calibration.worlds import (
    HUMIDITY_ACCURACY_PCT,
    LIGHT_ACCURACY,
    TEMPERATURE_ACCURACY_K,
    YEAR_H,
    World,
    make_world,
)

FIRST = np.datetime64("2020-01-01T00:00:00", "s")
EXACT = 1e-6
SEEN = slice(0, YEAR_H)
AFTER = slice(YEAR_H, None)
BEYOND = 0.1
"""Share of its span by which a measure may truly do more or less than published."""
CLEARING = ("suitable", "suitable with measures")
WORKS = (
    {"kind": "painting_canvas", "medium": "oil-on-canvas"},
    {"kind": "panel", "medium": "oil-on-panel", "species": "oak", "thickness_m": 0.012, "cut": "tangential"},
    {"kind": "paper", "medium": "watercolour", "glazing": "glass"},
)


@dataclass(frozen=True)
class Outcome:
    """What was said of one wall, and what is so.

    ``cleared`` are the loads of a wall that was called suitable, as it is or under the first set of
    measures shown, and ``cleared_but_over`` those of them that are truly over there. ``lost`` says whether
    some load is truly over whatever measures are taken, ``near`` whether a true load lies within a fifth
    of its limit, where no log could decide.
    """

    verdict: str
    cleared: frozenset[str]
    cleared_but_over: frozenset[str]
    lost: bool
    near: bool


def outcomes(seed: int, walls: int, *, ruled_out: float = 1.0) -> list[Outcome]:
    """Judge every wall of a world from its first year, and compare with the five years after it.

    A full survey says which measures the house rules out: here a share of them, by dice.
    """
    world = make_world(seed, walls)
    return [_outcome(world, number, ruled_out) for number in range(walls)]


def _outcome(world: World, number: int, ruled_out: float) -> Outcome:
    home = (number + 1) % world.temperature_c.shape[1]
    logged = _ruling_out(_case(world, number, home, SEEN, errors=True), world, number, ruled_out)
    found = loads(logged)
    judged = judge(logged, found)
    true = _ruling_out(_case(world, number, home, AFTER, errors=False), world, number, ruled_out)
    true = replace(true, library=_true_effects(true.library, world, number))
    evaluate = _with_true_knocks(true, world, number)
    as_it_is = tuple(load for each in loads(true) if (load := evaluate(true, each.hazard)) is not None)
    under = true.with_measures(frozenset(judged.measures[0] if judged.measures else ()))
    cleared = [load.hazard for load in judged.loads_with_measures] if judged.verdict in CLEARING else []
    over = [name for name in cleared if (load := evaluate(under, name)) is not None and _over(load)]
    return Outcome(
        verdict=judged.verdict,
        cleared=frozenset(cleared),
        cleared_but_over=frozenset(over),
        lost=not Search(Responses.of(true, as_it_is, evaluate), _over).possible(),
        near=any(load.ratio is not None and 0.8 <= load.ratio <= 1.25 for load in as_it_is),
    )


def _over(load: Load) -> bool:
    return load.barred or (load.ratio or 0.0) > 1.0


def _ruling_out(case: Case, world: World, number: int, share: float) -> Case:
    names = sorted(case.library.measures)
    refused = tuple(name for name, die in zip(names, world.ruled_out[number], strict=False) if die < share)
    place = replace(case.site.place, measures_ruled_out=refused)
    return replace(case, site=replace(case.site, place=place))


def _true_effects(library: Library, world: World, number: int) -> Library:
    """The library with what each measure truly does at a wall, without any doubt."""
    dice = iter(world.effects[number])

    def true(effect: Effect) -> Effect:
        if effect.low is None or effect.high is None:
            return effect
        beyond = BEYOND * (effect.high - effect.low)
        factor = max(effect.low + (effect.high - effect.low) * next(dice) * (1 + 2 * BEYOND) - beyond, 0.001)
        return replace(effect, low=factor, mid=factor, high=factor)

    return replace(
        library,
        measures={
            name: replace(measure, effects=tuple(true(effect) for effect in measure.effects))
            for name, measure in sorted(library.measures.items())
        },
    )


def _with_true_knocks(case: Case, world: World, number: int) -> Evaluate:
    """Loads of a case, knocks by how many there truly are and not by the marks of some years."""
    damage = world.contacts_a_year[number] * world.damage_share[number]
    guessed = one_hazard(case, "bump")
    assert guessed is not None
    share = damage / case.library.figure("bump.allowance.damaging_contacts") / (guessed.ratio or 1.0)

    def evaluate(at: Case, hazard: str) -> Load | None:
        load = one_hazard(at, hazard)
        if hazard != "bump" or load is None or load.draws is None:
            return load
        return replace(load, draws=load.draws * share, _quantiles={})

    return evaluate


def _case(world: World, number: int, home: int, hours: slice, *, errors: bool) -> Case:
    """A wall of which everything is surveyed, for a work that has hung at another of the world's walls."""
    library = load_library()
    open_hours = f"{world.opens[number]:02d}:00 to {world.closes[number]:02d}:00"
    room = Room(
        id="hall",
        building="seed-hall",
        use="drawing",
        size=Size(3.2, 8.0, 6.0),
        people_per_day=20.0,
        people_peak_hour=6.0,
        children_share=0.0,
        bags_share=0.05,
        wheelchair_share=0.0,
        trolley_trips_per_day=0.0,
        supervised_share=0.95,
        cooking="none",
        smoking=False,
        candles_evenings_per_year=0.0,
        pipes_overhead=False,
        leaks_known=False,
        sprinklers=False,
        pests_seen=False,
        loud_music=False,
        unseen_hours=0.0,
    )
    building = Building(
        id="seed-hall",
        latitude=53.0,
        longitude=-2.0,
        timezone="Europe/London",
        use="club",
        open_days=365.0,
        open_hours=open_hours,
    )
    wall = Wall(
        id="wall",
        room="hall",
        side="north",
        outside=False,
        build="brick",
        fixings_allowed="any",
        height_m=3.2,
        span_m=4.0,
        clear_width_m=5.0,
        circulation="none",
        marks_last_year=float(world.marks[number]),
        marks_years=float(world.marks_years),
    )
    work = Work(
        **WORKS[number % len(WORKS)],
        id="work",
        title="Lime Avenue",
        framed=Size(0.9, 0.7, 0.05),
        image=Size(0.8, 0.6),
        depth_m=0.05,
        mass_kg=8.0,
        mass_known="weighed",
        frame="plain_wood",
        backing="none",
        hanging="plates",
        condition="sound",
        varnish="satin",
        reflectance=0.3,
        now_at="home",
    )
    window = Opening(
        id="window",
        kind="window",
        room="hall",
        side="north",
        at_m=5.5,
        size=Size(1.8, 1.2),
        sill_m=0.9,
        bearing_deg=0.0,
        glass="laminated",
        film="uv",
    )
    door = Opening(
        id="door",
        kind="inside_door",
        room="hall",
        side="south",
        at_m=0.3,
        clear=Size(2.05, 0.9),
        leaf_width_m=0.9,
        hinge="right",
        opens="out",
        opens_to_deg=90.0,
        stop=True,
        opens_per_day=30.0,
        leads_to="outside",
    )
    lamp = Lamp(
        id="lamp",
        kind="led",
        room="hall",
        uv_uw_lm=5.0,
        lux_at_wall=float(world.lamp_lx[number] * (world.lamp_reading[number] if errors else 1.0)),
        hours=open_hours,
        days_per_year=365.0,
    )
    home_wall = replace(wall, id="home")
    survey = Survey(
        folder=Path(),
        head=SurveyHead(name="Larkmoor Botanical Society"),
        buildings={building.id: building},
        rooms={room.id: room},
        walls={"wall": wall, "home": home_wall},
        pedestals={},
        holding_places={},
        openings={"window": window, "door": door},
        lamps={"lamp": lamp},
        heat_sources={},
        routes={},
        works={"work": work},
        loggers={},
    )

    def site(place: Wall, at: int) -> Site:
        record = _record(world, at, hours, place.id, errors=errors)
        return Site(place=place, room=room, building=building, read=lambda: record)

    return Case(
        survey=survey,
        library=library,
        work=work,
        medium=library.media[work.medium],
        guideline=library.guidelines["bizot-2023"],
        site=site(wall, number),
        present=site(home_wall, home),
        stay=Stay(dt.date(2026, 1, 1)),
        draws=Draws(seed=number),
    )


def _record(world: World, at: int, hours: slice, place: str, *, errors: bool) -> Record:
    times = FIRST + np.arange(len(world.temperature_c))[hours].astype("timedelta64[h]")
    values = {
        "temperature": world.temperature_c[hours, at] + errors * world.temperature_offset_k[at],
        "humidity": np.clip(world.humidity_pct[hours, at] + errors * world.humidity_offset_pct[at], 1, 100),
        "light": world.light_lx[hours, at] * (world.light_gain[at] if errors else 1.0),
    }
    accuracy = {
        "temperature": TEMPERATURE_ACCURACY_K,
        "humidity": HUMIDITY_ACCURACY_PCT,
        "light": LIGHT_ACCURACY,
    }
    units = {"temperature": "degC", "humidity": "%", "light": "lx"}
    channels = {
        role: Channel(
            role=role,
            sensor=None,
            unit=units[role],
            unit_in_file=units[role],
            times=times.astype("datetime64[s]"),
            values=np.asarray(series, dtype=float),
            excluded=np.zeros(len(series), bool),
            flags=(),
            utc=True,
            logger=f"logger-{at}",
            accuracy=accuracy[role] if errors else EXACT,
        )
        for role, series in values.items()
    }
    return Record(place=place, channels=channels, zone="Europe/London")


@dataclass(frozen=True)
class Counts:
    """Outcomes of many walls, counted."""

    walls: int
    verdicts: Counter[str]
    cleared: Counter[str]
    """Loads that were cleared, by verdict."""
    cleared_but_over: Counter[str]
    unsuitable: int
    unsuitable_and_over: int
    clear: int
    clear_and_decided: int

    def cleared_wrong(self, verdict: str = "suitable") -> float:
        """Share of the loads cleared under a verdict that are truly over."""
        return self.cleared_but_over[verdict] / self.cleared[verdict] if self.cleared[verdict] else 0.0

    @property
    def unsuitable_right(self) -> float:
        """Share of the unsuitable walls at which some load is truly over under every set of measures."""
        return self.unsuitable_and_over / self.unsuitable if self.unsuitable else 1.0

    @property
    def decided(self) -> float:
        """Share of the walls that are not undecided."""
        return 1.0 - self.verdicts["undecided"] / self.walls

    @property
    def clear_decided(self) -> float:
        """Share of the walls with no true load near its limit that are not undecided."""
        return self.clear_and_decided / self.clear if self.clear else 1.0


def counted(made: Iterable[Outcome]) -> Counts:
    """Count outcomes."""
    every = list(made)
    cleared: Counter[str] = Counter()
    wrong: Counter[str] = Counter()
    for each in every:
        cleared[each.verdict] += len(each.cleared)
        wrong[each.verdict] += len(each.cleared_but_over)
    unsuitable = [each for each in every if each.verdict == "unsuitable"]
    return Counts(
        walls=len(every),
        verdicts=Counter(each.verdict for each in every),
        cleared=cleared,
        cleared_but_over=wrong,
        unsuitable=len(unsuitable),
        unsuitable_and_over=sum(each.lost for each in unsuitable),
        clear=sum(not each.near for each in every),
        clear_and_decided=sum(not each.near and each.verdict != "undecided" for each in every),
    )


def table(by_share: dict[str, Counts]) -> str:
    """Counts side by side, as a table for DEVELOPERS.md."""
    every = list(by_share.values())
    verdicts = ("suitable", "suitable with measures", "undecided", "unsuitable")
    rows = [
        f"| what | asked | {' | '.join(by_share)} |",
        f"|---|---|{'---|' * len(every)}",
        _row("fully surveyed, fully logged walls", "", [str(each.walls) for each in every]),
        *(_row(f"of these {word}", "", [str(each.verdicts[word]) for each in every]) for word in verdicts),
        _row("decided", "at least 80 %", [f"{100 * each.decided:.0f} %" for each in every]),
        _row(
            "decided where no true load is within a fifth of its limit",
            "",
            [f"{100 * each.clear_decided:.0f} % of {each.clear}" for each in every],
        ),
        *(
            _row(
                f"loads cleared {words} that are truly over",
                "at most 20 %",
                [f"{100 * each.cleared_wrong(said):.1f} % of {each.cleared[said]}" for each in every],
            )
            for said, words in zip(CLEARING, ("at suitable walls", "by measures"), strict=True)
        ),
        _row(
            "unsuitable walls at which a load is truly over whatever is done",
            "at least 80 %",
            [f"{100 * each.unsuitable_right:.0f} % of {each.unsuitable}" for each in every],
        ),
    ]
    return "\n".join(rows)


def _row(what: str, asked: str, found: list[str]) -> str:
    return f"| {what} | {asked} | {' | '.join(found)} |"

"""Cases with made-up hazards, whose loads are stated and not computed from a survey."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field, replace
from datetime import date
from importlib.resources import files
from pathlib import Path

import numpy as np

from stillwall.case import Case, Site, Stay
from stillwall.draws import Draws
from stillwall.load import Load
from stillwall.record import Record
from stillwall.reference.figures import read_figures
from stillwall.reference.guidelines import Guideline
from stillwall.reference.library import Library
from stillwall.reference.measures import Effect, Measure
from stillwall.reference.media import LightResponse, Medium
from stillwall.reference.sources import Citation
from stillwall.survey.survey import Building, Room, Survey, SurveyHead, Wall
from stillwall.survey.works import Work

CITATION = Citation(key="judgement", checked="judgement")
COUNT = 200


def figures(*names):
    found = {}
    for name in names:
        text = (files("stillwall") / "data" / "hazards" / f"{name}.toml").read_text("utf-8")
        faults = []
        found |= read_figures(tomllib.loads(text), name, name, faults)
        assert not faults
    return found


def library(measures=(), more=None):
    return Library(
        sources={},
        guidelines={},
        media={},
        measures={measure.id: measure for measure in measures},
        figures={**figures("verdict"), **(more or {})},
    )


def measure(name, effects, *, cost=1, reversible=True, excludes=(), needs=(), caution=""):
    """A measure; ``effects`` maps a hazard to (low, mid, high), to one factor, or to a fact."""
    made = []
    for hazard, effect in effects.items():
        if isinstance(effect, bool | str):
            made.append(Effect(hazard=hazard, on="part", value=effect, source=CITATION))
        else:
            low, mid, high = effect if isinstance(effect, tuple) else (effect, effect, effect)
            made.append(Effect(hazard=hazard, on="part", low=low, mid=mid, high=high, source=CITATION))
    return Measure(
        id=name,
        title=name,
        cost=cost,
        reversible=reversible,
        needs=needs,
        excludes=excludes,
        effects=tuple(made),
        caution=caution,
    )


def load(hazard="humidity", median=0.5, spread=1.3, *, draws=None, source=None, **facts):
    """A load that is log-normal about a median: 90 % of it within a factor ``spread``."""
    if draws is None and median is not None:
        draws = Draws(count=COUNT).between(source or hazard, median / spread, median, median * spread)
    return Load(
        **{
            "hazard": hazard,
            "kind": "graded",
            "draws": draws,
            "reason": f"{hazard} is stated",
            "evidence": "measured" if draws is not None else "missing",
            "sources": (CITATION,),
            **facts,
        }
    )


@dataclass
class World:
    """Hazards whose loads at a place are stated; measures multiply them, a fact ``False`` lifts a bar."""

    loads: dict[str, tuple[Load, ...]]
    library: Library = field(default_factory=library)
    work: Work = field(
        default_factory=lambda: Work(id="ferns", kind="painting_canvas", medium="oil", frame="plain_wood")
    )
    stay: Stay = field(default_factory=lambda: Stay(date(2026, 3, 1)))
    walls: dict[str, Wall] = field(default_factory=dict)
    accepted: tuple = ()
    evaluated: int = 0

    def case(self, place):
        walls = {name: self.walls.get(name, Wall(id=name, room="hall")) for name in self.loads}
        room = Room(id="hall", building="orangery")
        building = Building(id="orangery")
        survey = Survey(
            folder=Path(),
            head=SurveyHead(name="Larkmoor Botanical Society"),
            buildings={"orangery": building},
            rooms={"hall": room},
            walls=walls,
            pedestals={},
            holding_places={},
            openings={},
            lamps={},
            heat_sources={},
            routes={},
            works={self.work.id: self.work},
            loggers={},
            accepted=self.accepted,
        )
        return Case(
            survey=survey,
            library=self.library,
            work=self.work,
            medium=Medium(
                id="oil",
                title="oil",
                group="painting",
                light=LightResponse(responsivity="R1", span=("R1", "R2"), source=CITATION),
                hygroscopic=True,
            ),
            guideline=Guideline(id="none", title="none", year=2026, status="proposal", source=CITATION),
            site=Site(walls[place], room, building, lambda: Record(place=place, channels={})),
            present=None,
            stay=self.stay,
            draws=Draws(count=COUNT),
        )

    def evaluate(self, case, hazard):
        self.evaluated += 1
        for stated in self.loads[case.site.place.id]:
            if stated.hazard == hazard:
                barred = stated.barred and case.setting(hazard, "part") is not False
                draws = stated.draws
                if draws is not None:
                    draws = draws * np.asarray(case.factor(hazard, "part"))
                return replace(stated, draws=draws, barred=barred, _quantiles={})
        return None

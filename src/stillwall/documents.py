"""Answers as JSON documents: the contract that other programs rely on."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from typing import Any

from stillwall.answers import Matrix, Placed, Vetting, WallRanking, WorkRanking
from stillwall.case import Stay
from stillwall.judgement.moves.model import Plan, Step
from stillwall.judgement.ranking import Ranked
from stillwall.judgement.verdict import Judged
from stillwall.load import Load
from stillwall.season import ChannelSeason, Spot
from stillwall.units import Amount

VERSION = 1
Document = dict[str, Any]
DIGITS = 6
"""Significant digits of figures in documents."""


def rank_document(ranking: WorkRanking) -> Document:
    """Every place for one work."""
    return {
        "stillwall": VERSION,
        "work": ranking.work.id,
        "stay": stay_document(ranking.stay),
        "walls": [_wall(ranked, ranking.by_place[ranked.id]) for ranked in ranking.places],
    }


def rank_wall_document(ranking: WallRanking) -> Document:
    """Every work for one place."""
    works = []
    for ranked in ranking.works:
        entry = _wall(ranked, ranking.by_work[ranked.id])
        works.append({"work": ranked.id, **entry, "wall": ranking.place.id})
    return {"stillwall": VERSION, "wall": ranking.place.id, "works": works}


def vet_document(vetting: Vetting) -> Document:
    """One work at one place."""
    return {
        "stillwall": VERSION,
        "work": vetting.placed.work.id,
        "stay": stay_document(vetting.stay),
        **_wall(vetting.ranked, vetting.placed),
    }


def matrix_document(matrix: Matrix) -> Document:
    """Works by places."""
    return {
        "stillwall": VERSION,
        "works": [work.id for work in matrix.works],
        "walls": [place.id for place in matrix.places],
        "cells": [
            {
                "work": work,
                "wall": wall,
                "verdict": cell.judged.verdict,
                "governing": cell.judged.governing,
                "ratio": number(cell.judged.worst),
            }
            for (work, wall), cell in matrix.cells.items()
        ],
    }


def stay_document(stay: Stay) -> Document:
    """The dates of a stay."""
    return {"from": stay.start.isoformat(), "to": None if stay.end is None else stay.end.isoformat()}


def load_document(load: Load) -> Document:
    """One load."""
    return {
        "hazard": load.hazard,
        "kind": load.kind,
        "ratio": number(load.ratio),
        "low": number(load.low),
        "high": number(load.high),
        "barred": load.barred,
        "missing": list(load.missing),
        "deciding": load.deciding,
        "chance_over": number(load.chance_over),
        "exposure": _amount(load.exposure),
        "allowance": _amount(load.allowance),
        "span": None if load.span is None else [number(load.span[0]), number(load.span[1])],
        "evidence": load.evidence,
        "reason": load.reason,
        "source": "; ".join(str(source) for source in load.sources),
        "notes": list(load.notes),
    }


def _wall(ranked: Ranked, placed: Placed) -> Document:
    judged = placed.judged
    return {
        "wall": placed.place.id,
        "rank": ranked.rank,
        "verdict": judged.verdict,
        "governing": judged.governing,
        "chance_any": number(judged.chance_any),
        "chance_best": number(ranked.chance_best),
        "ties": list(ranked.ties),
        "against_present": ranked.against_present,
        "until": _until(judged),
        "measures": [list(chosen) for chosen in judged.measures],
        "would_decide": list(judged.would_decide),
        "cautions": list(judged.cautions),
        "loads": [load_document(load) for load in judged.loads],
    }


def _until(judged: Judged) -> str | None:
    """The day by which a work should go; null where it may not come in the first place."""
    barred = any(load.barred and load.hazard == judged.governing for load in judged.loads)
    if judged.until is None or judged.verdict == "unsuitable" or barred:
        return None
    return judged.until.isoformat()


def _amount(amount: Amount | None) -> Document | None:
    return None if amount is None else {"value": number(amount.value), "unit": amount.unit}


def number(value: float | None) -> float | None:
    """A figure for a document: finite, and with no digits that are noise."""
    if value is None or value != value or value in (float("inf"), float("-inf")):
        return None
    return float(f"{value:.{DIGITS}g}")


def season_document(spots: Sequence[Spot]) -> Document:
    """Rooms this season against last year's."""
    return {
        "stillwall": VERSION,
        "rooms": [
            {
                "room": spot.room,
                "wall": spot.wall,
                "season": {
                    "name": spot.season.name,
                    "from": spot.season.start.isoformat(),
                    "to": spot.season.end.isoformat(),
                },
                "channels": [_channel_season(channel) for channel in spot.channels],
                "alerts": [
                    {
                        "id": alert.id,
                        "kind": alert.kind,
                        "since": alert.since.isoformat(),
                        "reason": alert.reason,
                        "acknowledged": alert.acknowledged,
                    }
                    for alert in spot.alerts
                ],
                "notes": list(spot.notes),
            }
            for spot in spots
        ],
    }


def _channel_season(channel: ChannelSeason) -> Document:
    change = channel.against_last_year
    return {
        "role": channel.role,
        "unit": channel.unit,
        "coverage": number(channel.coverage),
        "median": number(channel.median),
        "low": number(channel.low),
        "high": number(channel.high),
        "in_band": number(channel.in_band),
        "against_last_year": None
        if change is None
        else {"change": number(change.change), "low": number(change.low), "high": number(change.high)},
    }


SEASON_COLUMNS = (
    *("room", "wall", "season", "from", "to", "quantity", "unit"),
    *("coverage", "median", "low", "high", "in_band", "change", "change_low", "change_high", "alerts"),
)


def season_csv(spots: Sequence[Spot]) -> str:
    """The figures of a season as CSV; no cell can be read as a formula by a spreadsheet."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(SEASON_COLUMNS)
    for spot in spots:
        for channel in spot.channels:
            made = _channel_season(channel)
            change = made["against_last_year"] or {}
            alerts = "; ".join(alert.reason for alert in spot.alerts if alert.kind == channel.role)
            season = spot.season
            figures = [made[name] for name in ("coverage", "median", "low", "high", "in_band")]
            changes = [change.get(name) for name in ("change", "low", "high")]
            words = [
                spot.room,
                spot.wall or "",
                season.name,
                season.start,
                season.end,
                channel.role,
                channel.unit,
            ]
            writer.writerow([*map(harmless, words), *figures, *changes, harmless(alerts)])
    return stream.getvalue()


def harmless(cell: object) -> str:
    """A text cell that no spreadsheet runs: what could begin a formula stands behind an apostrophe."""
    text = str(cell)
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text


def moves_document(plan: Plan) -> Document:
    """The chain of moves."""
    return {"stillwall": VERSION, **_plan(plan)}


def _plan(plan: Plan) -> Document:
    return {
        "optimal": plan.optimal,
        "gap": number(plan.gap),
        "objective": None
        if plan.objective is None
        else {
            "over": plan.objective.over,
            "worst": number(plan.objective.worst),
            "handling": number(plan.objective.handling),
        },
        "trips": [
            {
                "date_from": trip.date_from.isoformat(),
                "date_to": None if trip.date_to is None else trip.date_to.isoformat(),
                "from_building": trip.from_building,
                "to_building": trip.to_building,
                "people": trip.people,
                "equipment": list(trip.equipment),
                "cautions": list(trip.cautions),
                "steps": [_step(step) for step in trip.steps],
            }
            for trip in plan.trips
        ],
        "places": dict(plan.places),
        "conflicts": list(plan.conflicts),
        "runner_up": None if plan.runner_up is None else _plan(plan.runner_up),
    }


def _step(step: Step) -> Document:
    return {
        "n": step.n,
        "work": step.work,
        "from": step.start,
        "to": step.end,
        "earliest": None if step.earliest is None else step.earliest.isoformat(),
        "latest": None if step.latest is None else step.latest.isoformat(),
        "carry": step.carry,
        "crew": step.crew,
        "fixings": step.fixings,
        "acclimatise": step.acclimatise,
        "until": None if step.until is None else step.until.isoformat(),
        "until_reason": step.until_reason,
        "reason": step.reason,
    }

"""Answers as JSON documents: the contract that other programs rely on."""

from __future__ import annotations

from typing import Any

from stillwall.assess import Matrix, Placed, Vetting, WallRanking, WorkRanking
from stillwall.case import Stay
from stillwall.judgement.ranking import Ranked
from stillwall.load import Load
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
        "until": None if judged.until is None else judged.until.isoformat(),
        "measures": [list(chosen) for chosen in judged.measures],
        "would_decide": list(judged.would_decide),
        "cautions": list(judged.cautions),
        "loads": [load_document(load) for load in judged.loads],
    }


def _amount(amount: Amount | None) -> Document | None:
    return None if amount is None else {"value": number(amount.value), "unit": amount.unit}


def number(value: float | None) -> float | None:
    """A figure for a document: finite, and with no digits that are noise."""
    if value is None or value != value or value in (float("inf"), float("-inf")):
        return None
    return float(f"{value:.{DIGITS}g}")

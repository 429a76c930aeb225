"""The order of places for a work, or of works for a place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from stillwall.draws import Floats
from stillwall.judgement.chance import Thresholds
from stillwall.judgement.verdict import VERDICTS, Judged
from stillwall.load import Load
from stillwall.reference.library import Library

Against = Literal["better", "worse", "same"]
Order = NDArray[np.int64]
CLEARLY = 0.1
"""Difference of chances of being best from which on it is told that the first is not the likeliest best."""
NEIGHBOURS = 50
"""Candidates before and after one in the order that may be its ties: all pairs of thousands are millions."""
NUMBERS_AT_ONCE = 16_000_000
"""As many are held while draws are put in order: thousands of candidates are taken some draws at a time."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Ranked:
    """One candidate in its order.

    ``rank``, ``chance_best`` and ``ties`` are about all the candidates together; nothing else in here
    changes where one is added or taken away, and the order of the others stays what it is.

    Attributes
    ----------
    chance_best
        Chance that no other candidate is better, from joint draws, each candidate under the measures
        that are shown first for it, if any; candidates alike in a draw share it. 0 for what is barred or
        lacks deciding evidence: it cannot be shown to be best. The order asks first what has to be done,
        and this chance does not, so that the first in the order need not be the likeliest best.
    ties
        Candidates of the same group that are neither better nor worse with a chance of
        ``verdict.chance.same``. They keep their places in the order. Of thousands the nearest in the
        order are compared, ``NEIGHBOURS`` on either side.
    against_present
        Against the present place; ``against_present_on`` is the hazard on which the worse of the two is
        worse, ``against_present_under`` says which measures are thought to be taken, empty where none.
    """

    id: str
    rank: int
    judged: Judged
    chance_best: float
    ties: tuple[str, ...]
    against_present: Against | None = None
    against_present_on: str | None = None
    against_present_under: str = ""


def rank(
    judged: Mapping[str, Judged],
    library: Library,
    *,
    present: Mapping[str, Judged] | None = None,
    preference: Mapping[str, float] | None = None,
) -> tuple[Ranked, ...]:
    """Order candidates: suitable, with measures, undecided, unsuitable, barred.

    Inside a group the candidate whose largest graded load is smaller goes first; where these are alike
    the next largest decides, and so on. Medians of the loads without measures count, so that a place
    which needs stronger ones never goes first for it; loads under ``verdict.crumbs`` are alike. Then the
    higher preference, then the id.

    Parameters
    ----------
    judged
        Candidates by id: places for one work, or works for one place.
    present
        For a candidate, the same work judged at its present place.
    preference
        Wishes, higher is better; the last thing that counts.
    """
    thresholds = Thresholds.of(library)
    wishes = preference or {}
    order = sorted(
        judged,
        key=lambda name: (
            group(judged[name]),
            _descending_medians(judged[name], thresholds),
            -wishes.get(name, 0.0),
            name,
        ),
    )
    places = _places_in_draws([judged[name] for name in order], thresholds)
    best = _chance_best(places, [_can_be_best(judged[name]) for name in order])
    groups = np.array([group(judged[name]) for name in order])
    ranked = []
    for index, name in enumerate(order):
        here = (present or {}).get(name)
        against, on = (None, None) if here is None else against_present(judged[name], here, thresholds)
        ranked.append(
            Ranked(
                id=name,
                rank=index + 1,
                judged=judged[name],
                chance_best=float(best[index]),
                ties=tuple(order[other] for other in _ties(index, groups, places, thresholds)),
                against_present=against,
                against_present_on=on,
                against_present_under="" if here is None else _compared_under(judged[name], here),
            )
        )
    return tuple(ranked)


def group(judged: Judged) -> int:
    """The group in which a candidate is ranked, best first."""
    return len(VERDICTS) if judged.barred else VERDICTS.index(judged.verdict)


def against_present(judged: Judged, present: Judged, thresholds: Thresholds) -> tuple[Against, str | None]:
    """Whether a place is better than the present one, and on which hazard.

    The better verdict decides; between places of one group, whether one is better with a chance of at
    least ``verdict.chance.same``, each under the measures that are shown first for it, if any.
    """
    if judged.place == present.place and judged.work == present.work:
        return "same", None
    gain = group(present) - group(judged)
    as_they_are = gain != 0
    if gain == 0:
        chance = chance_better(judged, present, thresholds)
        gain = 1 if chance >= thresholds.same else -1 if chance <= 1 - thresholds.same else 0
    if gain == 0:
        return "same", None
    worse, better = (present, judged) if gain > 0 else (judged, present)
    if as_they_are:
        return "better" if gain > 0 else "worse", _worse_on(worse.loads, better.loads)
    on = _worse_on(worse.loads_with_measures, better.loads_with_measures)
    return "better" if gain > 0 else "worse", on


def _compared_under(judged: Judged, present: Judged) -> str:
    """Which measures are thought to be taken where two places of one group are compared."""
    here, there = bool(judged.measures), bool(present.measures)
    if group(judged) != group(present) or not (here or there) or judged.place == present.place:
        return ""
    if here and there:
        return "each under the measures that it would need"
    return "under the measures that it would need" if here else "under the measures needed there"


def likeliest(ranked: Sequence[Ranked]) -> Ranked | None:
    """The candidate that is likelier to be best than the first in the order, by ``CLEARLY`` at least.

    None where the first is the likeliest, or as good as that. The order asks first what has to be done.
    """
    if not ranked:
        return None
    found = max(ranked, key=lambda each: (each.chance_best, -each.rank))
    return found if found.chance_best >= ranked[0].chance_best + CLEARLY else None


def chance_better(one: Judged, other: Judged, thresholds: Thresholds) -> float:
    """Chance that one candidate is better than another in a joint draw, likeness counting half. [1]"""
    mine, theirs = _tables([one, other], thresholds, _count([one, other]))
    step = np.sign(mine - theirs)
    first = np.argmax(step != 0, axis=1)
    deciding = np.take_along_axis(step, first[:, np.newaxis], axis=1)
    return float(np.mean(0.5 - 0.5 * deciding))


def _worse_on(worse: tuple[Load, ...], better: tuple[Load, ...]) -> str | None:
    """The hazard with the largest load that the worse place has and the better has not."""
    there = {load.hazard: load for load in better}
    found: list[tuple[float, str]] = []
    for load in worse:
        other = there.get(load.hazard)
        if load.barred and not (other is not None and other.barred):
            return load.hazard
        ratio, at_other = load.ratio, None if other is None else other.ratio
        if ratio is not None and (at_other is None or ratio > at_other):
            found.append((ratio, load.hazard))
        elif load.blocks and other is not None and not other.blocks:
            found.append((1.0, load.hazard))
    return min(found, key=lambda each: (-each[0], each[1]))[1] if found else None


def _descending_medians(judged: Judged, thresholds: Thresholds) -> tuple[float, ...]:
    ratios = [load.ratio for load in judged.loads if load.kind == "graded" and load.ratio is not None]
    return tuple(sorted((ratio for ratio in ratios if ratio >= thresholds.crumbs), reverse=True))


def _descending_draws(judged: Judged, thresholds: Thresholds, count: int, part: slice) -> Floats:
    """Graded loads in a part of the draws, largest first, after whether a gate fails; (part, loads + 1)."""
    fails = np.full(
        count, judged.barred or any(load.barred for load in judged.loads_with_measures), dtype=float
    )[part]
    graded = []
    for load in judged.loads_with_measures:
        if load.draws is None:
            continue
        if load.kind == "graded":
            graded.append(np.maximum(load.draws[part], thresholds.crumbs))
        else:
            fails = np.maximum(fails, ~(load.draws[part] <= 1.0))
    if not graded:
        return fails[:, np.newaxis]
    descending = -np.sort(-np.stack(graded, axis=1), axis=1)
    return np.concatenate([fails[:, np.newaxis], descending], axis=1)


def _tables(
    candidates: list[Judged], thresholds: Thresholds, count: int, part: slice = slice(None)
) -> Floats:
    """What orders each candidate in each draw, most important first; shape (n, part, loads + 1)."""
    tables = [_descending_draws(each, thresholds, count, part) for each in candidates]
    width = max((table.shape[1] for table in tables), default=1)
    padded = np.full((len(tables), len(range(count)[part]), width), thresholds.crumbs)
    for index, table in enumerate(tables):
        padded[index, :, : table.shape[1]] = table
    return padded


def _count(candidates: list[Judged]) -> int:
    counts = [
        len(load.draws) for each in candidates for load in each.loads_with_measures if load.draws is not None
    ]
    return max(counts, default=1)


def _places_in_draws(candidates: list[Judged], thresholds: Thresholds) -> Order:
    """Place of each candidate among all in each draw, from 0, alike where alike; shape (n, count)."""
    count = _count(candidates)
    numbers = sum(len(each.loads_with_measures) + 1 for each in candidates)
    step = max(1, NUMBERS_AT_ONCE // max(numbers, 1))
    places = np.zeros((len(candidates), count), dtype=np.int64)
    for start in range(0, count, step):
        padded = _tables(candidates, thresholds, count, slice(start, start + step))
        for draw in range(padded.shape[1]):
            rows = padded[:, draw, :]
            sequence = np.lexsort(rows.T[::-1])
            differs = np.any(rows[sequence[1:]] != rows[sequence[:-1]], axis=1)
            places[sequence, start + draw] = np.concatenate([[0], np.cumsum(differs)])
    return places


def _can_be_best(judged: Judged) -> bool:
    return not judged.barred and not judged.blocked


def _chance_best(places: Order, eligible: list[bool]) -> Floats:
    chances = np.zeros(len(eligible))
    chosen = np.flatnonzero(eligible)
    if len(chosen):
        among = places[chosen]
        first = among == among.min(axis=0)
        chances[chosen] = np.mean(first / first.sum(axis=0), axis=1)
    return chances


def _ties(index: int, groups: Order, places: Order, thresholds: Thresholds) -> list[int]:
    """Positions in the order of those of the same group that are neither better nor worse."""
    near = np.arange(max(0, index - NEIGHBOURS), min(len(groups), index + NEIGHBOURS + 1))
    near = near[(groups[near] == groups[index]) & (near != index)]
    mine, theirs = places[index], places[near]
    better = np.mean(mine < theirs, axis=1) + 0.5 * np.mean(mine == theirs, axis=1)
    return [int(other) for other in near[np.maximum(better, 1 - better) < thresholds.same]]

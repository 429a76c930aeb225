"""From the loads of one work at one place to a verdict."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Literal

from stillwall.case import Case, Stay
from stillwall.hazards import hazards
from stillwall.judgement.chance import Thresholds, blocks, chance_any, hopeless, passes
from stillwall.judgement.evidence import would_decide
from stillwall.judgement.measures import NOTHING, Directions, Evaluate, Responses, Search, Subset
from stillwall.judgement.until import until
from stillwall.load import Load
from stillwall.phrases import listed, lowered, two_figures
from stillwall.reference.measures import said_together
from stillwall.survey.survey import Acceptance

Verdict = Literal["suitable", "suitable with measures", "undecided", "unsuitable"]
VERDICTS: tuple[Verdict, ...] = ("suitable", "suitable with measures", "undecided", "unsuitable")
SETS_SHOWN = 5


@dataclass(frozen=True, eq=False, kw_only=True)
class Judged:
    """The verdict on one work at one place for one stay.

    Attributes
    ----------
    governing
        The hazard that governs: a bar, else the largest graded load by its median, or a constraint or
        safety load that does not pass where that is larger (safety by its upper end).
    worst
        The ratio of the governing load, None where it is barred or nothing is known. [1]
    chance_any
        Chance that any load passes 1, without measures.
    measures
        The smallest sets of measures that make the place suitable, at most five, each sorted by id.
    would_decide
        For an undecided place what to find out, most useful first.
    barred
        A bar that no admissible set of measures lifts.
    blocked
        Deciding evidence is missing.
    loads, loads_with_measures
        Without measures, and under the first of the sets; the same where there is none.
    accepted
        Named risks that a person has accepted for this work at this place, in force on the first day.
        They change no verdict; they are shown beside it.
    """

    work: str
    place: str
    stay: Stay
    verdict: Verdict
    governing: str | None
    worst: float | None
    chance_any: float
    measures: tuple[tuple[str, ...], ...]
    would_decide: tuple[str, ...]
    cautions: tuple[str, ...]
    until: date | None
    until_reason: str
    barred: bool
    blocked: bool
    loads: tuple[Load, ...]
    loads_with_measures: tuple[Load, ...]
    accepted: tuple[Acceptance, ...] = ()

    @property
    def wording(self) -> str:
        """The verdict with the risks accepted beside it, as it is to be shown."""
        risks = [
            f"{risk.hazard.replace('_', ' ')} accepted by {risk.by} on {risk.on.isoformat()}"
            + (f" until {risk.until.isoformat()}" if risk.until is not None else "")
            for risk in self.accepted
        ]
        return f"{self.verdict} (risk of {'; '.join(risks)})" if risks else self.verdict


def one_hazard(case: Case, hazard: str) -> Load | None:
    """The load of one hazard by name; None for a hazard that cannot touch the work or does not exist."""
    load = hazards().get(hazard)
    return None if load is None else load(case)


def judge(
    case: Case,
    loads: tuple[Load, ...],
    *,
    evaluate: Evaluate = one_hazard,
    only_verdict: bool = False,
    directions: Directions | None = None,
) -> Judged:
    """Judge one work at one place.

    In this order: unsuitable, if under every admissible set of measures a bar remains or some load
    passes 1 with at least the chance of ``verdict.chance.unsuitable``; undecided, if deciding evidence
    is missing; suitable, if nothing is barred and every load passes; suitable with measures, if some
    set of measures makes it so; undecided.

    Parameters
    ----------
    loads
        All loads of the case, without further measures.
    evaluate
        The load of one hazard for a case with measures in force or for another stay.
    only_verdict
        Leave out the sets of measures, what would decide and until when; the verdict is the same.
    directions
        Which way measures work, remembered from one case of a library to the next; it only saves time.
    """
    thresholds = Thresholds.of(case.library)
    responses = Responses.of(case, loads, evaluate, directions)
    not_passing = Search(responses, lambda load: not passes(load, thresholds))
    blocked = any(blocks(load) for load in loads)
    verdict = _verdict(loads, responses, not_passing, thresholds, blocked=blocked)
    barred = (
        verdict == "unsuitable"
        and any(load.barred for load in loads)
        and not Search(responses, lambda load: load.barred).possible()
    )
    governing, worst = _governing(loads, thresholds)
    sets: tuple[tuple[str, ...], ...] = ()
    if verdict == "suitable with measures" and not only_verdict:
        sets = not_passing.smallest(SETS_SHOWN)
    chosen: Subset = frozenset(sets[0]) if sets else NOTHING
    with_measures = responses.under(chosen) if chosen else loads
    end = None if only_verdict else until(case.with_measures(case.measures | chosen), with_measures, evaluate)
    questions: tuple[str, ...] = ()
    if verdict == "undecided" and not only_verdict:
        asked = would_decide(_at_best(loads, responses, thresholds), thresholds)
        questions = (*asked, *_to_try(loads, responses, thresholds, together=not asked))
    return Judged(
        work=case.work.id,
        place=case.site.place.id,
        stay=case.stay,
        verdict=verdict,
        governing=governing,
        worst=worst,
        chance_any=chance_any(loads),
        measures=sets,
        would_decide=questions,
        cautions=_cautions(case, loads, sets),
        until=None if end is None else end.day,
        until_reason="" if end is None else end.reason,
        barred=barred,
        blocked=blocked,
        loads=loads,
        loads_with_measures=with_measures,
        accepted=_accepted(case),
    )


def _verdict(
    loads: tuple[Load, ...],
    responses: Responses,
    not_passing: Search,
    thresholds: Thresholds,
    *,
    blocked: bool,
) -> Verdict:
    lost = any(hopeless(load, thresholds) for load in loads)
    if not blocked and not lost and all(passes(load, thresholds) for load in loads):
        return "suitable"
    if lost and not Search(responses, lambda load: hopeless(load, thresholds)).possible():
        return "unsuitable"
    if not blocked and not_passing.possible():
        return "suitable with measures"
    return "undecided"


def _governing(loads: Iterable[Load], thresholds: Thresholds) -> tuple[str | None, float | None]:
    found: list[tuple[float, str]] = []
    for load in sorted(loads, key=lambda load: (not load.barred, load.hazard)):
        if load.barred:
            return load.hazard, load.ratio
        if load.ratio is None or load.high is None:
            continue
        if load.kind == "graded":
            found.append((load.ratio, load.hazard))
        elif not passes(load, thresholds):
            found.append((load.high if load.kind == "safety" else load.ratio, load.hazard))
    if not found:
        return None, None
    worst, hazard = min(found, key=lambda each: (-each[0], each[1]))
    return hazard, worst


def _at_best(loads: tuple[Load, ...], responses: Responses, thresholds: Thresholds) -> tuple[Load, ...]:
    """Loads, each under the measures that lower it where those settle it."""
    best = []
    for load in loads:
        settled = load if passes(load, thresholds) or blocks(load) else responses.at_best(load.hazard)
        if settled is None or passes(settled, thresholds):
            best += [] if settled is None else [settled]
        else:
            best.append(load)
    return tuple(best)


def _to_try(
    loads: Iterable[Load], responses: Responses, thresholds: Thresholds, *, together: bool
) -> list[str]:
    """Which measures would have to be tried, where what they do is not known well enough to decide.

    ``together``: where each load by itself is settled by measures that do not go with those of another,
    that is what has to be tried.
    """
    library, system = responses.case.library, responses.case.survey.head.units
    asked, settled = [], []
    for load in sorted(loads, key=lambda load: load.hazard):
        if passes(load, thresholds) or blocks(load):
            continue
        chosen = responses.best_set(load.hazard)
        best = responses.load(load.hazard, chosen)
        words = load.hazard.replace("_", " ")
        if best is None or passes(best, thresholds):
            settled.append(words)
        elif chosen and best.low is not None and best.high is not None and not hopeless(best, thresholds):
            taken = lowered(said_together([library.measures[name] for name in sorted(chosen)], system))
            asked.append(
                f"What does {words} come to, by what is known {two_figures(best.low)} to "
                f"{two_figures(best.high)} times what the work may take, once this is tried: {taken}?"
            )
    if together and not asked and len(settled) > 1:
        asked.append(
            f"What do {listed(settled)} come to with measures tried together, since what settles one stands "
            "in the way of another?"
        )
    return asked


def _cautions(case: Case, loads: Iterable[Load], sets: Iterable[tuple[str, ...]]) -> tuple[str, ...]:
    said = [caution for load in loads for caution in load.cautions]
    named = dict.fromkeys(name for each in sets for name in each)
    said += [case.library.measures[name].caution for name in named if case.library.measures[name].caution]
    return tuple(dict.fromkeys(said))


def _accepted(case: Case) -> tuple[Acceptance, ...]:
    return tuple(
        risk
        for risk in case.survey.accepted
        if risk.work == case.work.id
        and risk.wall == case.site.place.id
        and (risk.until is None or risk.until >= case.stay.start)
    )

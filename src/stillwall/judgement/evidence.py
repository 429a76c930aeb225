"""What would decide an undecided place, most useful first."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from stillwall.judgement.chance import Mask, Thresholds, blocks, chance_over, hopeless, over, passes
from stillwall.load import Load


def would_decide(loads: Iterable[Load], thresholds: Thresholds) -> tuple[str, ...]:
    """What to find out first, each as a sentence or a question for a person.

    Deciding evidence that is missing comes first, since nothing can be said without it. Then whatever
    leaves a load on neither side of 1, ordered by how much knowing it would narrow the answer: the
    expected fall in the variance of "some load passes 1" once the loads that hang on it are known,
    from joint draws. With p the chance that one of those passes 1 and a the chance that another does
    although none of those does, the fall is p (1 - p) (1 - a)^2.

    Parameters
    ----------
    loads
        As they would be under the measures that could be taken, so that a load which a measure settles
        is not asked about.
    """
    present = tuple(sorted(loads, key=lambda load: load.hazard))
    blocking = [load for load in present if blocks(load)]
    open_ones = [load for load in present if load not in blocking and _is_open(load, thresholds)]
    worth: dict[str, list[Load]] = {}
    for load in open_ones:
        for question in questions(load):
            worth.setdefault(question, []).append(load)
    ordered = sorted(worth, key=lambda question: (-fall_of_variance(worth[question], present), question))
    first = [question for load in blocking for question in questions(load)]
    return tuple(dict.fromkeys([*first, *ordered]))


def questions(load: Load) -> tuple[str, ...]:
    """What to ask about a load: its own missing facts, else a longer or a better measurement."""
    if load.missing:
        return load.missing
    name = load.hazard.replace("_", " ")
    if load.draws is None:
        return (f"What is the evidence for {name}?",)
    between = f"which is now {load.low:.2g} to {load.high:.2g} times what the work may take"
    if load.evidence == "measured":
        return (f"A longer record or a second logger for {name}, {between}?",)
    return (f"A measurement for {name}, {between}?",)


def fall_of_variance(known: Iterable[Load], loads: Iterable[Load]) -> float:
    """Expected fall in the variance of "some load passes 1" if ``known`` were known exactly. [1]"""
    learned = tuple(known)
    these = _any_over(learned)
    if these is None:
        return 0.0
    others = _any_over(load for load in loads if load not in learned)
    chance = float(np.mean(these))
    if others is None or chance in (0.0, 1.0):
        return chance * (1.0 - chance)
    still_over = float(np.mean(others[~these]))
    return chance * (1.0 - chance) * (1.0 - still_over) ** 2


def _is_open(load: Load, thresholds: Thresholds) -> bool:
    return (
        load.draws is not None
        and not load.barred
        and not passes(load, thresholds)
        and not hopeless(load, thresholds)
        and chance_over(load) < 1.0
    )


def _any_over(loads: Iterable[Load]) -> Mask | None:
    together: Mask | None = None
    for load in loads:
        passed = over(load)
        if passed is not None:
            together = passed if together is None else together | passed
    return together

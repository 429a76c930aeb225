"""Which single fact, if it were wrong, would change the answer."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from stillwall.case import Case
from stillwall.judgement.evidence import questions
from stillwall.judgement.measures import Evaluate
from stillwall.judgement.verdict import Judged, Verdict, judge, one_hazard
from stillwall.load import Load

OrderOf = Callable[[Mapping[str, Judged]], str]


@dataclass(frozen=True, slots=True)
class Turn:
    """One fact that would turn the verdict, as a line for a person.

    ``fact`` is what might be otherwise, ``ratio`` the load's ratio in that case, ``verdict`` what would
    be said then.
    """

    hazard: str
    fact: str
    ratio: float
    verdict: Verdict
    line: str


def turns(case: Case, judged: Judged, *, evaluate: Evaluate = one_hazard) -> tuple[Turn, ...]:
    """Facts that would change the verdict if they were wrong, one at a time.

    Two kinds are tried, each at both ends: the allowance's class, at the ends of its believable span;
    and a load that rests on assumed facts, at the ends of its 90 % interval.
    """
    found = []
    for load in judged.loads:
        if load.draws is None or load.ratio is None or load.ratio <= 0 or load.barred:
            continue
        if load.span is not None:
            ends = [(end, f"the class for {_words(load)} were at the end of its span") for end in load.span]
            found += _turns(case, judged, load, ends, evaluate, fixed=False)
        if load.evidence == "assumed" and load.low is not None and load.high is not None:
            asked = questions(load)[0].rstrip("?.")
            ends = [(end, f"what is assumed were otherwise ({asked})") for end in (load.low, load.high)]
            found += _turns(case, judged, load, ends, evaluate, fixed=True)
    return tuple(found)


def _turns(
    case: Case,
    judged: Judged,
    load: Load,
    ends: list[tuple[float, str]],
    evaluate: Evaluate,
    *,
    fixed: bool,
) -> list[Turn]:
    found = []
    for ratio, fact in ends:
        assert load.draws is not None
        assert load.ratio is not None
        factor: Any = ratio / load.draws if fixed else ratio / load.ratio
        factor = np.where(np.isfinite(factor), factor, 1.0)
        again = judge(
            case,
            tuple(_scaled(other, factor) if other is load else other for other in judged.loads),
            evaluate=_scaling(evaluate, load.hazard, factor),
            only_verdict=True,
        )
        if again.verdict != judged.verdict:
            line = f"if {fact}, {_words(load)} would be {ratio:.2g} and the verdict {again.verdict!r}"
            found.append(Turn(load.hazard, fact, float(ratio), again.verdict, line))
    return found


def _scaled(load: Load, factor: Any) -> Load:
    if load.draws is None:
        return load
    return replace(load, draws=load.draws * factor, _quantiles={})


def _scaling(evaluate: Evaluate, hazard: str, factor: Any) -> Evaluate:
    def scaled(case: Case, name: str) -> Load | None:
        load = evaluate(case, name)
        return load if load is None or name != hazard else _scaled(load, factor)

    return scaled


def _words(load: Load) -> str:
    return load.hazard.replace("_", " ")


@dataclass(frozen=True, slots=True)
class Flip:
    """A figure of the library that, at one end of its span, would put another candidate first."""

    figure: str
    value: float
    unit: str
    first: str

    @property
    def line(self) -> str:
        """The flip as a line for a person."""
        value = f"{self.value:g}" if self.unit == "1" else f"{self.value:g} {self.unit}"
        return f"with {self.figure} at {value}, {self.first} would come first"


def flips(
    cases: Mapping[str, Case],
    judged: Mapping[str, Judged],
    *,
    first: str,
    order: OrderOf,
    evaluate: Evaluate = one_hazard,
) -> tuple[Flip, ...]:
    """Judgement figures that would put another candidate first, each tried at both ends of its span.

    Parameters
    ----------
    cases, judged
        By candidate.
    first
        The candidate that comes first now.
    order
        Which candidate comes first among some that are judged.
    """
    figures = next(iter(cases.values())).library.figures if cases else {}
    present = {load.hazard for each in judged.values() for load in each.loads}
    found = []
    for name, figure in sorted(figures.items()):
        hazard = name.split(".", 1)[0]
        if hazard not in present or figure.low is None or figure.high is None:
            continue
        for end in (figure.low, figure.high):
            changed = {**figures, name: replace(figure, value=end)}
            again = {}
            for candidate, case in cases.items():
                library = replace(case.library, figures=changed)
                other = replace(case, library=library)
                loads = tuple(
                    made
                    for load in judged[candidate].loads
                    if (made := evaluate(other, hazard) if load.hazard == hazard else load) is not None
                )
                again[candidate] = judge(other, loads, evaluate=evaluate, only_verdict=True)
            now_first = order(again)
            if now_first != first:
                found.append(Flip(name, end, figure.unit, now_first))
    return tuple(found)

"""Remake the table of interval coverage: ``python -m tests.light_coverage [years]``."""

from __future__ import annotations

import sys
from collections.abc import Iterable

from .study import Outcome, outcomes, table
from .weather import HELD_OUT, VERDICT

SEED = 20_261_125


def _show(title: str, found: Iterable[Outcome]) -> None:
    rows = table(list(found))
    print(f"\n{title}\n")
    print("| weeks | years | held | truth above | high / low | naive held | naive high / low |")
    print("|---|---|---|---|---|---|---|")
    for weeks, cases, held, above, width, naive_held, naive_width in rows:
        print(
            f"| {weeks} | {cases} | {100 * held:.1f} % | {100 * above:.1f} % | {width:.2f} "
            f"| {100 * naive_held:.0f} % | {naive_width:.2f} |"
        )


def main() -> None:
    """Print every table in Markdown."""
    years = int(sys.argv[1]) if len(sys.argv) > 1 else 1200
    some = max(years // 4, 1)
    verdict = outcomes("windows", VERDICT, years, SEED)
    _show("Place and windows known, lamps and blinds and trees as they come", verdict)
    _show("Of these, rooms behind a deciduous tree", (o for o in verdict if o.tree))
    _show("Only the latitude known", outcomes("latitude", VERDICT, some, SEED + 1))
    _show("Latitude unknown", outcomes("nothing", VERDICT, some, SEED + 2))
    _show("Sun on the wall, plan of the room known", outcomes("sun", VERDICT, some, SEED + 3))
    _show("Sun on the wall, plan unknown", outcomes("sun-unknown", VERDICT, some, SEED + 3))
    _show("The use of a blind changes within the year", outcomes("changed", VERDICT, some, SEED + 4))
    _show("Typical years on which the settings were fitted", outcomes("windows", HELD_OUT, some, SEED + 5))


if __name__ == "__main__":
    main()

"""What the models cannot see one by one: that keys exist, spans hold their values, bands are ordered."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass

from stillwall.errors import Fault
from stillwall.reference.guidelines import Band, Guideline
from stillwall.reference.measures import Effect, Measure
from stillwall.reference.media import LightResponse, Threshold
from stillwall.reference.sources import Citation, Figure

RESPONSIVITIES = ("R0", "R1", "R2", "R3")


def parts(item: object, path: str) -> Iterator[tuple[str, object]]:
    """Every dataclass inside ``item``, itself included, with its path."""
    if is_dataclass(item):
        yield path, item
        for spec in fields(item):
            yield from parts(getattr(item, spec.name), f"{path}.{spec.name}")
    elif isinstance(item, tuple):
        for index, value in enumerate(item):
            yield from parts(value, f"{path}.{index}")


def incoherences(item: object, path: str, keys: frozenset[str]) -> Iterator[Fault]:
    """Faults inside one entry. ``keys`` are those of the bibliography."""
    for where, part in parts(item, path):
        if isinstance(part, Citation) and part.key not in keys:
            yield Fault(
                where,
                f"source key {part.key!r}",
                "a key of data/sources",
                "add the source, or correct the key",
            )
        elif isinstance(part, Figure):
            yield from _figure(part, where)
        elif isinstance(part, Band):
            yield from _band(part, where)
        elif isinstance(part, LightResponse):
            yield from _light(part, where)
        elif isinstance(part, Threshold) and part.above_pct is None and part.below_pct is None:
            yield Fault(where, "no level", "above_pct, below_pct or both", "say which humidity it is")
        elif isinstance(part, Effect):
            yield from _effect(part, where)
        elif isinstance(part, Measure):
            yield from _effects_named_once(part, where)
        elif isinstance(part, Guideline) and part.humidity is None and part.temperature is None:
            yield Fault(where, "no band", "a band for humidity, temperature or both", "add it")


def _figure(figure: Figure, where: str) -> Iterator[Fault]:
    low = figure.value if figure.low is None else figure.low
    high = figure.value if figure.high is None else figure.high
    if not low <= figure.value <= high:
        yield Fault(
            where, f"{figure.value} with span {low} to {high}", "low <= value <= high", "reorder them"
        )
    if not figure.unit:
        yield Fault(where, "no unit", "a unit ('1' where there is none)", "name the unit")


def _band(band: Band, where: str) -> Iterator[Fault]:
    levels = (band.low, band.mean_low, band.mean_high, band.high)
    given = [level for level in levels if level is not None]
    if given != sorted(given) or len(set(given)) != len(given):
        yield Fault(where, f"levels {given}", "low < mean_low < mean_high < high", "reorder them")
    for name, bad in (
        ("short_term", band.short_term is not None and band.short_term <= 0),
        ("short_term_h", band.short_term_h <= 0),
        ("seasonal_low", band.seasonal_low is not None and band.seasonal_low > 0),
        ("seasonal_high", band.seasonal_high is not None and band.seasonal_high < 0),
    ):
        if bad:
            yield Fault(f"{where}.{name}", str(getattr(band, name)), "the other sign", "correct it")
    if band.centre is not None:
        low = band.centre if band.low is None else band.low
        high = band.centre if band.high is None else band.high
        if not low <= band.centre <= high:
            yield Fault(f"{where}.centre", str(band.centre), f"between {low} and {high}", "correct it")
    if band.follows_history and band.centre is None:
        yield Fault(f"{where}.centre", "nothing", "the centre to assume where no history is known", "add it")


def _light(light: LightResponse, where: str) -> Iterator[Fault]:
    low, own, high = (
        RESPONSIVITIES.index(item) for item in (light.span[0], light.responsivity, light.span[1])
    )
    if not low <= own <= high:
        yield Fault(
            where, f"{light.responsivity} in {light.span}", "a span that holds the class", "correct it"
        )


def _effects_named_once(measure: Measure, where: str) -> Iterator[Fault]:
    named = [f"{effect.hazard} {effect.on}" for effect in measure.effects]
    for name in sorted({name for name in named if named.count(name) > 1}):
        yield Fault(where, f"two effects on {name}", "one effect on each part", "join them")


def _effect(effect: Effect, where: str) -> Iterator[Fault]:
    factors = (effect.low, effect.mid, effect.high)
    given = [factor for factor in factors if factor is not None]
    if (len(given) == len(factors)) == (effect.value is not None) or len(given) in (1, 2):
        yield Fault(
            where,
            f"factors {factors}, value {effect.value}",
            "low, mid and high, or value",
            "give one of the two",
        )
    elif given and not 0 <= given[0] <= given[1] <= given[2]:
        yield Fault(where, f"factors {factors}", "0 <= low <= mid <= high", "reorder them")
    if not effect.hazard or not effect.on:
        yield Fault(where, "no hazard or part", "the hazard and the part that it changes", "name them")

"""Every limit that the tool knows, one by one, with its source and how it was checked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass
from itertools import groupby
from typing import Any

from stillwall.reference.guidelines import Band
from stillwall.reference.library import Library
from stillwall.reference.measures import Effect
from stillwall.reference.media import LightResponse, Medium, Threshold
from stillwall.reference.sources import CHECKED_WORDS, Citation, Figure, Source

_UNIT = {"humidity": "%RH", "temperature": "degC"}
_DIFFERENCE = {"humidity": "%RH", "temperature": "K"}
_JUDGED = {
    "mould_class": "which class of surfaces the medium belongs to",
    "hearth_bar": "may never hang over a working fire",
    "surface_fragility": "how its surface bears touch and shaking",
}
_LEVELS = ("low", "mean_low", "centre", "mean_high", "high")
_DEPARTURES = ("seasonal_low", "seasonal_high", "short_term")


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One figure or class with its source. ``group`` and ``name`` are for people, ``id`` is the whole."""

    kind: str
    group: str
    name: str
    value: float | str | bool
    unit: str
    low: float | str | None = None
    high: float | str | None = None
    source: Citation

    @property
    def id(self) -> str:
        """Unique name, such as ``guideline.bizot-2014.humidity.low`` or ``fit.face.composition``."""
        prefix = "" if self.kind == "hazard" else f"{self.kind}."
        return f"{prefix}{self.group}.{self.name}"


def limits(library: Library) -> list[Limit]:
    """All limits: of guidelines, of media, of hazards, of measures, in this order."""
    found: list[Limit] = []
    for name, guideline in library.guidelines.items():
        found.extend(_of("guideline", name, guideline))
    for name, medium in library.media.items():
        found.extend(_of("medium", name, medium))
        found.extend(_judged(name, medium))
    for name, figure in library.figures.items():
        hazard, _, rest = name.partition(".")
        found.append(_figure("hazard", hazard, rest, figure))
    for name, measure in library.measures.items():
        found.extend(_of("measure", name, measure))
    return found


def listing_document(library: Library) -> dict[str, Any]:
    """The listing as JSON."""
    return {
        "stillwall": 1,
        "limits": [
            {
                "id": limit.id,
                "value": limit.value,
                "unit": limit.unit,
                "source": limit.source.key,
                "locator": limit.source.locator,
                "checked": limit.source.checked,
            }
            for limit in limits(library)
        ],
    }


def listing_text(library: Library) -> str:
    """The listing for people: limits by guideline, medium, hazard and measure, then the documents cited."""
    titles = {
        "guideline": {name: guideline.title for name, guideline in library.guidelines.items()},
        "medium": {name: medium.title for name, medium in library.media.items()},
        "measure": {name: measure.title for name, measure in library.measures.items()},
    }
    headings = {"guideline": "GUIDELINES", "medium": "MEDIA", "hazard": "HAZARDS", "measure": "MEASURES"}
    found = limits(library)
    lines: list[str] = []
    for kind, of_kind in groupby(found, key=lambda limit: limit.kind):
        lines += [headings[kind], ""]
        for group, of_group in groupby(of_kind, key=lambda limit: limit.group):
            title = titles.get(kind, {}).get(group)
            lines.append(f"{group}: {title}" if title else group)
            lines += [_line(limit) for limit in of_group]
            lines.append("")
    lines += ["SOURCES", ""]
    lines += [_reference(library.sources[key]) for key in sorted({limit.source.key for limit in found})]
    return "\n".join(lines)


def _reference(source: Source) -> str:
    by = " ".join(part for part in (source.authors, f"({source.year})" if source.year else "") if part)
    parts = (by, source.title, source.published_in, f"doi {source.doi}" if source.doi else "", source.note)
    return f"{source.key}: {'. '.join(part.rstrip('.') for part in parts if part)}."


def _line(limit: Limit) -> str:
    span = (
        "" if limit.low is None or limit.high is None else f" ({_shown(limit.low)} to {_shown(limit.high)})"
    )
    unit = "" if limit.unit in ("1", "") else f" {limit.unit}"
    place = f", {limit.source.locator}" if limit.source.locator else ""
    checked = CHECKED_WORDS[limit.source.checked]
    return f"  {limit.name:<32} {_shown(limit.value) + unit + span:<24} {limit.source.key}{place} [{checked}]"


def _shown(value: float | str | bool) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value if isinstance(value, str) else f"{value:g}"


def _of(kind: str, group: str, item: object, path: str = "") -> Iterator[Limit]:
    """Limits in one entry, by the type of what it is made of."""
    if isinstance(item, Figure):
        yield _figure(kind, group, path, item)
    elif isinstance(item, Band):
        yield from _band(kind, group, path, item)
    elif isinstance(item, LightResponse):
        yield Limit(
            kind=kind,
            group=group,
            name=f"{path}.responsivity",
            value=item.responsivity,
            unit="class",
            low=item.span[0],
            high=item.span[1],
            source=item.source,
        )
    elif isinstance(item, Threshold):
        yield from _threshold(kind, group, f"{path}.{item.name.replace(' ', '_')}", item)
    elif isinstance(item, Effect):
        yield from _effect(kind, group, item)
    elif isinstance(item, tuple):
        for part in item:
            yield from _of(kind, group, part, path)
    elif is_dataclass(item):
        for spec in fields(item):
            inner = f"{path}.{spec.name}" if path else spec.name
            yield from _of(kind, group, getattr(item, spec.name), inner)


def _judged(name: str, medium: Medium) -> Iterator[Limit]:
    """What is said of a medium in a word, always by judgement."""
    for field, value, unit in (
        ("mould_class", medium.mould_class, "class"),
        ("hearth_bar", medium.hearth_bar or None, "bar"),
        ("surface_fragility", medium.surface_fragility, "word"),
    ):
        if value is not None:
            yield Limit(
                kind="medium",
                group=name,
                name=field,
                value=value,
                unit=unit,
                source=Citation(key="judgement", locator=_JUDGED[field], checked="judgement"),
            )


def _figure(kind: str, group: str, name: str, figure: Figure) -> Limit:
    return Limit(
        kind=kind,
        group=group,
        name=name,
        value=figure.value,
        unit=figure.unit,
        low=figure.low,
        high=figure.high,
        source=figure.source,
    )


def _band(kind: str, group: str, quantity: str, band: Band) -> Iterator[Limit]:
    for field, units in [(field, _UNIT) for field in _LEVELS] + [
        (field, _DIFFERENCE) for field in _DEPARTURES
    ]:
        value = getattr(band, field)
        if value is not None:
            source = band.short_term_source if field == "short_term" else None
            yield Limit(
                kind=kind,
                group=group,
                name=f"{quantity}.{field}",
                value=value,
                unit=units[quantity],
                source=source or band.source,
            )


def _threshold(kind: str, group: str, name: str, threshold: Threshold) -> Iterator[Limit]:
    for field, unit, source in (
        ("above_pct", "%RH", threshold.source),
        ("below_pct", "%RH", threshold.source),
        ("hours_per_year", "h", threshold.hours_source or threshold.source),
    ):
        value = getattr(threshold, field)
        if value is not None:
            yield Limit(kind=kind, group=group, name=f"{name}.{field}", value=value, unit=unit, source=source)


def _effect(kind: str, group: str, effect: Effect) -> Iterator[Limit]:
    name = f"{effect.hazard}.{effect.on}"
    if effect.mid is not None:
        yield Limit(
            kind=kind,
            group=group,
            name=name,
            value=effect.mid,
            unit="factor",
            low=effect.low,
            high=effect.high,
            source=effect.source,
        )
    elif effect.value is not None:
        yield Limit(kind=kind, group=group, name=name, value=effect.value, unit="set", source=effect.source)

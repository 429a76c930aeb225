"""Outer size of a work: measured, or estimated from its image and the kind of its frame."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from stillwall.case import Case
from stillwall.draws import Z90, Floats
from stillwall.exposure.framed_size import framed_dimension
from stillwall.load import Evidence
from stillwall.reference.library import Library
from stillwall.reference.sources import Figure
from stillwall.survey.works import Work
from stillwall.units import Size

SOLID = frozenset({"bust", "object", "relief"})
BUST_M = (0.65, 0.45, 0.30)
"""Height, width and depth assumed of a bust that nobody has measured. [m]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class FramedSize:
    """Outer size of a work, with the span that an unmeasured frame leaves open. [m]"""

    height_m: float
    width_m: float
    depth_m: float
    height_span_m: tuple[float, float]
    width_span_m: tuple[float, float]
    depth_span_m: tuple[float, float]
    evidence: Evidence
    missing: tuple[str, ...] = ()

    def at(self, z: float) -> tuple[float, float]:
        """Height and width where the frame's uncertainty stands at ``z`` standard deviations. [m]"""
        return (
            _stretched(self.height_m, self.height_span_m, z),
            _stretched(self.width_m, self.width_span_m, z),
        )


def framed_size(library: Library, work: Work, frame: str | None = None) -> FramedSize:
    """Framed size of a work, measured or estimated from its image and the kind of its frame.

    ``frame`` is another frame that it is to be given.
    """
    kind = work.frame or "unknown"
    depth = figure_of(library, f"fit.depth.{frame or kind}")
    depth_span = (work.depth_m,) * 2 if work.depth_m and frame is None else _span(depth)
    depth_m = work.depth_m if work.depth_m and frame is None else depth.value
    if work.framed is not None and frame is None:
        size = work.framed
        return FramedSize(
            height_m=size.height_m,
            width_m=size.width_m,
            depth_m=size.depth_m or depth_m,
            height_span_m=(size.height_m, size.height_m),
            width_span_m=(size.width_m, size.width_m),
            depth_span_m=(size.depth_m, size.depth_m) if size.depth_m else depth_span,
            evidence="surveyed",
        )
    if work.kind in SOLID and work.image is not None:
        return _solid(work.image)
    rebate = library.figure("fit.rebate.cover")
    face = figure_of(library, f"fit.face.{frame or kind}")
    image = work.image
    if image is None and work.framed is not None:
        less = 2 * (library.figure(f"fit.face.{kind}") - rebate)
        sides = (max(work.framed.height_m - less, 0.05), max(work.framed.width_m - less, 0.05))
    elif image is not None:
        sides = (image.height_m, image.width_m)
    else:
        return _unmeasured(work, depth_m, depth_span)
    faces = [max(value, rebate) for value in (low_of(face), face.value, high_of(face))]
    heights, widths = ([float(framed_dimension(side, f, rebate)) for f in faces] for side in sides)
    question = (
        "" if frame else f"What is the framed size of {work.name}, outer edge to outer edge, height x width?"
    )
    return FramedSize(
        height_m=heights[1],
        width_m=widths[1],
        depth_m=depth_m,
        height_span_m=(heights[0], heights[2]),
        width_span_m=(widths[0], widths[2]),
        depth_span_m=depth_span,
        evidence="assumed",
        missing=(question,) if question else (),
    )


def size_draws(case: Case, size: FramedSize) -> tuple[Floats, Floats]:
    """Joint draws of framed height and width; one error of the moulding's width moves both. [m]"""
    z = case.draws.normal(f"work:{case.work.id}:face")
    return _stretched(size.height_m, size.height_span_m, z), _stretched(size.width_m, size.width_span_m, z)


def _solid(size: Size) -> FramedSize:
    """A bust or a relief is as large as it is: nothing stands round it."""
    depth = size.depth_m or 0.7 * size.width_m
    return FramedSize(
        height_m=size.height_m,
        width_m=size.width_m,
        depth_m=depth,
        height_span_m=(size.height_m, size.height_m),
        width_span_m=(size.width_m, size.width_m),
        depth_span_m=(depth, depth),
        evidence="surveyed",
    )


def _unmeasured(work: Work, depth: float, depth_span: tuple[float, float]) -> FramedSize:
    solid = work.kind in SOLID
    height, width, deep = BUST_M if solid else (0.8, 0.8, depth)
    return FramedSize(
        height_m=height,
        width_m=width,
        depth_m=deep,
        height_span_m=(0.3, 1.0) if solid else (0.25, 2.5),
        width_span_m=(0.2, 0.7) if solid else (0.25, 2.5),
        depth_span_m=(0.15, 0.5) if solid else depth_span,
        evidence="assumed",
        missing=(f"How large is {work.name}, outer edge to outer edge, height x width?",),
    )


def _stretched(value: float, span: tuple[float, float], z: Any) -> Any:
    below, above = np.log(value / span[0]), np.log(span[1] / value)
    return value * np.exp(np.where(np.less(z, 0), z * below, z * above) / Z90)


def figure_of(library: Library, name: str) -> Figure:
    """A figure with its span."""
    return library.figures[name]


def low_of(figure: Figure) -> float:
    """Low end of a figure's span, the figure itself where it has none."""
    return figure.value if figure.low is None else figure.low


def high_of(figure: Figure) -> float:
    """High end of a figure's span, the figure itself where it has none."""
    return figure.value if figure.high is None else figure.high


def _span(figure: Figure) -> tuple[float, float]:
    return low_of(figure), high_of(figure)

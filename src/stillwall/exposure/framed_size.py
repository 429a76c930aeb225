"""From the size of an image to the size of its frame, and from either to what is carried."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Length = TypeVar("Length", float, NDArray[np.float64])


def framed_dimension(image: Length, face: Length | float, rebate: Length | float = 0.0) -> Length:
    """Outer length of a frame about an image, in the unit of its arguments.

    Parameters
    ----------
    image
        Length of the support on that side.
    face
        Width of the moulding, outer edge to sight edge.
    rebate
        How far the frame overlaps the image.
    """
    return image + 2 * (face - rebate)


def face_per_side(framed: float, image: float) -> float:
    """How far a frame stands out beyond the image on each side, in the unit of its arguments."""
    return (framed - image) / 2


def packed_dimension(framed: Length, allowance: float) -> Length:
    """Length that is carried: hands, blanket or travel frame add ``allowance`` on each side."""
    return framed + 2 * allowance

"""pyarrow, which has no types of its own: the modules in use, and names for annotations."""

from __future__ import annotations

from typing import Any

import pyarrow  # noqa: ICN001
import pyarrow.compute
import pyarrow.csv

pa: Any = pyarrow
pc: Any = pyarrow.compute
pacsv: Any = pyarrow.csv
Array = Any
"""An ``Array`` or a ``ChunkedArray``."""
ArrowTable = Any

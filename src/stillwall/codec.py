"""Results of computing as Arrow tables and back: dataclasses of this package, arrays, plain values.

Nothing is ever executed on reading: only dataclasses of ``stillwall`` are made, from their fields. A digest
at the end tells whether a byte has changed; readers of Arrow stop before it.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import importlib
import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np
import pyarrow.ipc

DIGEST = hashlib.sha256
DIGEST_BYTES = 32
pa: Any = pyarrow
"""pyarrow, which has no types of its own."""


class NotStorableError(TypeError):
    """A value of a kind that is not kept."""


class DamagedError(ValueError):
    """What was read is not what was written."""


def encode(value: Any) -> bytes:
    """A value as one Arrow stream. NotStorableError where it holds a kind that is not kept."""
    arrays: list[np.ndarray[Any, Any]] = []
    tree = json.dumps(_encode(value, arrays), separators=(",", ":"))
    table = pa.table(
        {
            "dtype": pa.array([array.dtype.str for array in arrays], pa.string()),
            "shape": pa.array([_shape(array) for array in arrays], pa.string()),
            "data": pa.array([array.tobytes("A") for array in arrays], pa.large_binary()),
        }
    ).replace_schema_metadata({"tree": tree})
    sink = pa.BufferOutputStream()
    with pa.ipc.new_stream(sink, table.schema) as writer:
        writer.write_table(table)
    made: bytes = sink.getvalue().to_pybytes()
    return made + DIGEST(made).digest()


def decode(content: bytes) -> Any:
    """The value of an Arrow stream. DamagedError where it is not whole."""
    made, digest = content[:-DIGEST_BYTES], content[-DIGEST_BYTES:]
    if DIGEST(made).digest() != digest:
        raise DamagedError("the digest does not fit")
    try:
        table = pa.ipc.open_stream(made).read_all()
        arrays = [
            np.frombuffer(data, dtype=np.dtype(dtype)).reshape(shape["of"], order=shape["order"])
            for dtype, shape, data in zip(
                table.column("dtype").to_pylist(),
                map(json.loads, table.column("shape").to_pylist()),
                table.column("data").to_pylist(),
                strict=True,
            )
        ]
        return _decode(json.loads(table.schema.metadata[b"tree"]), arrays)
    except (
        pa.ArrowException,
        OSError,
        KeyError,
        ValueError,
        TypeError,
        IndexError,
        AttributeError,
        ImportError,
        SyntaxError,
        OverflowError,
        RecursionError,
    ) as error:
        raise DamagedError(str(error)) from error


def _shape(array: np.ndarray[Any, Any]) -> str:
    """Shape, and which index runs fastest: sums depend on it in their last digit."""
    by_column = array.flags.f_contiguous and not array.flags.c_contiguous
    return json.dumps({"of": array.shape, "order": "F" if by_column else "C"})


def _encode(value: Any, arrays: list[np.ndarray[Any, Any]]) -> Any:
    if value is None or type(value) in (bool, int, float, str):
        return value
    if isinstance(value, np.ndarray):
        if value.dtype.hasobject or value.dtype.fields is not None:
            raise NotStorableError(f"array of {value.dtype}")
        arrays.append(value)
        return {"@": "array", "n": len(arrays) - 1}
    if isinstance(value, np.generic):
        arrays.append(np.asarray(value).reshape(1))
        return {"@": "scalar", "n": len(arrays) - 1}
    if isinstance(value, dt.date) and not isinstance(value, dt.datetime):
        return {"@": "date", "v": value.isoformat()}
    if isinstance(value, dt.datetime):
        return {"@": "moment", "v": value.isoformat()}
    if isinstance(value, tuple | list | frozenset):
        items = sorted(value, key=repr) if isinstance(value, frozenset) else value
        return {"@": type(value).__name__, "v": [_encode(item, arrays) for item in items]}
    if isinstance(value, Mapping):
        pairs = [[_encode(key, arrays), _encode(item, arrays)] for key, item in value.items()]
        return {"@": "dict", "v": pairs}
    if is_dataclass(value) and type(value).__module__.startswith("stillwall."):
        kept = {each.name: _encode(getattr(value, each.name), arrays) for each in fields(value) if each.init}
        return {"@": "data", "c": f"{type(value).__module__}:{type(value).__qualname__}", "v": kept}
    raise NotStorableError(f"{type(value).__module__}.{type(value).__qualname__}")


def _decode(tree: Any, arrays: list[np.ndarray[Any, Any]]) -> Any:
    if not isinstance(tree, dict):
        return tree
    kind, inside = tree["@"], tree.get("v")
    if kind == "array":
        return arrays[tree["n"]]
    if kind == "scalar":
        return arrays[tree["n"]][0]
    if kind == "date":
        return dt.date.fromisoformat(str(inside))
    if kind == "moment":
        return dt.datetime.fromisoformat(str(inside))
    if kind in ("tuple", "list", "frozenset"):
        items = [_decode(item, arrays) for item in inside or ()]
        return {"tuple": tuple, "list": list, "frozenset": frozenset}[kind](items)
    if kind == "dict":
        return {_decode(key, arrays): _decode(item, arrays) for key, item in inside or ()}
    if kind == "data":
        module, _, name = str(tree["c"]).partition(":")
        if not module.startswith("stillwall.") or module.endswith("__main__"):
            raise DamagedError(f"{module} is not of this package")
        made = getattr(importlib.import_module(module), name)
        if not (isinstance(made, type) and is_dataclass(made) and made.__module__ == module):
            raise DamagedError(f"{name} is no dataclass of {module}")
        return made(**{key: _decode(item, arrays) for key, item in (inside or {}).items()})
    raise DamagedError(f"unknown kind {kind!r}")

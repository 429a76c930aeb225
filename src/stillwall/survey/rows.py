"""One table of a survey into one model, with every fault in it."""

from __future__ import annotations

import datetime as dt
import re
import typing
from collections.abc import Iterator, Mapping
from dataclasses import MISSING, Field, dataclass, field, fields, is_dataclass
from typing import Any

from pydantic import TypeAdapter, ValidationError
from pydantic.fields import FieldInfo

from stillwall.errors import Fault
from stillwall.survey.document import Document, Key
from stillwall.survey.names import Nearest
from stillwall.survey.quantities import UnusableError

_UNSEEN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
_LONGEST = 10_000


@dataclass(frozen=True)
class Origin:
    """Where in a survey a thing is written."""

    document: Document
    path: Key
    label: str
    spelled: Mapping[str, str] = field(default_factory=dict)
    """Keys of the model to the synonyms that the text uses for them."""

    def where(self, *keys: str | int) -> str:
        """File, line, thing and key, such as ``survey.toml:12: wall 'hall-north'.height``."""
        if keys and isinstance(keys[0], str):
            keys = (self.spelled.get(keys[0], keys[0]), *keys[1:])
        return f"{self.document.where((*self.path, *keys))}: {self.label}{_dotted(keys)}"


def _dotted(keys: tuple[str | int, ...]) -> str:
    return "".join(f"[{key + 1}]" if isinstance(key, int) else f".{plain(key)}" for key in keys)


def plain(name: str) -> str:
    """A name as it may stand in a message: short, on one line, without control characters."""
    shown = name if name.isprintable() else repr(name)[1:-1]
    return shown if len(shown) <= 80 else shown[:77] + "..."


def unfit_text(given: Mapping[str, Any], origin: Origin) -> Iterator[Fault]:
    """A fault for each text that is endless, or has unseen characters that steer a terminal or a page."""
    waiting: list[tuple[Key, Any]] = [((), given)]
    while waiting:
        keys, value = waiting.pop()
        if isinstance(value, dict):
            waiting += [((*keys, key), part) for key, part in value.items()]
        elif isinstance(value, list):
            waiting += [((*keys, index), part) for index, part in enumerate(value)]
        elif isinstance(value, str) and len(value) > _LONGEST:
            found = f"a text of {len(value):,} characters"
            yield Fault(origin.where(*keys), found, f"at most {_LONGEST:,}", "shorten it")
        elif isinstance(value, str) and _UNSEEN.search(value):
            fix = "type the text again"
            yield Fault(origin.where(*keys), "a control character", "text that can be seen", fix)


@dataclass(frozen=True)
class Shape:
    """What a model accepts: its validator, its keys as written with their types, and which it needs."""

    validator: TypeAdapter[Any]
    keys: Mapping[str, Any]
    needed: Mapping[str, Any]


_SHAPES: dict[type[Any], Shape] = {}


def shape_of(model: type[Any]) -> Shape:
    """The shape of a model, made once."""
    if model not in _SHAPES:
        hints = typing.get_type_hints(model, include_extras=True)
        written = {one.name: _written(one, hints[one.name]) for one in fields(model)}
        needed = [
            one.name for one in fields(model) if one.default is MISSING and one.default_factory is MISSING
        ]
        _SHAPES[model] = Shape(
            TypeAdapter(model),
            {key: hints[name] for name, key in written.items()},
            {written[name]: hints[name] for name in needed},
        )
    return _SHAPES[model]


def _written(one: Field[Any], hint: Any) -> str:
    for note in getattr(hint, "__metadata__", ()):
        if isinstance(note, FieldInfo) and note.alias:
            return note.alias
    return one.name


def models_in(hint: Any) -> list[type[Any]]:
    """The models that a type holds."""
    if is_dataclass(hint) and isinstance(hint, type):
        return [hint]
    return [model for part in typing.get_args(hint) for model in models_in(part)]


def _model_at(model: type[Any], keys: Key) -> type[Any] | None:
    for key in keys:
        if isinstance(key, str):
            inside = models_in(shape_of(model).keys.get(key))
            if not inside:
                return None
            model = inside[0]
    return model


def read_row(
    model: type[Any], given: dict[str, Any], origin: Origin, nearest: Nearest
) -> tuple[Any, list[Fault]]:
    """The model that a table fills and what is wrong with it.

    Where something is wrong the model is filled with what can be used, so that it can still be checked
    against the rest of the survey.
    """
    try:
        return shape_of(model).validator.validate_python(given), []
    except ValidationError as error:
        found = error.errors(include_url=False)
    faults = _faults(model, found, origin, nearest)
    bad = {one["loc"][0] for one in found if one["loc"]}
    usable = {key: value for key, value in given.items() if key not in bad}
    stand_ins = {key: _stand_in(hint) for key, hint in shape_of(model).needed.items() if key not in usable}
    return shape_of(model).validator.validate_python(usable | stand_ins), faults


def _stand_in(hint: Any) -> Any:
    plain = typing.get_args(hint)[0] if typing.get_origin(hint) is typing.Annotated else hint
    if typing.get_origin(plain) is typing.Literal:
        return typing.get_args(plain)[0]
    return dt.date(2000, 1, 1) if plain is dt.date else "unnamed"


def _faults(model: type[Any], found: list[Any], origin: Origin, nearest: Nearest) -> list[Fault]:
    faults: list[Fault] = []
    offered: set[Key] = set()
    unknown = [one for one in found if one["type"] == "unexpected_keyword_argument"]
    for one in unknown:
        place, word = one["loc"][:-1], str(one["loc"][-1])
        inside = _model_at(model, place) or model
        near = nearest.to(word, shape_of(inside).keys)
        offered.update((*place, name) for name in near[:1])
        faults.append(
            Fault(
                origin.where(*one["loc"]),
                f"unknown key {_shown(word)}",
                f"one of {', '.join(near or sorted(shape_of(inside).keys))}",
                "write " + " or ".join(map(repr, near)) if near else "correct the key, or delete it",
            )
        )
    for one in found:
        if one["type"] == "unexpected_keyword_argument":
            continue
        if one["type"] == "missing" and (origin.document.broken or one["loc"] in offered):
            continue
        faults.append(_fault(one, origin, nearest))
    return faults


def _fault(one: Any, origin: Origin, nearest: Nearest) -> Fault:
    where = origin.where(*one["loc"])
    value = one.get("input")
    context = one.get("ctx", {})
    reason = context.get("error")
    if isinstance(reason, UnusableError):
        return Fault(where, reason.found, reason.expected, reason.fix)
    kind = one["type"]
    if kind == "missing":
        key = str(one["loc"][-1])
        return Fault(where, f"no {key}", f"{key} = ...", f"add {key}, or leave the whole entry out")
    if kind == "literal_error":
        words = [word.strip("'") for word in context["expected"].replace(" or ", ", ").split(", ")]
        advice = nearest.advice(str(value), words, "take one of these words, or leave it out")
        return Fault(where, f"{_shown(value)} is not a word known here", f"one of {', '.join(words)}", advice)
    if kind == "string_pattern_mismatch":
        return Fault(
            where,
            f"{_shown(value)} is no id",
            "letters, digits, hyphens, dots and underscores, such as 'hall-north'",
            "write a short word",
        )
    expected = one["msg"].removeprefix("Input should be ").removeprefix("Value error, ")
    return Fault(
        where,
        f"{_shown(value)} is not what belongs here",
        expected,
        _MEND.get(kind, "correct it, or leave it out"),
    )


_MEND = {
    "string_type": "put it in quotes",
    "dataclass_type": "write a table in braces, such as { ... }",
    "tuple_type": "write a list in square brackets",
    "string_too_long": "shorten it",
    "string_too_short": "name a file",
}


def _shown(value: Any) -> str:
    try:
        text = repr(value)
    except (ValueError, RecursionError):
        return "this value"
    return text if len(text) <= 60 else text[:57] + "..."

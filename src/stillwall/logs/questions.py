"""Questions that a file leaves open, each with the very lines that settle it in ``survey.toml``."""

from __future__ import annotations

import json
from collections.abc import Mapping

from stillwall.errors import Fault, LogError


def inline(value: object) -> str:
    """A value as TOML: text, number, truth, or an inline table of them."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_key(key)} = {inline(inner)}" for key, inner in value.items()) + " }"
    return _quoted(value)


def _quoted(value: object) -> str:
    """As JSON writes it, which TOML reads; characters that cannot be seen are spelled out."""
    text = json.dumps(value, ensure_ascii=False)
    if text.isprintable():
        return text
    return "".join(char if char.isprintable() else _spelled(ord(char)) for char in text)


def _spelled(code: int) -> str:
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def _key(key: object) -> str:
    text = str(key)
    return text if text.replace("_", "").isalnum() and text.isascii() else _quoted(text)


def lines_for(name: str, **settings: object) -> str:
    """Lines for ``survey.toml`` that set something for one logger file."""
    rows = [f"[logger.{_quoted(name)}]"]
    rows += [f"{key} = {inline(value)}" for key, value in settings.items()]
    return "\n".join(rows)


def ask(
    name: str, found: str, expected: str, *, line: int | None = None, instead: str = "", **settings: object
) -> LogError:
    """A LogError whose remedy is lines for ``survey.toml``."""
    where = name if line is None else f"{name}:{line}"
    remedy = f"add to survey.toml:\n{lines_for(name, **settings)}"
    return LogError(Fault(where, found, expected, remedy + (f"\n({instead})" if instead else "")))


def below_existing(error: LogError, name: str) -> LogError:
    """The same question where ``survey.toml`` already has a table for the file: add to that one."""
    head = f"add to survey.toml:\n{lines_for(name)}\n"
    told = f"add to survey.toml below {lines_for(name)}:\n"
    faults = [
        Fault(fault.where, fault.found, fault.expected, fault.fix.replace(head, told))
        for fault in error.faults
    ]
    return LogError(faults)

"""Small faults of a module's code, made by the operators of mutmut, and a sample of them.

Words do not count: string constants and everything inside f-strings is left as it is. So are annotations and
names for types, which the type checker sees, decorators, imports and ``strict=`` of a zip.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import libcst as cst
from libcst.metadata import MetadataWrapper, PositionProvider
from mutmut.mutation.mutators import mutation_operators, operator_string

OPERATORS = [(kind, operator) for kind, operator in mutation_operators if operator is not operator_string]
LEFT_ALONE = (cst.Annotation, cst.Decorator, cst.BaseString, cst.Import, cst.ImportFrom)
TYPES = ("NDArray", "Literal", "Callable", "Mapping", "tuple", "dict", "frozenset")
WORDS = (cst.SimpleString, cst.FormattedString, cst.ConcatenatedString)


@dataclass(frozen=True, slots=True)
class Mutant:
    """A file with one fault: where, what stood there, what stands there now, and the whole source."""

    file: Path
    first_line: int
    last_line: int
    operator: str
    before: str
    after: str
    source: str


@dataclass(frozen=True, slots=True)
class Place:
    """A node that can be changed, and each change as the operator's name and the new node."""

    node: cst.CSTNode
    ways: tuple[tuple[str, cst.CSTNode], ...]


def sample(files: list[Path], share: float, seed: int) -> list[Mutant]:
    """From each file the same share of its places, at random, and of each place one change."""
    chance = random.Random(seed)
    return [mutant for file in sorted(files) for mutant in _of_file(file, share, chance)]


def places(module: cst.Module) -> list[Place]:
    """Every place that some operator can change."""
    found = ((node, tuple(_ways(node))) for node in _nodes(module))
    return [Place(node, ways) for node, ways in found if ways]


def _of_file(file: Path, share: float, chance: random.Random) -> Iterator[Mutant]:
    wrapper = MetadataWrapper(cst.parse_module(file.read_text("utf-8")))
    module, at = wrapper.module, wrapper.resolve(PositionProvider)
    here = places(module)
    chosen = chance.sample(here, int(share * len(here) + chance.random()))
    for place in sorted(chosen, key=lambda place: at[place.node].start.line):
        operator, changed = chance.choice(place.ways)
        code = [module.code_for_node(node).strip() for node in (place.node, changed)]
        lines = at[place.node]
        mutated = module.deep_replace(place.node, changed)
        assert isinstance(mutated, cst.Module)
        yield Mutant(file, lines.start.line, lines.end.line, operator, *code, mutated.code)


def _nodes(node: cst.CSTNode) -> Iterator[cst.CSTNode]:
    if isinstance(node, LEFT_ALONE):
        return
    if isinstance(node, cst.Arg) and node.keyword is not None and node.keyword.value == "strict":
        return
    yield node
    for child in node.children:
        yield from _nodes(child)


def _ways(node: cst.CSTNode) -> Iterator[tuple[str, cst.CSTNode]]:
    if isinstance(node, cst.Assign | cst.AnnAssign) and _is_words(node.value):
        return
    if isinstance(node, cst.IfExp) and _is_words(node):
        return
    if isinstance(node, cst.Assign) and isinstance(node.value, cst.Subscript) and _is_type(node.value.value):
        return
    for kind, operator in OPERATORS:
        if isinstance(node, kind):
            for changed in operator(node):
                if not (isinstance(node, cst.Call) and _loses_but_words(node, changed)):
                    yield operator.__name__.removeprefix("operator_"), changed


def _is_type(node: cst.BaseExpression) -> bool:
    return isinstance(node, cst.Name) and node.value in TYPES


def _is_words(node: cst.CSTNode | None) -> bool:
    if isinstance(node, cst.Tuple):
        return bool(node.elements) and all(_is_words(element.value) for element in node.elements)
    if isinstance(node, cst.IfExp):
        return _is_words(node.body) and _is_words(node.orelse)
    return isinstance(node, WORDS)


def _loses_but_words(node: cst.Call, changed: cst.CSTNode) -> bool:
    """Whether a call lost no argument but texts, or the name of another argument than a text's."""
    kept = {id(argument) for argument in changed.args} if isinstance(changed, cst.Call) else set()
    lost = [argument for argument in node.args if id(argument) not in kept]
    return bool(lost) and all(_is_words(argument.value) for argument in lost)

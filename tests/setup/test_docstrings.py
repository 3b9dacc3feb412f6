"""Docstrings of the pure packages: whole, in step with the code, and with examples that run.

What a public function of a face must tell is listed in ``faults``; its *face* is every module of a
pure package that lies in no inner package.
"""

from __future__ import annotations

import ast
import builtins
import doctest
import importlib
import inspect
import re
from collections.abc import Callable, Iterator
from functools import cache
from types import ModuleType

from tests.setup.pure import pure_modules

INSIDE = ("projects.cutting.solver",)
FACES = tuple(name for name in pure_modules() if not name.startswith(INSIDE))
TITLES = ("Parameters", "Returns", "Yields", "Raises", "Promise", "Notes", "Source", "Examples")
# A number means nothing without one of these beside it: a measure, a range, or what is counted.
UNITS = re.compile(
    r"""\b( (length\ )?units? | inches | mm | pixels? | cells? | (milli)?metres? | seconds?
    | degrees | shares? | fractions | thousandths | hundredths | bits | CIELAB | CIEDE2000 | XYZ
    | sRGB | P3 | value\ steps | luminances? | chromaticities | grades? | codes? | hex\ digits
    | booleans | how\ many | counts? | whole\ number | homography | in\ g
    | blocks | squares | strips | patches
    | \d+(\.\d+)?\ to\ \d+ | above\ 0 | \d\ or\ more | from\ [01] )\b | L\*""",
    re.VERBOSE | re.IGNORECASE,
)
NUMERIC = re.compile(r"\b(int|float|Fraction|Share|ndarray|NDArray|\w*Array|Lab|Rgb|XYZ)\b")


def public_functions(module: ModuleType) -> Iterator[tuple[str, Callable[..., object]]]:
    """Yield what a module defines and offers: by ``__all__``, or every name without underscore."""
    offered = getattr(module, "__all__", None) or [
        name for name in vars(module) if not name.startswith("_")
    ]
    for name in offered:
        found = inspect.unwrap(getattr(module, name))
        if inspect.isfunction(found) and found.__module__ == module.__name__:
            yield name, found


def offered() -> Iterator[tuple[str, str, Callable[..., object]]]:
    for module_name in FACES:
        for name, function in public_functions(importlib.import_module(module_name)):
            yield module_name, name, function


def sections(text: str) -> dict[str, str]:
    """Return the sections of a docstring by their titles; what comes first is under ""."""
    parts = re.split(r"^(\w+)\n-+$", text, flags=re.MULTILINE)
    return {"": parts[0]} | dict(zip(parts[1::2], parts[2::2], strict=True))


@cache
def tree_of(module: str) -> ast.Module:
    return ast.parse(inspect.getsource(importlib.import_module(module)))


@cache
def functions_of(module: str) -> dict[str, ast.FunctionDef]:
    return {node.name: node for node in tree_of(module).body if isinstance(node, ast.FunctionDef)}


@cache
def raised(module: str, name: str) -> frozenset[str]:
    """Return the errors that a function raises itself, through helpers or through a ``check_``.

    What stands inside a ``try`` is left out, because it may be caught there.
    """
    found: set[str] = set()
    seen: set[str] = set()
    waiting = [name]
    while waiting:
        current = waiting.pop()
        if current in seen:
            continue
        seen.add(current)
        for node in outside_try(functions_of(module)[current]):
            if isinstance(node, ast.Raise) and node.exc is not None:
                raiser = node.exc.func if isinstance(node.exc, ast.Call) else node.exc
                if isinstance(raiser, ast.Name) and raiser.id[:1].isupper():
                    found.add(raiser.id)
            elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                called = node.func.id
                if called.startswith("_") and called in functions_of(module):
                    waiting.append(called)
                elif called.startswith(("check_", "judge")):
                    source = inspect.unwrap(vars(importlib.import_module(module))[called])
                    found |= raised(source.__module__, called)
    return frozenset(found - {"AssertionError", "NotImplementedError"})


def outside_try(node: ast.AST) -> Iterator[ast.AST]:
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.Try):
            for handler in (*child.handlers, *child.orelse, *child.finalbody):
                yield from outside_try(handler)
            continue
        yield child
        yield from outside_try(child)


def faults(module: str, name: str, function: Callable[..., object]) -> Iterator[str]:
    """Yield what is lacking in a docstring, or does not agree with the code."""
    text = inspect.getdoc(function) or ""
    told = sections(text)
    if not re.match(r"[A-Z][^\n]+\.(\n\n|$)", text):
        yield "does not begin with one sentence on a line of its own"
    if list(told)[1:] != [title for title in TITLES if title in told]:
        yield f"has other sections than {', '.join(TITLES)}, in this order"
    yield from _parameters(told.get("Parameters", ""), function)
    yield from _numbers(told, function)
    yield from _errors(module, name, told.get("Raises", ""))


def _parameters(entries: str, function: Callable[..., object]) -> Iterator[str]:
    names = [
        name.strip()
        for head in re.findall(r"^(?:\S[^:\n]*)(?= :|$)", entries, re.MULTILINE)
        for name in head.split(",")
    ]
    wanted = [name for name in inspect.signature(function).parameters if name != "self"]
    for name in wanted:
        if name not in names:
            yield f"does not tell of its parameter {name}"
    for name in names:
        if name and name not in wanted:
            yield f"tells of a parameter {name} that it does not have"


def _numbers(told: dict[str, str], function: Callable[..., object]) -> Iterator[str]:
    signature = inspect.signature(function)
    entries = re.sub(r"\n +", " ", told.get("Parameters", "").strip()).splitlines()
    for name, parameter in signature.parameters.items():
        if not NUMERIC.search(str(parameter.annotation)):
            continue
        mine = [entry for entry in entries if re.search(rf"\b{name}\b", entry.partition(" :")[0])]
        if mine and not UNITS.search(mine[0].partition(":")[2]):
            yield f"gives no unit for {name}"
    if NUMERIC.search(str(signature.return_annotation)):
        answer = " ".join((told[""] + told.get("Returns", "") + told.get("Yields", "")).split())
        if not UNITS.search(answer):
            yield "gives no unit for what it returns"


def _errors(module: str, name: str, entries: str) -> Iterator[str]:
    listed = re.findall(r"^(\w+)\s*$", entries, re.MULTILINE)
    space = vars(importlib.import_module(module)) | vars(builtins)
    for error in sorted(raised(module, name)):
        kind = space.get(error)
        family = {base.__name__ for base in kind.__mro__} if isinstance(kind, type) else {error}
        if not family & set(listed):
            yield f"does not tell that it raises {error}"


def test_the_faces_are_found() -> None:
    there = {f"{module}.{name}" for module, name, _ in offered()}
    assert {
        "projects.cutting.answers.cut_list.plan_cuts",
        "projects.needs.units.kinds.unit_need",
        "projects.quilt_design.squares.piles.split",
        "stash.colour.spaces.difference.delta_e_2000",
        "stash.lengths.parse_length",
    } <= there
    assert len(there) > 200


def test_public_functions_tell_their_parameters_units_and_errors() -> None:
    wrong = [
        f"{module}.{name} {fault}"
        for module, name, function in offered()
        for fault in faults(module, name, function)
    ]
    assert wrong == []


def test_nothing_public_is_without_a_word() -> None:
    assert [f"{module}.{name}" for module in pure_modules() for name in silent(module)] == []


def silent(module: str) -> list[str]:
    """Return the public functions, classes and methods of a module that have no docstring."""
    return [
        f"{owner.name}.{node.name}" if isinstance(owner, ast.ClassDef) else node.name
        for owner in ast.walk(tree_of(module))
        if isinstance(owner, ast.Module | ast.ClassDef)
        and not getattr(owner, "name", "").startswith("_")
        and "Protocol" not in {getattr(base, "id", "") for base in getattr(owner, "bases", ())}
        for node in owner.body
        if isinstance(node, ast.FunctionDef | ast.ClassDef)
        and not node.name.startswith("_")
        and ast.get_docstring(node) is None
    ]


def test_examples_run() -> None:
    failed = [
        module
        for module in pure_modules()
        if doctest.testmod(importlib.import_module(module)).failed
    ]
    assert failed == []


def test_examples_are_not_few() -> None:
    finder = doctest.DocTestFinder(exclude_empty=True)
    with_examples = [
        name
        for module, name, function in offered()
        for test in finder.find(function, name, globs={})
        if test.examples
    ]
    assert len(with_examples) > 100


def sample(width: int, turn: bool) -> int:
    """Return a width.

    Parameters
    ----------
    width : wide
    """
    if turn:
        raise ValueError(width)
    return width


def test_a_docstring_that_tells_too_little_is_noticed() -> None:
    assert list(faults(__name__, "sample", sample)) == [
        "does not tell of its parameter turn",
        "gives no unit for width",
        "gives no unit for what it returns",
        "does not tell that it raises ValueError",
    ]

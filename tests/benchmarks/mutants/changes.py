"""Small faults put into a module, one at a time, each of which some test ought to notice."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from copy import copy
from dataclasses import dataclass

_COMPARED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
}
_WORKED_OUT: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.BitOr: ast.BitAnd,
    ast.BitAnd: ast.BitOr,
}
_NAMED = {"min": "max", "max": "min", "any": "all", "all": "any", "floor": "ceil", "ceil": "floor"}
#: Fields of a node in which no fault can show: types, and what a module is known by.
_LEFT_ALONE = {"annotation", "returns", "names", "type_params"}


@dataclass(frozen=True)
class Mutant:
    """A module with one fault in it: where, what, and the whole changed text."""

    line: int
    words: str
    source: str


def mutants_of(source: str) -> Iterator[Mutant]:
    """Yield every single fault of the kinds below; texts, docstrings and types stay."""
    tree = ast.parse(source)
    for holder, field, at, node in list(_places(tree)):
        for new in _changed(node):
            _put(holder, field, at, new)
            yield Mutant(_line(node), f"{_short(node)}  ->  {_short(new)}", ast.unparse(tree))
        _put(holder, field, at, node)


def _places(node: ast.AST) -> Iterator[tuple[ast.AST, str, int | None, ast.AST]]:
    for field, held in ast.iter_fields(node):
        if field in _LEFT_ALONE or _is_listing(node):
            continue
        for at, child in enumerate(held) if isinstance(held, list) else ((None, held),):
            if isinstance(child, ast.AST):
                yield node, field, at, child
                yield from _places(child)


def _put(holder: ast.AST, field: str, at: int | None, new: ast.AST) -> None:
    if at is None:
        setattr(holder, field, new)
    else:
        getattr(holder, field)[at] = new


def _changed(node: ast.AST) -> Iterator[ast.AST]:
    """Yield what may stand in place of a node."""
    match node:
        case ast.Compare(ops=ops):
            for at, op in enumerate(ops):
                for other in _COMPARED[type(op)]:
                    yield _with(node, ops=[*ops[:at], other(), *ops[at + 1 :]])
        case ast.BoolOp(op=op):
            yield _with(node, op=ast.Or() if isinstance(op, ast.And) else ast.And())
        case ast.BinOp(op=op) | ast.AugAssign(op=op) if type(op) in _WORKED_OUT:
            yield _with(node, op=_WORKED_OUT[type(op)]())
        case ast.UnaryOp(op=ast.Not() | ast.USub(), operand=operand):
            yield operand
        case ast.Constant(value=bool(value)):
            yield ast.Constant(value=not value)
        case ast.Constant(value=int(value)):
            yield ast.Constant(value=value + 1)
            yield ast.Constant(value=value - 1)
        case ast.Call():
            yield from _changed_call(node)
        case ast.FunctionDef():
            yield _with(node, body=[ast.Return(value=None)])
        case ast.If(test=test) | ast.IfExp(test=test) if _is_plain(test):
            yield _with(node, test=ast.UnaryOp(op=ast.Not(), operand=test))
        case ast.comprehension(ifs=ifs):
            for at in range(len(ifs)):
                yield _with(node, ifs=ifs[:at] + ifs[at + 1 :])
    if _may_be_left_out(node):
        yield ast.Pass()


def _changed_call(call: ast.Call) -> Iterator[ast.AST]:
    for at in range(len(call.keywords)):
        yield _with(call, keywords=call.keywords[:at] + call.keywords[at + 1 :])
    match call.func:
        case ast.Name(id=name) if name in _NAMED:
            yield _with(call, func=ast.Name(id=_NAMED[name]))
        case ast.Attribute(value=ast.Call() as before):
            yield before  # a link of a chain, such as a filter, left out


def _may_be_left_out(node: ast.AST) -> bool:
    match node:
        case ast.Expr(value=ast.Constant() | ast.Yield()):
            return False
        case ast.Assign(targets=[ast.Attribute() | ast.Subscript()]):
            return True
        case ast.Expr() | ast.AugAssign() | ast.Raise() | ast.Continue() | ast.Break():
            return True
    return isinstance(node, ast.Delete | ast.For)


def _is_plain(test: ast.expr) -> bool:
    """A condition that no other change turns round."""
    return not isinstance(test, ast.Compare | ast.BoolOp | ast.UnaryOp)


def _is_listing(node: ast.AST) -> bool:
    return isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__"


def _with(node: ast.AST, **fields: object) -> ast.AST:
    new = copy(node)
    for field, held in fields.items():
        setattr(new, field, held)
    return new


def _line(node: ast.AST) -> int:
    return getattr(node, "lineno", 0) or getattr(getattr(node, "target", None), "lineno", 0)


def _short(node: ast.AST) -> str:
    text = " ".join(ast.unparse(node).split())
    return text if len(text) <= 70 else text[:67] + "..."

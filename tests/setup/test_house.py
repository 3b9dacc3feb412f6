"""The house: rooms that import downhill only, and no two modules that need each other."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent

# From the ground up, one line a floor. A room imports what lies below it, never what stands on
# its own floor or above; all of projects stands on all of the stash.
FLOORS = """
    stash: lengths
    stash: addresses choices colour htmx rendering system text
    stash: fields json_fields measuring tags
    stash: migrations models
    stash: acts amounts context narrowing trade_words watching
    stash: form_keys
    stash: journal
    stash: photos
    stash: catalogue finding keeping templatetags
    stash: config intake inventory labels ticked washing
    stash: accounts guests look pocket
    stash: home
    stash: apps management urls

    projects: cutting
    projects: needs
    projects: quilt_design
    projects: migrations models
    projects: planning
    projects: audition coverage squares
    projects: quilt
    projects: cut_sheet picture sewing shopping
    projects: at_table mending templatetags
    projects: fabrics
    projects: beside
    projects: pages
    projects: check_rules demo handing_on receivers
    projects: apps management urls
"""
HEIGHT = {
    f"{top.strip()}.{name}": height
    for height, line in enumerate(FLOORS.strip().splitlines())
    if line.strip()
    for top, _, names in [line.partition(":")]
    for name in names.split()
}


# The same inside a room that holds packages; "." is what lies in the room itself.
INNER_FLOORS = """
    stash.models: .
    stash.models: people

    stash.colour: spaces
    stash.colour: picture words
    stash.colour: references
    stash.colour: cloth
    stash.colour: .

    stash.photos: apart storage
    stash.photos: .
    stash.photos: cloth rereading
    stash.photos: card phone

    stash.catalogue: .
    stash.catalogue: deleting merging pieces places
    stash.catalogue: fabrics

    stash.finding: columns
    stash.finding: conditions
    stash.finding: words
    stash.finding: .
    stash.finding: by_eye kept overview

    stash.intake: .
    stash.intake: written
    stash.intake: lists

    stash.keeping: .
    stash.keeping: checks
    stash.keeping: backups
    stash.keeping: exports

    projects.cutting: .
    projects.cutting: prints solver
    projects.cutting: answers

    projects.needs: .
    projects.needs: units
    projects.needs: finishing lines
    projects.needs: patterns

    projects.planning: .
    projects.planning: cloth cut_lists projects promises

    projects.coverage: question
    projects.coverage: answers
    projects.coverage: plans
    projects.coverage: .
    projects.coverage: background

    projects.quilt_design: drawing squares
    projects.quilt_design: layouts
    projects.quilt_design: forecast side_by_side
    projects.quilt_design: .
"""
INNER_HEIGHT = {
    f"{top.strip()}.{name}".removesuffix(".."): height
    for height, line in enumerate(INNER_FLOORS.strip().splitlines())
    if line.strip()
    for top, _, names in [line.partition(":")]
    for name in names.split()
}


@cache
def modules() -> dict[str, Path]:
    found = {}
    for top in ("stash", "projects"):
        for file in (ROOT / top).rglob("*.py"):
            parts = file.relative_to(ROOT).with_suffix("").parts
            found[".".join(parts).removesuffix(".__init__")] = file
    return found


def imported(name: str) -> Iterator[str]:
    """Yield the modules of ours that a module imports, wherever in it the import stands."""
    for node in ast.walk(ast.parse(modules()[name].read_text())):
        if isinstance(node, ast.Import):
            asked = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            inside = [f"{node.module}.{alias.name}" for alias in node.names]
            asked = [module if module in modules() else node.module for module in inside]
        else:
            continue
        yield from (module for module in asked if module in modules() and module != name)


# What lies inside a package and is nobody else's business.
INSIDE = ("projects.cutting.solver",)


def room(module: str) -> str:
    return ".".join(module.split(".")[:2])


def climbs(module: str, other: str) -> bool:
    """Whether an import goes up, or along its own floor into another room."""
    return room(module) != room(other) and HEIGHT[room(other)] >= HEIGHT[room(module)]


def inner(module: str) -> str:
    """Return the package that a module lies in inside its room, or the room."""
    package = ".".join(module.split(".")[:3])
    return package if package in INNER_HEIGHT else room(module)


def climbs_inside(module: str, other: str) -> bool:
    """Whether an import goes up inside a room, or along the floor into another package of it."""
    if room(module) != room(other) or inner(module) == inner(other):
        return False
    # The room's own list of names may gather what lies in it.
    return module != room(module) and INNER_HEIGHT[inner(other)] >= INNER_HEIGHT[inner(module)]


def intrudes(module: str, other: str) -> bool:
    """Whether an import reaches past the face of a package into what lies inside it."""
    return any(
        other.startswith(inside) and not module.startswith(inside.rpartition(".")[0])
        for inside in INSIDE
    )


def test_every_room_has_its_floor() -> None:
    there = {room(name) for name in modules() if "." in name}
    assert there == HEIGHT.keys()


def test_rooms_import_downhill_only() -> None:
    wrong = [
        f"{name} imports {other}"
        for name in modules()
        if "." in name
        for other in imported(name)
        if climbs(name, other)
    ]
    assert wrong == []


def test_packages_of_a_room_import_downhill_only() -> None:
    rooms = {room(name) for name in INNER_HEIGHT}
    there = {
        ".".join(name.split(".")[:3])
        for name, file in modules().items()
        if room(name) in rooms and (name.count(".") > 2 or file.name == "__init__.py")
    }
    assert there == INNER_HEIGHT.keys()
    wrong = [
        f"{name} imports {other}"
        for name in modules()
        if room(name) in rooms
        for other in imported(name)
        if climbs_inside(name, other)
    ]
    assert wrong == []


def test_nobody_reaches_inside_a_package() -> None:
    assert all(inside in modules() for inside in INSIDE)
    wrong = [
        f"{name} imports {other}"
        for name in modules()
        for other in imported(name)
        if intrudes(name, other)
    ]
    assert wrong == []


# The inside of the solver, from the ground up; what lies beside these packages is below them all.
SOLVER = "projects.cutting.solver."
SOLVER_FLOORS = ("patterns", "proofs", "plans", "questions")


def test_solver_imports_downhill_only() -> None:
    def height(module: str) -> int:
        package = module.removeprefix(SOLVER).split(".")[0]
        return SOLVER_FLOORS.index(package) + 1 if package in SOLVER_FLOORS else 0

    inside = [name for name in modules() if name.startswith(SOLVER)]
    assert {height(name) for name in inside} == set(range(len(SOLVER_FLOORS) + 1))
    wrong = [
        f"{name} imports {other}"
        for name in inside
        for other in imported(name)
        if other.startswith(SOLVER) and height(other) > height(name)
    ]
    assert wrong == []


def test_no_modules_import_each_other() -> None:
    # A package's own list of names may gather what lies in it; nothing in it asks the list back.
    graph = {name: set(imported(name)) for name in modules()}
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        pytest.fail(" -> ".join(error.args[1]))


def test_no_test_imports_from_another() -> None:
    """What several tests build with stands in a module of its own."""
    named = re.compile(
        r"^\s*(?:from tests\.|import tests\.|from tests import).*\btest_", re.MULTILINE
    )
    borrowed = [
        f"{file.relative_to(ROOT)}: {found.strip()}"
        for file in (ROOT / "tests").rglob("*.py")
        for found in named.findall(file.read_text())
    ]
    assert borrowed == []


# Names that tell nothing of what they stand for.
EMPTY_NAMES = frozenset({"one", "said"})
# A column keeps the name under which stashes in use hold it.
NAMED_SO_IN_TABLES = {"stash/models/people/spent_key.py": {"said"}}


def named(tree: ast.AST) -> Iterator[str]:
    """Yield every name that a module gives: of variables, parameters, attributes, functions."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            yield node.id
        elif isinstance(node, ast.arg):
            yield node.arg
        elif isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Store):
            yield node.attr
        elif isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            yield node.name
        elif isinstance(node, ast.alias) and node.asname:
            yield node.asname


def test_names_tell_what_they_stand_for() -> None:
    files = [
        ROOT / "manage.py",
        *(f for top in ("stash", "projects", "tests") for f in (ROOT / top).rglob("*.py")),
    ]
    empty = [
        f"{place}: {name}"
        for file in files
        for place in [file.relative_to(ROOT).as_posix()]
        for name in set(named(ast.parse(file.read_text())))
        if name in EMPTY_NAMES - NAMED_SO_IN_TABLES.get(place, set())
    ]
    assert empty == []


@pytest.mark.parametrize(
    "source",
    [
        "one = 1",
        "[one for one in some]",
        "for said in some: pass",
        "lambda one: 1",
        "def f(*, said): pass",
        "class A:\n    said: str",
        "self.said = 1",
        "def one(): pass",
        "with some as one: pass",
        "import some as one",
        "(said := 1)",
    ],
)
def test_a_name_that_tells_nothing_is_noticed(source: str) -> None:
    assert EMPTY_NAMES & set(named(ast.parse(source)))
    assert not EMPTY_NAMES & set(named(ast.parse("print(one, key.said)")))


@pytest.mark.parametrize(
    ("module", "other"),
    [
        ("stash.photos.store", "stash.intake.acts"),
        ("stash.catalogue.ledger", "projects.models.promise"),
        ("projects.coverage.question.supply", "projects.quilt.drawing"),
        ("projects.planning.parts", "projects.pages.part"),
    ],
)
def test_a_climbing_import_is_noticed(module: str, other: str) -> None:
    assert climbs(module, other)
    assert not climbs(other, module) or HEIGHT[room(module)] == HEIGHT[room(other)]


def test_a_climbing_import_inside_a_room_is_noticed() -> None:
    assert climbs_inside("stash.colour.spaces.cielab", "stash.colour.picture.photo")
    assert climbs_inside("stash.colour.words.hues", "stash.colour.picture.photo")
    assert climbs_inside("stash.colour.cloth.light", "stash.colour.reading")
    assert not climbs_inside("stash.colour.reading", "stash.colour.cloth.light")
    assert not climbs_inside("stash.colour.spaces.cielab", "stash.colour.spaces.srgb")


def test_reaching_inside_is_noticed() -> None:
    assert intrudes("projects.coverage.plans.planner", "projects.cutting.solver.work")
    assert not intrudes("projects.coverage.plans.planner", "projects.cutting.answers.joint")
    assert not intrudes("projects.cutting.answers.joint", "projects.cutting.solver.work")

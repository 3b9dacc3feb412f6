"""Templates show: they neither decide nor ask the database, and neither do their tags."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.template import Context, Template

from stash.models import Fabric
from tests.drawn_pages import AskedWhileDrawnError

ROOT = Path(__file__).resolve().parent.parent.parent
TEMPLATES = sorted((ROOT / "templates").rglob("*.*"))
TAGS = sorted(ROOT.glob("*/templatetags/*.py"))

_CONDITION = re.compile(r"{%-?\s*(?:el)?if\s+(.*?)\s*-?%}", re.DOTALL)
_FACT = r"[A-Za-z_]\w*(?:\.\w+)*"
#: One named fact or its opposite, or two that are joined once.
_SHOWS = re.compile(rf"{_FACT}|not {_FACT}|{_FACT} (?:and|or) {_FACT}")
#: What a queryset or a manager is asked by.
_ASKING = frozenset(
    "objects filter exclude get_or_create select_related prefetch_related order_by annotate "
    "aggregate values_list in_bulk owned_by in_stash on_shelf exists first last latest raw".split()
)


def conditions(text: str) -> list[str]:
    return [" ".join(found.split()) for found in _CONDITION.findall(text)]


def decisions(text: str) -> list[str]:
    """Conditions that compare, count, or join more than two facts."""
    return [found for found in conditions(text) if not _SHOWS.fullmatch(found)]


def faults_of_tags(source: str) -> list[str]:
    """What a module of tags imports of the models, and what it calls of a queryset."""
    tree = ast.parse(source)
    only_types = {
        inner
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
        for inner in ast.walk(node)
    }
    found = []
    for node in ast.walk(tree):
        if node in only_types:
            continue
        if isinstance(node, ast.ImportFrom) and "models" in (node.module or "").split("."):
            found.append(f"imports {node.module}")
        elif isinstance(node, ast.Import) and any("models" in name.name for name in node.names):
            found.append(f"imports {node.names[0].name}")
        elif isinstance(node, ast.ImportFrom) and (node.module or "").startswith("django.db"):
            found.append(f"imports {node.module}")
        elif isinstance(node, ast.Attribute) and ast.unparse(node.value) == "register":
            continue
        elif isinstance(node, ast.Attribute) and node.attr in _ASKING:
            found.append(f"asks .{node.attr}")
        elif isinstance(node, ast.Attribute) and node.attr == "all" and _is_called(node, tree):
            found.append("asks .all()")
    return found


def _is_called(attribute: ast.Attribute, tree: ast.Module) -> bool:
    return any(
        isinstance(node, ast.Call) and node.func is attribute and not node.args
        for node in ast.walk(tree)
    )


def test_no_template_decides() -> None:
    found = {
        str(file.relative_to(ROOT)): told
        for file in TEMPLATES
        if (told := decisions(file.read_text(encoding="utf-8")))
    }
    assert found == {}, "name the fact in the view's value, see DEVELOPERS.md"


def test_conditions_are_found_at_all() -> None:
    assert sum(len(conditions(file.read_text(encoding="utf-8"))) for file in TEMPLATES) > 500


@pytest.mark.parametrize("file", TAGS, ids=lambda file: file.stem)
def test_no_tag_asks_the_database(file: Path) -> None:
    assert faults_of_tags(file.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "condition",
    [
        'row.state == "short"',
        "count > 1",
        "rows|length",
        "a and b and c",
        "not a and b",
        "a or not b",
        "value is not None",
        "key in ticked",
        "a and b or c",
    ],
)
def test_a_deciding_condition_is_noticed(condition: str) -> None:
    assert decisions(f"{{% if {condition} %}}x{{% endif %}}") == [condition]


@pytest.mark.parametrize("condition", ["row.is_short", "not forloop.last", "a.b or c", "a and b"])
def test_a_named_fact_is_shown(condition: str) -> None:
    assert decisions(f"{{% if x %}}{{% elif {condition} %}}y{{% endif %}}") == []


@pytest.mark.parametrize(
    "source",
    [
        "from stash.models import Fabric",
        "from django.db.models import F",
        "def tag(part): return part.fabrics.all()",
        "def tag(part): return part.cuts.filter(done=0)",
    ],
)
def test_an_asking_tag_is_noticed(source: str) -> None:
    assert faults_of_tags(source) != []


def test_a_template_that_asks_is_noticed(owner: User) -> None:
    lazy = Template("{% for fabric in fabrics %}{{ fabric }}{% endfor %}")
    with pytest.raises(AskedWhileDrawnError, match="asked the database"):
        lazy.render(Context({"fabrics": Fabric.objects.owned_by(owner)}))
    assert lazy.render(Context({"fabrics": list(Fabric.objects.owned_by(owner))})) == ""

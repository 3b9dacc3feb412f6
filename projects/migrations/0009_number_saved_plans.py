"""Give every saved plan its version, and say where it came from.

Plans lie in the answers of parts, and in the answers that acts of cutting keep for undoing.
"""

from collections.abc import Callable, Iterator
from typing import Any

from django.db import migrations

_FOUND_BEFORE = ["the plans that were found before"]


def _number(plan: dict[str, Any], answer: dict[str, Any]) -> None:
    if "version" not in plan:
        known = answer.get("tried") == _FOUND_BEFORE
        plan.update(version=2, origin="earlier plan" if known else "search")


def _without_number(plan: dict[str, Any], answer: dict[str, Any]) -> None:
    plan.pop("version", None)
    plan.pop("origin", None)


def _plans(answer: Any) -> Iterator[dict[str, Any]]:
    """What is no plan at all is left for the checks of the stash to tell."""
    plans = answer.get("plans") if isinstance(answer, dict) else None
    for plan in plans if isinstance(plans, list) else ():
        if isinstance(plan, dict):
            yield plan


def _answers(changes: Any) -> Iterator[Any]:
    kept = changes.get("answers") if isinstance(changes, dict) else None
    for plan in kept if isinstance(kept, list) else ():
        if isinstance(plan, dict):
            yield plan.get("answer")


def _rewrite(apps: Any, change: Callable[[dict[str, Any], dict[str, Any]], None]) -> None:
    coverages = apps.get_model("projects", "Coverage").objects
    for row in coverages.order_by("pk").iterator(chunk_size=100):
        for plan in _plans(row.answer):
            change(plan, row.answer)
        row.save(update_fields=["answer"])
    acts = apps.get_model("projects", "CuttingDone").objects
    for row in acts.order_by("pk").iterator(chunk_size=100):
        for answer in _answers(row.changes):
            for plan in _plans(answer):
                change(plan, answer)
        row.save(update_fields=["changes"])


def number_plans(apps: Any, schema_editor: Any) -> None:
    _rewrite(apps, _number)


def forget_numbers(apps: Any, schema_editor: Any) -> None:
    _rewrite(apps, _without_number)


class Migration(migrations.Migration):
    dependencies = [
        ("projects", "0008_order_of_recording"),
    ]

    operations = [
        migrations.RunPython(number_plans, forget_numbers),
    ]

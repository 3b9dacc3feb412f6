"""The database itself is sound: its file, its references, whose rows refer to whose."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

from django.apps import apps
from django.conf import settings
from django.core.exceptions import FieldDoesNotExist
from django.db import connection, models
from django.db.models import Exists, F, OuterRef

from stash.colour.references.card_print import CardPrint
from stash.keeping.checks.rules import Breach, register
from stash.models import Fabric, PhoneTrial, Photo, Place, Preferences

__all__ = ["cannot_be_read", "our_models", "owner_paths", "told_by_sqlite"]

INTEGRITY, REFERENCES, OWNERS, MAIN_PHOTO, PLACES, DOCUMENTS = (
    "the database file is whole",
    "every reference leads somewhere",
    "rows refer to rows of the same person",
    "a fabric is shown by a photo of its own",
    "places do not lie in themselves",
    "what is stored as a document can be read",
)


def our_models() -> list[type[models.Model]]:
    """Return our own models, with the tables between them."""
    found: list[type[models.Model]] = []
    for label in ("stash", "projects"):
        found += apps.get_app_config(label).get_models(include_auto_created=True)
    return found


@register(INTEGRITY)
def database_is_whole() -> Iterator[Breach]:
    with connection.cursor() as cursor:
        told = told_by_sqlite(cursor) if connection.vendor == "sqlite" else _unchecked(cursor)
    for line in told:
        yield Breach(rule=INTEGRITY, sentence=f"The database says: {line}.")


def told_by_sqlite(cursor: Any) -> list[str]:
    """Return what SQLite finds wrong with its file, page by page and index by index."""
    cursor.execute("PRAGMA integrity_check(20)")
    return [str(row[0]) for row in cursor.fetchall() if row[0] != "ok"]


def _unchecked(cursor: Any) -> list[str]:
    """PostgreSQL guards its pages itself; constraints that were never validated guard nothing."""
    cursor.execute(
        "SELECT conrelid::regclass || ' ' || conname FROM pg_constraint "
        "WHERE NOT convalidated AND connamespace = current_schema()::regnamespace"
    )
    return [f"constraint {row[0]} was never checked" for row in cursor.fetchall()]


@register(REFERENCES)
def every_reference_leads_somewhere() -> Iterator[Breach]:
    for model in our_models():
        for field in _references(model):
            target = field.related_model
            there = target._base_manager.filter(
                **{field.target_field.name: OuterRef(field.attname)}
            )
            lost = model._base_manager.exclude(**{field.attname: None}).filter(~Exists(there))
            for row in lost.order_by("pk").values_list("pk", field.attname).iterator():
                yield Breach(
                    rule=REFERENCES,
                    sentence=(
                        f"{_name(model)} {row[0]} refers to {_name(target)} {row[1]}, "
                        "which is not there."
                    ),
                )


@register(OWNERS)
def rows_refer_to_rows_of_the_same_person() -> Iterator[Breach]:
    """Over every pair of references, and the owner that the row itself has."""
    for model in our_models():
        paths = owner_paths(model)
        for path in paths[1:]:
            wrong = (
                model._base_manager.annotate(_here=F(paths[0]), _there=F(path))
                .exclude(_there=None)
                .exclude(_here=F("_there"))
            )
            for row in wrong.order_by("pk").values_list("pk", flat=True).iterator():
                reference = path.rpartition("__")[0]
                yield Breach(
                    rule=OWNERS,
                    sentence=f"{_name(model)} {row} and its {reference} belong to two people.",
                )


@register(MAIN_PHOTO)
def fabric_is_shown_by_its_own_photo() -> Iterator[Breach]:
    wrong = Fabric.objects.exclude(main_photo=None).exclude(main_photo__fabric=F("pk"))
    for fabric in wrong.order_by("pk").iterator():
        yield Breach(
            rule=MAIN_PHOTO,
            sentence=f"{fabric} (fabric {fabric.pk}) is shown by a photo that is not its own.",
        )


@register(PLACES)
def places_do_not_lie_in_themselves() -> Iterator[Breach]:
    inside = dict(Place.objects.order_by("pk").values_list("pk", "inside_id"))
    for place in inside:
        seen: set[int | None] = {place}
        above: int | None = inside[place]
        while above is not None and above not in seen:
            seen.add(above)
            above = inside.get(above)
        if above == place:
            yield Breach(rule=PLACES, sentence=f"Place {place} lies in itself, by way of others.")


@register(DOCUMENTS)
def documents_can_be_read() -> Iterator[Breach]:
    for photo in Photo.objects.order_by("pk").iterator(chunk_size=200):
        yield from cannot_be_read(partial(_read_photo, photo), f"Photo {photo.key}")
    for row in Preferences.objects.exclude(card_print=None).order_by("pk").iterator():
        read = partial(CardPrint.from_dict, row.card_print or {})
        yield from cannot_be_read(read, f"The card print of {row.owner}")
    for trial in PhoneTrial.objects.exclude(finding=None).order_by("pk").iterator():
        read = partial(getattr, trial, "found")
        yield from cannot_be_read(read, f"The test of a phone {trial.pk}")


def cannot_be_read(read: Callable[[], Any], what: str, rule: str = DOCUMENTS) -> Iterator[Breach]:
    """Yield a breach of the rule if reading a stored document fails."""
    try:
        read()
    except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError) as error:
        yield Breach(
            rule=rule,
            sentence=f"{what} holds what cannot be read: {type(error).__name__} {error}.",
        )


def _read_photo(photo: Photo) -> object:
    return photo.appearance, photo.marks_by_hand, photo.region_by_hand


def _references(model: type[models.Model]) -> Iterator[Any]:
    for field in model._meta.concrete_fields:
        if field.is_relation:
            yield field


def owner_paths(model: type[models.Model]) -> list[str]:
    """Return ways from a row to the person it belongs to; all must lead to the same one."""
    paths = [] if model._meta.auto_created else [_own_path(model)]
    for field in _references(model):
        if field.name == "owner":
            continue
        path = _own_path(field.related_model)
        if path:
            paths.append(f"{field.name}__{path}")
    return [path for path in paths if path]


def _own_path(model: type[models.Model]) -> str:
    path: str = getattr(model, "owner_path", "owner")
    try:
        model._meta.get_field(path.partition("__")[0])
    except FieldDoesNotExist:
        return ""
    return path


def _name(model: type[models.Model]) -> str:
    if model._meta.label == settings.AUTH_USER_MODEL:
        return "person"
    return str(model._meta.verbose_name)

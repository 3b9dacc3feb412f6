"""Whose project it is: every view begins here."""

from __future__ import annotations

from django.forms import BaseForm
from django.http import HttpRequest
from django.shortcuts import get_object_or_404

from projects.models import Cut, Part, Project, UnreadLine

__all__ = ["cut_of", "part_of", "project_of", "said_wrong", "unread_of"]


def said_wrong(form: BaseForm) -> str:
    """All that a form refused, for a message."""
    return " ".join(str(error) for errors in form.errors.values() for error in errors)


def project_of(request: HttpRequest, pk: int) -> Project:
    return get_object_or_404(Project.objects.owned_by(request.user).select_related("owner"), pk=pk)


def part_of(request: HttpRequest, pk: int, part: int) -> Part:
    return get_object_or_404(
        Part.objects.owned_by(request.user).select_related("project__owner"),
        pk=part,
        project__pk=pk,
    )


def cut_of(request: HttpRequest, pk: int, part: int, cut: int) -> Cut:
    return get_object_or_404(
        Cut.objects.owned_by(request.user).select_related("part__project__owner"),
        pk=cut,
        part__pk=part,
        part__project__pk=pk,
    )


def unread_of(request: HttpRequest, pk: int, part: int, line: int) -> UnreadLine:
    return get_object_or_404(
        UnreadLine.objects.owned_by(request.user).select_related("part__project__owner"),
        pk=line,
        part__pk=part,
        part__project__pk=pk,
    )

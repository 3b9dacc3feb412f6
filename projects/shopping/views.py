"""The shopping list over all open projects."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.coverage.background import open_questions
from projects.coverage.background.waiting import WAIT_SECONDS
from projects.models import Coverage, Purchase
from projects.shopping import acts as shopping
from projects.shopping.filters import PurchaseFilter
from projects.shopping.forms import ShelfForm
from stash.catalogue.ledger import LedgerError
from stash.context import default_unit
from stash.fields import with_choices

__all__ = ["bought", "purchases", "put_on_shelf", "to_buy", "unbought"]


@login_required
@require_safe
def to_buy(request: HttpRequest) -> HttpResponse:
    assert request.user.is_authenticated
    found = shopping.shopping_list(owner=request.user, units=default_unit(request.user))
    return render(request, "projects/to_buy.html", {"section": "to_buy", "list": found})


@login_required
@require_safe
def purchases(request: HttpRequest) -> HttpResponse:
    """Everything that was ticked as bought, on the shelf or not."""
    narrowing = PurchaseFilter(request.GET, owner=request.user)
    context = {
        "section": "to_buy",
        "filter": narrowing,
        "page": narrowing.page,
        "units": default_unit(request.user),
    }
    return render(request, "projects/purchases.html", context)


@login_required
@require_POST
def bought(request: HttpRequest, part: int) -> HttpResponse:
    answer = get_object_or_404(
        Coverage.objects.owned_by(request.user).select_related("part__project"), part__pk=part
    )
    shopping.mark_bought(coverage=answer)
    return redirect("projects:to_buy")


@login_required
@require_POST
def unbought(request: HttpRequest, purchase: int) -> HttpResponse:
    found = get_object_or_404(Purchase.objects.owned_by(request.user), pk=purchase)
    try:
        shopping.mark_not_bought(purchase=found)
    except shopping.PurchaseError as error:
        messages.error(request, str(error))
    return redirect("projects:to_buy")


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def put_on_shelf(request: HttpRequest, purchase: int) -> HttpResponse:
    found = get_object_or_404(
        Purchase.objects.owned_by(request.user).select_related("part__project__owner"), pk=purchase
    )
    part = found.part
    units = default_unit(request.user)
    first = part.fabrics.first()
    form = ShelfForm(
        request.POST or None,
        part=part,
        units=units,
        initial={
            "width": found.width,
            "length": found.length,
            "fabric": first and first.pk,
            "bought_on": timezone.localdate(found.bought_at),
        },
    )
    if request.method == "POST" and form.is_valid():
        try:
            piece = shopping.put_on_shelf(
                owner=part.project.owner, purchase=found, **form.cleaned_data
            )
        except (LedgerError, shopping.PurchaseError) as error:
            messages.error(request, str(error))
            return redirect("projects:to_buy")
        open_questions.ask(project=part.project, wait=WAIT_SECONDS)
        messages.success(
            request,
            f"The {piece} is on the shelf and chosen for {part.name}. Coverage was asked again.",
            extra_tags=f"undo:{form.cleaned_data['act']}",
        )
        return redirect(part.project)
    context = {"section": "to_buy", "purchase": found, "part": part, "form": with_choices(form)}
    return render(request, "projects/put_on_shelf.html", context)

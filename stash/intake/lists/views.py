"""Writing fabrics down, and looking at a list before it counts."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.files.uploadedfile import UploadedFile
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_http_methods, require_POST

from stash.catalogue.act_form import ActForm
from stash.catalogue.ledger import LedgerError
from stash.context import default_unit
from stash.form_keys import takes_key
from stash.intake.lists import acts
from stash.intake.lists.cards import line_cards
from stash.intake.lists.forms import ColumnsForm, LinesForm, ListedForm, TableForm, UsualForm
from stash.intake.lists.reading import Read, read_listing
from stash.intake.written.columns import guess_columns
from stash.intake.written.tables import DELIMITERS, TableError, decode, read_table, refuse_size
from stash.models import Listing
from stash.models.listing import ListingKind
from stash.photos.uploads import UploadError, check_body

__all__ = ["from_table", "listing", "listing_aside", "listing_shelve", "write_down"]

_SHOWN = 50
_ENCODINGS = {"utf-8": "UTF-8", "utf-16": "UTF-16", "cp1252": "Windows-1252"}


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def write_down(request: HttpRequest) -> HttpResponse:
    """Lines, typed or pasted; a table that was pasted from a spreadsheet is taken as one."""
    user: Any = request.user
    form = LinesForm(request.POST or None, user=user, units=default_unit(user))
    if request.method == "POST" and form.is_valid():
        text = form.cleaned_data["text"]
        kind = ListingKind.TABLE if _is_table(text) else ListingKind.LINES
        made = acts.start_listing(owner=user, kind=kind, text=text, reading=form.reading())
        return redirect(made)
    status = 422 if form.errors else 200
    context = {"section": "add", "form": form}
    return render(request, "stash/intake/lists/write.html", context, status=status)


def _is_table(text: str) -> bool:
    """Whether lines that were pasted are rows of a spreadsheet with its headings."""
    if "\t" not in text:
        return False
    try:
        table = read_table(text, delimiter="\t")
    except TableError:
        return False
    facts = guess_columns(table, units="in").facts
    return "name" in facts and bool({"length", "size", "form"}.intersection(facts))


# The check of the token comes inside, because it parses the body, and a body that is too large
# deserves a sentence.
@csrf_exempt
@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def from_table(request: HttpRequest) -> HttpResponse:
    """A table from elsewhere, as a file."""
    if request.method == "POST":
        try:
            check_body(request)
        except UploadError as error:
            form = TableForm()
            why = "The file did not arrive whole; send it again."
            if error.status == 413:
                why = "The file is too large; send the table in parts."
            return _table_page(request, form, why, error.status)
    return _from_table(request)


@csrf_protect
@takes_key
def _from_table(request: HttpRequest) -> HttpResponse:
    user: Any = request.user
    if request.method != "POST":
        return _table_page(request, TableForm(), "", 200)
    form = TableForm(request.POST, request.FILES)
    if not form.is_valid():
        return _table_page(request, form, "", 422)
    file: UploadedFile = form.cleaned_data["table"]
    try:
        refuse_size(file.size or 0)
        decoded = decode(file.read())
        read_table(decoded.text)
    except TableError as error:
        return _table_page(request, form, str(error), 422)
    made = acts.start_listing(
        owner=user,
        kind=ListingKind.TABLE,
        title=(file.name or "").split("/")[-1],
        text=decoded.text,
        encoding=decoded.encoding,
        reading={"units": default_unit(user), "notice": decoded.notice},
    )
    return redirect(made)


def _table_page(request: HttpRequest, form: TableForm, why: str, status: int) -> HttpResponse:
    context = {"section": "add", "form": form, "why": why}
    return render(request, "stash/intake/lists/table.html", context, status=status)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def listing(request: HttpRequest, pk: int) -> HttpResponse:
    """The list as it is read; what is sent changes lines, columns, or what holds for all."""
    found = _listing_of(request, pk)
    read = read_listing(found)
    form = _form_of(request, found, read)
    if request.method != "POST":
        return _page(request, found, read, form)
    if not form.is_valid():
        return _page(request, found, read, form, status=422)
    try:
        _keep(found, form)
    except acts.ListingError as error:
        messages.error(request, str(error))
    return redirect(found)


@login_required
@require_POST
def listing_shelve(request: HttpRequest, pk: int) -> HttpResponse:
    """Put on the shelf what was shown as ready; lines that were changed are shown back first."""
    found = _listing_of(request, pk)
    act_form = ActForm(request.POST)
    form = _form_of(request, found, read_listing(found))
    if not act_form.is_valid():
        messages.error(request, "The page was out of date; press the button again.")
        return redirect(found)
    if isinstance(form, ListedForm) and "line" in request.POST:
        if not form.is_valid():
            return _page(request, found, read_listing(found), form, status=422)
        if form.text() != _lines(found) or form.has_changed_usual():
            acts.change_listing(listing=found, text=form.text(), reading=form.reading())
            messages.info(request, "What you changed is read anew below; nothing counts yet.")
            return redirect(found)
    act = act_form.cleaned_data["act"]
    try:
        fabrics = acts.put_on_shelf(listing=found, act=act, seen=request.POST.get("seen", ""))
    except (acts.ListingError, LedgerError) as error:
        messages.error(request, str(error))
        return redirect(found)
    many = "1 fabric is" if len(fabrics) == 1 else f"{len(fabrics):,} fabrics are"
    messages.success(request, f"{many} on the shelf.", extra_tags=f"undo:{act}")
    return redirect(found)


@login_required
@require_POST
def listing_aside(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a list aside unread, or take it back."""
    found = _listing_of(request, pk)
    acts.put_aside(listing=found, is_aside="back" not in request.POST)
    return redirect("stash:add" if "back" not in request.POST else found)


def _listing_of(request: HttpRequest, pk: int) -> Listing:
    return get_object_or_404(
        Listing.objects.owned_by(request.user).select_related("owner__preferences"), pk=pk
    )


def _form_of(request: HttpRequest, found: Listing, read: Read) -> UsualForm:
    data = request.POST if request.method == "POST" else None
    units = default_unit(found.owner)
    if found.is_table:
        return ColumnsForm(data, user=found.owner, units=units, read=read, reading=found.reading)
    return ListedForm(data, user=found.owner, units=units, reading=found.reading)


def _lines(found: Listing) -> str:
    return "\n".join(line for line in found.text.splitlines() if line.strip())


def _keep(found: Listing, form: UsualForm) -> None:
    text = form.text() if isinstance(form, ListedForm) else None
    acts.change_listing(listing=found, text=text, reading=form.reading())


def _page(
    request: HttpRequest, found: Listing, read: Read, form: UsualForm, *, status: int = 200
) -> HttpResponse:
    user: Any = request.user
    units = default_unit(user)
    ready, waiting = read.ready, read.waiting
    context = {
        "section": "add",
        "listing": found,
        "read": read,
        "form": form,
        "ready": len(ready),
        "waiting": len(waiting),
        "cannot_go": bool(read.refusal) or not ready,
        "units": units,
    }
    if found.is_on_shelf:
        fabrics = found.fabrics.in_stash().order_by("pk")
        context |= {"fabrics": list(fabrics[:_SHOWN]), "count": fabrics.count()}
    elif found.is_table:
        context |= _table_context(request, found, read, form, units)
    else:
        context["cards"] = line_cards(user, read, read.lines, units)
    template = "table_read" if found.is_table else "lines_read"
    if found.is_on_shelf:
        template = "on_shelf"
    return render(request, f"stash/intake/lists/{template}.html", context, status=status)


def _table_context(
    request: HttpRequest, found: Listing, read: Read, form: Any, units: Any
) -> dict[str, Any]:
    # What needs the person comes first; the rest keeps its order.
    in_order = [*read.waiting, *read.ready]
    page = Paginator(in_order, _SHOWN).get_page(request.GET.get("page"))
    return {
        "page": page,
        "cards": line_cards(request.user, read, list(page), units),
        "columns": form.column_rows(),
        "notice": found.reading.get("notice", ""),
        "encoding": _ENCODINGS.get(found.encoding, found.encoding),
        "delimiter": DELIMITERS.get(read.table.delimiter, "") if read.table else "",
    }

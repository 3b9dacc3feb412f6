"""The cut list of a part: pasted lines, units, sizes worked out, single lines."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from projects.models import Cut, Part
from projects.needs.sewing_rules import NeedsError
from projects.pages.part import part_page
from projects.pages.pattern import keep_text
from projects.planning.access import cut_of, part_of, said_wrong, unread_of
from projects.planning.cut_lists import filling, pasting, runs, strip_sets
from projects.planning.cut_lists import lines as cut_lists
from projects.planning.cut_lists.filling_forms import fill_form_of
from projects.planning.cut_lists.run_forms import RunForm
from projects.planning.cut_lists.strip_set_form import StripSetForm
from projects.planning.part_forms import MAX_TEXT, CutForm, PasteForm, UnitForm
from stash.context import default_unit

__all__ = [
    "add_strip_set",
    "add_unit",
    "change_cut",
    "fill",
    "join",
    "paste",
    "put_back",
    "put_right",
    "remove_cut",
    "strike_out",
]


@login_required
@require_POST
def paste(request: HttpRequest, pk: int, part: int) -> HttpResponse:
    """Every line is echoed as understood; a line that is not stays on the part, marked.

    A text that names other parts, or leaves a choice, is shown back before it counts.
    """
    found = part_of(request, pk, part)
    form = PasteForm(request.POST)
    if not form.is_valid():
        return part_page(request, found, paste=form)
    text, units = form.cleaned_data["text"], default_unit(request.user)
    if not pasting.is_for_one_part(pasting.pattern_of(found.project, text, units), found):
        messages.info(request, "This text names other parts or leaves a choice; nothing is in yet.")
        return redirect(f"{keep_text(request, found.project, text, found)}#understood")
    pasted = pasting.add_pasted(part=found, text=text, units=units)
    _echo(request, found, pasted)
    return redirect(f"{found.get_absolute_url()}#cut-list")


def _echo(request: HttpRequest, part: Part, pasted: pasting.Pasted) -> None:
    request.session[f"part-{part.pk}-pasted"] = {
        "understood": [[line.text, line.understood] for line in pasted.understood],
        "unread": len(pasted.wrong),
    }


@login_required
@require_POST
def put_right(request: HttpRequest, pk: int, part: int, line: int) -> HttpResponse:
    """An unread line, written anew; it goes from the list only when all of it reads."""
    found = unread_of(request, pk, part, line)
    text = request.POST.get("text", "")[:MAX_TEXT].replace("\0", "")
    pasted = pasting.put_right(line=found, text=text, units=default_unit(request.user))
    if found.pk is None:
        _echo(request, found.part, pasted)
    else:
        why = [refusal.message for refusal in pasted.wrong] or [
            "This asks for no cloth; strike it out."
        ]
        request.session[f"part-{part}-refused"] = {"line": line, "text": text, "why": why}
    return redirect(f"{found.part.get_absolute_url()}#cut-list")


@login_required
@require_POST
def strike_out(request: HttpRequest, pk: int, part: int, line: int) -> HttpResponse:
    found = unread_of(request, pk, part, line)
    pasting.strike_out(line=found)
    messages.success(request, "The line is struck out; it can be put back below the cut list.")
    return redirect(f"{found.part.get_absolute_url()}#cut-list")


@login_required
@require_POST
def put_back(request: HttpRequest, pk: int, part: int, line: int) -> HttpResponse:
    found = unread_of(request, pk, part, line)
    pasting.put_back(line=found)
    messages.success(request, "The line stands again.")
    return redirect(f"{found.part.get_absolute_url()}#cut-list")


@login_required
@require_POST
def add_unit(request: HttpRequest, pk: int, part: int) -> HttpResponse:
    found = part_of(request, pk, part)
    units = default_unit(request.user)
    form = UnitForm(request.POST, part=found, units=units, auto_id="unit_%s")
    if not form.is_valid():
        return part_page(request, found, unit=form)
    given = dict(form.cleaned_data)
    given["corners"] = given["corners"] or "one"
    try:
        need = cut_lists.add_unit(part=found, units=units, **given)
    except NeedsError as error:
        form.add_error(None, str(error))
        return part_page(request, found, unit=form)
    messages.success(request, f"{need.wanted} × {need.unit} added. {' '.join(need.assumptions)}")
    return redirect(f"{found.get_absolute_url()}#cut-list")


@login_required
@require_POST
def add_strip_set(request: HttpRequest, pk: int, part: int) -> HttpResponse:
    """Strips that are sewn into sets and cut apart again."""
    found = part_of(request, pk, part)
    units = default_unit(request.user)
    form = StripSetForm(request.POST, part=found, units=units, auto_id="set_%s")
    if not form.is_valid():
        return part_page(request, found, strip_set=form)
    try:
        made = strip_sets.add_strip_set(part=found, units=units, **form.cleaned_data)
    except NeedsError as error:
        form.add_error(None, str(error))
        return part_page(request, found, strip_set=form)
    sewing = cut_lists.sewing_of(found.project, units)
    messages.success(
        request,
        f"The strips are added. Sew {made.sets} {'set' if made.sets == 1 else 'sets'},"
        f" {sewing.show(made.width)} from raw edge to raw edge; cut {made.need.wanted} segments"
        f" {sewing.show(made.segment)} wide, {made.per_set} from a set.",
    )
    return redirect(f"{found.get_absolute_url()}#cut-list")


@login_required
@require_POST
def fill(request: HttpRequest, pk: int, part: int) -> HttpResponse:
    """Work the role out from the finished size."""
    found = part_of(request, pk, part)
    units = default_unit(request.user)
    kind = fill_form_of(found)
    if kind is None:
        messages.error(request, f"{found.name} cannot be worked out from the finished size.")
        return redirect(found)
    form = kind(request.POST, units=units, auto_id="fill_%s")
    if not form.is_valid():
        return part_page(request, found, fill=form)
    try:
        sentences = filling.fill(part=found, units=units, **form.needs())
    except NeedsError as error:
        form.add_error(None, str(error))
        return part_page(request, found, fill=form)
    messages.success(request, sentences[0])
    return redirect(f"{found.get_absolute_url()}#cut-list")


@login_required
@require_POST
def change_cut(request: HttpRequest, pk: int, part: int, cut: int) -> HttpResponse:
    found = cut_of(request, pk, part, cut)
    if found.is_run:
        return _change_run(request, found)
    form = CutForm(request.POST, cut=found, units=default_unit(request.user))
    if not form.is_valid():
        messages.error(request, said_wrong(form))
        return redirect(f"{found.part.get_absolute_url()}#cut-list")
    try:
        cut_lists.change_cut(cut=found, **form.cleaned_data)
    except cut_lists.CutListError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, "The line is saved.")
    return redirect(f"{found.part.get_absolute_url()}#cut-list")


def _change_run(request: HttpRequest, found: Cut) -> HttpResponse:
    units = default_unit(request.user)
    form = RunForm(request.POST, cut=found, units=units)
    if not form.is_valid():
        messages.error(request, said_wrong(form))
        return redirect(f"{found.part.get_absolute_url()}#cut-list")
    try:
        runs.change_run(cut=found, units=units, **form.cleaned_data)
    except NeedsError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, "The line is saved.")
    return redirect(f"{found.part.get_absolute_url()}#cut-list")


@login_required
@require_POST
def join(request: HttpRequest, pk: int, part: int, cut: int) -> HttpResponse:
    """Say that the strips of a line are joined into one run, or take that back."""
    found = cut_of(request, pk, part, cut)
    try:
        if "apart" in request.POST:
            runs.count_apart(cut=found)
            messages.success(request, "The strips are counted in whole widths again.")
        else:
            runs.join_strips(cut=found, units=default_unit(request.user))
            messages.success(request, "These strips are joined; shorter ones do as well now.")
    except NeedsError as error:
        messages.error(request, str(error))
    return redirect(f"{found.part.get_absolute_url()}#cut-list")


@login_required
@require_POST
def remove_cut(request: HttpRequest, pk: int, part: int, cut: int) -> HttpResponse:
    """What was removed comes back into the box, where one press adds it again."""
    found = cut_of(request, pk, part, cut)
    owner = found.part
    request.session[f"part-{owner.pk}-text"] = cut_lists.remove_cut(
        cut=found, units=default_unit(request.user)
    )
    messages.success(request, "The line is removed; it waits in the box below if you want it back.")
    return redirect(f"{owner.get_absolute_url()}#cut-list")

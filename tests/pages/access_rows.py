"""Access to projects, parts, cut lists, promises, cut sheets and the shopping list."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib.auth.models import User
from django.core import signing
from django.utils import timezone

from projects.coverage.answering import ask_coverage
from projects.fabrics.acts import offer_of_fabrics
from projects.fabrics.proposal import propose
from projects.models import ActKind, CuttingDone, Part, Project, Purchase, UnreadLine
from projects.planning.cut_lists.pattern_forms import PatternForm
from projects.planning.cut_lists.patterns import Places, take_pattern
from projects.planning.projects.acts import delete_project
from projects.planning.promises.acts import promise_length
from stash.models import Piece
from tests.access.matrix import Row
from tests.cut_sheet.builders import sheet
from tests.fabrics.builders import NAVY, cloth
from tests.planning import builders as b


def a_project(owner: User) -> dict[str, Any]:
    return {"pk": _part(owner).project_id}


def a_part(owner: User) -> dict[str, Any]:
    part = _part(owner)
    return {"pk": part.project_id, "part": part.pk}


def a_cut(owner: User) -> dict[str, Any]:
    part = _part(owner)
    return {"pk": part.project_id, "part": part.pk, "cut": part.cuts.get().pk}


def some_strips(owner: User) -> dict[str, Any]:
    part = b.part(_part(owner).project, "binding")
    return {"pk": part.project_id, "part": part.pk, "cut": b.cut(part, 8, None, "2 1/2").pk}


def a_pasted_pattern(owner: User) -> dict[str, Any]:
    project = _part(owner).project
    pasted = take_pattern(
        project=project, text="Sky: 4 squares 5", places=Places(parts={}, others={}), units="in"
    )
    return {"pk": project.pk, "pasted": pasted.pk}


def what_was_shown(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    project = Project.objects.get(pk=kwargs["pk"])
    form = PatternForm(text="Sky: 4 squares 5", project=project, units="in")
    return {"text": "Sky: 4 squares 5", "shown": form.initial["shown"], "part_0": "new"}


def deleted(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    delete_project(project=Project.objects.get(pk=kwargs["pk"]))
    return {"sure": "yes"}


def an_unread_line(owner: User) -> dict[str, Any]:
    part = _part(owner)
    line = UnreadLine.objects.create(part=part, text="plenty of blue")
    return {"pk": part.project_id, "part": part.pk, "line": line.pk}


def a_struck_line(owner: User) -> dict[str, Any]:
    made = an_unread_line(owner)
    UnreadLine.objects.update(struck_at=timezone.now())
    return made


def a_fabric(owner: User) -> dict[str, Any]:
    part = _part(owner)
    return {"pk": part.project_id, "part": part.pk, "fabric": part.fabrics.get().pk}


def a_promise(owner: User) -> dict[str, Any]:
    part = _part(owner)
    piece = part.fabrics.get().pieces.get()
    promise = promise_length(part=part, piece=piece, length=b.inches(9))
    return {"pk": part.project_id, "part": part.pk, "promise": promise.pk}


def an_answer(owner: User) -> dict[str, Any]:
    return {"part": _part(owner).pk}


def a_purchase(owner: User) -> dict[str, Any]:
    made = Purchase.objects.create(
        part=_part(owner), width=b.inches(42), length=b.inches(18), fingerprint="asked"
    )
    return {"purchase": made.pk}


def a_change(owner: User) -> dict[str, Any]:
    project = _part(owner).project
    done = CuttingDone.objects.create(
        project=project, act=uuid.uuid4(), kind=ActKind.CHANGED, changes={"fields": []}
    )
    return {"pk": project.pk, "act": done.act}


def _part(owner: User) -> Part:
    part = b.part(b.project(owner))
    fabric = b.fabric(owner)
    b.piece(fabric, 42, 18)
    part.fabrics.add(fabric)
    b.cut(part, 12, "3 1/2", "3 1/2")
    ask_coverage(project=part.project)
    return part


def the_sheet(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    plans, fingerprints = sheet(Project.objects.get(pk=kwargs["pk"]))
    return {"piece": [plan.key for plan in plans], "answer": list(fingerprints)}


def two_inches(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    piece = Piece.objects.get(fabric__parts__project=kwargs["pk"])
    return {"what": f"piece:{piece.pk}", "length": "2"}


def a_ticked_line(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    """More is asked for than there is."""
    part = Part.objects.get(pk=kwargs["part"])
    b.cut(part, 40, "9 1/2", "9 1/2")
    ask_coverage(project=part.project)
    return {}


def an_offer(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    part = Part.objects.get(pk=kwargs["part"])
    told = {
        "part": part.pk,
        "sentence": "Square up.",
        "fields": [["project", part.project_id, "squaring_up", 0, b.inches(1)]],
    }
    return {"offer": signing.dumps(told, salt="projects.mending", compress=True)}


def without_cuts(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    Part.objects.get(pk=kwargs["part"]).cuts.all().delete()
    return {}


def a_binding(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    part = Part.objects.get(pk=kwargs["part"])
    part.role = "binding"
    part.save()
    Project.objects.filter(pk=part.project_id).update(
        finished_width=b.inches(40), finished_length=b.inches(50)
    )
    return {"strip": "2 1/2", "join": "diagonal", "extra": "10"}


def fewer(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    return {"count": "10", "done": "1", "turn": "on", "part": kwargs["part"]}


def not_chosen(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    Part.objects.get(pk=kwargs["part"]).fabrics.clear()
    return {}


def another_tried(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    part = Part.objects.get(project=kwargs["pk"])
    return {"try": f"{part.pk}:{b.fabric(owner, 'Chalk').pk}"}


def all_of_one(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    return {f"fabric{Part.objects.get(pk=kwargs['part']).fabrics.get().pk}": "1"}


def four_inches(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    return {"piece": Piece.objects.get(fabric__parts=kwargs["part"]).pk, "length": "4"}


def a_proposal(owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
    """Ink dots are chosen already; the stars would have navy."""
    project = Project.objects.get(pk=kwargs["pk"])
    cloth(owner, "Deep water", NAVY, (42, 12))
    b.cut(b.part(project, "feature", want_words="dark blue"), 10, 4, 4)
    found = propose(project=project, anew=set(), units="in")
    return {"offer": offer_of_fabrics(project, found)}


POST = ("POST",)
BOTH = ("GET", "POST")
ROWS = [
    Row("projects:deleted"),
    Row("projects:delete", make=a_project, methods=("POST",), post={}),
    Row("projects:put_back", make=a_project, methods=("POST",), post=deleted),
    Row("projects:delete_for_good", make=a_project, methods=("POST",), post=deleted),
    Row("projects:list"),
    Row(
        "projects:start",
        methods=BOTH,
        post={
            "name": "Lamplight",
            "squaring_up": "1",
            "shrink": "3",
            "reserve": "0",
            "assumed_width": "42",
            "increment": "1/8 yd",
            "seam": "1/4",
        },
    ),
    Row("projects:to_buy"),
    Row("projects:together"),
    Row("projects:purchases"),
    Row("projects:bought", make=an_answer, methods=POST, post=a_ticked_line),
    Row("projects:unbought", make=a_purchase, methods=POST, post={}),
    Row(
        "projects:put_on_shelf",
        make=a_purchase,
        methods=BOTH,
        post={"name": "Gull", "width": "42", "length": "1 yd"},
    ),
    Row("projects:project", make=a_project),
    Row(
        "projects:change",
        make=a_project,
        methods=BOTH,
        post={
            "name": "Lamps",
            "squaring_up": "1",
            "shrink": "3",
            "reserve": "0",
            "assumed_width": "42",
            "increment": "1/8 yd",
            "seam": "1/4",
        },
    ),
    Row("projects:status", make=a_project, methods=POST, post={"status": "set aside"}),
    Row("projects:ask", make=a_project, methods=POST),
    Row("projects:answers", make=a_project),
    Row(
        "projects:part_add",
        make=a_project,
        methods=POST,
        post={"role": "feature", "title": "Star points"},
    ),
    Row("projects:pattern", make=a_project, methods=BOTH),
    Row("projects:pattern_take", make=a_project, methods=POST, post=what_was_shown),
    Row("projects:pattern_back", make=a_pasted_pattern, methods=POST, post={}),
    Row("projects:fabrics", make=a_project),
    Row("projects:fabrics_take", make=a_project, methods=POST, post=a_proposal),
    Row("projects:cut_sheet", make=a_project),
    Row("projects:bags", make=a_project),
    Row("projects:cutting_done", make=a_project, methods=POST, post=the_sheet),
    Row("projects:spoil", make=a_project, methods=POST, post=two_inches),
    Row("projects:part", make=a_part),
    Row("projects:part_ask", make=a_part, methods=POST),
    Row("projects:part_answer", make=a_part),
    Row("projects:mend", make=a_part),
    Row("projects:make_change", make=a_part, methods=POST, post=an_offer),
    Row("projects:change_back", make=a_change, methods=POST, post={}),
    Row("projects:what_if", make=a_part),
    Row(
        "projects:part_want",
        make=a_part,
        methods=POST,
        post={
            "title": "Sky",
            "want_words": "dark blue",
            "colour_firmness": "rather",
            "value_firmness": "rather",
            "direction_want": "welcome",
            "direction_rule": "follow",
        },
    ),
    Row("projects:part_needed", make=a_part, methods=POST, post={}),
    Row("projects:part_remove", make=a_part, methods=POST, post=without_cuts),
    Row("projects:paste", make=a_part, methods=POST, post={"text": "96 squares 3 1/2"}),
    Row(
        "projects:unread_right",
        make=an_unread_line,
        methods=POST,
        post={"text": "12 squares 3 1/2"},
    ),
    Row("projects:unread_strike", make=an_unread_line, methods=POST, post={}),
    Row("projects:unread_back", make=a_struck_line, methods=POST, post={}),
    Row(
        "projects:unit",
        make=a_part,
        methods=POST,
        post={"kind": "square", "count": "4", "width": "3"},
    ),
    Row(
        "projects:strip_set",
        make=a_part,
        methods=POST,
        post={"strips": "2\n2", "segment": "2", "count": "4"},
    ),
    Row("projects:fill", make=a_part, methods=POST, post=a_binding),
    Row("projects:cut", make=a_cut, methods=POST, post=fewer),
    Row("projects:cut_join", make=some_strips, methods=POST, post={}),
    Row("projects:cut_remove", make=a_cut, methods=POST, post={}),
    Row("projects:choose", make=a_fabric, methods=POST, post=not_chosen),
    Row("projects:drop", make=a_fabric, methods=POST, post={}),
    Row("projects:split", make=a_part, methods=POST, post=all_of_one),
    Row("projects:beside", make=a_part, owner=(302,)),
    Row("projects:beside_waits", make=a_part),
    Row("projects:beside_want", make=a_part, methods=POST, post={"want_words": "cream"}),
    Row("projects:keep", make=a_project, methods=POST, post=another_tried),
    Row("projects:promise", make=a_part, methods=POST, post=four_inches),
    Row("projects:promise_plan", make=a_part, methods=POST, post={}),
    Row("projects:release", make=a_promise, methods=POST, post={}),
]

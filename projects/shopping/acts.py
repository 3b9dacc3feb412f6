"""What to buy over all projects, and what happens when it was bought."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from django.contrib.auth.models import User

from projects.coverage.answers.documents import is_readable, saved_answer
from projects.coverage.background.open_questions import open_questions
from projects.coverage.groups import pieces_for
from projects.coverage.intentions import intentions_on
from projects.coverage.states import NOT_PLANNED
from projects.coverage.status import PartStanding, standings
from projects.models import Coverage, Part, Project, Purchase, Role, Status, Verdict
from projects.planning.cloth.beside import Warned
from projects.planning.cloth.facts import warnings_among
from projects.planning.cloth.greys import wanted_grey
from projects.shopping.jointly import Jointly, bought_jointly
from stash.acts import act_of, one_act, when_and_who
from stash.catalogue.ledger import acquire
from stash.colour.spaces.cielab import Lab
from stash.lengths import Unit
from stash.models import Fabric, Piece
from stash.models.movement import Kind
from stash.models.piece import Form

__all__ = [
    "Line",
    "PurchaseError",
    "ShoppingList",
    "mark_bought",
    "mark_not_bought",
    "put_on_shelf",
    "shopping_list",
    "undo_shelving",
]


class PurchaseError(ValueError):
    """The purchase is not as the page showed it; the message says what became of it."""


@dataclass(frozen=True, kw_only=True)
class Line:
    """One thing to buy; ``purchase`` is set when it was ticked."""

    standing: PartStanding
    purchase: Purchase | None

    @property
    def part(self) -> Part:
        return self.standing.part

    @property
    def names_want(self) -> bool:
        """Whether the want is told: there is one, or nothing else to go by."""
        return self.part.shows_want or not self.standing.has_fabrics

    @property
    def may_need_less(self) -> bool:
        """Whether the amount is the least found, not the least there is."""
        return self.standing.buy is not None and self.standing.buy.may_be_less

    @property
    def fabric(self) -> Fabric | None:
        """The cloth that more is bought of, where one is chosen."""
        return next(iter(self.part.fabrics.all()), None)

    @property
    def shows_want(self) -> bool:
        """Whether the swatch beside it is of what is wanted, for want of cloth."""
        return self.fabric is None

    @property
    def swatch(self) -> Lab | None:
        """The colour wanted, or a grey as light as the value wanted."""
        part = self.part
        if part.want_lab or (part.value_low is None and part.value_high is None):
            return part.want_lab
        return (wanted_grey(part), 0.0, 0.0)


@dataclass(frozen=True, kw_only=True)
class ShoppingList:
    """Open projects with something to buy and what their cloths should not meet, what takes less
    when it is bought for several, what waits to be shelved, what nobody knows yet."""

    by_project: list[tuple[Project, list[Line], tuple[Warned, ...]]]
    jointly: list[Jointly]
    to_shelve: list[Purchase]
    unfilled: list[Part]
    undecided: list[Part]


def shopping_list(*, owner: User, units: Unit) -> ShoppingList:
    """What the saved answers of all open projects ask to be bought."""
    parts = list(
        Part.objects.owned_by(owner)
        .filter(project__status__in=(Status.PLANNED, Status.CUTTING), project__removed_at=None)
        .whole()
        .order_by("project__name", "project", "position", "pk")
    )
    pieces, intentions = pieces_for(owner, parts), intentions_on(owner)
    found: list[tuple[Project, list[Line], tuple[Warned, ...]]] = []
    everything: list[PartStanding] = []
    unfilled: list[Part] = []
    undecided: list[Part] = []
    for project, group in groupby(parts, key=lambda part: part.project):
        mine = list(group)
        rows, _ = standings(
            project,
            mine,
            units=units,
            pieces=pieces,
            looking=open_questions(project),
            intentions=intentions,
        )
        everything += rows
        lines = [_line(row) for row in rows if _is_to_buy(row)]
        if lines:
            found.append((project, lines, warnings_among(project, mine, pieces)))
        unfilled += [row.part for row in rows if row.state == "unfilled"]
        undecided += [row.part for row in rows if row.state in ("undecided", "unasked")]
    to_shelve = [
        purchase for part in parts for purchase in part.purchases.all() if not purchase.piece_id
    ]
    return ShoppingList(
        by_project=found,
        jointly=bought_jointly(everything, pieces, units),
        to_shelve=to_shelve,
        unfilled=unfilled,
        undecided=undecided,
    )


def _is_to_buy(row: PartStanding) -> bool:
    if row.state not in (Verdict.SHORT, NOT_PLANNED):
        return False
    return row.buy is not None or row.part.role == Role.BATTING


def _line(row: PartStanding) -> Line:
    fingerprint = row.coverage.fingerprint if row.coverage else ""
    ticked = [
        purchase for purchase in row.part.purchases.all() if purchase.fingerprint == fingerprint
    ]
    return Line(standing=row, purchase=ticked[0] if ticked else None)


@act_of("coverage.part.project.owner_id")
def mark_bought(*, coverage: Coverage) -> Purchase | None:
    """Tick a line: what its answer asked for was bought. Ticking twice is ticking once.

    There is no line where the answer cannot be read, and none where nothing says how much.
    """
    if not is_readable(coverage):
        return None
    answer = saved_answer(coverage.part)
    buy = answer.buy if answer else None
    if buy and coverage.part.role != Role.BATTING:
        size: dict[str, int | None] = {"width": buy.width, "length": buy.rounded}
    else:
        # Batting comes in packages; the largest cut says how big it must be.
        cut = coverage.part.cuts.exclude(width=None).order_by("-width").first()
        if cut is None:
            return None
        size = {"width": cut.width, "length": cut.length}
    purchase, _ = Purchase.objects.get_or_create(
        part=coverage.part, fingerprint=coverage.fingerprint, defaults=size
    )
    return purchase


def _shelved(purchase: Purchase) -> str:
    """Say that the cloth of a purchase lies on the shelf, since when and by whom; or nothing."""
    row = Purchase.objects.select_related("piece__owner").filter(pk=purchase.pk).first()
    if row is None:
        return "This purchase was taken off the list in the meantime; nothing was changed."
    if row.piece is None:
        return ""
    brought = row.piece.movements.order_by("pk").first()
    when = when_and_who(brought.at, row.piece.owner) if brought else "before"
    return f"What was bought was already put on the shelf {when}; nothing was changed."


@act_of("purchase.part.project.owner_id")
def mark_not_bought(*, purchase: Purchase) -> None:
    """Untick; raises PurchaseError where the cloth lies on the shelf already."""
    reason = _shelved(purchase)
    if reason:
        raise PurchaseError(reason)
    purchase.delete()


def put_on_shelf(
    *,
    owner: User,
    purchase: Purchase,
    fabric: Fabric | None,
    name: str = "",
    width: int,
    length: int,
    act: uuid.UUID,
    width_measured: bool = False,
    bought_where: str = "",
    bought_on: date | None = None,
) -> Piece:
    """The bought cloth becomes a piece, of a fabric that is chosen for the part from then on.

    Without a fabric one of that name is new to the stash.

    Raises
    ------
    PurchaseError
        It was put on the shelf before, or is not on the list any more.
    """
    with one_act(owner, act):
        if fabric is None:
            fabric = Fabric.objects.create(owner=owner, name=name)
        piece = acquire(
            owner=owner,
            fabric=fabric,
            form=Form.YARDAGE,
            width=width,
            length=length,
            width_measured=width_measured,
            length_measured=width_measured,
            bought_where=bought_where,
            bought_on=bought_on,
            act=act,
            note=f"bought for {purchase.part.project.name}"[:200],
        )
        if Purchase.objects.filter(pk=purchase.pk, piece=None).update(piece=piece) != 1:
            raise PurchaseError(_shelved(purchase))
        purchase.piece = piece
        part: Part = purchase.part
        part.fabrics.add(fabric)
    return piece


def undo_shelving(*, owner: User, act: uuid.UUID) -> None:
    """A purchase whose piece left the shelf again waits to be shelved as before."""
    brought = Piece.objects.owned_by(owner).filter(
        movements__act=act, movements__kind=Kind.ACQUIRED, count=0
    )
    Purchase.objects.owned_by(owner).filter(piece__in=brought).update(piece=None)

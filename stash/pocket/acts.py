"""Bringing home what was bought: once, whatever is sent again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.utils import timezone

from stash.acts import AlreadyDoneError, one_act
from stash.intake.lists.acts import start_listing
from stash.models import Listing
from stash.models.listing import ListingKind
from stash.pocket.forms import Bought
from stash.pocket.to_buy import tick

__all__ = ["CameHome", "bring_home"]


@dataclass(frozen=True, kw_only=True)
class CameHome:
    """What became of it: lines ticked, lines to look at in ``listing``, what was here before."""

    ticked: int
    noted: int
    before: int
    listing: Listing | None

    @property
    def sentence(self) -> str:
        told = []
        if self.ticked:
            told.append(f"{_lines(self.ticked)} of To buy ticked")
        if self.noted:
            told.append(f"{_lines(self.noted)} waiting below to be put on the shelf")
        if self.before:
            told.append(f"{_lines(self.before)} came home before and changed nothing")
        sentence = f"{'; '.join(told)}." if told else ""
        return f"{sentence[:1].upper()}{sentence[1:]}"


def bring_home(*, owner: User, bought: Sequence[Bought]) -> CameHome:
    """Tick what To buy asked for, and keep the rest as lines that do not count yet.

    Each thing has a key of its own that is spent with it, so that a page that is sent home again,
    with more on it, brings only what is new. What no project asks for any more becomes a line.
    """
    ticked = before = 0
    lines: list[str] = []
    listing = None
    with one_act(owner):
        for thing in bought:
            try:
                with one_act(owner, thing.key):
                    if thing.part is not None and tick(owner, thing.part, thing.question):
                        ticked += 1
                    else:
                        lines.append(thing.text)
            except AlreadyDoneError:
                before += 1
        if lines:
            today = timezone.localdate()
            listing = start_listing(
                owner=owner,
                kind=ListingKind.LINES,
                text="\n".join(lines),
                title=f"From the pocket, {today.day} {today:%B %Y}",
            )
    return CameHome(ticked=ticked, noted=len(lines), before=before, listing=listing)


def _lines(count: int) -> str:
    return "1 line" if count == 1 else f"{count} lines"

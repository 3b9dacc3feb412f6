"""What can be done with many at once: each deed its form, and its act with one undo."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django import forms
from django.contrib.auth.models import User

from stash.lengths import Unit
from stash.ticked import acts
from stash.ticked import forms as questions
from stash.ticked.selection import Selection
from stash.trade_words import trade_lazy

if TYPE_CHECKING:
    from django.utils.functional import _StrOrPromise as StrOrPromise

__all__ = ["DEEDS", "Deed", "deeds_for", "register"]


@dataclass(frozen=True, kw_only=True)
class Deed:
    """One deed: its name in the form, the words on its button, what it asks, and its act.

    ``act`` does it to all or refuses with a ``TickedError`` that names which; it returns what was
    done as a sentence.
    """

    key: str
    label: str
    form: Callable[[User, Unit], type[forms.Form]] | None
    act: Callable[[Selection, Mapping[str, Any], uuid.UUID], str]
    is_of_fabrics: bool = True
    is_of_pieces: bool = True
    help: StrOrPromise = ""


DEEDS: dict[str, Deed] = {}


def register(deed: Deed) -> None:
    """Add a deed; projects add theirs at start."""
    DEEDS[deed.key] = deed


def deeds_for(selection: Selection) -> list[Deed]:
    """The deeds for fabrics or for pieces, in their order."""
    return [
        deed
        for deed in DEEDS.values()
        if (deed.is_of_pieces if selection.is_of_pieces else deed.is_of_fabrics)
    ]


for _deed in (
    Deed(key="move", label="Move", form=questions.move_form, act=acts.move),
    Deed(
        key="tag",
        label="Tag",
        form=questions.tag_form,
        act=acts.tag,
        is_of_pieces=False,
    ),
    Deed(
        key="untag",
        label="Take tags off",
        form=questions.untag_form,
        act=acts.untag,
        is_of_pieces=False,
    ),
    Deed(
        key="washed",
        label="Set washed",
        form=questions.washed_form,
        act=acts.set_washed,
        help="Of fabrics this holds for all their pieces but precuts.",
    ),
    Deed(
        key="width",
        label="Set width measured",
        form=questions.width_form,
        act=acts.set_width_measured,
        help=trade_lazy(
            "Usable width, without selvages. Leave it empty where each width on record is right."
        ),
    ),
    Deed(
        key="give",
        label="Give away",
        form=questions.give_form,
        act=acts.give_away,
        help="All that is left of each piece goes.",
    ),
    Deed(
        key="delete",
        label="Delete",
        form=None,
        act=acts.delete,
        is_of_pieces=False,
        help="They can be put back from the page of what was deleted.",
    ),
    Deed(
        key="strike",
        label="Take off the shelf",
        form=None,
        act=acts.strike,
        is_of_fabrics=False,
        help="For pieces that are not there: the record is put right, none of it is left.",
    ),
):
    register(_deed)

"""Deeds of one piece beside measuring: lend it and get it back, split it, use it elsewhere."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from stash.catalogue import ledger
from stash.catalogue.pieces import splitting
from stash.catalogue.pieces.forms import BackForm, GiveAwayForm, LendForm, SplitForm, UseForm
from stash.models import Piece

__all__ = ["DEEDS", "PieceDeed", "deeds_of"]


@dataclass(frozen=True, kw_only=True)
class PieceDeed:
    """One deed: its name in the address, its heading, its form, its act, and what it said."""

    key: str
    heading: str
    button: str
    form: Any
    act: Callable[..., object]
    done: str
    help: str = ""


DEEDS = {
    deed.key: deed
    for deed in (
        PieceDeed(
            key="give-away",
            heading="Give away",
            button="Give away",
            form=GiveAwayForm,
            act=ledger.give_away,
            done="It is given away.",
        ),
        PieceDeed(
            key="use",
            heading="Use for something else",
            button="It is used",
            form=UseForm,
            act=ledger.use,
            done="It is noted as used.",
            help="For what is sewn without a project here.",
        ),
        PieceDeed(
            key="lend",
            heading="Lend",
            button="Lend it",
            form=LendForm,
            act=ledger.lend,
            done="It is lent: no plan counts on it until it comes back.",
            help="What is lent is not there for plans, and the page says who has it.",
        ),
        PieceDeed(
            key="came-back",
            heading="It came back",
            button="It is back",
            form=BackForm,
            act=ledger.come_back,
            done="It is back on the shelf.",
        ),
        PieceDeed(
            key="split",
            heading="Split",
            button="Split it",
            form=SplitForm,
            act=splitting.split,
            done="It is two pieces now.",
            help="Both keep their lot, shop and place.",
        ),
    )
}


def deeds_of(piece: Piece) -> list[PieceDeed]:
    """The deeds that a piece is open to: what is lent comes back, what is here is lent."""
    left_out = set() if piece.is_lent else {"came-back"}
    if not piece.is_here:
        left_out |= {"give-away", "use", "lend", "split"}
    return [deed for deed in DEEDS.values() if deed.key not in left_out]

"""The generator of a big stash keeps the rules that hold for every stash."""

from __future__ import annotations

import pytest
from django.core.management import call_command

from stash.finding.columns.store import columns_of
from stash.keeping.checks.check import find_breaches
from stash.models import Fabric, Movement, Piece
from tests.builders import make_owner

pytestmark = pytest.mark.django_db


def test_it_adds_what_was_asked_and_the_ledger_equals_the_shelf() -> None:
    owner = make_owner()
    call_command("make_big_stash", owner.username, "--fabrics", "40", verbosity=0)
    assert len(columns_of(owner)) == 40
    assert Piece.objects.count() >= 40
    for piece in Piece.objects.all():
        totals = Movement.objects.filter(piece=piece).totals()
        assert totals == {"count": piece.count, "width": piece.width, "length": piece.length}
    assert find_breaches() == []


def test_the_same_call_adds_the_same() -> None:
    facts = []
    for name in ("one", "two"):
        call_command("make_big_stash", make_owner(name).username, "--fabrics", "25", verbosity=0)
        own = Fabric.objects.filter(owner__username=name).order_by("pk")
        facts.append(list(own.values_list("name", "far_l", "far_a", "far_b", "direction")))
    assert facts[0] == facts[1]


@pytest.mark.parametrize("asked", [["nobody"], ["maren", "--fabrics", "0"]])
def test_what_makes_no_sense_is_refused(asked: list[str]) -> None:
    make_owner()
    with pytest.raises(SystemExit):
        call_command("make_big_stash", *asked)
    assert not Fabric.objects.exists()

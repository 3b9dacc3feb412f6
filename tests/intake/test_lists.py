"""Lists that were written down: kept, shown back, put on the shelf, taken back."""

from __future__ import annotations

import io
import json
import uuid
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command

from stash.catalogue import ledger
from stash.catalogue.fabrics.acts import describe_fabric
from stash.finding.answers import search_words
from stash.finding.cards import cards_of
from stash.intake.lists import acts
from stash.lengths import INCH, YARD
from stash.models import Fabric, Listing, Movement, Piece, Place
from stash.photos.acts import add_to_fabric
from tests.builders import make_fabric, make_piece, make_place
from tests.page_client import PageClient
from tests.photos.pictures import cloth_photo

pytestmark = pytest.mark.django_db

LINES = """Harbour stripe, 1 3/8 yd at 43, blue, bin 3
Chalk dots, 2 fat quarters, dark blue with white, #dots
Sweets, 42 squares 5 in, £20
Mystery, 1 yd, xyzzy"""


def a_list(owner: User, text: str = LINES, kind: str = "lines", **reading: Any) -> Listing:
    return acts.start_listing(owner=owner, kind=kind, text=text, reading={"units": "in", **reading})


def found(owner: User, words: str) -> list[str]:
    answer = search_words(owner, words)
    places = list(range(len(answer.found.rows)))
    return [card.name for card in cards_of(answer.shelf, answer.found, places)]


def test_lines_become_fabric_and_what_is_not_ready_waits(owner: User) -> None:
    listing = a_list(owner)
    act = uuid.uuid4()
    acts.put_on_shelf(listing=listing, act=act)
    stripe, dots, sweets = Fabric.objects.owned_by(owner).order_by("pk")
    piece = stripe.pieces.get()
    assert (piece.length, piece.width, piece.form) == (11 * YARD // 8, 43 * INCH, "yardage")
    assert not piece.width_measured
    assert (stripe.called, piece.place.name) == ("blue", "bin 3")
    assert (stripe.value, stripe.far_lab, stripe.main_photo) == (None, None, None)
    assert dots.pieces.count() == 2
    assert [tag.name for tag in dots.tags.all()] == ["dots"]
    assert (sweets.pieces.get().count, str(sweets.pieces.get().price)) == (42, "20.00")
    for kept in Piece.objects.all():
        totals = kept.movements.totals()
        assert totals == {"count": kept.count, "width": kept.width, "length": kept.length}
    waiting = Listing.objects.owned_by(owner).get(act=None)
    assert waiting.text == "Mystery, 1 yd, xyzzy"


def test_one_press_takes_the_whole_list_back(owner: User) -> None:
    make_place(owner, "bin 2")
    listing = a_list(owner)
    act = uuid.uuid4()
    acts.put_on_shelf(listing=listing, act=act)
    ledger.undo(owner=owner, undone_act=act, act=uuid.uuid4())
    listing.refresh_from_db()
    assert not listing.is_on_shelf
    assert not Fabric.objects.owned_by(owner).in_stash().exists()
    assert not Piece.objects.on_shelf().exists()
    assert [place.name for place in Place.objects.owned_by(owner)] == ["bin 2"]
    acts.put_on_shelf(listing=listing, act=uuid.uuid4())
    assert Fabric.objects.owned_by(owner).in_stash().count() == 3


def test_a_list_goes_on_the_shelf_once_and_as_it_was_shown(owner: User) -> None:
    listing = a_list(owner, "A, 1 yd")
    with pytest.raises(acts.ListingError, match="changed since it was shown"):
        acts.put_on_shelf(listing=listing, act=uuid.uuid4(), seen="another")
    acts.put_on_shelf(listing=listing, act=uuid.uuid4())
    with pytest.raises(acts.ListingError, match="before"):
        acts.put_on_shelf(listing=listing, act=uuid.uuid4())
    assert Fabric.objects.count() == 1


def test_nothing_is_stored_when_one_row_fails(owner: User, monkeypatch: Any) -> None:
    def fail(*args: Any, **kwargs: Any) -> None:
        raise ledger.LedgerError("the disk")

    monkeypatch.setattr(acts, "new_pieces", fail)
    with pytest.raises(ledger.LedgerError):
        acts.put_on_shelf(listing=a_list(owner), act=uuid.uuid4())
    assert not Fabric.objects.exists()
    assert not Place.objects.exists()


def test_a_name_of_two_places_is_a_question(owner: User) -> None:
    for name in ("Left", "Right"):
        make_place(owner, "Box", inside=make_place(owner, name))
    listing = a_list(owner, "A, 1 yd, box\nB, 1 yd, Left > Box")
    acts.put_on_shelf(listing=listing, act=uuid.uuid4())
    assert [fabric.name for fabric in Fabric.objects.all()] == ["B"]
    assert Piece.objects.get().place.inside.name == "Left"


def test_a_colour_that_was_said_is_found_as_a_claim(owner: User) -> None:
    acts.put_on_shelf(
        listing=a_list(owner, "A, 1 yd, navy\nB, 1 yd, blue\nC, 1 yd, red with blue\nD, 1 yd"),
        act=uuid.uuid4(),
    )
    make_fabric(owner, "Read", lab=(32.0, 8.0, -38.0))
    assert sorted(found(owner, "blue")) == ["A", "B", "Read"]
    assert "B" not in found(owner, "dark blue")
    assert "A" in found(owner, "dark blue")
    assert found(owner, "with red blue") == []
    assert "C" in found(owner, "with blue")
    assert "A" not in found(owner, "value 0 to 10")


def test_a_photo_replaces_the_word(owner: User) -> None:
    acts.put_on_shelf(listing=a_list(owner, "A, 1 yd, red"), act=uuid.uuid4())
    fabric = Fabric.objects.get()
    assert fabric.colour_told == "you called it red"
    add_to_fabric(owner=owner, fabric=fabric, data=cloth_photo((30, 50, 140)))
    fabric.refresh_from_db()
    assert fabric.main_photo is not None
    assert "you called" not in fabric.colour_told
    assert found(owner, "red") == []
    assert fabric.called == "red"
    describe_fabric(fabric=fabric, facts={"called": "rust"}, tag_names=())


def test_the_pages_of_lines(client: PageClient, owner: User) -> None:
    page = client.post("/add/typed/", {"text": LINES, "units": "in"}, follow=True)
    text = page.content.decode()
    assert "1 3/8 yd (49 1/2 in), not measured" in text
    assert "you call it blue" in text
    assert "bin 3 (a new place)" in text
    assert "“xyzzy” was not understood." in text
    assert not Fabric.objects.exists()
    listing = Listing.objects.get()
    address = f"/add/lists/{listing.pk}/"
    lines = [*LINES.splitlines()[:3], "Mystery, 1 yd"]
    sent = {"line": lines, "more": "More, fq", "units": "in", "seen": page.context["read"].mark}
    # Lines that were changed are shown before they count, whichever button is pressed.
    page = client.post(f"{address}shelve/", {**sent, "act": str(uuid.uuid4())}, follow=True)
    assert "read anew below" in page.content.decode()
    assert not Fabric.objects.exists()
    sent = {**sent, "line": [*lines, "More, fq"], "more": "", "width": "40"}
    sent |= {"seen": page.context["read"].mark, "act": str(uuid.uuid4())}
    page = client.post(f"{address}shelve/", sent, follow=True)
    assert "5 fabrics are on the shelf." in page.content.decode()
    assert Fabric.objects.count() == 5


TABLE = "Name,Length,Colour\r\nA,1.5,blue\r\nB,xx,red\r\nC,2,green\r\n"


def test_the_pages_of_a_table(client: PageClient, owner: User) -> None:
    file = SimpleUploadedFile("mine.csv", TABLE.encode(), "text/csv")
    page = client.post("/add/table/", {"table": file}, follow=True)
    text = page.content.decode()
    assert "cells separated by a comma, read as UTF-8" in text
    assert "guessed" in text
    assert "Length: “xx” is not a length" in text
    assert "Put 2 on the shelf, leave 1 out" in text
    listing = Listing.objects.get()
    address = f"/add/lists/{listing.pk}/"
    told = {"units": "in", "column-0": "name", "column-1": "length", "column-2": "called"}
    page = client.post(address, {**told, "unit-length": "in"}, follow=True)
    assert "1 1/2 in" in page.content.decode()
    assert "guessed" not in page.content.decode()
    sent = {"seen": page.context["read"].mark, "act": str(uuid.uuid4())}
    page = client.post(f"{address}shelve/", sent, follow=True)
    assert [piece.length for piece in Piece.objects.order_by("pk")] == [3 * INCH // 2, 2 * INCH]
    client.post(f"/undo/{sent['act']}/", {"act": str(uuid.uuid4()), "back": address})
    assert not Fabric.objects.owned_by(owner).in_stash().exists()


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "The file is empty"),
        (b"PK\x03\x04" + bytes(range(1, 200)), "spreadsheet file"),
        (b"Name,Length\n", "nothing below it"),
        (b"Name,Name\nA,B\n", "Two columns have the heading “Name”"),
        (b"Name,Length\nA\x81\xc3\x28,1\n", "Line 2 holds bytes"),
    ],
)
def test_a_file_that_is_no_table_is_refused(
    client: PageClient, owner: User, data: bytes, sentence: str
) -> None:
    file = SimpleUploadedFile("mine.csv", data, "text/csv")
    page = client.post("/add/table/", {"table": file})
    assert page.status_code == 422
    assert sentence in page.content.decode()
    assert not Listing.objects.exists()


def test_a_table_that_was_pasted_is_read_as_one(client: PageClient, owner: User) -> None:
    pasted = "Fabric\tYardage\tColour\nHarbour\t1 1/2\tblue\nChalk\t2\twhite"
    page = client.post("/add/typed/", {"text": pasted, "units": "in"}, follow=True)
    assert "What the table becomes" in page.content.decode()
    assert page.context["ready"] == 2


def test_a_list_is_put_aside_and_taken_back(client: PageClient, owner: User) -> None:
    listing = a_list(owner)
    address = f"/add/lists/{listing.pk}/"
    client.post(f"{address}aside/", {})
    assert address not in client.get("/add/").content.decode()
    client.post(f"{address}aside/", {"back": "1"})
    assert address in client.get("/add/").content.decode()


def run(*arguments: str) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    try:
        call_command("import_fabrics", *arguments, stdout=out, stderr=err)
    except SystemExit as stop:
        return int(str(stop.code)), out.getvalue(), err.getvalue()
    return 0, out.getvalue(), err.getvalue()


def test_the_command(owner: User, tmp_path: Path) -> None:
    file = tmp_path / "mine.csv"
    file.write_text(TABLE)
    code, out, _ = run(str(file))
    assert (code, Fabric.objects.count()) == (0, 0)
    assert "Length: length in yd (a guess)" in out
    assert "line 3: Length: “xx” is not a length" in out
    code, _, err = run(str(file), "--agree")
    assert (code, Fabric.objects.count()) == (2, 0)
    assert "1 rows are not right" in err
    code, out, _ = run(str(file), "--agree", "--leave-out", "--unit", "length=in", "--json")
    told = json.loads(out)
    assert (code, told["ready"], Fabric.objects.count()) == (0, 2, 2)
    ledger.undo(owner=owner, undone_act=uuid.UUID(told["act"]), act=uuid.uuid4())
    assert not Fabric.objects.in_stash().exists()
    assert run(str(tmp_path / "none.csv"))[0] == 2
    assert run(str(file), "--column", "Nope=name")[0] == 2


def test_many_rows_go_and_come_back_as_one(owner: User) -> None:
    """More rows than one statement holds take the ways for many."""
    rows = "".join(f"F{i},1 yd,Bin {i % 3}\n" for i in range(1200))
    listing = a_list(owner, f"Name,Length,Place\n{rows}", kind="table")
    act = uuid.uuid4()
    acts.put_on_shelf(listing=listing, act=act)
    assert Movement.objects.filter(act=act).count() == 1200
    kept = make_piece(Fabric.objects.get(name="F7"))
    ledger.undo(owner=owner, undone_act=act, act=uuid.uuid4())
    assert list(Piece.objects.on_shelf()) == [kept]
    assert [fabric.name for fabric in Fabric.objects.in_stash()] == ["F7"]
    for piece in Piece.objects.all()[:50]:
        assert piece.movements.totals()["count"] == piece.count
    listing.refresh_from_db()
    acts.put_on_shelf(listing=listing, act=(again := uuid.uuid4()))
    used = Piece.objects.filter(movements__act=again).first()
    assert used is not None
    ledger.give_away(piece=used, act=uuid.uuid4(), length=9 * INCH)
    ledger.undo(owner=owner, undone_act=again, act=uuid.uuid4())
    cut = Piece.objects.get(pk=used.pk)
    assert (cut.count, cut.length) == (0, 27 * INCH)

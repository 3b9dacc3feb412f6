"""The stash in numbers, against sums that are made another way."""

from __future__ import annotations

import random
import uuid
from collections import defaultdict
from datetime import UTC, date, datetime
from decimal import Decimal
from fractions import Fraction

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from projects.planning.promises.acts import promise_length
from stash.acts import one_act
from stash.catalogue import ledger
from stash.catalogue.pieces.splitting import split
from stash.finding.columns.store import columns_of
from stash.inventory.bars import bars_of
from stash.inventory.flows import years_of
from stash.inventory.makeup import by_hue_and_value, run_of, set_aside
from stash.inventory.spending import spent_by_year
from stash.inventory.value import report_of, to_cents
from stash.lengths import INCH, YARD
from stash.models import Movement, Piece, YearBudget
from tests.builders import deleted, make_fabric, make_owner, make_piece, make_place
from tests.planning import builders as b


@pytest.mark.parametrize(
    ("exact", "cents"),
    [
        # Halves go up, not to the even neighbour; common practice in shops, no source.
        (Fraction(5, 1000), "0.01"),
        (Fraction(25, 1000), "0.03"),
        (Fraction(1, 3), "0.33"),
        (Fraction(2, 3), "0.67"),
        (Fraction(12), "12.00"),
        (Fraction(0), "0.00"),
    ],
)
def test_cents(exact: Fraction, cents: str) -> None:
    assert to_cents(exact) == Decimal(cents)


def test_a_price_is_worth_the_area_that_remains(owner: User) -> None:
    # 3 yd at 12.00 a yard; 1 yd cut off, of which half a width comes back: 36.00 becomes 30.00.
    piece = make_piece(make_fabric(owner), length=3 * YARD, price=Decimal("36.00"))
    with one_act(owner):
        ledger.cut_from_piece(
            piece=piece,
            act=uuid.uuid4(),
            length=YARD,
            remnants=[ledger.Remnant(width=21 * INCH, length=YARD)],
        )
    report = report_of(owner)
    assert [line.value for line in report.lines] == [Decimal("24.00"), Decimal("6.00")]
    assert report.total == Decimal("30.00")
    # Lent cloth is still hers; what is given away is not.
    ledger.lend(piece=piece, to="Ada", act=uuid.uuid4())
    assert report_of(owner).total == Decimal("30.00")
    ledger.come_back(piece=piece, act=uuid.uuid4())
    ledger.give_away(piece=piece, length=YARD, act=uuid.uuid4())
    assert report_of(owner).total == Decimal("18.00")


def test_a_split_or_a_better_measure_changes_no_value(owner: User) -> None:
    piece = make_piece(make_fabric(owner), length=3 * YARD, price=Decimal("10.01"))
    split(piece=piece, length=YARD, act=uuid.uuid4())
    assert [line.value for line in report_of(owner).lines] == [Decimal("6.67"), Decimal("3.34")]
    other = make_piece(make_fabric(owner, "Z"), length=YARD, price=Decimal("9.00"))
    ledger.measure(piece=other, width=42 * INCH, length=34 * INCH, act=uuid.uuid4())
    assert report_of(owner).lines[-1].value == Decimal("9.00")


def test_a_price_that_is_told_later_counts(client: Client, owner: User) -> None:
    piece = make_piece(make_fabric(owner), length=2 * YARD)
    split(piece=piece, length=YARD, act=uuid.uuid4())
    rest, off = Piece.objects.order_by("pk")
    address = reverse("stash:piece_keep", args=[rest.pk])
    assert client.post(address, {"washed": "unknown", "price": "10"}).status_code == 302
    # The price was for both yards; the part that was split off gets its own.
    assert [line.value for line in report_of(owner).lines] == [Decimal("5.00"), Decimal("5.00")]
    address = reverse("stash:piece_keep", args=[off.pk])
    client.post(address, {"washed": "unknown", "price": "3.00"})
    assert [line.value for line in report_of(owner).lines] == [Decimal("5.00"), Decimal("3.00")]


def test_what_has_no_price_is_counted_and_not_guessed(owner: User) -> None:
    make_piece(make_fabric(owner))
    report = report_of(owner)
    assert (report.total, report.priced, report.unpriced) == (Decimal("0.00"), 0, 1)


def test_a_record_put_right_to_none_leaves_its_remnants_their_value(owner: User) -> None:
    piece = make_piece(make_fabric(owner), price=Decimal("8.00"))
    split(piece=piece, length=18 * INCH, act=uuid.uuid4())
    piece.refresh_from_db()
    ledger.correct(piece=piece, width=piece.width, length=piece.length, count=0, act=uuid.uuid4())
    assert report_of(owner).total == Decimal("4.00")


def lived(owner: User, seed: int) -> None:
    """A stash after many deeds in random order, some undone, over four years."""
    chance = random.Random(seed)
    box = make_place(owner, "Box", inside=make_place(owner, "Shelf"))
    for number in range(6):
        form, count = chance.choice([("yardage", 1), ("strip", 12)])
        price = chance.choice([None, Decimal(chance.randrange(100, 4000)) / 100])
        make_piece(
            make_fabric(owner, f"Cloth {number}"),
            form=form,
            count=count,
            length=chance.randrange(20, 130) * INCH,
            price=price,
            place=chance.choice([None, box, box.inside]),
            at=datetime(2023, 5, 4, tzinfo=UTC),
        )
    for step in range(30):
        at = datetime(2023 + step // 10, 1 + chance.randrange(12), 9, tzinfo=UTC)
        piece = chance.choice(list(Piece.objects.owned_still().order_by("pk")))
        inch = chance.randrange(1, 20) * INCH
        act = uuid.uuid4()
        try:
            deed = chance.randrange(8)
            if deed == 0:
                some = min(inch, piece.length - INCH)
                split(
                    piece=piece, act=act, **({"count": 2} if piece.count > 1 else {"length": some})
                )
            elif deed == 1:
                with one_act(owner, act):
                    remnant = ledger.Remnant(width=9 * INCH, length=min(inch, piece.length))
                    ledger.cut_from_piece(
                        piece=piece, act=act, length=inch, remnants=[remnant], at=at
                    )
            elif deed == 2:
                ledger.give_away(piece=piece, length=inch, act=act, at=at)
            elif deed == 3:
                ledger.use(piece=piece, length=inch, act=act, at=at)
            elif deed == 4:
                ledger.measure(
                    piece=piece, width=piece.width - 127, length=piece.length, act=act, at=at
                )
            elif deed == 5:
                ledger.lend(piece=piece, to="Ada", act=act, at=at)
            elif deed == 6:
                ledger.come_back(piece=piece, act=act, at=at)
            else:
                done = Movement.objects.exclude(kind="undone").order_by("-pk")[:3]
                ledger.undo(owner=owner, undone_act=chance.choice(list(done)).act, act=act)
        except (ledger.LedgerError, ValueError):
            continue


def independent_total(owner: User) -> Decimal:
    """The value from the movements alone: sizes replayed, prices followed by hand, cents by int."""
    sizes: dict[int, list[int]] = defaultdict(lambda: [0, 0, 0])
    bought: dict[int, list[int]] = defaultdict(lambda: [0, 0, 0])
    undone = {row.undoes_id for row in Movement.objects.all() if row.undoes_id}
    for row in Movement.objects.filter(owner=owner).order_by("pk"):
        deltas = (row.width_delta, row.length_delta, row.count_delta)
        kinds = {row.kind, row.undoes.kind if row.undoes else row.kind}
        for axis, delta in enumerate(deltas):
            if axis < 2 or not kinds & {"lent", "came back"}:
                sizes[row.piece_id][axis] += delta
            if row.kind in ("acquired", "measured", "corrected") and row.pk not in undone:
                bought[row.piece_id][axis] += delta
    cents = 0
    for piece in Piece.objects.filter(owner=owner, fabric__removed_at=None):
        head = piece
        while head.price is None and head.cut_from is not None:
            head = head.cut_from
        width, length, count = sizes[piece.pk]
        if head.price is None or not count:
            continue
        wide, long, many = bought[head.pk]
        paid = int(head.price * 100)
        # Twice the cents and one, halved: rounds halves up in whole numbers.
        cents += (2 * paid * width * length * count + wide * long * many) // (
            2 * wide * long * many
        )
    return Decimal(cents) / 100


@pytest.mark.parametrize("seed", range(4))
def test_value_is_the_ledger_s_to_the_cent_and_the_years_add_up(owner: User, seed: int) -> None:
    lived(owner, seed)
    make_piece(make_fabric(make_owner("stranger")), price=Decimal("99.00"))
    report = report_of(owner)
    assert report.total == independent_total(owner)
    assert report.total == sum((shelf.total for shelf in report.shelves), Decimal(0))
    there = sum(
        piece.width * piece.length * (piece.count + piece.lent_count)
        for piece in Piece.objects.owned_by(owner)
    )
    years = years_of(owner)
    assert years[-1].at_end == there
    assert sum(year.change for year in years) == there


def test_an_act_undone_later_counts_in_no_year(owner: User) -> None:
    piece = make_piece(make_fabric(owner), at=datetime(2024, 3, 1, tzinfo=UTC))
    act = uuid.uuid4()
    ledger.give_away(piece=piece, length=9 * INCH, act=act, at=datetime(2024, 4, 1, tzinfo=UTC))
    ledger.undo(owner=owner, undone_act=act, act=uuid.uuid4(), at=datetime(2026, 1, 5, tzinfo=UTC))
    (year,) = years_of(owner)
    assert (year.year, year.areas["given"]) == (2024, 0)
    assert year.areas["in"] == 42 * INCH * 36 * INCH


def test_by_hue_and_value_counts_each_fabric_once(owner: User) -> None:
    make_piece(make_fabric(owner, "Ink", lab=(18.0, 4.0, -30.0)))
    make_piece(make_fabric(owner, "Sky", lab=(80.0, -5.0, -20.0)), form="strip", count=3)
    make_piece(make_fabric(owner, "Unread", lab=None))
    deleted(make_fabric(owner, "Gone"))
    rows = {row.hue: row for row in by_hue_and_value(columns_of(owner))}
    assert set(rows) == {"blue", "colour not read"}
    cells = {cell.band: (cell.fabrics, cell.area) for cell in rows["blue"].cells}
    yard = 42 * INCH * 36 * INCH
    assert cells == {
        "dark": (1, yard),
        "medium": (0, 0),
        "light": (1, 3 * yard),
        "not read": (0, 0),
    }
    assert [step.low for step in run_of(columns_of(owner), "blue") if not step.is_missing] == [1, 8]
    assert all(step.is_missing for step in run_of(columns_of(owner), "red"))


def test_what_is_promised_is_told_with_its_area(owner: User) -> None:
    piece = make_piece(make_fabric(owner))
    make_piece(make_fabric(owner, "Free"))
    promise_length(part=b.part(b.project(owner)), piece=piece, length=9 * INCH)
    assert set_aside(columns_of(owner)) == (1, 42 * INCH * 9 * INCH)


def test_spent_by_year_beside_the_budget(client: Client, owner: User) -> None:
    make_piece(make_fabric(owner), price=Decimal("12.50"), bought_on=date(2025, 5, 4))
    make_piece(make_fabric(owner), price=Decimal("7.25"), bought_on=date(2025, 6, 4))
    make_piece(make_fabric(owner), bought_on=date(2025, 7, 4))
    undone = make_piece(make_fabric(owner), price=Decimal("99.00"), bought_on=date(2025, 8, 4))
    act = undone.movements.get().act
    ledger.undo(owner=owner, undone_act=act, act=uuid.uuid4())
    answer = client.post(reverse("stash:budget"), {"year": "2025", "amount": "15"}, follow=True)
    (year,) = spent_by_year(owner)
    assert (year.paid, year.pieces, year.unpriced) == (Decimal("19.75"), 3, 1)
    assert (year.budget, year.left) == (Decimal("15.00"), Decimal("-4.75"))
    assert "4.75 over" in answer.content.decode()
    (message,) = answer.context["messages"]
    client.post(reverse("stash:undo", args=[message.extra_tags.removeprefix("undo:")]))
    assert not YearBudget.objects.exists()


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({"year": "snow", "amount": "1"}, "“snow” is not a whole number"),
        ({"year": "2026", "amount": "1,5.0"}, "“1,5.0” is not a number"),
        ({"year": "2026", "amount": "-1"}, "“-1” is not a number"),
    ],
)
def test_a_budget_that_is_none_is_quoted(
    client: Client, sent: dict[str, str], sentence: str
) -> None:
    answer = client.post(reverse("stash:budget"), sent, follow=True)
    assert sentence in answer.content.decode()
    assert not YearBudget.objects.exists()


def test_pages_show_what_was_counted(client: Client, owner: User) -> None:
    piece = make_piece(make_fabric(owner), price=Decimal("8.00"), place=make_place(owner))
    ledger.lend(piece=piece, to="Ada", act=uuid.uuid4())
    make_piece(make_fabric(owner, "Typed", lab=None))
    page = " ".join(client.get(reverse("stash:my_stash"), {"hue": "blue"}).content.decode().split())
    assert "1 lent to Ada" in page
    assert "Missing of blue:" in page
    report = " ".join(client.get(reverse("stash:value_report")).content.decode().split())
    assert "<strong>8.00</strong> for 1 piece" in report
    assert "1 more has no price and is not counted" in report


def test_bars_keep_their_proportions_and_stand_on_one_line() -> None:
    drawn = bars_of([("a", 2.0, "2"), ("b", -1.0, "1"), ("c", 0.0, "")])
    up, down, none = drawn.bars
    assert up.height == pytest.approx(2 * down.height, abs=0.2)
    assert up.y + up.height == pytest.approx(drawn.line, abs=0.2)
    assert down.y == pytest.approx(drawn.line, abs=0.2)
    assert none.height == 0
    assert bars_of([]).bars == []

"""Sets of squares from choosing them to a project of them."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from projects.coverage.answering import ask_coverage
from projects.models import LaidSquare, Project, Promise, SquareSet
from projects.squares import acts as services
from projects.squares import layout as layouts
from projects.squares.acts import ChosenSquares, create_set
from projects.squares.layout import SquaresError, layout_of
from projects.squares.piles import laid_of, piles_of
from projects.squares.seam import measure_pack
from stash.catalogue import ledger
from stash.colour.picture.photo import decode_photo
from stash.intake.shelving import put_on_shelf
from stash.models import Fabric
from tests.builders import make_fabric, make_owner
from tests.intake.trips import COLOURS, make_draft, make_trip, tap
from tests.planning.builders import inches
from tests.squares.rows import a_pack, a_set, greys


def at(name: str, squares: SquareSet) -> str:
    return reverse(f"squares:{name}", args=[squares.pk])


def send(client: Client, name: str, squares: SquareSet, **data: Any) -> Any:
    return client.post(at(name, squares), data)


def order(squares: SquareSet) -> list[int]:
    return [square.pk for square in laid_of(squares)]


def test_a_set_is_chosen_from_packs_and_fabrics(client: Client, owner: User) -> None:
    pack = a_pack(owner)
    plain = greys(owner)
    found = client.post(reverse("squares:start"), {"find": "yes", "words": "pebble", "name": "Mix"})
    assert "8 fabrics match" in found.text
    counts = {f"count-fabric-{fabric.pk}": "1" for fabric in plain}
    sent = {"name": "Mix", f"count-piece-{pack.pk}": "4", **counts}
    response = client.post(reverse("squares:start"), sent)
    made = SquareSet.objects.get()
    assert response.headers["Location"] == made.get_absolute_url()
    assert made.laid.count() == 12
    assert made.laid.filter(piece=pack).count() == 4
    assert (made.columns, made.rows) == (3, 4)
    assert made.side == inches(5)


def test_what_was_typed_stays_while_looking_for_more(client: Client, owner: User) -> None:
    pack = a_pack(owner)
    sent = {"find": "yes", "words": "nosuchword", f"count-piece-{pack.pk}": "7"}
    page = client.post(reverse("squares:start"), sent)
    assert f'name="count-piece-{pack.pk}" value="7"' in page.text
    assert not SquareSet.objects.exists()


def test_one_of_each_takes_every_fabric_once(client: Client, owner: User) -> None:
    greys(owner)
    a_pack(owner)
    page = client.post(reverse("squares:start"), {"find": "one", "words": "pebble"})
    assert page.text.count('value="1"') == 8


def test_another_set_begins_as_the_one_before(client: Client, owner: User) -> None:
    pack = a_pack(owner)
    chosen = [ChosenSquares(fabric=fabric, count=2) for fabric in greys(owner)]
    chosen += [ChosenSquares(fabric=pack.fabric, piece=pack, count=7)]
    squares = create_set(owner=owner, name="First", chosen=chosen)
    page = client.get(reverse("squares:start"), {"like": squares.pk}).text
    assert f'name="count-piece-{pack.pk}" value="7"' in page
    assert page.count('value="2"') == 8
    theirs = a_set(make_owner("stranger"))
    assert client.get(reverse("squares:start"), {"like": theirs.pk}).status_code == 404


def test_photographed_squares_of_a_trip_are_taken_at_once(client: Client, owner: User) -> None:
    trip = make_trip(owner)
    for colour in COLOURS[:4]:
        draft = make_draft(trip, colour)
        tap(draft, "squares-5")
        # One of each is believed where it was measured; a pack would say how many.
        draft.length_measured = True
        draft.save(update_fields=["length_measured"])
    put_on_shelf(trip=trip, act=uuid.uuid4())
    page = client.get(reverse("squares:start")).text
    assert "The Button Loft, 4 May 2026 (4 kinds)" in page
    page = client.get(reverse("squares:start"), {"trip": trip.pk}).text
    assert page.count('value="1"') == 4
    theirs = make_trip(make_owner("stranger"))
    assert client.get(reverse("squares:start"), {"trip": theirs.pk}).status_code == 404


@pytest.mark.parametrize(
    ("count", "text"),
    [
        ("three", "“three” is no count of squares"),
        ("9" * 5000, "is no count of squares"),
        ("3", "3 squares are no set"),
        ("", "0 squares"),
    ],
)
def test_counts_that_make_no_set_are_refused(
    client: Client, owner: User, count: str, text: str
) -> None:
    pack = a_pack(owner)
    sent = {"name": "Few", f"count-piece-{pack.pk}": count}
    page = client.post(reverse("squares:start"), sent)
    assert page.status_code == 422
    assert text in page.text
    assert not SquareSet.objects.exists()


def test_squares_of_a_stranger_cannot_be_chosen(client: Client, owner: User) -> None:
    theirs = a_pack(make_owner("stranger"))
    sent = {"name": "Taken", f"count-piece-{theirs.pk}": "9"}
    assert client.post(reverse("squares:start"), sent).status_code == 422
    assert not SquareSet.objects.exists()


def test_the_smallest_measured_pack_gives_the_cut_side(owner: User) -> None:
    pack = a_pack(owner)
    small = a_pack(owner, make_fabric(owner, "Measured"))
    ledger.measure(
        piece=small,
        width=inches("4 7/8"),
        length=inches("4 15/16"),
        act="6f0d6b1e-5a0e-4a3e-9d0a-2f6f1c0a7d12",  # type: ignore[arg-type]
    )
    made = create_set(
        owner=owner,
        name="Both",
        chosen=[
            ChosenSquares(fabric=piece.fabric, piece=piece, count=6) for piece in (pack, small)
        ],
    )
    assert made.side == inches("4 7/8")


def test_piles_are_shown_light_to_dark_and_swapped_at_a_near_tie(
    client: Client, owner: User
) -> None:
    values = (9.0, 8.0, 6.3, 6.2, 5.0, 4.0, 3.0, 2.0, 1.0)
    fabrics = greys(owner, values)
    chosen = [ChosenSquares(fabric=fabric, count=1) for fabric in fabrics]
    squares = create_set(owner=owner, name="Nine", chosen=chosen)
    shown = piles_of(squares)
    assert [pile.count for pile in shown.piles] == [3, 3, 3]
    (offer,) = shown.offers
    assert (offer.lighter.fabric.value, offer.darker.fabric.value) == (6.3, 6.2)
    assert "0.10 apart" in client.get(squares.get_absolute_url()).text

    pair = {"square": [offer.lighter.pk, offer.darker.pk]}
    send(client, "swap_piles", squares, **pair)
    names = {
        pile.name: [tile.square.fabric.value for tile, _ in pile.kinds]
        for pile in piles_of(squares).piles
    }
    assert names["light"] == [9.0, 8.0, 6.2]
    assert names["medium"] == [6.3, 5.0, 4.0]
    assert piles_of(squares).offers[0].is_swapped
    send(client, "swap_piles", squares, **pair)
    assert not LaidSquare.objects.exclude(pile="").exists()

    send(client, "swap_piles", squares, **pair)
    send(client, "by_value", squares)
    assert piles_of(squares).moved == 0


def test_limits_part_the_piles_and_nonsense_is_quoted(client: Client, owner: User) -> None:
    squares = a_set(owner)
    send(client, "limits", squares, limits="8 2.5")
    squares.refresh_from_db()
    assert squares.limits == (2.5, 8.0)
    assert [pile.count for pile in piles_of(squares).piles] == [4, 10, 2]
    page = client.post(at("limits", squares), {"limits": "two"}, follow=True)
    assert "“two” is not two values" in page.text
    send(client, "limits", squares, limits="")
    squares.refresh_from_db()
    assert squares.limits is None


def test_a_red_that_a_phone_shows_darker_is_named_with_its_reason(
    client: Client, owner: User
) -> None:
    red = make_fabric(owner, "Signal", lab=(53.24, 80.09, 67.20), value_uncertainty=0.2)
    fabrics = [*greys(owner, (9.0, 8.0, 4.5, 4.2, 2.0)), red]
    chosen = [ChosenSquares(fabric=fabric, count=1) for fabric in fabrics]
    squares = create_set(owner=owner, name="Red", chosen=chosen)
    page = client.get(squares.get_absolute_url()).text
    assert "Signal: dark instead of medium, 3.2 instead of 5.3." in page


def test_a_fabric_without_a_photo_lies_in_the_middle_and_says_so(
    client: Client, owner: User
) -> None:
    unread = make_fabric(owner, "Not seen yet", lab=None)
    chosen = [ChosenSquares(fabric=fabric, count=1) for fabric in [*greys(owner), unread]]
    squares = create_set(owner=owner, name="With one unread", chosen=chosen)
    assert "Nobody has photographed" in client.get(squares.get_absolute_url()).text
    assert client.get(at("layout", squares)).status_code == 200
    assert client.get(at("picture", squares)).status_code == 200


def test_two_squares_are_swapped_and_the_swap_taken_back(client: Client, owner: User) -> None:
    squares = a_set(owner)
    before = order(squares)
    send(client, "swap", squares, square=[before[0], before[7]])
    after = order(squares)
    assert (after[0], after[7]) == (before[7], before[0])
    send(client, "take_back", squares)
    assert order(squares) == before


def test_a_locked_square_stays_whatever_is_tried(client: Client, owner: User) -> None:
    squares = a_set(owner)
    before = order(squares)
    send(client, "lock", squares, square=[before[5]])
    page = client.post(at("swap", squares), {"square": [before[5], before[6]]}, follow=True)
    assert "is locked" in page.text
    send(client, "lay", squares)
    send(client, "few", squares, most=5)
    assert order(squares)[5] == before[5]
    send(client, "lock", squares, square=[before[5]])
    assert not squares.laid.filter(is_locked=True).exists()


def test_another_layout_is_another_and_few_changes_are_few(client: Client, owner: User) -> None:
    squares = a_set(owner)
    first = order(squares)
    send(client, "lay", squares)
    assert order(squares) != first
    worse = sorted(first)
    for position, key in enumerate(worse):
        LaidSquare.objects.filter(pk=key).update(position=position)
    squares.refresh_from_db()
    poor = layout_of(squares)
    page = client.post(at("few", squares), {"most": "2"}, follow=True)
    squares.refresh_from_db()
    better = layout_of(squares)
    assert 1 <= len(better.swaps) <= 2
    assert (better.touching, better.broken, -better.share) < (
        poor.touching,
        poor.broken,
        -poor.share,
    )
    assert "Swapped, one after the other" in page.text
    moved = [first for first, other in zip(worse, order(squares), strict=True) if first != other]
    assert len(moved) <= 4


def test_no_two_of_a_fabric_touch_and_each_three_has_one_of_each(owner: User) -> None:
    squares = a_set(owner, count=3)
    shown = layout_of(squares)
    assert (squares.columns, squares.rows) == (4, 6)
    assert (shown.touching, shown.broken, shown.threes) == (0, 0, 8)
    assert 80 < shown.share <= 100


def test_forty_two_squares_finish_36_by_40_and_a_half(client: Client, owner: User) -> None:
    """Common practice, no source: 42 five-inch squares, six by seven, border 4 1/2 finished."""
    fabrics = greys(owner)
    chosen = [ChosenSquares(fabric=fabric, count=5 + (at < 2)) for at, fabric in enumerate(fabrics)]
    squares = create_set(owner=owner, name="Throw", chosen=chosen)
    sizes = {"columns": 6, "rows": 7, "side": "5", "seam": "1/4", "border": "4 1/2"}
    send(client, "size", squares, **sizes)
    page = client.get(at("layout", squares)).text
    assert "27 × 31\N{NO-BREAK SPACE}1/2 in" in page
    assert "36 × 40\N{NO-BREAK SPACE}1/2 in" in page
    # 2 (36 + 40 1/2) + 10 = 163 in; 4 x 42 - 3 x 2 1/2 = 160 1/2 is short, five strips are not.
    assert "5 strips 2\N{NO-BREAK SPACE}1/2 in wide" in page


@pytest.mark.parametrize(
    ("changed", "text"),
    [
        ({"columns": 9}, "9 across and 4 down are 36 squares; there are 16."),
        ({"side": "1/2"}, "disappears in its seams"),
        ({"border": "40 in by 3"}, "40 in by 3"),
        ({"seam": "2"}, "more than 1 in"),
    ],
)
def test_sizes_that_cannot_be_are_refused_with_the_form_kept(
    client: Client, owner: User, changed: dict[str, Any], text: str
) -> None:
    squares = a_set(owner)
    sizes = {"columns": 4, "rows": 4, "side": "5", "seam": "1/4", "border": "0", **changed}
    page = send(client, "size", squares, **sizes)
    assert page.status_code == 422
    assert text in page.text
    assert SquareSet.objects.get().columns == 4


def test_a_pack_that_measures_less_is_offered_as_the_cut_side(client: Client, owner: User) -> None:
    pack = a_pack(owner)
    chosen = [ChosenSquares(fabric=pack.fabric, piece=pack, count=16)]
    squares = create_set(owner=owner, name="Pinked", chosen=chosen)
    assert "measures only" not in client.get(at("layout", squares)).text
    measure_pack(
        piece=pack,
        width=inches("4 15/16"),
        length=inches("4 7/8"),
        edge="pinked, valleys",
        act=uuid.uuid4(),
    )
    page = client.get(at("layout", squares)).text
    assert "measures only 4\N{NO-BREAK SPACE}7/8 in" in page
    assert 'type="hidden" name="side" value="4 7/8 in"' in page
    sizes = {"columns": 4, "rows": 4, "side": "4 7/8", "seam": "1/4", "border": "0"}
    send(client, "size", squares, **sizes)
    assert "measures only" not in client.get(at("layout", squares)).text


def test_neighbours_whose_value_is_not_seen_across_a_room_are_counted(owner: User) -> None:
    """Two greys 0.1 of a step apart (1 L*) stay below the just noticeable 2.3 of Mahy et al."""
    pair = greys(owner, (5.0, 5.1))
    Fabric.objects.update(reference="paper")
    chosen = [ChosenSquares(fabric=fabric, count=2) for fabric in pair]
    shown = layout_of(create_set(owner=owner, name="Alike", chosen=chosen))
    assert (shown.seams, len(shown.merging)) == (4, 4)
    assert "too close to tell apart" in shown.merging[0].sentence
    far = [ChosenSquares(fabric=fabric, count=2) for fabric in greys(owner, (2.0, 8.0))]
    Fabric.objects.update(reference="paper")
    shown = layout_of(create_set(owner=owner, name="Apart", chosen=far))
    assert (shown.merging, shown.untold, shown.seen) == ((), (), 4)
    Fabric.objects.update(value_uncertainty=5)
    assert len(layout_of(SquareSet.objects.get(name="Apart")).untold) == 4


@pytest.mark.parametrize(
    ("uncertainties", "is_told"),
    [((1.5, 1.5), False), ((1.4, 1.5), True), ((3.0, 0.0), False), ((0.2, 0.2), True)],
)
def test_no_seam_beside_an_estimate_is_said_to_be_seen_where_intervals_meet(
    client: Client, owner: User, uncertainties: tuple[float, float], is_told: bool
) -> None:
    """5 and 8: the 90 % intervals meet where their half widths add up to 3; our rule."""
    bare, other = greys(owner, (5.0, 8.0))
    Fabric.objects.filter(pk=other.pk).update(reference="paper")
    for fabric, uncertainty in zip((bare, other), uncertainties, strict=True):
        Fabric.objects.filter(pk=fabric.pk).update(value_uncertainty=uncertainty)
    chosen = [ChosenSquares(fabric=fabric, count=2) for fabric in Fabric.objects.order_by("pk")]
    squares = create_set(owner=owner, name="Bare", chosen=chosen)
    shown = layout_of(squares)
    assert (shown.seen, len(shown.untold)) == ((4, 0) if is_told else (0, 4))
    page = client.get(at("layout", squares), {"view": "grey"}).text
    assert ("Cannot be told: Pebble 5.0 is an estimate" in page) is not is_told
    assert '≈ 5.0</span><span class="visually-hidden">about 5.0' in page
    assert "≈ 8.0" not in page


def test_fewer_places_than_squares_leave_some_over(client: Client, owner: User) -> None:
    squares = a_set(owner)
    sizes = {"columns": 3, "rows": 5, "side": "5", "seam": "1/4", "border": "0"}
    send(client, "size", squares, **sizes)
    squares.refresh_from_db()
    shown = layout_of(squares)
    assert len(shown.cells) == 15
    assert len(shown.left_over) == 1
    assert "Left over" in client.get(at("layout", squares)).text


def test_a_fabric_that_is_deleted_leaves_a_layout_that_still_opens(
    client: Client, owner: User
) -> None:
    squares = a_set(owner)
    laid_of(squares)[0].fabric.delete()
    assert len(layout_of(squares).cells) == 14
    assert client.get(at("layout", squares)).status_code == 200
    send(client, "lay", squares)
    assert squares.laid.count() == 14


def test_a_project_is_made_with_its_parts_and_the_squares_set_aside(
    client: Client, owner: User
) -> None:
    pack = a_pack(owner, count=20)
    plain = greys(owner, (8.5, 5.0, 2.0))
    chosen = [ChosenSquares(fabric=pack.fabric, piece=pack, count=18)]
    chosen += [ChosenSquares(fabric=fabric, count=8) for fabric in plain]
    squares = create_set(owner=owner, name="Forty-two", chosen=chosen)
    services.set_size(
        squares=squares,
        columns=6,
        rows=7,
        side=inches(5),
        seam=inches("1/4"),
        border=inches("4 1/2"),
    )
    client.post(at("project", squares), {"name": "Window throw", "promise": "on"})
    project = Project.objects.get()
    assert (project.finished_width, project.finished_length) == (inches(36), inches("40 1/2"))
    parts = {part.role: part for part in project.parts.all()}
    features = project.parts.filter(role="feature")
    cuts = {part.fabrics.get().name: part.cuts.get() for part in features}
    assert {name: cut.count for name, cut in cuts.items()} == {
        "Pebble 2.0": 8,
        "Pebble 5.0": 8,
        "Pebble 8.5": 8,
        "Pinked garden": 18,
    }
    assert {(cut.width, cut.length) for cut in cuts.values()} == {(inches(5), inches(5))}
    positions = list(project.parts.values_list("position", flat=True))
    assert positions == sorted(set(positions))
    (border,) = parts["border"].cuts.all()
    assert border.length == inches(5)
    assert parts["binding"].cuts.count() == parts["backing"].cuts.count() == 1
    assert parts["background"].not_needed
    page = client.get(project.get_absolute_url()).content.decode()
    assert at("layout", squares) in page
    assert "not drawn yet" not in page  # the layout is its drawing
    assert Promise.objects.get().count == 18
    pack.refresh_from_db()
    assert pack.promised_count == 18
    squares.refresh_from_db()
    assert squares.project == project
    assert client.get(project.get_absolute_url()).status_code == 200


def test_more_of_one_fabric_never_stands_in_for_another(client: Client, owner: User) -> None:
    """A pack of 40 and a pack of 2, of which 3 are laid: 42 squares in all, and still short."""
    many = a_pack(owner, make_fabric(owner, "Many"), count=40)
    few = a_pack(owner, make_fabric(owner, "Few"), count=2)
    chosen = [ChosenSquares(fabric=piece.fabric, piece=piece, count=3) for piece in (many, few)]
    squares = create_set(owner=owner, name="Six", chosen=chosen)
    client.post(at("project", squares), {"name": "Six"})
    project = Project.objects.get()
    ask_coverage(project=project)
    verdicts = {part.title: part.coverage.verdict for part in project.parts.filter(role="feature")}
    assert verdicts == {"Squares of Many": "covered", "Squares of Few": "short"}


def test_a_pack_with_too_few_free_squares_is_named_and_the_project_still_made(
    client: Client, owner: User
) -> None:
    pack = a_pack(owner, count=8)
    squares = create_set(
        owner=owner,
        name="More than there are",
        chosen=[ChosenSquares(fabric=pack.fabric, piece=pack, count=12)],
    )
    response = client.post(at("project", squares), {"name": "Short", "promise": "on"}, follow=True)
    assert "8 are not promised" in response.text
    assert not Promise.objects.exists()
    assert Project.objects.count() == 1


def test_a_set_is_put_away_and_back(client: Client, owner: User) -> None:
    squares = a_set(owner)
    send(client, "remove", squares)
    page = client.get(reverse("squares:list")).text
    assert "Put back" in page
    send(client, "put_back", squares)
    assert "Put back" not in client.get(reverse("squares:list")).text


@pytest.mark.parametrize("view", ["colour", "grey", "3 m", "3 m grey", "nonsense"])
def test_the_picture_has_the_shape_of_the_top(client: Client, owner: User, view: str) -> None:
    squares = a_set(owner, count=3)
    response = client.get(at("picture", squares), {"view": view})
    picture = decode_photo(response.content)
    assert picture.width * 6 == pytest.approx(picture.height * 4, abs=8)
    again = client.get(
        at("picture", squares), {"view": view}, headers={"if-none-match": response["ETag"]}
    )
    assert again.status_code == 304


def test_swapping_needs_two_squares_of_this_set(client: Client, owner: User) -> None:
    squares = a_set(owner)
    before = order(squares)
    page = client.post(at("swap", squares), {"square": before[:1]}, follow=True)
    assert "Choose two squares to exchange." in page.text
    with pytest.raises(SquaresError, match="of different piles"):
        services.swap_piles(squares=squares, pair=laid_of(squares)[:1])
    assert client.post(at("swap", squares), {"square": [before[0], 10**9]}).status_code == 302
    assert order(squares) == before
    layouts.swap(squares=squares, pair=laid_of(squares)[:2])
    assert order(squares) != before


def test_the_list_takes_as_many_queries_for_many_sets_as_for_one(
    client: Client, owner: User, django_assert_max_num_queries: Any
) -> None:
    fabrics = greys(owner)
    for name in ("One", "Two", "Three"):
        chosen = [ChosenSquares(fabric=fabric, count=1) for fabric in fabrics]
        create_set(owner=owner, name=name, chosen=chosen)
    with django_assert_max_num_queries(7):
        page = client.get(reverse("squares:list"))
    assert "Three" in page.text

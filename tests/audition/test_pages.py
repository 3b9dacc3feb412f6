"""The pages of an audition without JavaScript: pictures, acts as buttons, sizes that are true."""

from __future__ import annotations

import io
import re
from typing import Any

import numpy as np
import pytest
from django.contrib.auth.models import User
from django.test import Client
from PIL import Image

from projects.audition import acts as auditions
from projects.audition.pairs import pairs_of
from projects.audition.tables import tables_of
from projects.models import Audition, LaidFabric, Part, QuiltDrawing
from projects.planning.cloth.pictures import cloth_of
from projects.quilt_design.layouts.known_blocks import known_block
from projects.quilt_design.layouts.layout import Layout
from stash.colour.spaces.cielab import linear_to_lab, srgb_to_lab
from stash.colour.spaces.srgb import decode_srgb
from stash.lengths import INCH
from stash.models import Fabric
from stash.photos.appearance import copy_reading
from stash.photos.cloth.cut import cut_box
from tests.builders import make_fabric, make_owner
from tests.photos.pictures import cloth_photo, stored_photo
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


def photographed(owner: User, name: str, colour: tuple[int, int, int]) -> Fabric:
    fabric = make_fabric(owner, name, lab=None)
    fabric.main_photo = stored_photo(owner, cloth_photo(colour, (230, 220, 200)), fabric=fabric)
    fabric.save()
    copy_reading(fabric=fabric, photo=fabric.main_photo)
    return fabric


@pytest.fixture
def table(owner: User) -> Audition:
    fabrics = [
        photographed(owner, "Harbour Rain", (40, 60, 130)),
        photographed(owner, "Brick Lane", (150, 60, 40)),
        make_fabric(owner, "Plain Moss", lab=(50.0, -20.0, 25.0)),
    ]
    return auditions.start(owner=owner, name="Blues and brick", fabrics=fabrics)


def laid(table: Audition, place: int = 1) -> LaidFabric:
    return LaidFabric.objects.filter(audition=table)[place - 1]


def act(client: Client, table: Audition, **sent: Any) -> Any:
    return client.post(f"/auditions/{table.pk}/act/", sent, follow=True)


def pixels(response: Any) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(response.content)).convert("RGB"))


# --- pictures ---


def test_page_draws_patches_in_millimetres(client: Client, table: Audition) -> None:
    page = client.get(table.get_absolute_url()).content.decode()
    found = re.search(r'class="patch".*?<polygon points="([^"]+)"', page, re.DOTALL)
    assert found is not None
    corners = [tuple(map(float, pair.split(","))) for pair in found[1].split()]
    assert corners[1][0] - corners[0][0] == pytest.approx(76.2)  # 3 inches
    assert corners[2][1] - corners[1][1] == pytest.approx(76.2)


def test_picture_of_the_cloth_has_the_scale_of_its_photo(client: Client, table: Audition) -> None:
    """240 pixels that show 12 inches: the cloth in the page is as large as its share of them."""
    fabric = laid(table).fabric
    left, _, right, _ = cut_box(fabric.main_photo)
    page = client.get(table.get_absolute_url()).content.decode()
    image = re.search(rf'<image href="/fabrics/{fabric.pk}/large.jpg[^>]+width="([\d.]+)"', page)
    assert image is not None
    assert float(image[1]) == pytest.approx((right - left) / 240 * 12 * 25.4, abs=0.002)


def test_cloth_file_is_in_the_catalogue_colour_and_in_true_grey(
    client: Client, table: Audition
) -> None:
    fabric = laid(table).fabric
    colour = pixels(client.get(f"/fabrics/{fabric.pk}/large.jpg")) / 255
    grey = pixels(client.get(f"/fabrics/{fabric.pk}/large-grey.jpg"))
    expected = linear_to_lab(np.clip(cloth_of(fabric).picture, 0, 1))[..., 0]
    assert srgb_to_lab(colour)[..., 0].mean() == pytest.approx(expected.mean(), abs=0.5)
    assert (grey[..., 0] == grey[..., 2]).all()
    assert srgb_to_lab(grey / 255)[..., 0].mean() == pytest.approx(expected.mean(), abs=0.5)


def test_server_draws_the_same_print_at_the_same_place_as_the_page(
    client: Client, table: Audition
) -> None:
    """The middle of the cloth's picture lies under the middle of the patch, moved by the slide."""
    act(client, table, place=laid(table).pk, do="slide", right="7", down="-4")
    (shown,) = tables_of(table)
    patch = shown.patches[0]
    assert patch.size is not None
    assert patch.transform.startswith(
        f"translate({patch.middle[0] + 7:.3f} {patch.middle[1] - 4:.3f})"
    )
    drawn = pixels(client.get(f"/auditions/{table.pk}/1/picture/"))
    cloth = pixels(client.get(f"/fabrics/{laid(table).fabric_id}/large.jpg"))
    scale = drawn.shape[1] / shown.width
    x, y = round((patch.middle[0] + 7) * scale), round((patch.middle[1] - 4) * scale)
    around = drawn[y - 20 : y + 20, x - 20 : x + 20].mean(axis=(0, 1))
    half = 20 / scale * cloth.shape[1] / patch.size[0]
    middle_y, middle_x = cloth.shape[0] / 2, cloth.shape[1] / 2
    own = cloth[
        round(middle_y - half) : round(middle_y + half),
        round(middle_x - half) : round(middle_x + half),
    ].mean(axis=(0, 1))
    assert around == pytest.approx(own, abs=6)


def test_far_view_has_less_contrast_and_keeps_the_mean(client: Client, table: Audition) -> None:
    near = pixels(client.get(f"/auditions/{table.pk}/1/picture/"))
    far = pixels(client.get(f"/auditions/{table.pk}/1/picture/?from=3"))
    inside = np.s_[near.shape[0] // 4 : -near.shape[0] // 4, 80 : near.shape[1] // 4]
    assert (far[inside].std(axis=(0, 1)) < 0.95 * near[inside].std(axis=(0, 1)))[0]
    light = [decode_srgb(picture / 255).mean(axis=(0, 1)) for picture in (near, far)]
    assert light[1] == pytest.approx(light[0], abs=0.01)
    grey = pixels(client.get(f"/auditions/{table.pk}/1/picture/?from=3&view=grey"))
    assert (grey[..., 0] == grey[..., 1]).all()


def test_picture_may_be_kept_only_under_its_own_mark(client: Client, table: Audition) -> None:
    (shown,) = tables_of(table)
    address = f"/auditions/{table.pk}/1/picture/?from=1&of="
    assert "immutable" in client.get(address + shown.mark)["Cache-Control"]
    auditions.turn_print(laid=laid(table))
    assert "no-cache" in client.get(address + shown.mark)["Cache-Control"]


def test_a_second_arrangement_that_is_not_there_has_no_picture(
    client: Client, table: Audition
) -> None:
    assert client.get(f"/auditions/{table.pk}/2/picture/").status_code == 404


# --- acts ---


def test_each_button_of_the_picked_fabric_does_what_it_says(
    client: Client, table: Audition
) -> None:
    place = laid(table).pk
    page = client.get(f"{table.get_absolute_url()}?at={place}").content.decode()
    for words in ("Slide the print", "Turn a quarter", "Fold to a quarter", "Pin to its place"):
        assert words in page
    for sent in ({"go": "left"}, {"do": "turn"}, {"do": "fold"}, {"do": "pin"}):
        assert act(client, table, place=place, at=place, view="grey", **sent).redirect_chain == [
            (f"/auditions/{table.pk}/?view=grey&at={place}", 302)
        ]
    moved = laid(table)
    assert (moved.shift_right, moved.turn, moved.folded, moved.pinned) == (-5 * 320, 90, True, True)
    act(client, table, place=place, do="swap", other=laid(table, 2).pk)
    assert laid(table).fabric.name == "Brick Lane"
    page = act(client, table, place=place, do="take off").content
    assert table.laid.count() == 2
    assert b"Lay Harbour Rain back where it lay" in page
    sent = {"do": "lay back"}
    page = client.post(f"/auditions/{table.pk}/arrange/", sent, follow=True).content
    assert laid(table, 2).fabric.name == "Harbour Rain"
    assert b"back where it lay" not in page


def test_a_finger_gets_no_page_back(client: Client, table: Audition) -> None:
    sent = {"place": laid(table).pk, "do": "slide", "right": "3.5", "down": "0", "seen": "yes"}
    assert client.post(f"/auditions/{table.pk}/act/", sent).status_code == 204
    assert laid(table).shift_right == 1120


def test_nonsense_is_refused_in_one_sentence(client: Client, table: Audition) -> None:
    place = laid(table).pk
    assert (
        b"Choose the fabric to change places with."
        in act(client, table, place=place, do="swap").content
    )
    assert b"Choose what to do with the fabric." in act(client, table, place=place).content
    assert act(client, table, place=place, do="slide", right="a mile").status_code == 200
    assert laid(table).shift_right == 0


def test_strangers_cloth_cannot_be_laid(client: Client, table: Audition) -> None:
    foreign = make_fabric(make_owner("stranger"), "Not yours")
    client.post(f"/auditions/{table.pk}/lay/", {"fabrics": foreign.pk})
    assert table.laid.count() == 3


def test_shape_and_size_of_the_table_are_set(client: Client, table: Audition) -> None:
    sent = {"name": "Stars", "project": "", "width": "12", "length": "9"}
    client.post(f"/auditions/{table.pk}/table/", {**sent, "laid_as": "block:friendship star"})
    table.refresh_from_db()
    assert (table.shape, table.block, table.width) == ("block", "friendship star", 12 * INCH)
    refused = client.post(
        f"/auditions/{table.pk}/table/", {**sent, "laid_as": "strip", "width": "5 m"}
    )
    assert refused.status_code == 422
    assert b"Patches may be 1/4 in to 1 m" in refused.content


def test_block_of_the_project_is_offered_as_it_is_drawn(
    client: Client, owner: User, table: Audition
) -> None:
    project = b.project(owner)
    star = known_block("friendship star")
    layout = Layout(columns=2, rows=2, block=9 * INCH, blocks=(star,))
    QuiltDrawing.objects.create(project=project, layout=layout.to_dict())
    sent = {"name": "Star", "width": "9 in", "length": "9", "laid_as": ""}
    sent["laid_as"] = "block:friendship star, as drawn"
    assert client.post(f"/auditions/{table.pk}/table/", {**sent, "project": ""}).status_code == 422
    table.project = project
    table.save()
    client.post(f"/auditions/{table.pk}/table/", {**sent, "project": project.pk})
    table.refresh_from_db()
    (shown,) = tables_of(table)
    assert {patch.name for patch in shown.patches if patch.laid is None} == set(star.parts[3:])
    assert (shown.table.height, len(shown.patches)) == (9 * INCH, 13)
    # The drawing may be thrown away; then the fabrics lie as squares.
    QuiltDrawing.objects.all().delete()
    assert len(tables_of(Audition.objects.get())[0].patches) == 3


def test_guessed_scale_is_marked_and_can_be_set(client: Client, table: Audition) -> None:
    place = laid(table).pk
    page = f"{table.get_absolute_url()}?at={place}"
    assert b"Print size is a guess" in client.get(page).content
    client.post(f"/auditions/{table.pk}/scale/", {"place": place, "across": "6 in"})
    fabric = Fabric.objects.select_related("main_photo").get(pk=laid(table).fabric_id)
    assert fabric.main_photo.shows_across == 6 * INCH
    assert b"you said that it shows 6 in across" in client.get(page).content


def test_a_fabric_is_chosen_for_a_part_of_its_project(
    client: Client, owner: User, table: Audition
) -> None:
    part = b.part(b.project(owner))
    foreign = b.part(b.project(owner, name="Another"))
    table.project = part.project
    table.save()
    sent = {"place": laid(table).pk, "part": part.pk}
    client.post(f"/auditions/{table.pk}/assign/", sent)
    assert list(Part.objects.get(pk=part.pk).fabrics.all()) == [laid(table).fabric]
    client.post(f"/auditions/{table.pk}/assign/", {**sent, "part": foreign.pk})
    assert not foreign.fabrics.exists()


# --- starting ---


def test_fabrics_of_the_address_start_a_table(client: Client, owner: User) -> None:
    first, other = make_fabric(owner, "One"), make_fabric(owner, "Other")
    page = client.get(f"/auditions/lay/?with={first.pk}&or={other.pk}").content.decode()
    assert re.search(rf'value="{first.pk}" checked', page)
    assert re.search(rf'value="{other.pk}">', page)
    client.post("/auditions/lay/", {"fabrics": [other.pk, first.pk], "name": ""})
    table = Audition.objects.get()
    assert [row.fabric.name for row in table.laid.all()] == ["Other", "One"]
    assert client.get("/auditions/").status_code == 200


def test_a_project_offers_the_fabrics_of_its_parts(client: Client, owner: User) -> None:
    part = b.part(b.project(owner))
    part.fabrics.add(make_fabric(owner, "Chosen one"))
    page = client.get(f"/auditions/lay/?project={part.project_id}").content
    assert b"Chosen one" in page
    assert b"checked" in page


def test_too_many_fabrics_are_refused_on_the_page(client: Client, owner: User) -> None:
    keys = [make_fabric(owner, f"Cloth {at}").pk for at in range(13)]
    refused = client.post("/auditions/lay/", {"fabrics": keys, "name": "Many"})
    assert refused.status_code == 422
    assert b"The table holds 12 fabrics" in refused.content
    assert not Audition.objects.exists()


def test_fabrics_are_found_and_laid_from_the_table(
    client: Client, owner: User, table: Audition
) -> None:
    make_fabric(owner, "Green Gate", lab=(40.0, -40.0, 30.0))
    page = client.get(f"{table.get_absolute_url()}?words=gate").content
    assert b"Green Gate" in page
    client.post(
        f"/auditions/{table.pk}/lay/", {"fabrics": Fabric.objects.get(name="Green Gate").pk}
    )
    assert table.laid.count() == 4


# --- pairs ---


def test_pairs_stand_in_the_order_of_value_and_know_who_meets(owner: User) -> None:
    fabrics = [
        make_fabric(owner, name, lab=(lightness, 0.0, 0.0), value_uncertainty=0.2)
        for name, lightness in (("Dark", 20.0), ("Light", 80.0), ("Lighter", 85.0))
    ]
    table = auditions.start(owner=owner, name="Greys", fabrics=fabrics)
    pairs = pairs_of(tables_of(table))
    assert [(pair.first.name, pair.other.name, pair.meet) for pair in pairs] == [
        ("Light", "Lighter", True),
        ("Dark", "Light", True),
        ("Dark", "Lighter", False),
    ]
    assert pairs[1].pair.steps == pytest.approx(6.0)
    assert pairs[0].sentence.startswith("About 0.5 steps apart")  # no reference in the photo


def test_fabric_in_the_bin_leaves_the_table_and_comes_back(
    client: Client, owner: User, table: Audition
) -> None:
    fabric = laid(table).fabric
    client.post(f"/fabrics/{fabric.pk}/delete/")
    fabric.refresh_from_db()
    assert fabric.removed_at is not None
    assert [laid.fabric.name for laid in tables_of(table)[0].laid] == ["Brick Lane", "Plain Moss"]
    assert client.get(table.get_absolute_url()).status_code == 200

"""Testing one's own phone: its photos, what is refused, what it finds, and what counts later."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from stash.colour.phone_trial import MIDDLE
from stash.colour.spaces.cielab import lightness
from stash.keeping import identity
from stash.models import Fabric, PhoneTrial, Photo
from stash.photos.acts import reread
from stash.photos.phone import acts
from stash.photos.rereading import acts as rereading
from tests.builders import make_fabric
from tests.colour.side_by_side import CHART
from tests.photos.phone_photos import with_entries, with_grey
from tests.photos.pictures import cloth_photo, stored_photo
from tests.photos.trial_photos import CLOTH, bare_photo, enough, first_shot, kept, take, trial_photo

PAGE = "stash:phone_trial"
TRUE_DARK = float(lightness(CLOTH["dark"])) / 10


def send(client: Client, data: bytes, shows: str = "light-window") -> tuple[int, str]:
    photo = SimpleUploadedFile("cloth.jpg", data)
    answer = client.post(reverse(PAGE), {"photo": photo, "shows": shows}, follow=True)
    return answer.status_code, answer.content.decode()


def card_fabric(owner: User, make: str = "Invented") -> Fabric:
    """A fabric shown by a photo with the card, of a camera of this make."""
    fabric = make_fabric(owner)
    data = trial_photo("medium", "lamp", make=make) if make else bare_photo("medium", "lamp")
    fabric.main_photo = stored_photo(owner, data, fabric=fabric)
    fabric.save()
    return fabric


def test_photo_is_taken_and_the_next_is_asked_for(client: Client, owner: User) -> None:
    status, page = send(client, trial_photo("light", "window"))
    assert status == 200
    assert "Taken: the light cloth, near the window, value " in page
    assert "Nothing can be told yet: 1 of the light cloth, 2 of the medium cloth" in page
    assert '<option value="light-lamp" selected>' in page
    assert "light: near the window (again)" in page
    shot = PhoneTrial.objects.get().shots.get()
    assert shot.photo.fabric is None
    assert not rereading.outdated(owner).exists()


def test_photos_are_compared_and_the_result_is_kept_without_them(
    client: Client, owner: User
) -> None:
    trial = enough(owner)
    page = client.get(reverse(PAGE)).content.decode()
    assert "two photos of one cloth are within" in page
    assert "Not tested: whether all its values are too light or too dark together" in page
    assert "Not tested: whether a value moves with what lies around the cloth" in page
    url = reverse("stash:phone_trial_keep", args=[trial.pk])
    page = client.post(url, follow=True).content.decode()
    assert "Kept: values of this phone say ±" in page
    assert "● Tested on" in page
    trial.refresh_from_db()
    assert trial.found is not None
    assert trial.found.photos == len(trial.readings) == 6
    assert not Photo.objects.exists()


def test_later_readings_of_the_phone_say_at_least_its_interval(owner: User) -> None:
    before = card_fabric(owner).main_photo
    assert before is not None
    assert before.appearance is not None
    general = before.appearance.uncertainty
    kept(owner, 1.4, camera=before.capture["camera"])
    after = card_fabric(owner)
    read = after.main_photo.appearance  # type: ignore[union-attr]
    assert read is not None
    assert general < 1.4 == read.uncertainty
    assert "Tested with your phone on 3 May 2026" in read.notes[-1]
    other = card_fabric(owner, make="Another").main_photo
    assert other is not None
    assert other.appearance is not None
    assert other.appearance.uncertainty == pytest.approx(general)
    assert not any("Tested with" in note for note in other.appearance.notes)


def test_photo_that_does_not_tell_its_camera_says_so(client: Client, owner: User) -> None:
    silent = card_fabric(owner, make="").main_photo
    assert silent is not None
    assert silent.appearance is not None
    assert not any("which camera" in note for note in silent.appearance.notes)
    kept(owner, 1.4)
    reread(photo=silent)
    assert silent.appearance.uncertainty < 1.4
    page = client.get(reverse("stash:photo_reading", args=[silent.key])).content.decode()
    assert "The photo does not say which camera took it" in page


def test_earlier_readings_are_offered_again_and_follow_the_test(
    client: Client, owner: User
) -> None:
    fabric = card_fabric(owner)
    card_fabric(owner, make="Another")
    camera = fabric.main_photo.capture["camera"]  # type: ignore[union-attr]
    trial = kept(owner, 1.4, camera=camera)
    PhoneTrial.objects.update(changed_at=timezone.now())
    assert list(rereading.outdated(owner)) == [fabric.main_photo]
    assert (
        "1 photo in your stash was read before this" in client.get(reverse(PAGE)).content.decode()
    )
    page = client.post(reverse("stash:read_again"), follow=True).content.decode()
    assert "Before and now" in page
    fabric.refresh_from_db()
    assert fabric.value_uncertainty == 1.4
    assert not rereading.outdated(owner).exists()

    url = reverse("stash:phone_trial_forget", args=[trial.pk])
    page = client.post(url, follow=True).content.decode()
    assert "it can be brought back" in page
    assert rereading.outdated(owner).count() == 1
    rereading.read_next(owner=owner)
    fabric.refresh_from_db()
    assert fabric.value_uncertainty is not None
    assert fabric.value_uncertainty < 1.4

    url = reverse("stash:phone_trial_back", args=[trial.pk])
    assert "The test counts again" in client.post(url, follow=True).content.decode()
    rereading.read_next(owner=owner)
    fabric.refresh_from_db()
    assert fabric.value_uncertainty == 1.4


def test_newer_test_of_the_phone_counts_in_place_of_the_earlier(owner: User) -> None:
    trial = enough(owner)
    earlier, other = kept(owner, camera=trial.camera), kept(owner, camera="b" * 12)
    acts.keep(trial=trial)
    counting = set(PhoneTrial.objects.filter(ended_at=None))
    assert counting == {trial, other}
    acts.bring_back(trial=earlier)
    assert set(PhoneTrial.objects.filter(ended_at=None)) == {earlier, other}


def test_photo_without_a_camera_is_refused(client: Client, owner: User) -> None:
    status, page = send(client, bare_photo("light", "window"))
    assert status == 422
    assert "does not say which camera took it" in page
    assert not PhoneTrial.objects.exists()
    assert not Photo.objects.exists()


def test_photo_of_another_phone_is_refused(client: Client, owner: User) -> None:
    take(owner, ("light", "window"))
    status, page = send(client, trial_photo("light", "edge", make="Another"), "light-edge")
    assert status == 422
    assert "of another camera than the first one of this test" in page
    assert PhoneTrial.objects.get().shots.count() == 1


def test_same_photo_twice_is_refused(client: Client, owner: User) -> None:
    take(owner, ("light", "window"))
    status, page = send(client, trial_photo("light", "window"), "light-edge")
    assert status == 422
    assert "This very photo is in the test already" in page


def test_photo_without_the_card_is_refused(client: Client) -> None:
    status, page = send(client, with_entries(cloth_photo(), {}))
    assert status == 422
    assert "The photo card was not read in this photo" in page
    assert not Photo.objects.exists()


@pytest.mark.parametrize(("data", "words"), [(b"no photo", "not a photo"), (b"", "empty")])
def test_what_is_no_photo_is_refused(client: Client, data: bytes, words: str) -> None:
    status, page = send(client, data)
    assert status == 422
    assert words in page


@pytest.mark.parametrize(
    ("shows", "words"),
    [
        ("pale-window", "“pale-window” is no photo of this test; choose one of the list"),
        ("light-small", "“light-small” is no photo of this test"),
        ("", "Choose which photo of the test it is"),
    ],
)
def test_photo_of_nothing_in_the_test_is_refused(client: Client, shows: str, words: str) -> None:
    status, page = send(client, trial_photo("light", "window"), shows)
    assert status == 422
    assert words in page


def test_no_photo_at_all_is_told(client: Client) -> None:
    answer = client.post(reverse(PAGE), {"shows": "light-window"})
    assert answer.status_code == 422
    assert "No photo arrived" in answer.content.decode()


def test_too_few_photos_cannot_be_kept(client: Client, owner: User) -> None:
    trial = take(owner, ("light", "window"))
    url = reverse("stash:phone_trial_keep", args=[trial.pk])
    page = client.post(url, follow=True).content.decode()
    assert "two photos of each cloth, and another light: still 1 of the light cloth" in page
    trial.refresh_from_db()
    assert trial.kept_at is None


def test_photo_taken_again_takes_the_place_of_the_first(owner: User) -> None:
    trial = take(owner, ("light", "window"))
    first = trial.shots.get().photo
    acts.take_shot(owner=owner, cloth="light", way="window", data=trial_photo("light", "away"))
    assert trial.shots.get().photo != first
    assert Photo.objects.count() == 1


def test_photo_is_left_out_and_the_last_ends_the_test(client: Client, owner: User) -> None:
    shot = first_shot(owner)
    url = reverse("stash:phone_shot_out", args=[shot.photo.key])
    page = client.post(url, follow=True).content.decode()
    assert "Left out: the light cloth, near the window" in page
    assert not PhoneTrial.objects.exists()
    assert not Photo.objects.exists()


def test_all_photos_are_thrown_away_at_once(client: Client, owner: User) -> None:
    trial = take(owner, ("light", "window"), ("dark", "edge"))
    counting = kept(owner)
    assert client.post(reverse("stash:phone_trial_give_up", args=[counting.pk])).status_code == 404
    url = reverse("stash:phone_trial_give_up", args=[trial.pk])
    assert "are thrown away" in client.post(url, follow=True).content.decode()
    assert PhoneTrial.objects.get() == counting
    assert not Photo.objects.exists()


def test_bought_grey_card_in_the_photo_tells_the_truth(client: Client, owner: User) -> None:
    acts.take_shot(owner=owner, cloth="medium", way="window", data=with_entries(with_grey(), {}))
    shot = PhoneTrial.objects.get().shots.get()
    url = reverse("stash:phone_shot", args=[shot.photo.key])
    page = client.get(url).content.decode()
    assert "a bought grey card, at one point" in page
    read = shot.photo.appearance
    assert read is not None
    edges = {"left": read.region.x0, "top": read.region.y0}
    edges |= {"right": read.region.x1, "bottom": read.region.y1}
    frame = {name: f"{100 * edge:.1f}" for name, edge in edges.items()}
    refused = client.post(url, {**frame, "mark": "grey_point", "points": ""})
    assert refused.status_code == 422
    assert "Tap the card or the paper in the picture first" in refused.content.decode()
    point = f"{100 * CHART.x:.1f},{100 * CHART.y:.1f}"
    marked = {**frame, "mark": "grey_point", "points": point}
    page = client.post(url, marked, follow=True).content.decode()
    assert "by the grey card" in page
    shot.refresh_from_db()
    assert shot.truth == pytest.approx(shot.shot.value, abs=0.6)  # type: ignore[union-attr]
    assert shot.truth_half > 0.2
    assert shot.photo.region is None


def test_chart_that_is_not_there_changes_nothing(client: Client, owner: User) -> None:
    shot = first_shot(owner)
    url = reverse("stash:phone_shot", args=[shot.photo.key])
    answer = client.post(url, {"mark": "chart"})
    assert answer.status_code == 422
    assert "No colour chart was found" in answer.content.decode()
    shot.refresh_from_db()
    assert shot.truth is None


def test_frame_that_was_moved_is_read(client: Client, owner: User) -> None:
    shot = first_shot(owner)
    url = reverse("stash:phone_shot", args=[shot.photo.key])
    frame = {"left": "60", "top": "60", "right": "95", "bottom": "95"}
    page = client.post(url, frame, follow=True).content.decode()
    assert "Read again: the light cloth" in page
    shot.photo.refresh_from_db()
    assert shot.photo.appearance.region.x0 == pytest.approx(0.6)  # type: ignore[union-attr]
    assert shot.photo.region_by_hand is not None


def test_small_cloth_is_read_in_the_very_middle(owner: User) -> None:
    """What surrounds it fills most of the picture, and would be taken for the cloth."""
    shot = take(owner, ("dark", "small")).shots.get()
    read = shot.photo.appearance
    assert read is not None
    assert read.region == MIDDLE == shot.photo.region_by_hand
    assert read.value == pytest.approx(TRUE_DARK, abs=0.6)


def test_photos_of_a_test_that_runs_are_not_swept(owner: User) -> None:
    take(owner, ("light", "window"))
    identity.ensure()
    Photo.objects.update(created_at=timezone.now() - timedelta(days=9))
    call_command("sweep_photos", "--put-aside")
    assert Photo.objects.count() == 1

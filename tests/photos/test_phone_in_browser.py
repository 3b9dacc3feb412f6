"""Testing a phone from the phone itself: by keys, without any script, within six screens."""

from __future__ import annotations

from typing import Any

from django.urls import reverse

from stash.models import PhoneTrial
from stash.photos.phone.forms import SLOTS
from tests.browser import accessibility_violations, files, sign_in
from tests.builders import make_owner
from tests.page_measures import PHONE, measure
from tests.photos.trial_photos import kept, take, trial_photo


def check(page: Any, address: str) -> None:
    assert measure(page, address).complaints() == []
    assert accessibility_violations(page) == []


def test_a_photo_is_sent_by_keys_without_a_script(browser_page: Any) -> None:
    page, owner = browser_page, make_owner()
    page.set_viewport_size(PHONE)
    page.route("**/*.js", lambda route: route.fulfill(body="", content_type="text/javascript"))
    sign_in(page, owner)
    page.goto(reverse("stash:photo_card"))
    page.get_by_role("link", name="Test your phone").press("Enter")
    page.get_by_label("This photo shows").select_option("medium-edge")
    page.get_by_label("Photo, as the phone made it").set_input_files(
        files(trial_photo("medium", "edge"))
    )
    page.get_by_role("button", name="Send this photo").press("Enter")
    page.get_by_text("Taken: the medium cloth, card at the far edge").wait_for(timeout=60_000)
    page.get_by_role("link", name="card at the far edge").press("Enter")
    page.get_by_role("radio", name="a bought colour chart: found by itself").press("Space")
    page.get_by_role("button", name="Read again").press("Enter")
    page.get_by_text("No colour chart was found where you pointed").wait_for(timeout=60_000)
    assert all("422" in complaint for complaint in page.complaints)
    page.complaints.clear()
    page.get_by_role("link", name="Back to the test").press("Enter")
    page.wait_for_load_state("load")  # a picture still on its way is gone with its cloth
    page.get_by_role("button", name="Leave out the medium cloth").press("Enter")
    page.get_by_text("Left out: the medium cloth").wait_for()
    assert not PhoneTrial.objects.exists()


def test_a_whole_test_fits_a_phone_and_a_desk(browser_page: Any) -> None:
    page, owner = browser_page, make_owner()
    page.set_viewport_size(PHONE)
    sign_in(page, owner)
    address = reverse("stash:phone_trial")
    check(page, address)
    trial = take(owner, *SLOTS)
    kept(owner)
    earlier = kept(owner, camera="b" * 12)
    earlier.ended_at = earlier.kept_at
    earlier.save()
    shot = reverse("stash:phone_shot", args=[trial.shots.first().photo.key])
    for size in (PHONE, {"width": 1280, "height": 900}):
        page.set_viewport_size(size)
        check(page, address)
        check(page, shot)
    page.goto(address)
    page.get_by_role("button", name="Keep this for my phone").press("Enter")
    page.get_by_text("Kept: values of this phone say ±").wait_for(timeout=60_000)
    check(page, address)
    assert PhoneTrial.objects.filter(ended_at=None, kept_at__isnull=False).count() == 2

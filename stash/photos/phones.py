"""Phones that their owner tested: whose photos are whose, and what a reading is good for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from django.utils import timezone

from stash.colour.appearance import Appearance
from stash.colour.own_phone import UNKNOWN_CAMERA, PhoneInterval, with_phone
from stash.models import PhoneTrial

__all__ = ["by_phone", "counting"]


def counting(owner_key: int) -> list[PhoneTrial]:
    """Return a person's tests that count now, one for each phone, the newest first."""
    trials = PhoneTrial.objects.filter(owner=owner_key, kept_at__isnull=False, ended_at=None)
    return list(trials.order_by("-kept_at", "-pk"))


def by_phone(owner_key: int, capture: Mapping[str, Any], appearance: Appearance) -> Appearance:
    """Return a reading with what its phone was tested for; as it is where that is not known.

    ``capture`` is what the camera told of the photo. A photo of a person who tested a phone that
    does not tell its camera gets a sentence, because it may well be that phone's.
    """
    trials = counting(owner_key)
    camera = capture.get("camera")
    if not trials:
        return appearance
    if camera is None:
        if appearance.is_estimate:
            return appearance
        return replace(appearance, notes=(*appearance.notes, UNKNOWN_CAMERA))
    trial = next((trial for trial in trials if trial.camera == camera), None)
    found = trial.found if trial else None
    if trial is None or trial.kept_at is None or found is None:
        return appearance
    day = timezone.localdate(trial.kept_at)
    return with_phone(appearance, PhoneInterval(half_width=found.half_width, tested=day))

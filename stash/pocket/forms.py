"""What a saved page sends home, read with care: it is a text from anywhere."""

from __future__ import annotations

import base64
import binascii
import json
import uuid
from dataclasses import dataclass

from django import forms
from django.core.exceptions import ValidationError

from stash.text import quoted

__all__ = ["Bought", "HomeForm"]

_MOST = 200
_LONGEST = 300


@dataclass(frozen=True, kw_only=True)
class Bought:
    """One thing that was bought: its own key, a text, and the line of To buy if it was one."""

    key: uuid.UUID
    text: str
    part: int | None = None
    question: str = ""


class HomeForm(forms.Form):
    bought = forms.CharField(widget=forms.HiddenInput, max_length=200_000)

    def clean_bought(self) -> list[Bought]:
        """Return the things; the refusal quotes the first that is none."""
        text: str = self.cleaned_data["bought"].strip()
        try:
            packed = text.rpartition("#")[2].encode("ascii")
            told = json.loads(base64.urlsafe_b64decode(packed + b"=" * (-len(packed) % 4)))
        except (ValueError, binascii.Error, RecursionError) as error:
            raise ValidationError(
                f"{quoted(text)} is not what a saved page takes home; press “Take it home” there."
            ) from error
        if not isinstance(told, list) or not 0 < len(told) <= _MOST:
            raise ValidationError(f"A saved page takes home 1 to {_MOST} things.")
        return [_thing(thing) for thing in told]


def _thing(told: object) -> Bought:
    wrong = ValidationError(f"{quoted(json.dumps(told))} is nothing that was bought.")
    if not isinstance(told, dict):
        raise wrong
    try:
        part, _, question = str(told.get("part") or "").partition(" ")
        text = " ".join(str(told["text"]).split())
        bought = Bought(
            key=uuid.UUID(str(told["key"])),
            text=text[:_LONGEST].replace("\0", ""),
            part=int(part) if part else None,
            question=question[:64],
        )
    except (KeyError, ValueError) as error:
        raise wrong from error
    if not bought.text or (bought.part is not None and not 0 < bought.part < 2**63):
        raise wrong
    return bought

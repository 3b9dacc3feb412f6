"""The photo card, from the page and from the console."""

from __future__ import annotations

from itertools import product
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from tests.builders import make_owner


@pytest.mark.django_db
def test_both_papers_are_offered_as_pdf() -> None:
    client = Client()
    client.force_login(make_owner())
    page = client.get(reverse("stash:photo_card")).content.decode()
    for name, paper in product(("photo_card_pdf", "photo_frame_pdf"), ("letter", "a4")):
        url = reverse(f"stash:{name}", args=[paper])
        assert url in page
        response = client.get(url)
        assert response["Content-Type"] == "application/pdf"
        assert response.content.startswith(b"%PDF-")
    assert client.get(reverse("stash:photo_card_pdf", args=["a3"])).status_code == 404
    assert client.get(reverse("stash:photo_frame_pdf", args=["a3"])).status_code == 404


def test_command_writes_the_card(tmp_path: Path) -> None:
    card, frame = tmp_path / "card.pdf", tmp_path / "frame.pdf"
    call_command("photo_card", str(card), "--paper", "letter")
    call_command("photo_card", str(frame), "--paper", "letter", "--frame")
    assert card.read_bytes().startswith(b"%PDF-")
    assert frame.read_bytes().startswith(b"%PDF-")
    assert frame.read_bytes() != card.read_bytes()


def test_command_says_what_is_wrong(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as exit_info:
        call_command("photo_card", str(tmp_path / "nowhere" / "card.pdf"))
    assert exit_info.value.code == 2
    assert "cannot be written" in capsys.readouterr().err
    with pytest.raises(CommandError, match="invalid choice"):
        call_command("photo_card", str(tmp_path / "card.pdf"), "--paper", "a3")

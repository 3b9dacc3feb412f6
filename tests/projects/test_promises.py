"""Promises: what is set aside for one part is not available elsewhere."""

from __future__ import annotations

import threading

import pytest
from django.db import connection

from projects.models import Promise, Status
from projects.services.project import set_status
from projects.services.promises import (
    PromiseError,
    promise_count,
    promise_length,
    promise_whole,
    release,
)
from tests.projects import builders as b

pytestmark = pytest.mark.django_db


def test_promised_length_is_not_available_elsewhere() -> None:
    owner = b.person()
    project = b.project(owner)
    piece = b.piece(b.fabric(owner), 42, 36)
    promise_length(part=b.part(project), piece=piece, length=b.inches(20))
    with pytest.raises(PromiseError, match="16 in are neither promised nor kept back"):
        promise_length(part=b.part(project), piece=piece, length=b.inches("16 1/16"))
    piece.refresh_from_db()
    assert piece.promised_length == b.inches(20)
    assert Promise.objects.count() == 1


def test_keep_back_is_never_promised() -> None:
    owner = b.person()
    piece = b.piece(b.fabric(owner), 42, 36, keep_back=b.inches(6))
    part = b.part(b.project(owner))
    with pytest.raises(PromiseError):
        promise_length(part=part, piece=piece, length=b.inches("30 1/8"))
    assert promise_whole(part=part, piece=piece).length == b.inches(30)


def test_pack_is_promised_by_count_and_never_by_length() -> None:
    owner = b.person()
    pack = b.piece(b.fabric(owner), 5, 5, form="square", count=42)
    part = b.part(b.project(owner))
    with pytest.raises(PromiseError):
        promise_length(part=part, piece=pack, length=b.inches(5))
    promise_count(part=part, piece=pack, count=40)
    with pytest.raises(PromiseError, match="2 are not promised"):
        promise_count(part=part, piece=pack, count=3)


def test_second_promise_of_a_part_is_added_to_its_first() -> None:
    owner = b.person()
    piece = b.piece(b.fabric(owner), 42, 36)
    part = b.part(b.project(owner))
    promise_length(part=part, piece=piece, length=b.inches(10))
    promise_length(part=part, piece=piece, length=b.inches(5))
    assert part.promises.get().length == b.inches(15)


def test_release_gives_the_cloth_back() -> None:
    owner = b.person()
    piece = b.piece(b.fabric(owner), 42, 36)
    part = b.part(b.project(owner))
    release([promise_length(part=part, piece=piece, length=b.inches(10))])
    piece.refresh_from_db()
    assert piece.promised_length == 0


@pytest.mark.parametrize("status", [Status.DONE, Status.SET_ASIDE])
def test_finished_project_holds_nothing_back(status: str) -> None:
    owner = b.person()
    project = b.project(owner)
    piece = b.piece(b.fabric(owner), 42, 36)
    promise_length(part=b.part(project), piece=piece, length=b.inches(10))
    set_status(project=project, status=status)
    piece.refresh_from_db()
    assert piece.promised_length == 0


def test_deleting_the_project_releases_its_promises() -> None:
    owner = b.person()
    project = b.project(owner)
    piece = b.piece(b.fabric(owner), 42, 36)
    promise_length(part=b.part(project), piece=piece, length=b.inches(10))
    project.delete()
    piece.refresh_from_db()
    assert piece.promised_length == 0


def test_another_persons_piece_is_refused() -> None:
    part = b.part(b.project(b.person()))
    piece = b.piece(b.fabric(b.person("stranger")), 42, 36)
    with pytest.raises(PromiseError, match="another stash"):
        promise_length(part=part, piece=piece, length=b.inches(1))


@pytest.mark.django_db(transaction=True)
def test_two_devices_cannot_both_promise_the_last_half_yard() -> None:
    owner = b.person()
    project = b.project(owner)
    piece = b.piece(b.fabric(owner), 42, 36)
    parts = [b.part(project) for _ in range(4)]
    outcomes: list[str] = []
    start = threading.Barrier(len(parts))

    def promise(number: int) -> None:
        start.wait()
        try:
            same = type(piece).objects.get(pk=piece.pk)
            promise_length(part=parts[number], piece=same, length=b.inches(18))
            outcomes.append("promised")
        except PromiseError:
            outcomes.append("refused")
        finally:
            connection.close()

    threads = [threading.Thread(target=promise, args=(number,)) for number in range(len(parts))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    piece.refresh_from_db()
    assert sorted(outcomes) == ["promised", "promised", "refused", "refused"]
    assert piece.promised_length == b.inches(36)

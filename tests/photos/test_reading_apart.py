"""Photos are read in a process of their own, which no file outgrows or outstays."""

from __future__ import annotations

import logging
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from stash.colour.picture.photo import PhotoError
from stash.colour.references.card_print import ANY_PRINT
from stash.colour.taking import Taken, take
from stash.models import Photo
from stash.photos import store as photo_store
from stash.photos.apart import reading as reading_apart
from stash.photos.apart.reading import end_all, take_apart
from tests.photos.pictures import cloth_photo, stored_photo

ROOT = Path(__file__).resolve().parent.parent.parent
VIEWS = photo_store.early_views()

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="the limits are the system's")


@pytest.fixture(autouse=True)
def apart(settings: Any) -> Iterator[None]:
    settings.READ_PHOTOS_APART = True
    end_all()
    yield
    end_all()


def read(data: bytes) -> Taken:
    return take_apart(data, ANY_PRINT, VIEWS)


def waiting() -> list[int]:
    return [reader.process.pid for reader in reading_apart._idle]


def is_there(process: int) -> bool:
    try:
        return "Z" not in Path(f"/proc/{process}/stat").read_text().rpartition(")")[2][:3]
    except FileNotFoundError:
        return False


def test_what_is_taken_apart_is_what_is_taken_here() -> None:
    assert read(cloth_photo()) == take(cloth_photo(), ANY_PRINT, VIEWS)


def test_what_is_no_photo_gets_its_sentence_and_the_process_goes_on() -> None:
    read(cloth_photo())
    before = waiting()
    with pytest.raises(PhotoError, match="not a photo in a format we read"):
        read(b"Dear Olive")
    assert read(cloth_photo((9, 90, 90))).width == 240
    assert waiting() == before


def test_site_stores_a_photo_that_was_read_apart(owner: User) -> None:
    photo = stored_photo(owner)
    assert Photo.objects.get().appearance == photo.appearance
    assert waiting()
    assert photo_store.kept_copy(photo, "small") == read(cloth_photo()).views["small"]


def test_photo_that_takes_too_much_memory_is_refused_and_the_next_is_read(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """With a limit below what an honest photo of 24 megapixels needs."""
    large = cloth_photo(size=(6000, 4000))
    monkeypatch.setattr(reading_apart, "MEMORY_BYTES", 30_000_000)
    with pytest.raises(PhotoError, match="takes more memory or time than a photo may"):
        read(large)
    monkeypatch.undo()
    end_all()
    assert read(large).width == 2000


def test_photo_that_takes_too_long_is_refused_and_leaves_no_process(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(reading_apart, "WAIT_SECONDS", 0.01)
        with pytest.raises(PhotoError, match="takes more memory or time"):
            read(cloth_photo(size=(3000, 2000)))
    assert waiting() == []
    assert read(cloth_photo()).height == 180


def test_processor_time_is_limited_whatever_the_site_does(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(reading_apart, "PROCESSOR_SECONDS", -1)
    large = cloth_photo(size=(6000, 5000))

    def read_several() -> None:
        for _ in range(8):
            read(large)

    with pytest.raises(PhotoError, match="takes more memory or time"):
        read_several()


def test_process_that_was_killed_while_it_waited_is_replaced() -> None:
    read(cloth_photo())
    (process,) = waiting()
    os.kill(process, signal.SIGKILL)
    time.sleep(0.2)
    assert read(cloth_photo()).width == 240
    assert not is_there(process)


def test_processes_are_renewed_after_many_photos(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reading_apart, "_PHOTOS_EACH", 1)
    read(cloth_photo())
    assert waiting() == []


def test_killed_site_leaves_no_process_behind() -> None:
    program = (
        "import os; os.environ['DJANGO_SETTINGS_MODULE'] = 'tests.settings'\n"
        "import django; django.setup()\n"
        "from django.conf import settings; settings.READ_PHOTOS_APART = True\n"
        "from stash.photos.apart import reading as reading_apart\n"
        "from stash.colour.references.card_print import ANY_PRINT\n"
        "from tests.photos.pictures import cloth_photo\n"
        "reading_apart.take_apart(cloth_photo(), ANY_PRINT, {})\n"
        "print(reading_apart._idle[0].process.pid, flush=True)\n"
        "input()\n"
    )
    site = subprocess.Popen(
        [sys.executable, "-c", program], cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    assert site.stdout is not None
    process = int(site.stdout.readline())
    assert is_there(process)
    site.kill()
    site.communicate()
    end = time.monotonic() + 20
    while is_there(process) and time.monotonic() < end:
        time.sleep(0.05)
    assert not is_there(process)


def test_reading_process_knows_nothing_of_the_site() -> None:
    program = (
        "import sys, stash.photos.apart.reader, stash.colour.taking\n"
        "print('django' in sys.modules, 'DJANGO_SETTINGS_MODULE' in sys.modules)"
    )
    ended = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert ended.stdout.split() == ["False", "False"]


def test_page_that_searches_by_a_photo_says_so_in_a_sentence(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reading_apart, "WAIT_SECONDS", 0.001)
    photo = SimpleUploadedFile("cloth.jpg", cloth_photo(size=(3000, 2000)), "image/jpeg")
    answer = client.post(reverse("stash:like_photo"), {"photo": photo})
    assert answer.status_code == 422
    assert "takes more memory or time than a photo may" in answer.content.decode()


def test_process_that_does_not_start_is_told_in_a_sentence(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(reading_apart.sys, "executable", "/bin/false")
    with pytest.raises(PhotoError, match="the process that reads photos did not start"):
        read(cloth_photo())
    monkeypatch.undo()
    assert isinstance(read(cloth_photo()), Taken)


#: A reading process in which something was changed, as a program to start instead of Python.
CHANGED = """#!{python}
import os, sys
sys.path.insert(0, {root!r})
from stash.colour import taking
from stash.colour.picture import photo
def take(data, *rest):
    if data == b"sound":
        raise photo.PhotoError("This one was read well enough to be refused.")
    {fault}
taking.take = take
from stash.photos.apart import reader
reader.main(int(sys.argv[3]), int(sys.argv[4]))
"""
UNFORESEEN = "something in it that this site does not know how to handle"


@pytest.fixture
def change(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    def start_instead(fault: str) -> None:
        program = tmp_path / "reader"
        program.write_text(CHANGED.format(python=sys.executable, root=str(ROOT), fault=fault))
        program.chmod(0o700)
        monkeypatch.setattr(reading_apart.sys, "executable", str(program))

    return start_instead


def test_unforeseen_fault_is_logged_and_told_as_what_it_is(
    change: Callable[[str], None], caplog: pytest.LogCaptureFixture
) -> None:
    change('raise KeyError("nobody thought of it")')
    with pytest.raises(PhotoError, match=UNFORESEEN):
        read(b"odd")
    (record,) = caplog.records
    assert record.levelno == logging.ERROR
    assert "Traceback" in record.getMessage()
    assert "KeyError: 'nobody thought of it'" in record.getMessage()
    (process,) = waiting()
    with pytest.raises(PhotoError, match="well enough to be refused"):
        read(b"sound")
    assert waiting() == [process]


@pytest.mark.parametrize("signal_name", ["SIGSEGV", "SIGABRT", "SIGFPE"])
def test_process_that_crashed_over_a_photo_is_told_as_what_it_is(
    change: Callable[[str], None], caplog: pytest.LogCaptureFixture, signal_name: str
) -> None:
    change(f"import signal; os.kill(os.getpid(), signal.{signal_name})")
    with pytest.raises(PhotoError, match=UNFORESEEN):
        read(b"odd")
    (record,) = caplog.records
    assert record.levelno == logging.ERROR
    assert f"-{signal.Signals[signal_name].value}" in record.getMessage()
    assert waiting() == []


@pytest.mark.parametrize("fault", ["raise MemoryError", "while True: pass"])
def test_lack_of_memory_or_time_is_still_told_as_that(
    change: Callable[[str], None], monkeypatch: pytest.MonkeyPatch, fault: str
) -> None:
    monkeypatch.setattr(reading_apart, "PROCESSOR_SECONDS", 0)
    change(fault)
    with pytest.raises(PhotoError, match="takes more memory or time than a photo may"):
        read(b"odd")


def test_unforeseen_fault_is_told_where_photos_are_not_read_apart(
    settings: Any, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def fail(*args: object) -> None:
        raise KeyError("nobody thought of it")

    settings.READ_PHOTOS_APART = False
    monkeypatch.setattr(reading_apart, "take", fail)
    with pytest.raises(PhotoError, match=UNFORESEEN):
        read(b"odd")
    assert "KeyError: 'nobody thought of it'" in caplog.text

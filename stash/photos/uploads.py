"""What every page that takes one photo checks before it looks at the body."""

from __future__ import annotations

from django.conf import settings
from django.core.exceptions import BadRequest, SuspiciousOperation
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, UnreadablePostError
from django.http.multipartparser import MultiPartParserError

__all__ = ["UploadError", "check_body", "one_photo"]

_MEGABYTE = 1024 * 1024


class UploadError(Exception):
    """The photo cannot be taken: one sentence, and the status that goes with it."""

    def __init__(self, why: str, status: int) -> None:
        super().__init__(why)
        self.status = status


def check_body(request: HttpRequest) -> None:
    """Refuse a body that is too large or broken; call it before the token is checked.

    The check of the token parses the body, and a body that is too large deserves a sentence.
    """
    length = request.META.get("CONTENT_LENGTH") or "0"
    if length.isdigit() and int(length) > settings.REQUEST_MAX_BYTES:
        raise UploadError(_too_large(), 413)
    try:
        _ = request.FILES
    except (SuspiciousOperation, BadRequest, MultiPartParserError, UnreadablePostError) as error:
        raise UploadError("The photo did not arrive whole; send one photo again.", 400) from error


def one_photo(request: HttpRequest, name: str = "photo") -> bytes:
    """Return the bytes of this field; raises UploadError."""
    file = request.FILES.get(name)
    if not isinstance(file, UploadedFile):
        raise UploadError("No photo arrived; choose one and send it again.", 422)
    if (file.size or 0) > settings.PHOTO_MAX_BYTES:
        raise UploadError(_too_large(), 413)
    return bytes(file.read())


def _too_large() -> str:
    most = settings.PHOTO_MAX_BYTES // _MEGABYTE
    return f"That file is too large; photos may have {most} MB at most."

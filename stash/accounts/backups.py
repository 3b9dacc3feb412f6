"""Making a backup from the account page, taking the newest along, and one's own stash as tables."""

import tempfile
from datetime import date
from typing import cast

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.models import User
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from stash.form_keys import changes_nothing
from stash.keeping.backups.backup import BackupError, backups_in, default_folder, make_backup
from stash.keeping.exports.writing import write_export

__all__ = ["back_up", "download", "export", "may_take_all"]


def may_take_all() -> bool:
    """Return whether all that is here belongs to one person, as everything in a backup must."""
    return User.objects.count() == 1


@changes_nothing("a backup is a file beside the stash; none of its rows change")
@require_POST
def back_up(request: HttpRequest) -> HttpResponse:
    _refuse_others()
    try:
        make_backup()
    except BackupError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, "Backed up, and read back to the end.")
    return redirect("accounts:account")


@never_cache
@require_safe
def download(request: HttpRequest) -> FileResponse:
    _refuse_others()
    newest = next(iter(backups_in(default_folder())), None)
    if newest is None:
        raise Http404
    return FileResponse(newest.path.open("rb"), as_attachment=True, filename=newest.path.name)


@never_cache
@require_safe
def export(request: HttpRequest) -> FileResponse:
    """Send what belongs to this person; the file exists only as long as it is being sent."""
    file = tempfile.TemporaryFile(dir=settings.STASH_DATA)  # noqa: SIM115  the answer closes it
    try:
        write_export(owner=cast(User, request.user), file=file)
    except BaseException:
        file.close()
        raise
    file.seek(0)
    return FileResponse(file, as_attachment=True, filename=f"my-stash-{date.today()}.zip")


def _refuse_others() -> None:
    if not may_take_all():
        raise Http404

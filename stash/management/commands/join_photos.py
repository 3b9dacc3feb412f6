"""A person's word that database and photo folder belong together."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth.models import User

from stash.keeping import identity
from stash.keeping.naming import database_name
from stash.management.stash_command import StashCommand


class Command(StashCommand):
    help = (
        "Say that the photo folder belongs to the database, when a start refused because it could "
        "not be sure. No photo is moved or deleted."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        folder = Path(settings.PHOTO_DIR)
        if identity.is_in_use(folder) and not User.objects.exists():
            raise identity.StrangerError(identity.stranger_database(folder))
        identity.join()
        self.stdout.write(f"{folder} and {database_name()} belong together now.")

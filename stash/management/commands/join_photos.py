"""A person's word that database and photo folder belong together."""

from typing import Any

from django.contrib.auth.models import User

from stash.keeping import identity
from stash.keeping.naming import capital, database_name
from stash.management.stash_command import StashCommand
from stash.photos.storage.interface import photo_storage


class Command(StashCommand):
    help = (
        "Say that the photo folder belongs to the database, when a start refused because it could "
        "not be sure. No photo is moved or deleted."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        if identity.is_in_use() and not User.objects.exists():
            raise identity.StrangerError(identity.stranger_database())
        identity.join()
        where = capital(photo_storage().where)
        self.stdout.write(f"{where} and {database_name()} belong together now.")

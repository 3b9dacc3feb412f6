from django.apps import AppConfig


class StashConfig(AppConfig):
    name = "stash"
    verbose_name = "Stash"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        # Importing registers the system checks and what listens when an act is undone.
        from django.contrib.auth.signals import user_logged_in

        from stash import watching
        from stash.catalogue.fabrics import histories
        from stash.config import checks  # noqa: F401
        from stash.intake import shelving  # noqa: F401
        from stash.intake.lists import acts  # noqa: F401

        watching.connect()
        histories.register_here()
        # Nothing reads when somebody last signed in, and writing it fails on a full disk.
        user_logged_in.disconnect(dispatch_uid="update_last_login")

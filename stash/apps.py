from django.apps import AppConfig


class StashConfig(AppConfig):
    name = "stash"
    verbose_name = "Stash"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from stash import checks, revisions  # noqa: F401  (registers the system checks)

        revisions.connect()

from django.apps import AppConfig


class ProjectsConfig(AppConfig):
    name = "projects"
    verbose_name = "Projects"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from projects.services import receivers  # noqa: F401
        from projects.services.yields import pieces_cover
        from stash.finding.yields import register_counter

        register_counter(pieces_cover)

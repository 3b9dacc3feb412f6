from django.apps import AppConfig


class ProjectsConfig(AppConfig):
    name = "projects"
    verbose_name = "Projects"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        # Importing registers what listens when an act is undone, and the rules of check_stash.
        from projects import check_rules, receivers  # noqa: F401
        from projects.coverage.wanted import wanted_of_fabric
        from projects.pages.guests import project_for_guests
        from projects.pages.waiting import projects_wait
        from projects.planning import histories
        from projects.planning.cloth.finding import (
            fabrics_by_project,
            pieces_cover,
            promised_of_fabric,
            uses_of_fabrics,
        )
        from projects.planning.promises import ticked
        from projects.shopping.pocket import lines_to_buy, tick_line
        from stash.catalogue.deleting.acts import register_uses
        from stash.catalogue.promised import register_promises, register_wants
        from stash.finding.columns.yields import register_counter
        from stash.finding.shelf import register_projects
        from stash.guests.projects import register_projects as register_guest_projects
        from stash.home.waiting import register_waiting
        from stash.pocket.to_buy import register_to_buy

        register_counter(pieces_cover)
        register_projects(fabrics_by_project)
        register_promises(promised_of_fabric)
        register_wants(wanted_of_fabric)
        register_to_buy(lines_to_buy, tick_line)
        register_guest_projects(project_for_guests)
        register_uses(uses_of_fabrics)
        register_waiting(projects_wait)
        ticked.register_here()
        histories.register_here()

"""All routes of the site."""

from django.urls import include, path

from stash.config import standing

urlpatterns = [
    path("health/", standing.health, name="health"),
    path("ready/", standing.ready, name="ready"),
    path("metrics/", standing.metrics, name="metrics"),
    path("account/", include("stash.accounts.urls")),
    path("projects/", include("projects.urls")),
    path("auditions/", include("projects.audition.urls")),
    path("", include("projects.squares.urls")),
    path("", include("projects.sewing.urls")),
    path("", include("stash.urls")),
]

handler400 = "stash.config.errors.bad_request"
handler403 = "stash.config.errors.not_allowed"
handler404 = "stash.config.errors.not_found"
handler500 = "stash.config.errors.server_error"

"""Routes of the sewing order."""

from django.urls import path

from projects.sewing import measuring_views as measuring
from projects.sewing import views as sewing

app_name = "sewing"
urlpatterns = [
    path("projects/<int:pk>/sewing/", sewing.order, name="order"),
    path("projects/<int:pk>/sewing/count/", sewing.count, name="count"),
    path("projects/<int:pk>/sewing/labels/", sewing.labels, name="labels"),
    path("projects/<int:pk>/sewing/blocks/", sewing.blocks, name="blocks"),
    path("projects/<int:pk>/sewing/block/", measuring.block, name="block"),
    path(
        "projects/<int:pk>/sewing/block/<int:block>/forget/",
        measuring.forget_block,
        name="forget_block",
    ),
    path("projects/<int:pk>/sewing/top/", measuring.top, name="top"),
    path("projects/<int:pk>/sewing/top/follow/", measuring.follow, name="follow"),
]

"""Routes of sets of squares and of the seam check."""

from django.urls import path

from projects.squares import layout_views as squares_layout
from projects.squares import seam_views as seam_check
from projects.squares import views as squares

app_name = "squares"
urlpatterns = [
    path("squares/", squares.square_sets, name="list"),
    path("squares/new/", squares.start, name="start"),
    path("squares/<int:pk>/", squares.piles, name="piles"),
    path("squares/<int:pk>/limits/", squares.choose_limits, name="limits"),
    path("squares/<int:pk>/swap-piles/", squares.swap_piles, name="swap_piles"),
    path("squares/<int:pk>/by-value/", squares.sort_by_value, name="by_value"),
    path("squares/<int:pk>/remove/", squares.remove, name="remove"),
    path("squares/<int:pk>/put-back/", squares.put_back, name="put_back"),
    path("squares/<int:pk>/layout/", squares_layout.layout, name="layout"),
    path("squares/<int:pk>/picture.png", squares_layout.picture, name="picture"),
    path("squares/<int:pk>/swap/", squares_layout.swap, name="swap"),
    path("squares/<int:pk>/lock/", squares_layout.lock, name="lock"),
    path("squares/<int:pk>/lay/", squares_layout.lay_anew, name="lay"),
    path("squares/<int:pk>/few/", squares_layout.lay_few, name="few"),
    path("squares/<int:pk>/take-back/", squares_layout.take_back, name="take_back"),
    path("squares/<int:pk>/size/", squares_layout.set_size, name="size"),
    path("squares/<int:pk>/project/", squares_layout.make_project, name="project"),
    path("seam-check/", seam_check.seam_check, name="seam_check"),
    path("seam-check/pieces/<int:pk>/", seam_check.measure_pack, name="measure_pack"),
]

"""Routes of the stash."""

from django.urls import path

from stash.views import fabric, piece, places, shelf

app_name = "stash"
urlpatterns = [
    path("", shelf.shelf, name="shelf"),
    path("fabrics/<int:pk>/", fabric.fabric, name="fabric"),
    path("fabrics/<int:pk>/edit/", fabric.edit, name="fabric_edit"),
    path("fabrics/<int:pk>/value/", fabric.set_value, name="fabric_value"),
    path("fabrics/<int:pk>/pieces/add/", fabric.acquire, name="piece_add"),
    path("fabrics/<int:pk>/bin/", fabric.put_in_bin, name="fabric_bin"),
    path("fabrics/<int:pk>/take-back/", fabric.take_from_bin, name="fabric_take_back"),
    path("bin/", fabric.bin_page, name="bin"),
    path("movements/", fabric.movements, name="movements"),
    path("undo/<uuid:act>/", fabric.undo, name="undo"),
    path("pieces/<int:pk>/", piece.piece, name="piece"),
    path("pieces/<int:pk>/measure/", piece.measure, name="piece_measure"),
    path("pieces/<int:pk>/correct/", piece.correct, name="piece_correct"),
    path("pieces/<int:pk>/give-away/", piece.give_away, name="piece_give_away"),
    path("pieces/<int:pk>/keep/", piece.keep, name="piece_keep"),
    path("places/", places.places, name="places"),
    path("places/<int:pk>/", places.edit, name="place_edit"),
    path("places/<int:pk>/clear/", places.clear, name="place_clear"),
]

"""Routes of the stash."""

from django.urls import path

from stash.catalogue.deleting import views as removal
from stash.catalogue.fabrics import copying
from stash.catalogue.fabrics import views as fabric
from stash.catalogue.merging import views as merging
from stash.catalogue.pieces import views as piece
from stash.catalogue.places import views as places
from stash.finding import views as shelf
from stash.finding.by_eye import views as by_eye
from stash.finding.kept import views as searches
from stash.finding.overview import views as overview
from stash.guests import views as guests
from stash.home import views as start
from stash.intake import draft_views as drafts
from stash.intake import placing_views as placing
from stash.intake import sending
from stash.intake import views as intake
from stash.intake.lists import views as lists
from stash.inventory import views as inventory
from stash.journal import views as journal
from stash.labels import views as labels
from stash.look import views as look
from stash.photos import asked_paper, turning
from stash.photos import fabric_views as fabric_photos
from stash.photos import views as photos
from stash.photos.card import views as photo_card
from stash.photos.cloth import views as fabric_cloth
from stash.photos.phone import views as phone
from stash.photos.rereading import views as rereading
from stash.pocket import installing
from stash.pocket import views as pocket
from stash.ticked import views as ticked
from stash.washing import views as washing

app_name = "stash"
urlpatterns = [
    path("", start.home, name="home"),
    path("find/", shelf.shelf, name="shelf"),
    path("together/", start.together, name="together"),
    path("map/", overview.stash_map, name="map"),
    path("map.png", overview.map_picture, name="map_picture"),
    path("value-line/", overview.value_line, name="value_line"),
    path("searches/keep/", searches.keep, name="search_keep"),
    path("searches/<int:pk>/forget/", searches.forget, name="search_forget"),
    path("like-photo/", by_eye.like_photo, name="like_photo"),
    path("goes-with/", by_eye.goes_with, name="goes_with"),
    path("fabrics/<int:pk>/", fabric.fabric, name="fabric"),
    path("fabrics/<int:pk>/bit.jpg", fabric_cloth.fabric_bit, name="fabric_bit"),
    path("fabrics/<int:pk>/<str:view>.jpg", fabric_cloth.fabric_tile, name="fabric_tile"),
    path("fabrics/<int:pk>/another/", copying.another, name="fabric_another"),
    path("fabrics/<int:pk>/edit/", fabric.edit, name="fabric_edit"),
    path("fabrics/<int:pk>/bleed/", washing.bleed_test, name="bleed_test"),
    path("fabrics/<int:pk>/bleed/photos/", washing.bleed_photos, name="bleed_photos"),
    path("wash/", washing.wash, name="wash"),
    path("fabrics/<int:pk>/value/", fabric.set_value, name="fabric_value"),
    path("fabrics/<int:pk>/by-eye/", placing.fabric_by_eye, name="fabric_by_eye"),
    path("fabrics/<int:pk>/photos/", fabric_photos.add, name="fabric_photo_add"),
    path("fabrics/<int:pk>/from/<str:view>.jpg", fabric_cloth.fabric_seen, name="fabric_seen"),
    path("fabrics/<int:pk>/pieces/add/", fabric.acquire, name="piece_add"),
    path("fabrics/<int:pk>/delete/", removal.delete, name="fabric_delete"),
    path("fabrics/<int:pk>/put-back/", removal.put_back, name="fabric_put_back"),
    path(
        "fabrics/<int:pk>/delete-for-good/", removal.delete_for_good, name="fabric_delete_for_good"
    ),
    path("fabrics/<int:pk>/same-as/", merging.same_as, name="fabric_same_as"),
    path("deleted/", removal.deleted, name="deleted"),
    path("bin/", removal.moved, name="bin"),
    path("ticked/", ticked.ticked, name="ticked"),
    path("history/<int:pk>/back/", journal.back, name="history_back"),
    path("history/<slug:kind>/<int:pk>/", journal.history, name="history"),
    path("movements/", fabric.movements, name="movements"),
    path("undo/<uuid:act>/", removal.undo, name="undo"),
    path("pieces/<int:pk>/", piece.piece, name="piece"),
    path("pieces/<int:pk>/measure/", piece.measure, name="piece_measure"),
    path("pieces/<int:pk>/weigh/", piece.weigh, name="piece_weigh"),
    path("pieces/<int:pk>/correct/", piece.correct, name="piece_correct"),
    path("pieces/<int:pk>/keep/", piece.keep, name="piece_keep"),
    path("pieces/<int:pk>/<slug:key>/", piece.deed, name="piece_deed"),
    path("guests/", guests.links, name="guest_links"),
    path("guests/new/", guests.new, name="guest_new"),
    path("guests/<int:pk>/end/", guests.end, name="guest_end"),
    path("guest/<str:token>/", guests.look, name="guest"),
    path("guest/<str:token>/cloth/<int:pk>.jpg", guests.cloth, name="guest_cloth"),
    path("guest/<str:token>/quilt.png", guests.picture, name="guest_picture"),
    path("manifest.webmanifest", installing.manifest, name="manifest"),
    path("service-worker.js", installing.worker, name="service_worker"),
    path("add/shared/", installing.shared, name="shared_photos"),
    path("pocket/", pocket.about, name="pocket"),
    path("pocket/my-stash.html", pocket.saved, name="pocket_saved"),
    path("pocket/home/", pocket.home, name="pocket_home"),
    path("labels/", labels.labels, name="labels"),
    path("places/", places.places, name="places"),
    path("places/<int:pk>/", places.edit, name="place_edit"),
    path("places/<int:pk>/clear/", places.clear, name="place_clear"),
    path("my-stash/", inventory.my_stash, name="my_stash"),
    path("my-stash/budget/", inventory.budget, name="budget"),
    path("my-stash/value/", inventory.value_report, name="value_report"),
    path("untouched/", places.untouched, name="untouched"),
    path("add/", intake.add, name="add"),
    path("add/typed/", lists.write_down, name="write_down"),
    path("add/table/", lists.from_table, name="from_table"),
    path("add/lists/<int:pk>/", lists.listing, name="listing"),
    path("add/lists/<int:pk>/shelve/", lists.listing_shelve, name="listing_shelve"),
    path("add/lists/<int:pk>/aside/", lists.listing_aside, name="listing_aside"),
    path("add/<int:pk>/", intake.trip, name="trip"),
    path("add/<int:pk>/settings/", intake.trip_settings, name="trip_settings"),
    path("add/<int:pk>/photos/", sending.trip_photos, name="trip_photos"),
    path("add/<int:pk>/chosen/", intake.trip_chosen, name="trip_chosen"),
    path("add/<int:pk>/one-light/", intake.trip_one_light, name="trip_one_light"),
    path("add/<int:pk>/shelve/", intake.trip_shelve, name="trip_shelve"),
    path("drafts/<int:pk>/", drafts.draft, name="draft"),
    path("drafts/<int:pk>/remove/", drafts.draft_remove, name="draft_remove"),
    path("drafts/<int:pk>/restore/", drafts.draft_restore, name="draft_restore"),
    path("drafts/<int:pk>/same/", drafts.draft_same, name="draft_same"),
    path("drafts/<int:pk>/by-eye/", placing.draft_by_eye, name="draft_by_eye"),
    path("photos/read-again/", rereading.read_again, name="read_again"),
    path("photos/<uuid:key>/reading/", photos.photo_reading, name="photo_reading"),
    path("photos/<uuid:key>/turn/", turning.photo_turn, name="photo_turn"),
    path("photos/<uuid:key>/paper/", asked_paper.photo_paper, name="photo_paper"),
    path("photos/<uuid:key>/show-by/", fabric_photos.show_by, name="photo_show_by"),
    path("photos/<uuid:key>/across/", fabric_cloth.photo_across, name="photo_across"),
    path("photos/<uuid:key>/<str:kind>", photos.photo, name="photo"),
    path("help/words/", look.words, name="words"),
    path("look/", look.look, name="look"),
    path("help/photo/", photos.photo_help, name="photo_help"),
    path("help/photo-card/", photos.photo_card, name="photo_card"),
    path("help/photo-card/calibrate/", photo_card.calibrate, name="card_calibrate"),
    path("help/photo-card/calibrate/forget/", photo_card.forget, name="card_calibrate_forget"),
    path(
        "help/photo-card/calibrate/<uuid:key>/",
        photo_card.calibrate_by_hand,
        name="card_calibrate_by_hand",
    ),
    path("help/test-your-phone/", phone.trial, name="phone_trial"),
    path("help/test-your-phone/<int:pk>/keep/", phone.keep, name="phone_trial_keep"),
    path("help/test-your-phone/<int:pk>/give-up/", phone.give_up, name="phone_trial_give_up"),
    path("help/test-your-phone/<int:pk>/forget/", phone.forget, name="phone_trial_forget"),
    path("help/test-your-phone/<int:pk>/back/", phone.bring_back, name="phone_trial_back"),
    path("help/test-your-phone/photo/<uuid:key>/", phone.shot, name="phone_shot"),
    path("help/test-your-phone/photo/<uuid:key>/out/", phone.leave_out, name="phone_shot_out"),
    path("help/photo-card/<str:paper>.pdf", photos.photo_card_pdf, name="photo_card_pdf"),
    path("help/photo-frame/<str:paper>.pdf", photos.photo_frame_pdf, name="photo_frame_pdf"),
]

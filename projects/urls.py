"""Routes of the projects."""

from django.urls import path

from projects.at_table import views as table
from projects.beside import views as beside
from projects.cut_sheet import views as sheet
from projects.fabrics import views as fabrics
from projects.mending import views as asking
from projects.pages import cloth, cut_list, part, pattern, project, starting, together
from projects.picture import views as picture
from projects.quilt import views as quilt_drawing
from projects.shopping import views as shopping

app_name = "projects"
urlpatterns = [
    path("", project.project_list, name="list"),
    path("new/", starting.start, name="start"),
    path("together/", together.together, name="together"),
    path("to-buy/", shopping.to_buy, name="to_buy"),
    path("bought/", shopping.purchases, name="purchases"),
    path("to-buy/<int:part>/bought/", shopping.bought, name="bought"),
    path("bought/<int:purchase>/take-back/", shopping.unbought, name="unbought"),
    path("bought/<int:purchase>/shelf/", shopping.put_on_shelf, name="put_on_shelf"),
    path("deleted/", project.deleted, name="deleted"),
    path("<int:pk>/delete/", project.delete, name="delete"),
    path("<int:pk>/put-back/", project.put_back, name="put_back"),
    path("<int:pk>/delete-for-good/", project.delete_for_good, name="delete_for_good"),
    path("<int:pk>/", project.project, name="project"),
    path("<int:pk>/change/", project.change, name="change"),
    path("<int:pk>/status/", project.set_status, name="status"),
    path("<int:pk>/ask/", project.ask, name="ask"),
    path("<int:pk>/answers/", project.answers, name="answers"),
    path("<int:pk>/pattern/", pattern.pattern, name="pattern"),
    path("<int:pk>/pattern/take/", pattern.take, name="pattern_take"),
    path("<int:pk>/pattern/<int:pasted>/back/", pattern.take_back, name="pattern_back"),
    path("<int:pk>/parts/add/", project.add_part, name="part_add"),
    path("<int:pk>/fabrics/", fabrics.fabrics, name="fabrics"),
    path("<int:pk>/fabrics/take/", fabrics.take, name="fabrics_take"),
    path("<int:pk>/cut-sheet/", sheet.cut_sheet, name="cut_sheet"),
    path("<int:pk>/cut-sheet/bags/", sheet.bags, name="bags"),
    path("<int:pk>/cut-sheet/done/", sheet.cutting_done, name="cutting_done"),
    path("<int:pk>/cut-sheet/spoiled/", sheet.spoil, name="spoil"),
    path("<int:pk>/parts/<int:part>/beside/", beside.beside, name="beside"),
    path("<int:pk>/parts/<int:part>/beside/waits/", beside.waits, name="beside_waits"),
    path("<int:pk>/parts/<int:part>/beside/want/", beside.set_want, name="beside_want"),
    path("<int:pk>/keep/", beside.keep, name="keep"),
    path("<int:pk>/at-the-table/", table.at_table, name="at_table"),
    path("<int:pk>/at-the-table/lay/", table.lay, name="table_lay"),
    path("<int:pk>/at-the-table/<int:sheet>/cut/", table.cut, name="table_cut"),
    path("<int:pk>/at-the-table/<int:sheet>/back/", table.take_back, name="table_back"),
    path("<int:pk>/at-the-table/<int:sheet>/mis-cut/", table.mis_cut, name="table_mis_cut"),
    path("<int:pk>/picture/", picture.fragment, name="picture"),
    path("<int:pk>/picture/<slug:side>.jpg", picture.jpg, name="picture_jpg"),
    path("<int:pk>/quilt/", quilt_drawing.quilt, name="quilt"),
    path("<int:pk>/quilt/preview/", quilt_drawing.preview, name="quilt_preview"),
    path("<int:pk>/quilt/picture.png", quilt_drawing.png, name="quilt_png"),
    path("<int:pk>/quilt/picture.svg", quilt_drawing.svg, name="quilt_svg"),
    path("<int:pk>/quilt/paper/", quilt_drawing.paper, name="quilt_paper"),
    path("<int:pk>/quilt/cut-list/", quilt_drawing.cut_list, name="quilt_cut_list"),
    path("<int:pk>/quilt/cut-list/take-back/", quilt_drawing.take_back, name="quilt_take_back"),
    path("<int:pk>/quilt/remove/", quilt_drawing.remove, name="quilt_remove"),
    path("<int:pk>/parts/<int:part>/", part.part, name="part"),
    path("<int:pk>/parts/<int:part>/ask/", part.ask, name="part_ask"),
    path("<int:pk>/parts/<int:part>/answer/", part.answer, name="part_answer"),
    path("<int:pk>/parts/<int:part>/mend/", asking.mend, name="mend"),
    path("<int:pk>/parts/<int:part>/mend/make/", asking.make_change, name="make_change"),
    path("<int:pk>/changes/<uuid:act>/back/", asking.take_change_back, name="change_back"),
    path("<int:pk>/parts/<int:part>/what-if/", asking.what_if, name="what_if"),
    path("<int:pk>/parts/<int:part>/want/", part.set_want, name="part_want"),
    path("<int:pk>/parts/<int:part>/needed/", part.set_not_needed, name="part_needed"),
    path("<int:pk>/parts/<int:part>/remove/", part.remove, name="part_remove"),
    path("<int:pk>/parts/<int:part>/paste/", cut_list.paste, name="paste"),
    path("<int:pk>/parts/<int:part>/unread/<int:line>/", cut_list.put_right, name="unread_right"),
    path(
        "<int:pk>/parts/<int:part>/unread/<int:line>/strike/",
        cut_list.strike_out,
        name="unread_strike",
    ),
    path(
        "<int:pk>/parts/<int:part>/unread/<int:line>/back/", cut_list.put_back, name="unread_back"
    ),
    path("<int:pk>/parts/<int:part>/unit/", cut_list.add_unit, name="unit"),
    path("<int:pk>/parts/<int:part>/strip-set/", cut_list.add_strip_set, name="strip_set"),
    path("<int:pk>/parts/<int:part>/fill/", cut_list.fill, name="fill"),
    path("<int:pk>/parts/<int:part>/cuts/<int:cut>/", cut_list.change_cut, name="cut"),
    path(
        "<int:pk>/parts/<int:part>/cuts/<int:cut>/remove/", cut_list.remove_cut, name="cut_remove"
    ),
    path("<int:pk>/parts/<int:part>/cuts/<int:cut>/join/", cut_list.join, name="cut_join"),
    path("<int:pk>/parts/<int:part>/fabrics/<int:fabric>/", cloth.choose, name="choose"),
    path("<int:pk>/parts/<int:part>/fabrics/<int:fabric>/drop/", cloth.drop, name="drop"),
    path("<int:pk>/parts/<int:part>/split/", cloth.split, name="split"),
    path("<int:pk>/parts/<int:part>/promise/", cloth.promise, name="promise"),
    path("<int:pk>/parts/<int:part>/promise/plan/", cloth.promise_plan, name="promise_plan"),
    path("<int:pk>/parts/<int:part>/promise/<int:promise>/release/", cloth.release, name="release"),
]

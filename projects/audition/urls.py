"""Routes of the auditions."""

from django.urls import path

from projects.audition import act_views as audition_acts
from projects.audition import views as audition

app_name = "auditions"
urlpatterns = [
    path("", audition.audition_list, name="list"),
    path("lay/", audition_acts.lay, name="lay"),
    path("screen/", audition.screen, name="screen"),
    path("<int:pk>/", audition.audition, name="audition"),
    path("<int:pk>/<int:arrangement>/picture/", audition.picture, name="picture"),
    path("<int:pk>/table/", audition_acts.set_table, name="table"),
    path("<int:pk>/act/", audition_acts.act, name="act"),
    path("<int:pk>/lay/", audition_acts.lay_more, name="lay_more"),
    path("<int:pk>/arrange/", audition_acts.arrange, name="arrange"),
    path("<int:pk>/scale/", audition_acts.scale, name="scale"),
    path("<int:pk>/assign/", audition_acts.assign, name="assign"),
    path("<int:pk>/put-away/", audition_acts.put_away, name="put_away"),
    path("<int:pk>/take-back/", audition_acts.take_back, name="take_back"),
]

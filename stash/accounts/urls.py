from django.urls import path

from stash.accounts import backups, views

app_name = "accounts"
urlpatterns = [
    path("", views.account, name="account"),
    path("backup/", backups.back_up, name="backup"),
    path("backup/newest/", backups.download, name="backup_newest"),
    path("export/", backups.export, name="export"),
    path("sign-in/", views.SignIn.as_view(), name="sign_in"),
    path("sign-out/", views.SignOut.as_view(), name="sign_out"),
    path("password/", views.ChangePassword.as_view(), name="change_password"),
    path("set-up/<str:token>/", views.set_up_first_account, name="set_up"),
    path("look-around/", views.look_around, name="look_around"),
]

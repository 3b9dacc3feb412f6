from django.urls import URLPattern

app_name = "stash"
urlpatterns: list[URLPattern] = []

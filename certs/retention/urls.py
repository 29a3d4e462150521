"""Pages of what is held on a person."""

from django.urls import path

from certs.retention import views

app_name = "retention"

urlpatterns = [
    path("", views.own, name="own"),
    path("copy.json", views.copy, name="copy"),
    path("<int:pk>/erase/", views.erase, name="erase"),
]

"""The pages of double marking."""

from django.urls import path

from certs.agreement import views

app_name = "agreement"

urlpatterns = [
    path("", views.index, name="index"),
    path("<uuid:pk>/", views.mark, name="mark"),
]

"""Visits of trainers."""

from django.urls import path

from certs.visits import views

app_name = "visits"

urlpatterns = [
    path("", views.index, name="index"),
    path("ask/", views.ask, name="ask"),
    path("<int:pk>/", views.visit, name="visit"),
    path("<int:pk>/accept/", views.accept, name="accept"),
    path("<int:pk>/decline/", views.decline, name="decline"),
    path("<int:pk>/offer/", views.offer, name="offer"),
    path("<int:pk>/call-off/", views.call_off, name="call_off"),
]

"""Pages of the rosters room."""

from django.urls import path

from training.rosters import views

app_name = "rosters"

urlpatterns = [
    path("", views.index, name="index"),
    path("empty.<slug:kind>", views.empty, name="empty"),
    path("present/", views.present, name="present"),
    path("without-sign-in/", views.without_sign_in, name="without_sign_in"),
    path("<uuid:pk>/", views.roster, name="roster"),
    path("<uuid:pk>/answers/", views.answers, name="answers"),
    path("<uuid:pk>/apply/", views.apply, name="apply"),
    path("<uuid:pk>/undo/", views.undo, name="undo"),
    path("<uuid:pk>/drop/", views.drop, name="drop"),
]

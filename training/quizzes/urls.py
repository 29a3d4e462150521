"""The pages of papers and sittings."""

from django.urls import path

from training.quizzes.views import sheets as views

app_name = "quizzes"
urlpatterns = [
    path("", views.index, name="index"),
    path("sittings/<uuid:pk>/", views.sitting, name="sitting"),
    path("sittings/<uuid:pk>/keep/", views.keep, name="keep"),
    path("<slug:slug>/start/", views.start, name="start"),
]

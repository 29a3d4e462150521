"""The pages of papers and sittings."""

from django.urls import path

from training.quizzes.views import papers, sheets

app_name = "quizzes"
urlpatterns = [
    path("", papers.index, name="index"),
    path("supply/", papers.supply, name="supply"),
    path("arrangements/", papers.arrangements, name="arrangements"),
    path("sittings/<uuid:pk>/", sheets.sitting, name="sitting"),
    path("sittings/<uuid:pk>/<int:position>/", sheets.question, name="question"),
    path("sittings/<uuid:pk>/keep/", sheets.keep, name="keep"),
    path("sittings/<uuid:pk>/break/", sheets.pause, name="pause"),
    path("sittings/<uuid:pk>/review/", sheets.review, name="review"),
    path("<slug:slug>/start/", papers.start, name="start"),
    path("<slug:slug>/data/", papers.data, name="data"),
]

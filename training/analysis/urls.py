"""Pages about how the questions do."""

from django.urls import path

from training.analysis import views

app_name = "analysis"

urlpatterns = [
    path("", views.index, name="index"),
    path("<slug:slug>/", views.paper, name="paper"),
]

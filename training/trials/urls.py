"""The page of the trials room."""

from django.urls import path

from training.trials import views

app_name = "trials"

urlpatterns = [
    path("", views.bench, name="bench"),
]

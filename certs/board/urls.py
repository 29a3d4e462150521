"""The page of the board."""

from django.urls import path

from certs.board import views

app_name = "board"

urlpatterns = [path("", views.grid, name="grid")]

"""The board and its day sheet."""

from django.urls import path

from certs.board import views

app_name = "board"

urlpatterns = [
    path("", views.grid, name="grid"),
    path("day-sheet.pdf", views.day_sheet, name="day_sheet"),
]

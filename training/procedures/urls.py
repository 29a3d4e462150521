"""Pages of the procedures room."""

from django.urls import path

from training.procedures import views

app_name = "procedures"

urlpatterns = [
    path("", views.index, name="index"),
    path("<slug:slug>/", views.module, name="module"),
    path("<slug:slug>/drawings/<slug:name>.svg", views.drawing, name="drawing"),
    path("<slug:slug>/changes/", views.changes, name="changes"),
    path("<slug:slug>/hold/<slug:step>/", views.hold, name="hold"),
    path("<slug:slug>/read/", views.read, name="read"),
    path("<slug:slug>/kept/", views.kept, name="kept"),
    path("<slug:slug>/print.pdf", views.print_edition, name="print"),
]

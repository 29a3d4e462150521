"""Pages of the bridges room, beside the procedures they belong to."""

from django.urls import path

from training.bridges import views

app_name = "bridges"

urlpatterns = [
    path("<slug:slug>/questions/<int:number>/", views.bridge, name="bridge"),
]

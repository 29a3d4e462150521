"""Pages of the people room."""

from django.urls import path

from training.people import views

app_name = "people"

urlpatterns = [
    path("", views.index, name="index"),
    path("employers/", views.employers, name="employers"),
    path("add/", views.add, name="add"),
    path("me/", views.own, name="own"),
    path("<int:pk>/", views.person, name="person"),
]

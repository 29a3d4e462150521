"""The home page, and one person's record."""

from django.urls import path

from certs.records import views

app_name = "records"

urlpatterns = [
    path("", views.home, name="home"),
    path("records/<int:pk>/", views.person, name="person"),
]

"""The home page, and one person's record."""

from django.urls import path

from certs.records import views

app_name = "records"

urlpatterns = [
    path("", views.home, name="home"),
    path("plan/", views.plan, name="plan"),
    path("records/<int:pk>/", views.person, name="person"),
]

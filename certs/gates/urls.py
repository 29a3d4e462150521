"""The answers for gates, the page about them, and the pages of tokens."""

from django.urls import path

from certs.gates import views

app_name = "gates"

urlpatterns = [
    path("v1/standing", views.standing, name="standing"),
    path("about/", views.about, name="about"),
    path("", views.index, name="index"),
    path("make/", views.make, name="make"),
    path("<int:pk>/revoke/", views.revoke, name="revoke"),
]

"""Site map of safe keeping."""

from django.urls import path

from training.keeping import views

app_name = "keeping"

urlpatterns = [
    path("health/", views.health, name="health"),
    path("promises/", views.promises, name="promises"),
    path("keeping/", views.index, name="index"),
]

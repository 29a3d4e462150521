"""Pages of the photos room."""

from django.urls import path

from certs.photos import views

app_name = "photos"

urlpatterns = [
    path("received/<uuid:key>/", views.keep, name="keep"),
    path("<uuid:pk>/", views.photo, name="photo"),
]

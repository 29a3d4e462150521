"""Pages of the schemes room."""

from django.urls import path

from certs.schemes import views

app_name = "schemes"

urlpatterns = [
    path("", views.index, name="index"),
    path("<slug:slug>/", views.scheme, name="scheme"),
    path("<slug:slug>/grant/", views.grant, name="grant"),
    path("<slug:slug>/trained/", views.trained, name="trained"),
]

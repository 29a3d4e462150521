"""The signed file of a card, and what a checker of such files asks for."""

from django.urls import path

from certs.credentials import views

app_name = "credentials"

urlpatterns = [
    path("issuer/", views.issuer, name="issuer"),
    path("status/<str:purpose>/<int:number>/", views.status, name="status"),
    path("<str:number>/", views.take_along, name="take_along"),
]

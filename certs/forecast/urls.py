"""The page of the forecast."""

from django.urls import path

from certs.forecast import views

app_name = "forecast"

urlpatterns = [path("", views.page, name="page")]

"""The pages of the ledger."""

from django.urls import path

from certs.trail import views

app_name = "trail"

urlpatterns = [path("", views.index, name="index")]

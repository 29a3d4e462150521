"""The gap plan."""

from django.urls import path

from certs.gaps import views

app_name = "gaps"

urlpatterns = [path("", views.plan, name="plan")]

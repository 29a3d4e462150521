"""The pages of panels."""

from django.urls import path

from training.panels import views

app_name = "panels"

urlpatterns = [
    path("", views.index, name="index"),
    path("open/<slug:slug>/", views.open_panel, name="open"),
    path("<int:pk>/", views.panel, name="panel"),
    path("<int:pk>/judges/", views.judges, name="judges"),
    path("<int:pk>/estimates/", views.estimates, name="estimates"),
    path("<int:pk>/close/", views.close, name="close"),
    path("<int:pk>/minutes/", views.minutes, name="minutes"),
]

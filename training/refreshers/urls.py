"""Pages of the refreshers room."""

from django.urls import path

from training.refreshers import views

app_name = "refreshers"

urlpatterns = [
    path("", views.index, name="index"),
    path("<slug:topic>/", views.drill, name="drill"),
]

"""Pages of complaints."""

from django.urls import path

from certs.complaints import views

app_name = "complaints"

urlpatterns = [
    path("", views.index, name="index"),
    path("new/", views.new, name="new"),
    path("outside/", views.outside, name="outside"),
    path("<int:pk>/", views.complaint, name="complaint"),
    path("<int:pk>/take/", views.take, name="take"),
    path("<int:pk>/<slug:name>/", views.step, name="step"),
]

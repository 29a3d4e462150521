"""Site map of the photos of holders."""

from django.urls import path

from certs.portraits import views

app_name = "portraits"

urlpatterns = [
    path("<int:pk>/", views.person, name="person"),
    path("<int:pk>/take-away/", views.take_away, name="take_away"),
    path("<int:pk>/not-at-check/", views.keep_from_check, name="keep_from_check"),
    path("<uuid:key>.jpg", views.photo, name="photo"),
    path("checked/<str:address>/", views.at_check, name="at_check"),
]

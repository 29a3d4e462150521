"""Pages of the people room."""

from django.urls import path

from training.people import views

app_name = "people"

urlpatterns = [
    path("", views.index, name="index"),
    path("employers/", views.employers, name="employers"),
    path("employers/<int:pk>/", views.employer, name="employer"),
    path("sites/<int:pk>/", views.site, name="site"),
    path("crews/<int:pk>/", views.crew, name="crew"),
    path("add/", views.add, name="add"),
    path("me/", views.own, name="own"),
    path("<int:pk>/", views.person, name="person"),
    path("start/<str:secret>/", views.start, name="start"),
    path("shut-out/", views.shut_out, name="shut_out"),
    path("shut-out/<int:pk>/", views.let_in, name="let_in"),
    path("sessions/<int:pk>/end/", views.sign_out_there, name="sign_out_there"),
]

"""Files of the register, and the calendar feed."""

from django.urls import path

from certs.exports import views

app_name = "exports"

urlpatterns = [
    path("register.csv", views.register_csv, name="register_csv"),
    path("register.xlsx", views.register_xlsx, name="register_xlsx"),
    path("calendar/", views.calendar, name="calendar"),
    path("calendar/open/", views.calendar_open, name="calendar_open"),
    path("calendar/close/", views.calendar_close, name="calendar_close"),
    path("calendar/visits/<int:pk>.ics", views.visit, name="visit"),
    path("calendar/<str:secret>.ics", views.feed, name="feed"),
]

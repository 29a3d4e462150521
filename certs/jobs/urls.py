"""Jobs, days away, and the check of a job."""

from django.urls import path

from certs.jobs import views

app_name = "jobs"

urlpatterns = [
    path("", views.index, name="index"),
    path("new/", views.new, name="new"),
    path("list/", views.bring_in, name="bring_in"),
    path("list/all/", views.bring_in_all, name="bring_in_all"),
    path("away/", views.away, name="away"),
    path("away/<int:pk>/out/", views.come_back, name="come_back"),
    path("<int:pk>/", views.job, name="job"),
    path("<int:pk>/change/", views.change, name="change"),
    path("<int:pk>/close/", views.close, name="close"),
    path("<int:pk>/reopen/", views.reopen, name="reopen"),
    path("<int:pk>/sheet.pdf", views.sheet, name="sheet"),
]

"""Site map of the public check."""

from django.urls import path

from certs.checking import views

app_name = "checking"

urlpatterns = [
    path("", views.check, name="check"),
    path("code/", views.check_code, name="code"),
    path("lists/", views.lists, name="lists"),
    path("list.pdf", views.list_pdf, name="list_pdf"),
    path("<str:number>/", views.check_number, name="number"),
]

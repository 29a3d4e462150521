"""Site map of the cards."""

from django.urls import path

from certs.cards import views

app_name = "cards"

urlpatterns = [
    path("<str:number>/", views.card, name="card"),
    path("<str:number>.pdf", views.card_pdf, name="pdf"),
    path("<str:number>/measure/", views.measure, name="measure"),
    path("<str:number>/replace/", views.replace, name="replace"),
    path("<str:number>/reduce/", views.reduce, name="reduce"),
]

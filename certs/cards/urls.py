"""Site map of the cards: the private pages under cards/, the public check under check/."""

from django.urls import include, path

from certs.cards import views

app_name = "cards"

card_urls = [
    path("<str:number>/", views.card, name="card"),
    path("<str:number>.pdf", views.card_pdf, name="pdf"),
    path("<str:number>/measure/", views.measure, name="measure"),
]

check_urls = [
    path("", views.check, name="check"),
    path("code/", views.check_code, name="check_code"),
    path("<str:number>/", views.check_number, name="check_number"),
]

urlpatterns = [
    path("cards/", include(card_urls)),
    path("check/", include(check_urls)),
]

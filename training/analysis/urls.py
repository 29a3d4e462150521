"""Pages about how the questions do."""

from django.urls import path

from training.analysis import views

app_name = "analysis"

urlpatterns = [
    path("", views.index, name="index"),
    path("<slug:slug>/", views.paper, name="paper"),
    path("<slug:slug>/report.pdf", views.paper_pdf, name="paper_pdf"),
    path("<slug:slug>/<slug:key>/", views.question, name="question"),
    path("<slug:slug>/<slug:key>/report.pdf", views.question_pdf, name="question_pdf"),
]

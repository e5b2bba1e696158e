"""The addresses of what can be worked out."""

from django.urls import path

from floatbowl.shop.pages.work_out import views

app_name = "work_out"
urlpatterns = [
    path("", views.home, name="home"),
    path("<slug:key>/", views.calculation, name="calculation"),
]

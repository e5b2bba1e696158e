"""Addresses of the enquiries."""

from django.urls import path

from floatbowl.shop.pages.enquiries import views

app_name = "enquiries"

urlpatterns = [
    path("", views.home, name="home"),
    path("<int:number>/close/", views.close, name="close"),
    path("<int:number>/reopen/", views.reopen, name="reopen"),
]

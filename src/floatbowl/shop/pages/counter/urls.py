"""Addresses of the Counter."""

from django.urls import path

from floatbowl.shop.pages.counter import evidence, read_back, views

app_name = "counter"
HERE = "<int:number>/<int:place>/"

urlpatterns = [
    path("", views.home, name="home"),
    path("machines/", views.machines, name="machines"),
    path("looks/", views.looks, name="looks"),
    path("<int:number>/", views.show, name="enquiry"),
    path("<int:number>/another/", views.another, name="another"),
    path(HERE, views.show, name="page"),
    path(f"{HERE}caller/", views.caller, name="caller"),
    path(f"{HERE}machine/", views.machine, name="machine"),
    path(f"{HERE}reading/", evidence.reading, name="reading"),
    path(f"{HERE}look/", evidence.look, name="look"),
    path(f"{HERE}strike/<int:item>/", evidence.strike, name="strike"),
    path(f"{HERE}restore/<int:item>/", evidence.restore, name="restore"),
    path(f"{HERE}standing/", evidence.standing, name="standing"),
    path(f"{HERE}ask/", evidence.ask, name="ask"),
    path(f"{HERE}kit/", read_back.contents, name="contents"),
    path(f"{HERE}read-back/", read_back.read_back, name="read_back"),
    path(f"{HERE}withdraw/", read_back.withdraw, name="withdraw"),
    path("slip/<int:number>.pdf", read_back.slip, name="slip"),
]

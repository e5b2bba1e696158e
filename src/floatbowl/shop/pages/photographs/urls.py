"""Addresses of the photographs."""

from django.urls import path

from floatbowl.shop.pages.photographs import boxes, corners, pictures, take

app_name = "photographs"
HERE = "<int:which>/"

urlpatterns = [
    path("of/<int:number>/<int:place>/", take.begin, name="begin"),
    path(HERE, take.go_on, name="set"),
    path(f"{HERE}take/<slug:step>/", take.take, name="take"),
    path(f"{HERE}upload/<str:upload>/", take.upload, name="upload"),
    path(f"{HERE}accept/<slug:place>/", take.accept, name="accept"),
    path(f"{HERE}remove/<slug:place>/", take.remove, name="remove"),
    path(f"{HERE}delete/", take.delete, name="delete"),
    path(f"{HERE}corners/", corners.plate, name="corners"),
    path(f"{HERE}line/", corners.line, name="line"),
    path(f"{HERE}read/", boxes.show, name="read"),
    path(f"{HERE}work/", boxes.work_state, name="work"),
    path(f"{HERE}boxes/", boxes.keep, name="boxes"),
    path(f"{HERE}use/", boxes.use, name="use"),
    path(f"{HERE}picture/<slug:place>/", pictures.picture, name="picture"),
    path(f"{HERE}made/<slug:name>/", pictures.made, name="made"),
]

"""The Notebook's addresses."""

from django.urls import path, register_converter

from floatbowl.shop.pages.notebook import edit, views
from floatbowl.shop.pages.notebook.keys import KeyConverter

register_converter(KeyConverter, "key")

app_name = "notebook"
urlpatterns = [
    path("", views.home, name="home"),
    path("changes/", views.changes, name="changes"),
    path("look-alikes/", views.confused, name="confusable"),
    path("add/<slug:table>/", edit.add_row, name="add"),
    path("row/<slug:table>/<int:row>/", edit.edit_row, name="edit"),
    path("row/<slug:table>/<int:row>/remove/", edit.remove_row, name="remove"),
    path("<slug:kind>/", views.listing, name="kind"),
    path("<slug:kind>/<key:key>/", views.record, name="record"),
    path("<slug:kind>/<key:key>/changes/", views.record_history, name="history"),
]

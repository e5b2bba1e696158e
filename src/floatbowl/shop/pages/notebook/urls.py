"""The Notebook's addresses."""

from django.urls import path, register_converter

from floatbowl.shop.pages.notebook import edit, views
from floatbowl.shop.pages.notebook.keys import KeyConverter
from floatbowl.shop.pages.notebook.names import from_one_book

register_converter(KeyConverter, "key")

app_name = "notebook"
urlpatterns = [
    path("", from_one_book(views.home), name="home"),
    path("changes/", from_one_book(views.changes), name="changes"),
    path("look-alikes/", from_one_book(views.confused), name="confusable"),
    path("add/<slug:table>/", from_one_book(edit.add_row), name="add"),
    path("row/<slug:table>/<int:row>/", from_one_book(edit.edit_row), name="edit"),
    path("row/<slug:table>/<int:row>/remove/", from_one_book(edit.remove_row), name="remove"),
    path("<slug:kind>/", from_one_book(views.listing), name="kind"),
    path("<slug:kind>/<key:key>/", from_one_book(views.record), name="record"),
    path("<slug:kind>/<key:key>/changes/", from_one_book(views.record_history), name="history"),
]

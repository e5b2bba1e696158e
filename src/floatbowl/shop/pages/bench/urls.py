"""Addresses of the bench."""

from django.urls import path

from floatbowl.shop.pages.bench import booking, listing, measure, papers, parts, photographs, steps

app_name = "bench"
HERE = "<int:number>/"

urlpatterns = [
    path("", listing.home, name="home"),
    path("unit/", listing.unit, name="unit"),
    path("book/", booking.book, name="book"),
    path("book/<int:enquiry>/<int:place>/", booking.book, name="book_from"),
    path("strip-sheet-empty.pdf", papers.blank, name="blank"),
    path(HERE, steps.here, name="job"),
    path(f"{HERE}details/", booking.details, name="details"),
    path(f"{HERE}taken-for/", booking.taken_for, name="taken_for"),
    path(f"{HERE}history/", steps.history, name="history"),
    path(f"{HERE}step/<slug:step>/", steps.show, name="step"),
    path(f"{HERE}write/", steps.write, name="write"),
    path(f"{HERE}timer/", steps.timer, name="timer"),
    path(f"{HERE}go/", steps.go, name="go"),
    path(f"{HERE}hold/", steps.hold, name="hold"),
    path(f"{HERE}off-hold/", steps.off_hold, name="off_hold"),
    path(f"{HERE}close/", steps.close, name="close"),
    path(f"{HERE}reopen/", steps.reopen, name="reopen"),
    path(f"{HERE}photograph/", photographs.add, name="photograph"),
    path(f"{HERE}photograph/<int:which>/", photographs.show, name="picture"),
    path(f"{HERE}photograph/<int:which>/remove/", photographs.remove, name="remove_picture"),
    path(f"{HERE}measured/", measure.take, name="measured"),
    path(f"{HERE}decide/", measure.decide, name="decide"),
    path(f"{HERE}parts/", parts.add, name="part"),
    path(f"{HERE}parts/propose/", parts.propose, name="propose"),
    path(f"{HERE}parts/<int:which>/", parts.change, name="part_change"),
    path(f"{HERE}lines.csv", papers.lines, name="lines"),
    path(f"{HERE}paper/<slug:kind>.pdf", papers.paper, name="paper"),
]

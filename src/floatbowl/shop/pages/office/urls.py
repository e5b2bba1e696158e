"""Addresses of the office."""

from django.urls import path

from floatbowl.shop.pages.office import drafts, listing, papers, rules_page, views

app_name = "office"
HERE = "<int:number>/"

urlpatterns = [
    path("", listing.home, name="home"),
    path("new/", drafts.empty, name="new"),
    path("new/enquiry/<int:number>/<int:place>/", drafts.from_enquiry, name="from_enquiry"),
    path("new/job/<int:number>/", drafts.from_job, name="from_job"),
    path("new/again/<int:number>/", drafts.again, name="again"),
    path("new/totals/", drafts.totals, name="totals"),
    path("new/find/", drafts.find, name="find"),
    path("rules/", rules_page.change, name="rules"),
    path(HERE, views.show, name="paper"),
    path(f"{HERE}accept/", views.accept, name="accept"),
    path(f"{HERE}decline/", views.decline, name="decline"),
    path(f"{HERE}invoice/", views.issue, name="issue"),
    path(f"{HERE}pay/", views.pay, name="pay"),
    path(f"{HERE}credit/", views.credit, name="credit"),
    path(f"{HERE}pick-list.pdf", papers.pick_list, name="pick_list"),
    path(f"{HERE}paper.pdf", papers.paper, name="pdf"),
]

"""Addresses of the shelf. An item's own address comes last: its key may hold any signs."""

from django.urls import path

from floatbowl.shop.pages.shelf import (
    bring_in,
    buy,
    carry,
    item,
    job_parts,
    kits,
    last_order,
    listing,
    order_more,
    orders,
    papers,
    still,
    suppliers,
)

app_name = "shelf"
ITEM = "<slug:kind>/<path:key>/"

urlpatterns = [
    path("", listing.home, name="home"),
    path("begin/", listing.begin, name="begin"),
    path("kits/", kits.home, name="kits"),
    path("build/", kits.to_build, name="build"),
    path("build/now/", kits.build_now, name="build_now"),
    path("carry/", carry.home, name="carry"),
    path("still/", still.home, name="still"),
    path("buy/", buy.home, name="buy"),
    path("buy/order/", buy.order, name="buy_order"),
    path("job/<int:number>/put-back/", job_parts.put_back, name="job_put_back"),
    path("bring-in/", bring_in.home, name="bring_in"),
    path("bring-in/file/<slug:key>/", bring_in.answer, name="bring_in_answer"),
    path("bring-in/<slug:what>/", bring_in.send, name="bring_in_send"),
    path("orders/", orders.home, name="orders"),
    path("orders/<int:number>/", orders.show, name="order"),
    path("orders/<int:number>/do/", orders.do, name="order_do"),
    path("orders/<int:number>/change/", orders.change, name="order_change"),
    path("orders/<int:number>/more/", order_more.more, name="order_more"),
    path("orders/<int:number>/line/<int:line>/", orders.receive, name="order_line"),
    path("orders/<int:number>.pdf", papers.order_pdf, name="order_pdf"),
    path("orders/<int:number>.csv", papers.order_csv, name="order_csv"),
    path("suppliers/", suppliers.home, name="suppliers"),
    path("suppliers/<int:number>/", suppliers.show, name="supplier"),
    path("suppliers/<int:number>/price/", suppliers.price, name="supplier_price"),
    path(f"stop/{ITEM}", last_order.stop, name="last_stop"),
    path("last-order/<int:number>/withdraw/", last_order.withdraw, name="last_withdraw"),
    path("last-order/<int:number>/put/", last_order.put, name="last_put"),
    path("reverse/<int:line>/", item.reverse_line, name="reverse"),
    path("i/<int:number>/", item.short_address, name="short"),
    path(f"label/{ITEM}", papers.label, name="label"),
    path(f"do/<slug:deed>/{ITEM}", item.do, name="do"),
    path(ITEM, item.show, name="item"),
]

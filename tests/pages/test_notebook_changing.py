"""Changing what stands in the Notebook."""

from __future__ import annotations

import re
from html import unescape

import pytest
from django.test import Client

from floatbowl.reference.facts import Reference
from floatbowl.shop import records
from floatbowl.shop.changes import version_now
from floatbowl.shop.load import dump_reference, load_reference
from floatbowl.shop.models import Change, Person


def text(answer) -> str:
    """What a page says, without its tags."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


def filled(browser: Client, address: str) -> dict[str, str]:
    """The form of a page, as a browser would send it back untouched."""
    page = browser.get(address).content.decode()
    form = page[page.index('<form method="post"') : page.rindex("</form>")]
    sent = {}
    for tag in re.findall(r"<input[^>]*>", form):
        name, value = re.search(r'name="([^"]*)"', tag), re.search(r'value="([^"]*)"', tag)
        if name and name[1] != "csrfmiddlewaretoken":
            sent[name[1]] = unescape(value[1]) if value else ""
    for name, body in re.findall(r'<textarea name="([^"]*)"[^>]*>\n?(.*?)</textarea>', form, re.S):
        sent[name] = unescape(body)
    for name, body in re.findall(r'<select name="([^"]*)"[^>]*>(.*?)</select>', form, re.S):
        chosen = re.search(r'value="([^"]*)" selected', body) or re.search(r'value="([^"]*)"', body)
        sent[name] = unescape(chosen[1]) if chosen else ""
    return sent


def beside(answer, field: str) -> str:
    """What stands beside a field as wrong."""
    found = re.search(rf'id="field-{field}_error">(.*?)</p>', answer.content.decode(), re.S)
    return unescape(found[1]) if found else ""


def row_of(table: str, **wanted: str) -> records.Stored:
    return records.rows_where(table, **wanted)[0]


def edit_address(row: records.Stored) -> str:
    return f"/notebook/row/{row.table}/{row.row}/"


def test_a_change_is_saved_told_and_written_down(ines: Client) -> None:
    mark = row_of("marks", text="2063")
    sent = filled(ines, edit_address(mark)) | {"text": "2068", "doubt": ""}
    answer = ines.post(edit_address(mark), sent, follow=True)
    assert "Saved: mark 2068" in text(answer)
    assert answer.redirect_chain[0][0] == f"/notebook/carburettor/k36-118/#marks-{mark.row}"
    change = Change.objects.latest("id")
    assert (change.who, change.before["text"], change.after["text"]) == ("Ines", "2063", "2068")
    page = text(ines.get("/notebook/carburettor/k36-118/changes/"))
    assert "Ines changed the mark" in page
    assert "before: 2063" in page
    assert "after: 2068" in page


def test_a_change_is_told_on_both_records_it_joins(ines: Client) -> None:
    ines.post("/notebook/add/kit_fits/?kit=T-26", {"carburettor": "k36-118", "condition": "raised bar"})
    for page in ("/notebook/kit/T-26/", "/notebook/carburettor/k36-118/"):
        assert "Ines added the carburettor a kit fits" in text(ines.get(page))
    assert "Ines added" not in text(ines.get("/notebook/carburettor/k36-113/"))


def test_saving_a_form_untouched_changes_nothing(ines: Client, written: Reference) -> None:
    before = version_now()
    for table in (
        "carburettors",
        "marks",
        "features",
        "parts",
        "part_sizes",
        "kits",
        "kit_fits",
        "settings",
        "came_on",
    ):
        for number in records.rows_where(table, None):
            answer = ines.post(edit_address(number), filled(ines, edit_address(number)))
            assert answer.status_code == 302, text(answer)
    assert version_now() == before
    assert dump_reference() == written


def test_it_changes_what_the_counter_is_told(ines: Client) -> None:
    from floatbowl.shop.standing import current_reference

    assert current_reference().parts[0].name == "Bowl gasket"
    part = row_of("parts", part="G-1")
    ines.post(edit_address(part), filled(ines, edit_address(part)) | {"name": "Cork gasket"})
    assert current_reference().parts[0].name == "Cork gasket"


def test_a_row_is_added_where_it_belongs(ines: Client) -> None:
    address = "/notebook/add/settings/?carburettor=k36-113"
    sent = {"quantity": "idle turns", "value": "1.25", "low": "1", "high": "1.5", "needle": "air", "source": "works"}
    assert ines.post(address, sent).status_code == 302
    fact = row_of("settings", carburettor="k36-113").fact
    assert (fact.quantity, fact.value, fact.low, fact.needle) == ("idle turns", "1.25", 1.0, "air")


def test_a_carburettor_can_be_meant_by_its_number_and_a_kit_by_its_name(ines: Client) -> None:
    assert ines.post("/notebook/add/kit_fits/?kit=T-26", {"carburettor": "k36/118"}).status_code == 302
    assert row_of("kit_fits", kit="T-26", carburettor="k36-118")
    assert ines.post("/notebook/add/kit_fits/?carburettor=k36-113", {"kit": "gasket kit"}).status_code == 302
    assert row_of("kit_fits", kit="T-25", carburettor="k36-113")


@pytest.mark.parametrize(
    ("table", "given", "sent", "field", "says"),
    [
        ("marks", "carburettor=k36-118", {"text": "", "role": "casting"}, "text", "cannot be left empty"),
        ("marks", "carburettor=k36-118", {"text": "//", "role": "casting"}, "text", "no letter, digit or device"),
        ("marks", "carburettor=k36-118", {"text": "A1", "role": "wrong"}, "role", "is not one of"),
        ("marks", "carburettor=k36-118", {"text": "A1", "role": ""}, "role", "cannot be left empty"),
        (
            "parts",
            "",
            {"part": "G-2", "kind": "gasket", "name": "x", "price": "1,500"},
            "price",
            "may mean 1500 or 1.500",
        ),
        ("parts", "", {"part": "G-2", "kind": "gasket", "name": "x", "price": "-1"}, "price", "below 0"),
        ("parts", "", {"part": "G-2", "kind": "gasket", "name": "x", "price": "nan"}, "price", "not a plain number"),
        ("parts", "", {"part": "G-1", "kind": "gasket", "name": "x"}, "part", "There is such a part already"),
        ("machines", "", {"machine": "m", "make": "a", "model": "b", "cylinders": "1.5"}, "cylinders", "whole number"),
        ("kit_parts", "kit=T-25", {"part": "bowl gaskit", "quantity": "1"}, "part", "Near it: Bowl gasket"),
        ("features", "carburettor=k36-113", {"feature": "inlet side", "value": "up"}, "value", "left, right"),
        ("carburettors", "", {"carburettor": "n", "maker": "nobody"}, "maker", "No maker goes by"),
        ("parts", "", {"part": "a\0b", "kind": "gasket", "name": "x"}, "part", "cannot be kept"),
    ],
)
def test_what_is_wrong_stands_beside_the_field_and_what_was_typed_is_kept(
    ines: Client, table: str, given: str, sent: dict[str, str], field: str, says: str
) -> None:
    before = version_now()
    answer = ines.post(f"/notebook/add/{table}/?{given}", sent)
    assert answer.status_code == 422
    assert says in beside(answer, field) or says in text(answer)
    assert beside(answer, field)
    assert version_now() == before
    page = answer.content.decode()
    for name, value in sent.items():
        if "\0" not in value and value:
            kept = re.search(rf'name="{name}"[^>]*value="([^"]*)"', page) or re.search(
                rf'value="({value})" selected', page
            )
            assert kept, name
            assert unescape(kept[1]) == value


def test_two_browsers_changing_one_record(ines: Client, wil: Client) -> None:
    """The second is told, sees both texts, keeps his own, and may then decide."""
    part = row_of("parts", part="G-1")
    by_ines, by_wil = filled(ines, edit_address(part)), filled(wil, edit_address(part))
    assert ines.post(edit_address(part), by_ines | {"name": "Cork gasket", "price": "2"}).status_code == 302
    answer = wil.post(edit_address(part), by_wil | {"name": "Paper gasket"})
    assert answer.status_code == 409
    page = text(answer)
    assert "Ines changed this part while you had it open" in page
    assert "Now it says: Cork gasket" in page
    assert 'value="Paper gasket"' in answer.content.decode()
    assert row_of("parts", part="G-1").fact.name == "Cork gasket"
    again = re.search(r'name="shown" value="([^"]*)"', answer.content.decode())
    assert again
    decided = by_wil | {"name": "Paper gasket", "price": "2", "shown": again[1]}
    assert wil.post(edit_address(part), decided).status_code == 302
    fact = row_of("parts", part="G-1").fact
    assert (fact.name, fact.price) == ("Paper gasket", 2.0)
    assert [c.who for c in Change.objects.filter(table="parts").order_by("id")] == ["Ines", "Wil"]


def test_what_is_wrong_is_also_told_when_somebody_was_quicker(ines: Client, wil: Client) -> None:
    part = row_of("parts", part="G-1")
    by_wil = filled(wil, edit_address(part))
    ines.post(edit_address(part), filled(ines, edit_address(part)) | {"name": "Cork gasket"})
    answer = wil.post(edit_address(part), by_wil | {"price": "cheap"})
    assert answer.status_code == 409
    assert "is not a number" in beside(answer, "price")
    assert 'value="cheap"' in answer.content.decode()


def test_a_row_taken_out_meanwhile_can_be_added_again_as_typed(ines: Client, wil: Client) -> None:
    mark = row_of("marks", text="2063")
    by_wil = filled(wil, edit_address(mark)) | {"text": "2063A"}
    remove = f"{edit_address(mark)}remove/"
    assert ines.post(remove, {"shown": mark.print}).status_code == 302
    answer = wil.post(edit_address(mark), by_wil)
    assert answer.status_code == 409
    assert "Ines took this mark out" in text(answer)
    assert 'value="2063A"' in answer.content.decode()
    action = re.search(r'<form method="post"[^>]* action="([^"]*)"', answer.content.decode())
    assert action
    assert wil.post(unescape(action[1]), by_wil).status_code == 302
    assert row_of("marks", text="2063A").fact.carburettor == "k36-118"


def test_a_form_left_open_over_a_load_does_not_hit_another_row(ines: Client, wil: Client, written: Reference) -> None:
    from dataclasses import replace

    part = row_of("parts", part="G-1")
    sent = filled(wil, edit_address(part)) | {"name": "Paper gasket"}
    load_reference(replace(written, parts=(replace(written.parts[0], name="Cork gasket"),)), "Hal")
    answer = wil.post(edit_address(part), sent)
    assert answer.status_code == 409
    assert 'value="Paper gasket"' in answer.content.decode()
    assert row_of("parts", part="G-1").fact.name == "Cork gasket"


def test_a_record_that_others_name_stays(ines: Client) -> None:
    carburettor = row_of("carburettors", carburettor="k36-118")
    address = f"{edit_address(carburettor)}remove/"
    assert "It has to stay for now" in text(ines.get(address))
    ines.post(address, {"shown": carburettor.print})
    assert records.stored("carburettors", carburettor.row)


def test_taking_out_what_was_changed_meanwhile_is_refused(ines: Client, wil: Client) -> None:
    mark = row_of("marks", text="2063")
    ines.post(edit_address(mark), filled(ines, edit_address(mark)) | {"text": "2068"})
    answer = wil.post(f"{edit_address(mark)}remove/", {"shown": mark.print})
    assert answer.status_code == 409
    assert "2068" in text(answer)
    assert records.stored("marks", mark.row)


def test_the_shops_own_columns_are_kept_and_can_be_changed(ines: Client) -> None:
    row = row_of("carburettors", carburettor="k36-118")
    sent = filled(ines, edit_address(row))
    assert sent["extra"] == "shelf: B4"
    ines.post(edit_address(row), sent | {"note": "seen"})
    assert row_of("carburettors", carburettor="k36-118").fact.extra == (("shelf", "B4"),)
    sent = filled(ines, edit_address(row)) | {"extra": "shelf: B5\nbox: 2"}
    ines.post(edit_address(row), sent)
    assert row_of("carburettors", carburettor="k36-118").fact.extra == (("shelf", "B5"), ("box", "2"))


def test_who_changes_something_is_asked_beside_it_and_kept(notebook: Reference) -> None:
    browser = Client(SERVER_NAME="localhost")
    part = row_of("parts", part="G-1")
    sent = filled(browser, edit_address(part)) | {"name": "Cork gasket"}
    answer = browser.post(edit_address(part), sent)
    assert answer.status_code == 422
    assert "Say who you are" in text(answer)
    assert 'value="Cork gasket"' in answer.content.decode()
    assert browser.post(edit_address(part), sent | {"who": "  Tobiah   Renn "}).status_code == 302
    assert Change.objects.latest("id").who == "Tobiah Renn"
    assert Person.objects.filter(name="Tobiah Renn", here=True).exists()
    assert "changed by Tobiah Renn" in text(browser.get(edit_address(part)))


def test_after_saving_nobody_is_led_to_another_house(ines: Client) -> None:
    part = row_of("parts", part="G-1")
    sent = filled(ines, edit_address(part)) | {"name": "Cork gasket"}
    answer = ines.post(f"{edit_address(part)}?next=https://elsewhere.example/", sent)
    assert answer.status_code == 302
    assert "elsewhere" not in answer.headers["Location"]
    page = ines.get(f"{edit_address(part)}?next=javascript:alert(1)").content.decode()
    assert "javascript:" not in page

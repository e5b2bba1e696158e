"""Taking a call: what is told is kept item by item, shown by name, and never lost."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client

from floatbowl.reference.facts import Reference
from floatbowl.shop.models import Enquiry, Evidence, InHand


def told(in_hand: InHand) -> list[str]:
    return [str(item) for item in in_hand.evidence.filter(struck_at=None)]


def test_a_call_begins_with_whatever_is_said_first(call: Any) -> None:
    counter = call(text="K36/118", machine_text="Drumlow Lowfold", caller="Mrs Hollis")
    page = counter.see()
    assert "Mrs Hollis" in page
    assert "K36/118" in page
    assert "in 100 this kit" in page
    assert counter.in_hand.machine == "lowfold"


def test_a_call_may_begin_with_nothing(call: Any) -> None:
    assert "Nothing told yet" in call().see()


def test_a_wrong_first_number_keeps_all_that_was_typed(client: Any, small_shop: Reference) -> None:
    answer = client.post("/counter/", {"text": "K" * 300, "caller": "Mrs Hollis", "machine_text": "Lowfold"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "K" * 300 in page
    assert 'value="Mrs Hollis"' in page
    assert "No number is that long" in page
    assert not Enquiry.objects.exists()


@pytest.mark.parametrize("typed", ["lowfold", "Drumlow  LOWFOLD", "drumlow lowfold"])
def test_a_machine_is_known_by_its_name_however_it_is_typed(call: Any, typed: str) -> None:
    assert call(machine_text=typed).in_hand.machine == "lowfold"


def test_an_unknown_machine_is_kept_as_it_was_said(call: Any) -> None:
    counter = call(machine_text="Grandfather's pump")
    assert "is no machine in our records" in counter.see()
    assert "Grandfather&#x27;s pump" in counter.see()


def test_each_item_is_kept_as_it_is_entered(call: Any) -> None:
    counter = call()
    assert counter.read("K3?/11[83]", part="tag", made="stamped").status_code == 200
    assert counter.look("magnet body", "sticks").status_code == 200
    assert told(counter.in_hand) == ["K3?/11[83]", "magnet body: sticks"]
    first = counter.in_hand.evidence.first()
    assert (first.part, first.form, first.via) == ("tag", "stamped", "seen")


def test_a_changed_item_is_kept_beside_the_new_one(call: Any) -> None:
    counter = call(text="K36/113")
    old = counter.in_hand.evidence.get()
    counter.read("K36/118", replaces=str(old.pk))
    old.refresh_from_db()
    assert old.struck_at is not None
    assert told(counter.in_hand) == ["K36/118"]
    assert counter.in_hand.evidence.get(text="K36/118").replaces == old


def test_a_struck_item_counts_no_more_and_can_be_taken_back_in(call: Any) -> None:
    counter = call(text="K36/118")
    item = counter.in_hand.evidence.get()
    counter.post(f"strike/{item.pk}")
    assert "Nothing told yet" in counter.see()
    counter.post(f"restore/{item.pk}")
    assert told(counter.in_hand) == ["K36/118"]
    assert Evidence.objects.count() == 2


@pytest.mark.parametrize("odd", ["", "K" * 500, "🚜", "   ", "***", "[", "[]", "\\", "Ж" * 90])
def test_an_odd_reading_is_taken_or_given_back_with_a_reason(call: Any, odd: str) -> None:
    counter = call()
    answer = counter.read(odd)
    assert answer.status_code in (200, 422)
    if answer.status_code == 422:
        page = answer.content.decode()
        assert 'class="error"' in page
        assert f'value="{odd.strip()}"' in page
        assert told(counter.in_hand) == []
    assert "Counter" in counter.see()


@pytest.mark.parametrize("odd", ["?", "????????", "数字", "K36/118 🚜", "{RING}", "{NOBODY}", "[83", "a\\?b"])
def test_a_strange_reading_is_weighed(call: Any, odd: str) -> None:
    counter = call()
    assert counter.read(odd).status_code == 200
    assert told(counter.in_hand) == [odd]


def test_a_number_told_twice_counts_as_one_item(call: Any) -> None:
    counter = call(text="2063")
    counter.read("2063", part="bowl", made="cast")
    groups = {item.group for item in counter.in_hand.evidence.all()}
    assert len(groups) == 1
    assert groups != {""}


def test_a_measure_may_be_told_in_inches(call: Any) -> None:
    counter = call()
    counter.look("bolt spacing", '2 3/8"', tool="rule")
    item = counter.in_hand.evidence.get()
    assert item.number == pytest.approx(60.325)
    assert item.typed == '2 3/8"'
    assert "given as 2 3/8" in counter.see()


@pytest.mark.parametrize(
    ("feature", "typed"), [("bolt spacing", "about two"), ("bolt spacing", ""), ("inlet side", "up")]
)
def test_a_wrong_answer_is_given_back_with_what_to_do(call: Any, feature: str, typed: str) -> None:
    counter = call()
    answer = counter.look(feature, typed)
    assert answer.status_code == 422
    assert 'class="error"' in answer.content.decode()
    assert typed in answer.content.decode()
    assert told(counter.in_hand) == []


def question(page: str) -> str:
    return page.split('id="ask-question"')[1].split(">")[1].split("<")[0]


def test_unsure_is_an_answer_and_is_not_asked_again(call: Any, small_shop: Reference) -> None:
    counter = call(machine_text="Lowfold")
    asked = question(counter.see())
    kind = next(kind for kind in small_shop.feature_kinds if kind.question == asked)
    counter.look(kind.feature, "unsure")
    assert told(counter.in_hand) == [f"{kind.feature}: unsure"]
    assert question(counter.see()) != asked


def test_a_tag_that_nobody_can_read_is_not_asked_for_again(call: Any) -> None:
    counter = call(machine_text="Lowfold")
    counter.post("look", mark="tag")
    assert "Nobody can read it" not in counter.see() or "on the tag" not in question(counter.see())
    assert "nobody can read it" in counter.see()


def test_any_look_can_be_asked_for(call: Any) -> None:
    counter = call()
    found = counter.client.get("/counter/looks/", {"q": "magnet body"}).content.decode()
    assert "Does a magnet stick to the throttle body?" in found
    asked = counter.get("ask", feature="magnet body").content.decode()
    assert question(asked) == "Does a magnet stick to the throttle body?"
    assert 'value="does not stick"' in asked


def test_two_carburettors_of_one_call_keep_their_evidence_apart(call: Any) -> None:
    counter = call(text="K36/118")
    added = counter.client.post(f"/counter/{counter.in_hand.enquiry_id}/another/")
    assert added["Location"].endswith("/2/")
    counter.client.post(f"{added['Location']}reading/", {"text": "206-D-3", "via": "seen"})
    second = InHand.objects.get(enquiry=counter.in_hand.enquiry, place=2)
    assert told(second) == ["206-D-3"]
    assert told(counter.in_hand) == ["K36/118"]


def test_a_half_typed_number_is_weighed_but_not_kept(call: Any) -> None:
    counter = call()
    answer = counter.get("standing", text="206-D", via="seen").content.decode()
    assert "Brattock" in answer
    assert "as far as it is typed" in answer
    assert told(counter.in_hand) == []


def test_without_scripts_the_page_works_by_plain_forms(call: Any) -> None:
    counter = call()
    answer = counter.client.post(f"{counter.at}reading/", {"text": "K36/118", "via": "seen"})
    assert answer["Location"] == counter.at
    refused = counter.client.post(f"{counter.at}reading/", {"text": "", "via": "seen"})
    assert refused.status_code == 422
    assert b"Type what can be read" in refused.content


def test_no_key_of_the_records_is_shown(call: Any, small_shop: Reference) -> None:
    counter = call(text="K36/118", machine_text="Lowfold")
    shown = counter.see()
    text = "".join(part.split(">", 1)[-1] for part in shown.split("<"))
    for row in (*small_shop.carburettors, *small_shop.kits):
        key = getattr(row, "kit", "") or row.carburettor  # type: ignore[attr-defined]
        assert key not in text
    assert "Tarnsyke K36/118" in text


def test_a_kit_is_shown_by_size_with_what_it_leaves_out(call: Any, small_shop: Reference) -> None:
    counter = call(text="K36/118")
    kits = [fit.kit for fit in small_shop.kit_fits if fit.carburettor == "k36-118"]
    gaskets = next(kit.kit for kit in small_shop.kits if kit.kit in kits and kit.level == "gaskets")
    shown = counter.get("kit", kit=gaskets, carburettor="k36-118").content.decode()
    row = next(row for row in small_shop.kit_parts if row.kit == gaskets)
    size = next(size for size in small_shop.part_sizes if size.part == row.part)
    assert f"{size.quantity} {size.value}" in shown
    assert "Not in the kit:" in shown


def test_the_version_the_caller_wants_comes_first_and_others_say_so(call: Any) -> None:
    counter = call(text="K36/118", want_level="gaskets", want_fuel="petrol")
    shown = counter.see()
    first_kit = shown.split('class="kit-name">')[1].split("</p>")[0]
    assert "Gasket kit" in first_kit
    assert "the caller asked for gaskets" in shown


def test_kits_and_carburettors_can_be_opened_to_what_is_recorded(call: Any) -> None:
    counter = call(text="K36/118")
    records = re.findall(r'class="record" href="([^"]+)"', counter.see())
    assert len(records) > 2
    for address in records:
        assert counter.client.get(address).status_code == 200


class TestTwoBrowsers:
    def test_the_second_is_told_and_keeps_its_text(self, call: Any) -> None:
        counter = call(caller="Mrs Hollis")
        version = str(counter.in_hand.enquiry.version)
        assert counter.post("caller", caller="Mrs Holly", version=version).status_code == 200
        answer = counter.post("caller", caller="Mr Hollis", version=version)
        page = answer.content.decode()
        assert answer.status_code == 409
        assert "Mrs Holly" in page
        assert 'value="Mr Hollis"' in page
        assert Enquiry.objects.get().caller == "Mrs Holly"

    def test_different_fields_do_not_stand_in_each_others_way(self, call: Any) -> None:
        counter = call(caller="Mrs Hollis")
        version = str(counter.in_hand.enquiry.version)
        counter.post("caller", caller="Mrs Hollis", phone="01000 960144", version=version)
        assert Enquiry.objects.get().phone == "01000 960144"

    def test_who_changed_what_is_kept(self, call: Any) -> None:
        counter = call(caller="Mrs Hollis")
        counter.post("caller", caller="Mrs Holly")
        change = Enquiry.objects.get().changes.get()
        assert (change.field, change.before, change.after) == ("caller", "Mrs Hollis", "Mrs Holly")


def test_a_wrong_year_is_kept_in_its_field_with_what_to_do(call: Any) -> None:
    counter = call(machine_text="Lowfold")
    answer = counter.post("machine", machine_text="Lowfold", year="19x8")
    assert answer.status_code == 422
    assert 'value="19x8"' in answer.content.decode()
    assert "A year is four figures" in answer.content.decode()


def test_cautions_stand_where_a_number_is_asked_for(call: Any) -> None:
    shown = call().see()
    assert "Photograph it untouched first." in shown
    assert "soft brush" in shown
    assert "wire brush" in shown


def test_an_empty_beginning_begins_nothing_and_says_what_is_wanted(small_shop: Reference, client: Client) -> None:
    answer = client.post("/counter/", {"text": " ", "machine_text": "", "caller": " "})
    assert answer.status_code == 422
    assert b"Write down one thing the caller said" in answer.content
    assert not Enquiry.objects.exists()


def test_calls_that_are_not_shown_are_counted(small_shop: Reference, client: Client) -> None:
    Enquiry.objects.bulk_create(Enquiry(caller=f"Caller {number}") for number in range(11))
    page = client.get("/counter/").content.decode()
    assert "and 3 more" in page
    assert "/enquiries/?which=open" in page


def test_a_machine_that_is_none_of_ours_is_said_to_say_nothing_once(call: Any) -> None:
    strange = call(machine_text="Quern 12").see()
    assert "is no machine in our records, so it says nothing about which carburettor it is" in strange
    assert "count a little" not in strange
    meant = call(machine_text="Drumlow Lowfeld").see()
    assert "is taken for Drumlow Lowfold" in meant
    assert "That machine is not in our records" not in meant

"""The list of what can be worked out."""

from __future__ import annotations

from django.test import Client

from floatbowl.work_out.calculation import Calculation
from floatbowl.work_out.everything import groups


def test_all_are_there_by_group(visitor: Client) -> None:
    shown = visitor.get("/work-out/").content.decode()
    for group in groups():
        assert f">{group.title}</h2>" in shown
        for one in group.calculations:
            assert f'href="/work-out/{one.key}/"' in shown


def test_looking_finds_by_title_about_and_what_is_asked(visitor: Client, hole: Calculation) -> None:
    for words, there in (("HOLE", True), ("blind flat", True), ("depth", True), ("float", False), ("hole zzz", False)):
        shown = visitor.get("/work-out/", {"find": words}).content.decode()
        assert ("/work-out/hole/" in shown) is there, words
    assert "Nothing here speaks of “hole zzz”" in visitor.get("/work-out/", {"find": "hole zzz"}).content.decode()


def test_while_typing_only_the_list_comes(visitor: Client, hole: Calculation) -> None:
    piece = visitor.get("/work-out/", {"find": "hole"}, headers={"HX-Target": "found"}).content.decode()
    assert "<h1" not in piece
    assert "/work-out/hole/" in piece
    assert "/work-out/plain/" not in piece


def test_inches_are_carried_on(visitor: Client, hole: Calculation) -> None:
    assert 'href="/work-out/hole/?lengths=inch"' in visitor.get("/work-out/?lengths=inch").content.decode()


def test_no_other_page_is_there_and_nothing_is_changed_here(visitor: Client, hole: Calculation) -> None:
    assert visitor.get("/work-out/steam/").status_code == 404
    assert visitor.post("/work-out/hole/", {"depth": "1"}).status_code == 405

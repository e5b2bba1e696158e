"""Which signs the papers' typeface has, against an independent reader of font files."""

from importlib import resources

from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from floatbowl.papers.typeface import FAMILY, fonts, unprintable

FONTS = resources.files("floatbowl.papers") / "fonts"
with resources.as_file(FONTS / "SourceSans3-Regular.ttf") as file:
    CODES = frozenset(TTFont(file).getBestCmap())


def test_every_sign_of_the_font_is_known_and_no_other() -> None:
    for code in range(0x10000):
        sign = chr(code)
        if not sign.isspace() and not 0xD800 <= code <= 0xDFFF:
            assert (unprintable(sign) == "") == (code in CODES), hex(code)


@given(st.text())
def test_unprintable_signs_are_named_once_and_in_order(text: str) -> None:
    missing = unprintable(text)
    assert len(set(missing)) == len(missing)
    assert [text.index(sign) for sign in missing] == sorted(text.index(sign) for sign in missing)


def test_only_fonts_that_travel_with_the_papers_are_used() -> None:
    assert FAMILY in fonts().families()
    assert {font.weight for font in fonts().fonts() if font.family == FAMILY} == {400, 600}
    assert "Open Font License" in (FONTS / "OFL.txt").read_text("utf-8")

"""One self-contained page on which a light can be moved over a relief."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from html import escape
from importlib import resources
from string import Template

from floatbowl.photo.opening import as_jpeg, as_png
from floatbowl.photo.relief import Relief, normals_picture, relief_picture


def relight_page(relief: Relief, name: str, says: Sequence[str] = ()) -> str:
    """The page as HTML with all its pictures inside; ``says`` are sentences about the set that belong on it."""
    page = Template(_file("relight.html"))
    return page.substitute(
        name=escape(name),
        said="\n".join(f'<p class="said">{escape(sentence)}</p>' for sentence in says),
        normals=_address("png", as_png(normals_picture(relief.normals))),
        plain=_address("jpeg", as_jpeg(relief.straight.plain, 85)),
        cleaned=_address("jpeg", as_jpeg(relief.cleaned, 85)),
        relief=_address("jpeg", as_jpeg(relief_picture(relief), 85)),
        script=_file("relight.js") + _file("controls.js"),
    )


def _address(kind: str, data: bytes) -> str:
    return f"data:image/{kind};base64,{base64.b64encode(data).decode('ascii')}"


def _file(name: str) -> str:
    return (resources.files("floatbowl.photo") / "page" / name).read_text(encoding="utf-8")

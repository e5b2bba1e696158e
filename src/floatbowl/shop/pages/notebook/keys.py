"""A record's key as one step of an address, whatever characters the shop put into it."""

from __future__ import annotations

import re
from urllib.parse import quote, unquote


class KeyConverter:
    """Keys in addresses: letters, digits, ``-``, ``_`` and ``.`` as they are, all else as ``~`` and two digits.

    A percent sign would be undone by servers on the way, and a slash or two dots would lead elsewhere.

    >>> KeyConverter().to_url("6.114/2 ~"), KeyConverter().to_python("6.114~2F2~20~7E")
    ('6.114~2F2~20~7E', '6.114/2 ~')
    """

    regex = "[^/]+"

    def to_url(self, value: str) -> str:
        text = re.sub("~", "%7E", quote(value, safe=""))
        if not value.strip("."):
            text = text.replace(".", "%2E")
        return text.replace("%", "~")

    def to_python(self, value: str) -> str:
        return unquote(value.replace("~", "%"))

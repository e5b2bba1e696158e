"""The address by which a phone in the building reaches a page."""

from __future__ import annotations

import ipaddress
from urllib.parse import urlsplit

from django.conf import settings
from django.http import HttpRequest

ONLY_HERE = (
    "The square code is left off: at this address the pages can be reached on this computer only. Start them with "
    "floatbowl serve --host 0.0.0.0 and a phone in the building can open a page from its code."
)


def for_a_phone(request: HttpRequest, path: str) -> str:
    """The page's address as another device can open it; empty where the pages are served to this machine alone."""
    asked = urlsplit(f"//{request.get_host()}")
    host = asked.hostname or ""
    name = host if _reachable(host) else next(filter(_reachable, settings.ALLOWED_HOSTS), "")
    end = f":{asked.port}" if asked.port else ""
    return f"{request.scheme}://{name}{end}{path}" if name else ""


def _reachable(host: str) -> bool:
    """Whether a name or address means this machine to others too."""
    if host in ("localhost", "", "*", "testserver"):
        return False
    try:
        return not ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return True

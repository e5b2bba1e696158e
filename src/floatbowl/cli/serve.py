"""``floatbowl serve``: the pages, by waitress."""

from __future__ import annotations

import contextlib
import errno
import os
import socket
from pathlib import Path

import click

PORTS_TRIED = 20
BODY_LIMIT_BYTES = 10 * 1024 * 1024


@click.command()
@click.option("--database", type=click.Path(path_type=Path, dir_okay=False), help="The shop's database file.")
@click.option(
    "--host", default="127.0.0.1", show_default=True, help="Address to listen on; 0.0.0.0 for the whole building."
)
@click.option("--port", type=click.IntRange(0, 65535), default=8000, show_default=True, help="0 takes any free port.")
@click.option("--threads", type=click.IntRange(1, 64), default=8, show_default=True, help="Requests answered at once.")
def serve(database: Path | None, host: str, port: int, threads: int) -> None:
    """Serve the shop's pages until stopped with Ctrl-C."""
    _allow_host(host)
    from floatbowl.shop.setup import prepare

    try:
        path = prepare(database)
    except OSError as fault:
        raise click.ClickException(
            f"The database's folder cannot be used: {fault}. Name another with --database."
        ) from fault
    listening = open_socket(host, port)
    taken = listening.getsockname()[1]
    if port not in (0, taken):
        click.echo(f"Port {port} is in use by another program, so this uses {taken} instead.")
    load_pages()
    click.echo(f"The shop's pages: http://{_shown(host)}:{taken}/  (database {path}; stop with Ctrl-C)")
    run(listening, threads)


def load_pages() -> None:
    """Load all pages, so that nobody who opens the address waits for it."""
    from django.urls import get_resolver

    get_resolver().url_patterns  # noqa: B018 - reading it imports them


def run(listening: socket.socket, threads: int) -> None:
    """Answer requests on an open socket until interrupted."""
    import waitress

    from floatbowl.shop.shelf.warming import warm_in_background
    from floatbowl.shop.standing import keep_up
    from floatbowl.shop.wsgi import application

    keep_up()
    warm_in_background()
    waitress.serve(
        application,
        sockets=[listening],
        threads=threads,
        max_request_body_size=BODY_LIMIT_BYTES,
        ident="floatbowl",
        channel_timeout=60,
    )


def open_socket(host: str, port: int) -> socket.socket:
    """Listen on ``port``, or on the next free one after it. Raises click.ClickException where none can be had."""
    for candidate in range(port, min(port + PORTS_TRIED, 65536)):
        try:
            return socket.create_server((host, candidate), family=socket.AF_INET6 if ":" in host else socket.AF_INET)
        except OSError as fault:
            if fault.errno == errno.EADDRINUSE:
                continue
            raise click.ClickException(
                f"Cannot listen on {host} port {candidate}: {fault.strerror or fault}."
            ) from fault
    raise click.ClickException(f"Ports {port} to {port + PORTS_TRIED - 1} are all in use. Name another with --port.")


def _allow_host(host: str) -> None:
    """Let browsers call this machine by the name or address it listens on."""
    names = {host} if host not in ("0.0.0.0", "::") else {socket.gethostname(), *_own_addresses()}
    known = os.environ.get("FLOATBOWL_HOSTS", "")
    os.environ["FLOATBOWL_HOSTS"] = ",".join(filter(None, [known, *sorted(names)]))


def _own_addresses() -> list[str]:
    found = []
    with contextlib.suppress(OSError):
        found += socket.gethostbyname_ex(socket.gethostname())[2]
    # Nothing is sent: a datagram socket only picks the address this machine would send from (RFC 5737 test network).
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.connect(("192.0.2.1", 9))
        found.append(probe.getsockname()[0])
    return found


def _shown(host: str) -> str:
    """The host as it stands in an address a person can open on this machine."""
    if host in ("0.0.0.0", "::"):
        return socket.gethostname()
    return f"[{host}]" if ":" in host else host

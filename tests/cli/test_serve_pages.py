"""``floatbowl serve``: a real server, asked as a browser asks."""

from __future__ import annotations

import http.client
import re
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from click.testing import CliRunner

from floatbowl.cli.serve import serve

FLOATBOWL = [sys.executable, "-c", "from floatbowl.cli import main; main()"]


@contextmanager
def serving(database: Path, port: int) -> Iterator[tuple[list[str], int]]:
    """A running server: what it said up to its address, and the port it took."""
    command = [*FLOATBOWL, "serve", "--database", str(database), "--port", str(port)]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, bufsize=1)
    assert process.stdout
    said = []
    try:
        while not said or "http://" not in said[-1]:
            line = process.stdout.readline()
            assert line, "the server ended"
            said.append(line)
        found = re.search(r"http://127\.0\.0\.1:(\d+)/", said[-1])
        assert found
        yield said, int(found[1])
    finally:
        process.terminate()
        process.wait(timeout=20)
        process.stdout.close()


def ask(port: int, method: str, path: str, **more: object) -> tuple[int, http.client.HTTPMessage, str]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    connection.request(method, path, **more)  # type: ignore[arg-type]
    answer = connection.getresponse()
    told = answer.status, answer.headers, answer.read().decode(errors="replace")
    connection.close()
    return told


def test_pages_and_their_styles_are_served(tmp_path: Path) -> None:
    with serving(tmp_path / "shop.sqlite3", 0) as (said, port):
        assert str(tmp_path / "shop.sqlite3") in said[-1]
        status, headers, body = ask(port, "GET", "/notebook/")
        assert status == 200
        assert "default-src 'none'" in headers["Content-Security-Policy"]
        for style in re.findall(r'<link rel="stylesheet" href="([^"]+)"', body):
            status, headers, _ = ask(port, "GET", style)
            assert (status, headers.get_content_type()) == (200, "text/css")
        assert ask(port, "GET", "/static/../settings.py")[0] == 404
        too_long = {"Content-Length": str(11 * 1024 * 1024)}
        assert ask(port, "POST", "/who/", headers=too_long)[0] == 413
        chunks = [b"x" * 1024 * 1024] * 12
        assert refused_or_cut_off(port, chunks)


def refused_or_cut_off(port: int, chunks: list[bytes]) -> bool:
    """Whether a body that states no length is refused once it is too long."""
    try:
        return ask(port, "POST", "/who/", body=iter(chunks), encode_chunked=True)[0] == 413
    except (BrokenPipeError, ConnectionResetError):
        return True


def test_a_port_in_use_is_told_and_the_next_one_taken(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        with serving(tmp_path / "shop.sqlite3", port) as (said, taken):
            assert said[0].startswith(f"Port {port} is in use by another program, so this uses {taken} instead.")
            assert port < taken < port + 20
            assert ask(taken, "GET", "/notebook/")[0] == 200


def test_an_address_that_is_not_this_machines_is_told_plainly(tmp_path: Path) -> None:
    command = [*FLOATBOWL, "serve", "--database", str(tmp_path / "shop.sqlite3"), "--host", "203.0.113.9"]
    done = subprocess.run(command, check=False, capture_output=True, text=True, timeout=60)
    assert done.returncode == 1
    assert "Cannot listen on 203.0.113.9" in done.stderr
    assert "Traceback" not in done.stderr


def test_help_needs_no_database() -> None:
    done = CliRunner().invoke(serve, ["--help"])
    assert done.exit_code == 0
    assert "--port" in done.output


def test_a_second_process_answers_from_what_the_first_one_changed(tmp_path: Path) -> None:
    """Two servers on one database: what is added by one is found by the other within a second."""
    database = tmp_path / "shop.sqlite3"
    with serving(database, 0) as (_, first), serving(database, 0) as (_, second):
        assert "Nothing in the notebook" in ask(second, "GET", "/notebook/?find=Tarnsyke")[2]
        _, headers, page = ask(first, "GET", "/notebook/add/makers/")
        token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page)
        assert token
        body = f"csrfmiddlewaretoken={token[1]}&who=Ines&maker=tarnsyke&name=Tarnsyke"
        sent = {"Content-Type": "application/x-www-form-urlencoded", "Cookie": headers["Set-Cookie"].split(";")[0]}
        assert ask(first, "POST", "/notebook/add/makers/", body=body, headers=sent)[0] == 302
        saved = time.monotonic()
        assert "/notebook/maker/tarnsyke/" in ask(second, "GET", "/notebook/?find=Tarnsyke")[2]
        assert time.monotonic() - saved < 1

"""From a key to the answer on the Counter page, in Chromium: ``python -m benchmarks.key_to_answer --out key.json``.

A catalogue is loaded into a new database and served by a process of its own. Worn numbers are typed into the page at a
typist's pace; for every key the time runs from the key event's own time stamp to the first frame after the standing for
that key stands in the page. Then looks are answered with number keys, timed the same way.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or "/usr/bin/chromium"
QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
FLOATBOWL = [sys.executable, "-c", "from floatbowl.cli import main; main()"]
#: A quick typist at a counter: 300 keys a minute.
PAUSE_MS = 200
GOAL_MS = 100
#: The first enquiry warms the process up (compiled code is loaded, the look-ups are made) and is not counted.
WARM_UP = 1

#: Notes the last key's time, and reports key to painted answer whenever the standing was renewed.
STOPWATCH = """
window.took = {key: [], answer: []};
let pressed = null, kind = "key";
addEventListener("keydown", (event) => {
  pressed = event.timeStamp;
  kind = event.target.id === "reading-text" ? "key" : "answer";
}, true);
addEventListener("htmx:oobAfterSwap", (event) => {
  if (event.detail.target.id !== "standing" || pressed === null) return;
  const since = pressed, of = kind;
  pressed = null;
  requestAnimationFrame(() => { const ch = new MessageChannel();
    ch.port1.onmessage = () => window.took[of].push(performance.now() - since); ch.port2.postMessage(0); });
});
"""


def main() -> int:
    options = _options()
    with tempfile.TemporaryDirectory() as folder:
        database = Path(folder) / "shop.sqlite3"
        numbers = _load(database, options.carburettors, options.seed, options.enquiries + WARM_UP)
        server, address = _serve(database)
        try:
            times = _type(address, numbers)
        finally:
            server.terminate()
            server.wait(20)
    report = {"carburettors": options.carburettors, "goal_ms": GOAL_MS, **{k: _summary(v) for k, v in times.items()}}
    print(json.dumps(report, indent=1))
    if options.out:
        options.out.write_text(json.dumps(report, indent=1) + "\n", encoding="utf-8")
    return 0 if all(report[kind]["within_goal"] >= 0.95 for kind in times) else 1


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--carburettors", type=int, default=20_000)
    parser.add_argument("--enquiries", type=int, default=30)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--out", type=Path)
    return parser.parse_args()


def _load(database: Path, carburettors: int, seed: int, enquiries: int) -> list[str]:
    """Load a synthetic catalogue and return worn numbers of some of its carburettors."""
    from benchmarks.catalogue import make_catalogue
    from floatbowl.reference.pack import write_pack

    reference = make_catalogue(carburettors, seed)
    pack = database.with_name("pack")
    write_pack(reference, pack)
    subprocess.run([*FLOATBOWL, "pack", "load", str(pack), "--database", str(database)], check=True)
    rng = random.Random(seed)
    marks = [mark.text for mark in reference.marks if mark.role == "identifies"]
    return [_worn(text, rng) for text in rng.sample(marks, enquiries)]


def _worn(text: str, rng: random.Random) -> str:
    """One character in three cannot be read in a third of the numbers."""
    return "".join("?" if c.isalnum() and rng.random() < 0.1 else c for c in text)


def _serve(database: Path) -> tuple[subprocess.Popen[str], str]:
    command = [*FLOATBOWL, "serve", "--database", str(database), "--port", "0"]
    server = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=dict(os.environ))
    assert server.stdout
    found = re.search(r"http://\S+?:\d+", server.stdout.readline())
    if not found:
        raise SystemExit("the shop did not start")
    return server, found[0]


def _type(address: str, numbers: list[str]) -> dict[str, list[float]]:
    from playwright.sync_api import sync_playwright

    times: dict[str, list[float]] = {"key": [], "answer": []}
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        page = browser.new_page(viewport={"width": 1280, "height": 900}, base_url=address)
        page.set_default_timeout(60_000)
        page.add_init_script(STOPWATCH)
        for count, number in enumerate(numbers):
            took = _one_enquiry(page, number)
            if count >= WARM_UP:
                for kind, some in took.items():
                    times[kind].extend(some)
        browser.close()
    return times


def _one_enquiry(page: Any, number: str) -> dict[str, list[float]]:
    """Type one number, add it, and answer two questions with the number keys."""
    page.goto("/counter/")
    page.get_by_label("Who is calling?").fill("Corwin Hollis")
    page.get_by_role("button", name="Begin").click()
    page.wait_for_url("**/counter/*/1/")
    page.locator("#reading-text").click()
    page.keyboard.type(number, delay=PAUSE_MS)
    page.wait_for_timeout(PAUSE_MS)
    page.keyboard.press("Enter")
    page.wait_for_timeout(3 * PAUSE_MS)
    for _ in range(2):
        page.locator("#ask-question").focus()
        key = "1" if page.locator("#ask .answer[data-key='1']").count() else "u"
        page.keyboard.press(key)
        page.wait_for_timeout(3 * PAUSE_MS)
    took: dict[str, list[float]] = page.evaluate("window.took")
    return took


def _summary(took: list[float]) -> dict[str, Any]:
    ordered = sorted(took)
    return {
        "measured": len(ordered),
        "median_ms": round(statistics.median(ordered), 1),
        "p95_ms": round(ordered[int(0.95 * (len(ordered) - 1))], 1),
        "longest_ms": round(ordered[-1], 1),
        "within_goal": round(sum(ms <= GOAL_MS for ms in ordered) / len(ordered), 4),
    }


if __name__ == "__main__":
    sys.exit(main())

"""Thread sizes and number drills against published ones; ambiguous threads stay ambiguous."""

from __future__ import annotations

import pytest

from floatbowl.bench.thread_table import Origin, thread_named
from floatbowl.bench.threads import Measured, shown, which_thread
from floatbowl.engine.doubt import Doubtful
from floatbowl.engine.drills import number_drill_mm


@pytest.mark.parametrize(
    ("name", "major_mm", "pitch_mm"),
    [
        ("UNF #10-32", 4.826, 0.79375),
        ("BSF 3/16-32", 4.7625, 0.79375),
        ("2BA", 4.7, 0.81),
        ("BSP 1/8-28", 9.728, 0.90714),
    ],
)
def test_basic_sizes(name: str, major_mm: float, pitch_mm: float) -> None:
    # ASME B1.1, BS 84, BS 93, ISO 228-1 basic sizes from the definitions; cross-read in the FreeCAD PartDesign table,
    # bd-warehouse 0.4.0 iso_228_1.csv and public BA pages.
    thread = thread_named(name)
    assert thread.major_m * 1e3 == pytest.approx(major_mm, abs=0.002)
    assert thread.pitch_m * 1e3 == pytest.approx(pitch_mm, abs=0.002)


@pytest.mark.parametrize(
    ("name", "inches", "turns"),
    [
        ("NPT 1/8-27", 0.405, 27),
        ("NPT 1/4-18", 0.540, 18),
        ("NPT 3/8-18", 0.675, 18),
        ("NPT 1/2-14", 0.84, 14),
        ("BSP 1/8-28", 0.383, 28),
        ("BSP 1/4-19", 0.518, 19),
        ("BSP 3/8-19", 0.656, 19),
    ],
)
def test_pipe_threads(name: str, inches: float, turns: int) -> None:
    # Read at solenoid-valve.world, "Worldwide thread information": turns to the inch and outside diameter.
    thread = thread_named(name)
    assert thread.major_m / 0.0254 == pytest.approx(inches, abs=0.0005)
    assert thread.turns_per_inch == pytest.approx(turns, abs=0.001)


@pytest.mark.parametrize(
    ("drill", "inches"),
    # ASME B94.11M from memory; #80 read on a public page, #54 read in US Army TM 5-3810-294-34; #28 from memory only.
    [("#54", 0.055), ("#80", 0.0135), ("#28", 0.1405), ("#1", 0.228), ("#68", 0.031)],
)
def test_number_drills(drill: str, inches: float) -> None:
    assert number_drill_mm(drill) / 25.4 == pytest.approx(inches, abs=1e-6)


@pytest.mark.parametrize("origin", ["unknown", "american", "british"])
def test_ambiguous_pair_is_shown_whole(origin: Origin) -> None:
    # Closed form: 4.78 mm, pitch 0.80 +- 0.01 mm leaves UNF #10 and BSF 3/16; which comes first hangs on the prior.
    read = Measured(diameter=Doubtful(4.78e-3, 0.02e-3), pitch=Doubtful(0.8e-3, 0.01e-3))
    candidates = which_thread(read, origin)
    assert {candidate.name for candidate in candidates[:2]} == {"UNF #10-32", "BSF 3/16-32"}
    if origin == "unknown":
        assert {"UNF #10-32", "BSF 3/16-32"} <= {candidate.name for candidate in shown(candidates)}

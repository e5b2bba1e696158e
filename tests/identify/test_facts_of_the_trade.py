"""Facts of the trade as scenarios over tiny shops. Common practice, no source: nobody has printed these as figures, so
the tests ask only what must come out on top, or what must stay open."""

from __future__ import annotations

from small_shop import Known, choice, mark, measure, shop

from floatbowl.identify.answer import Answer
from floatbowl.identify.consult import consult
from floatbowl.identify.weigh import Weigher
from floatbowl.reference.facts import CameOn, CarburettorPart, Machine, Part, PartSize, Reference
from floatbowl.reference.observed import Enquiry, Look, Reading

MAGNET = choice("magnet body", "sticks|falls off", 0.03, part="throttle body", minutes=0.5)
INLET = choice("inlet side", "left|right", 0.05, part="throttle body", minutes=1.0)
BAR = choice("bar on bowl", "raised|flat", 0.04, part="bowl", minutes=0.5)


def told(reference: Reference, **enquiry: object) -> Answer:
    return consult(Weigher(reference), Enquiry(**enquiry))  # type: ignore[arg-type]


def chances(answer: Answer) -> dict[str, float]:
    return {c.key: c.probability for c in answer.carburettors}


def kits(answer: Answer) -> dict[str, float]:
    return {c.key: c.probability for c in answer.kits}


def test_a_prefix_alone_is_not_enough_where_a_stamped_number_tells_look_alikes_apart() -> None:
    """Common practice, no source."""
    family = [
        Known(
            key,
            "brattock",
            marks=(
                mark("{RING}", "family", "lid", "cast", "number"),
                mark(number, part="throttle body", form="stamped", with_="number"),
            ),
            kits=(kit,),
        )
        for key, number, kit in (("d3", "206-D-3", "B-3"), ("d4", "206-D-4", "B-4"), ("e1", "207-E-1", "B-5"))
    ]
    reference = shop(*family)
    prefix = told(reference, readings=(Reading("RING", part="lid"),))
    assert prefix.advice.action != "send"
    assert max(chances(prefix).values()) < 0.6
    stamped = told(reference, readings=(Reading("RING", part="lid"), Reading("206-D-4", part="throttle body")))
    assert max(chances(stamped), key=chances(stamped).__getitem__) == "d4"
    assert chances(stamped)["d4"] > 2 * chances(prefix)["d4"]


def foundry() -> Reference:
    """Iron ones whose bowl bears a raised foundry number that looks like a zinc one's stamped number."""
    return shop(
        Known(
            "k118",
            marks=(mark("K36/118", part="tag", form="stamped"), mark("2063", "casting", "bowl", "cast")),
            features={"magnet body": "sticks"},
            kits=("T-12",),
        ),
        Known(
            "k113",
            marks=(mark("K36/113", part="tag", form="stamped"), mark("2063", "casting", "bowl", "cast")),
            features={"magnet body": "sticks"},
            kits=("T-13",),
        ),
        Known(
            "ring206",
            "brattock",
            marks=(mark("206-D-3", part="throttle body", form="stamped"),),
            features={"magnet body": "falls off"},
            kits=("B-3",),
        ),
        kinds=(MAGNET,),
        machines=(Machine(machine="lowfold", make="Drumlow", model="Lowfold"),),
        came_on=(
            CameOn(machine="lowfold", carburettor="k118", how="factory"),
            CameOn(machine="lowfold", carburettor="ring206", how="factory"),
        ),
    )


def test_a_casting_number_does_not_decide() -> None:
    """Common practice, no source. Two take the same bowl but another kit."""
    answer = told(foundry(), readings=(Reading("2063", part="bowl", form="cast"),))
    assert answer.advice.action != "send"
    assert abs(chances(answer)["k118"] - chances(answer)["k113"]) < 1e-9


def test_the_decoy_is_settled_by_one_magnet() -> None:
    """Common practice, no source. A raised foundry number reads like a stamped number with its letter worn away."""
    asked = told(foundry(), machine="lowfold", readings=(Reading("2063"),))
    assert asked.advice.action == "ask"
    assert asked.next[0].feature == "magnet body" or asked.next[0].mark
    for answer, other, expected in (("sticks", "falls off", "T-12"), ("falls off", "sticks", "B-3")):
        settled = told(foundry(), machine="lowfold", readings=(Reading("2063"),), looks=(Look("magnet body", answer),))
        reversed_ = told(foundry(), machine="lowfold", readings=(Reading("2063"),), looks=(Look("magnet body", other),))
        assert settled.kits[0].key == expected
        assert kits(settled)[expected] > kits(reversed_).get(expected, 0.0)


def test_one_raised_or_flat_mark_changes_the_kit() -> None:
    """Common practice, no source. The same digits stand on both."""
    reference = shop(
        Known("r", "sallowby", marks=(mark("6.114.2", part="bowl"),), features={"bar on bowl": "raised"}, kits=("R",)),
        Known("f", "sallowby", marks=(mark("6.114.2", part="bowl"),), features={"bar on bowl": "flat"}, kits=("F",)),
        *(Known(f"s{n}", "sallowby", marks=(mark(f"{n}.9{n}7.1", part="bowl"),), kits=("S",)) for n in range(2, 8)),
        kinds=(BAR, INLET),
    )
    open_ = told(reference, readings=(Reading("6.114.2", part="bowl"),))
    assert open_.advice.action == "ask"
    assert open_.advice.ask_feature == "bar on bowl"
    for said, kit in (("raised", "R"), ("flat", "F")):
        answer = told(reference, readings=(Reading("6.114.2", part="bowl"),), looks=(Look("bar on bowl", said),))
        assert answer.kits[0].key == kit
        assert answer.advice.kit == kit
        assert len(answer.advice.kinds) == 2
        assert kits(answer)[kit] > 0.75


def test_body_metal_changes_gasket_and_needle_thread() -> None:
    """Common practice, no source. Iron and zinc bodies of one number."""
    reference = shop(
        Known("iron", marks=(mark("K28/205", part="tag"),), features={"magnet body": "sticks"}, kits=("I",)),
        Known("zinc", marks=(mark("K28/205", part="tag"),), features={"magnet body": "falls off"}, kits=("Z",)),
        kinds=(MAGNET,),
        parts=(
            Part(part="g1", kind="gasket", name="Four-hole gasket"),
            Part(part="g2", kind="gasket", name="Two-hole gasket"),
            Part(part="s1", kind="needle seat", name="Seat"),
            Part(part="s2", kind="needle seat", name="Seat"),
        ),
        part_sizes=(
            PartSize(part="s1", quantity="thread", value="M10 x 1", unit=""),
            PartSize(part="s2", quantity="thread", value="M12 x 1", unit=""),
        ),
        carburettor_parts=(
            CarburettorPart(carburettor="iron", part="g1", position="bowl gasket"),
            CarburettorPart(carburettor="zinc", part="g2", position="bowl gasket"),
            CarburettorPart(carburettor="iron", part="s1", position="needle seat"),
            CarburettorPart(carburettor="zinc", part="s2", position="needle seat"),
        ),
    )
    open_ = told(reference, readings=(Reading("K28/205", part="tag"),))
    differ = {d.what: set(d.values) for d in open_.differences}
    assert differ["bowl gasket"] == {"Four-hole gasket", "Two-hole gasket"}
    assert differ["needle seat"] == {"Seat (thread M10 x 1)", "Seat (thread M12 x 1)"}
    assert open_.next[0].feature == "magnet body"
    for said, kit in (("sticks", "I"), ("falls off", "Z")):
        answer = told(reference, readings=(Reading("K28/205", part="tag"),), looks=(Look("magnet body", said),))
        assert answer.kits[0].key == kit


def test_two_factory_options_split_the_prior() -> None:
    """Common practice, no source."""
    answer = told(foundry(), machine="lowfold")
    assert abs(chances(answer)["k118"] - chances(answer)["ring206"]) < 1e-9
    assert chances(answer)["k118"] > 3 * chances(answer)["k113"]
    assert answer.advice.action == "ask"
    assert answer.next[0].feature == "magnet body"


def test_a_swapped_carburettor_still_gets_its_own_kit_and_a_warning() -> None:
    """Common practice, no source. The machine only orders the candidates."""
    reference = shop(
        Known("own", marks=(mark("K36/118", part="tag"),), features={"magnet body": "sticks"}, kits=("T-12",)),
        Known(
            "pump", "cawdle", marks=(mark("PWK-BZM", part="tag"),), features={"magnet body": "falls off"}, kits=("C-1",)
        ),
        kinds=(MAGNET,),
        machines=(Machine(machine="eastacre", make="Ardwath", model="Eastacre"),),
        came_on=(CameOn(machine="eastacre", carburettor="own"),),
    )
    evidence = {
        "readings": (Reading("PWK-BZM", part="tag"),),
        "looks": (Look("magnet body", "falls off", coached=True),),
    }
    answer = told(reference, machine="eastacre", **evidence)
    assert answer.kits[0].key == "C-1"
    assert answer.advice.kit == "C-1"
    assert any("did not come with" in warning and "Eastacre" in warning for warning in answer.warnings)
    without = told(reference, **evidence)
    assert not without.warnings
    assert kits(without)["C-1"] > kits(answer)["C-1"]


def test_a_replacement_is_found_by_another_makers_number_too() -> None:
    """Common practice, no source. The number in the tractor's book names what replaces it."""
    reference = shop(
        Known(
            "new",
            "yelbourn",
            marks=(mark("81 204 55", part="lid"), mark("D 40 771", "cross", form="printed")),
            kits=("Y-1",),
        ),
        Known("old", marks=(mark("K36/118", part="tag"),), kits=("T-12",)),
        Known("other", "yelbourn", marks=(mark("83 611 02", part="lid"),), kits=("Y-2",)),
    )
    answer = told(reference, readings=(Reading("D40771", part="book"),))
    assert answer.kits[0].key == "Y-1"
    assert kits(answer)["Y-1"] > 0.5
    assert answer.advice.action != "send"


def test_a_loose_tag_loses_against_the_castings() -> None:
    """Common practice, no source. The old tag was wired to what replaced its carburettor."""
    reference = shop(
        Known("old", marks=(mark("K36/118", part="tag"),), features={"magnet body": "sticks"}, kits=("T-12",)),
        Known(
            "new",
            "yelbourn",
            marks=(mark("81 204 55", part="lid"),),
            features={"magnet body": "falls off"},
            kits=("Y-1",),
        ),
        kinds=(MAGNET, choice("tag fixing", "riveted|wired on", 0.05, part="tag")),
    )
    numbers = (Reading("K36/118", part="tag"), Reading("81 204 55", part="lid"))
    wired = told(reference, readings=numbers, looks=(Look("tag fixing", "wired on"), Look("magnet body", "falls off")))
    assert wired.kits[0].key == "Y-1"
    assert any("tag" in said for said in wired.contradictions)


def test_castings_that_name_two_are_said_to_be_built_from_two() -> None:
    """Common practice, no source."""
    reference = shop(
        *(
            Known(
                f"c{n}",
                "brattock",
                marks=(mark(f"{n}06-D-3", part="throttle body"), mark(f"L{n}77{n}", part="lid")),
                kits=(f"B-{n}",),
            )
            for n in range(1, 9)
        )
    )
    whole = told(reference, readings=(Reading("206-D-3", part="throttle body"), Reading("L2772", part="lid")))
    two = told(reference, readings=(Reading("206-D-3", part="throttle body"), Reading("L7777", part="lid")))
    assert not whole.contradictions
    assert whole.mixed < 0.01 < two.mixed
    assert any("perhaps built from two" in said for said in two.contradictions)
    assert two.advice.action != "send"
    assert set(two.parts) == {"throttle body", "lid"}


def test_a_number_that_tells_its_bore_is_confirmed_by_measuring_it() -> None:
    """Common practice, no source. 36/32 inch is 28.6 mm."""
    reference = shop(
        Known("k36", marks=(mark("K36/118", part="tag"),), features={"bore": "28.6"}, kits=("T-12",)),
        Known("k28", marks=(mark("K28/118", part="tag"),), features={"bore": "22.2"}, kits=("T-20",)),
        kinds=(measure("bore", part="throttle body"),),
    )
    worn = told(reference, readings=(Reading("K??/118", part="tag"),))
    measured = told(reference, readings=(Reading("K??/118", part="tag"),), looks=(Look("bore", 28.5, spread=0.3),))
    assert abs(chances(worn)["k36"] - chances(worn)["k28"]) < 0.05
    assert chances(measured)["k36"] > 10 * chances(measured)["k28"]
    assert measured.advice.kinds == ("measure",)

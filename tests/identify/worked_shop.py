"""One small shop that has everything: shared marks, devices, disagreeing sources, gaps, options, inch tools."""

from __future__ import annotations

from small_shop import Known, choice, mark, measure, shop

from floatbowl.reference.facts import CameOn, Confusion, Kit, Machine, Maker, Reference, Tool

KINDS = (
    choice("magnet body", "sticks|falls off", 0.04, part="throttle body", minutes=0.5, risk=0),
    choice("inlet side", "left|right|front", 0.15, part="throttle body", wrong_coached=0.06, minutes=1.0),
    choice("bar on bowl", "raised|flat|none", 0.2, part="bowl", wrong_coached=0.07, minutes=1.5),
    choice("tag fixing", "riveted|loose on a wire", 0.05, part="tag", minutes=0.5),
    choice("drain plug", "brass|steel", None, part="bowl"),
    choice("vent", "yes|no", 0.1),
    measure("bolt spacing", spread=0.3, part="throttle body", minutes=2.0),
    measure("bore", unit="in", spread=None, part="throttle body", wrong_untold=0.05, wrong_coached=0.02),
)
MACHINES = (
    Machine(machine="lowfold", make="Drumlow", model="Lowfold"),
    Machine(machine="eastacre", make="Ardwath", model="Eastacre"),
    Machine(machine="wellhead", make="Fellmarch", model="Wellhead"),
)
CAME_ON = (
    CameOn(machine="lowfold", carburettor="k118", how="factory", serial_to="30000", serial_doubt=900.0),
    CameOn(machine="lowfold", carburettor="ring206", how="option", share=0.5, serial_from="30001", serial_doubt=900.0),
    CameOn(machine="lowfold", carburettor="k113", how="factory", year_from=1946, year_to=1949),
    CameOn(machine="eastacre", carburettor="s114r", share=3.0),
    CameOn(machine="eastacre", carburettor="s114f", share=1.0, year_from=1952),
)


def worked_shop() -> Reference:
    """Seven carburettors of three makers; a fourth maker has none recorded."""
    return shop(
        Known(
            "k118",
            marks=(
                mark("K36/118", part="tag", form="stamped"),
                mark("2063", "casting", "bowl", "cast"),
                mark("K36", "family", "throttle body"),
            ),
            features={
                "magnet body": "sticks",
                "inlet side": "left",
                "bolt spacing": "60.3",
                "bore": "1.125",
                "tag fixing": "riveted",
                "drain plug": "brass",
            },
            kits=("T-12", "T-12-full"),
        ),
        Known(
            "k113",
            share=0.5,
            marks=(mark("K36/113", part="tag", form="stamped"), mark("D 40 771", "cross", "", "printed")),
            features={"magnet body": "sticks", "inlet side": ("right", "left"), "bolt spacing": ("60.3", "62.0")},
            kits=("T-13",),
        ),
        Known(
            "n118",
            marks=(mark("N36/118", part="tag"),),
            features={"magnet body": "sticks", "bore": "1.25", "bar on bowl": "none", "drain plug": "steel"},
            kits=("T-12",),
        ),
        Known(
            "ring206",
            "brattock",
            2.0,
            marks=(
                mark("{RING}", "family", "lid", "cast", "number"),
                mark("206-D-3", part="throttle body", form="stamped", with_="number"),
            ),
            features={"magnet body": "falls off", "inlet side": "left", "bolt spacing": "54", "vent": "yes"},
            kits=("B-3",),
        ),
        Known(
            "bar207",
            "brattock",
            marks=(mark("{BAR} 207-E-3", part="throttle body"), mark("207", part="lid")),
            features={"magnet body": "falls off", "inlet side": "front", "vent": "no"},
            kits=("B-4",),
        ),
        Known(
            "s114r",
            "sallowby",
            1.5,
            marks=(mark("6.114.2", part="bowl", form="cast"),),
            features={"bar on bowl": "raised", "magnet body": "falls off", "bolt spacing": "54.5", "vent": "no"},
            kits=("S-14R",),
        ),
        Known(
            "s114f",
            "sallowby",
            marks=(mark("6.114.2", part="bowl", form="cast"),),
            features={"bar on bowl": "flat", "magnet body": "falls off"},
        ),
        kinds=KINDS,
        makers=(
            Maker(maker="brattock", name="Brattock", check="mod7:A-G"),
            Maker(maker="cawdle", name="Cawdle"),
        ),
        confusions=(
            Confusion(feature="inlet side", true="left", said="right", weight=3.0),
            Confusion(feature="inlet side", true="left", said="front", weight=1.0),
            Confusion(feature="inlet side", true="right", said="left", weight=1.0),
            Confusion(feature="bar on bowl", true="raised", said="none", weight=2.0),
        ),
        tools=(Tool(tool="rule", spread=0.5, unit="mm"), Tool(tool="inch rule", spread=1 / 64, unit="in")),
        machines=MACHINES,
        came_on=CAME_ON,
        kits=(
            Kit(kit="T-12", name="Tarnsyke gaskets", level="gaskets"),
            Kit(kit="T-12-full", name="Tarnsyke full", level="full"),
        ),
    )

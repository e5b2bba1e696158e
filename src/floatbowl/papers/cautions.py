"""The cautions that the papers carry, each with whose rule decides.

Common practice of the trade. The figure for compressed air is that of 29 CFR 1910.242(b) and its letter of 18 April
1978 (a closed nozzle); the melting of zinc is from memory (380 to 420 °C); the flow-bench fluid and the soldering of
floats follow hot-work practice. A caution only reminds: the rule it names decides.
"""

from __future__ import annotations

from typing import Final

from floatbowl.papers.paper import Caution

HANDBOOK_AND_FIRE: Final = "Your machine's own handbook and the fire rules where you are decide."

OPENING: Final = Caution(
    "Before you open the carburettor: engine cold and stopped, fuel tap off, bowl drained outdoors into a metal "
    "can, no flame or spark.",
    HANDBOOK_AND_FIRE,
)
ASBESTOS: Final = Caution(
    "Old gaskets and heat packing may hold asbestos: wet them, lift them off whole, never scrape or sand them dry.",
    "The national asbestos rules decide.",
)
POSTING: Final = Caution(
    "Anything you post to us must be drained and dry, without petrol or its vapour.",
    "The carrier's dangerous-goods rules decide.",
)
SENDING: Final = Caution(
    "Before it is packed: drained, dry, openings plugged, no petrol or vapour left in bowl, float or line.",
    "The carrier's dangerous-goods rules decide.",
)
FUEL_INSIDE: Final = Caution(
    "Fuel may be inside: drain it outdoors into an earthed metal can, no flame, spark or switch near; "
    "keep it out of the shop until it is drained.",
    "The fire rules and the fuel storage law decide.",
)
LEAD: Final = Caution(
    "Old paint, grey-white deposits and solder may hold lead: no dry brushing or sanding, gloves, wash your hands.",
    "The health authority's lead rules decide.",
)
KEEP_TAG: Final = Caution(
    "Keep the maker's tag with this carburettor; never restamp or move a tag or number.",
    "The registration authority and the police decide on protected numbers.",
)
STUCK_PARTS: Final = Caution(
    "Stuck screws and plugs: soak and wait; little heat and no flame on zinc, which melts near 400 °C; "
    "guard your eyes when a spring lets go.",
    "The shop's own rule decides.",
)
FLOAT_HEAT: Final = Caution(
    "Never heat or solder a float that may hold fuel: a trace inside bursts it. Find the hole in hot water, empty it, "
    "dry it for days.",
    "The shop's hot-work permit decides.",
)
AIR_LINE: Final = Caution(
    "Compressed air: goggles, under 30 psi (207 kPa), never through a float, a diaphragm or an assembled carburettor.",
    "The workplace rules decide (in the United States 29 CFR 1910.242(b)).",
)
WASH: Final = Caution(
    "Solvent and bath: gloves, goggles, moving air, no petrol as a cleaner. Used bath and fuel are hazardous waste.",
    "The chemical's safety data sheet and the waste authority decide.",
)
TEST_FLUID: Final = Caution(
    "Wet bench: test fluid of high flash point, never petrol indoors; drip tray, no mains motor below, no flame.",
    "The fire rules and the fluid's safety data sheet decide.",
)
LEAK: Final = Caution(
    "If it leaks: fuel tap off, engine stopped, out of the shed, do not start it. Let it dry before anything else.",
    "The fire service's advice and your machine's handbook decide.",
)
FUEL: Final = Caution(
    "Petrol: outdoors, engine cold, no flame or spark, metal can, an extinguisher at hand.",
    HANDBOOK_AND_FIRE,
)
BACKFIRE: Final = Caution(
    "Never run it with the air cleaner off: a backfire throws flame. Never look into the intake of a running engine.",
    HANDBOOK_AND_FIRE,
)
RUNNING_INDOORS: Final = Caution(
    "Never run the engine indoors: its exhaust holds carbon monoxide, which kills without a smell.",
    "The workplace air rules and the health authority decide.",
)
GOVERNOR: Final = Caution(
    "Never run it with the governor rod off or held by hand: it may overspeed and burst. Keep hands, sleeves and hair "
    "from belt and fan. If it races, stop it first and look afterwards.",
    "Your machine's own handbook decides.",
)
FUEL_FLOW: Final = Caution(
    "Flow test: engine cold, outdoors, into an earthed metal can, no flame; let spilt fuel dry before any switch "
    "is touched.",
    "The fire rules and the fuel storage law decide.",
)
SPARK: Final = Caution(
    "Spark test: only where no fuel or vapour is about, tester earthed, hands off the lead.",
    HANDBOOK_AND_FIRE,
)
TURNING_BY_HAND: Final = Caution(
    "Turning it by hand: switch off, plug leads off, out of gear, thumb on the same side of the handle as the fingers.",
    "Your machine's own handbook decides.",
)
RIGHTS: Final = Caution(
    "Nothing on this paper takes away a right that the law gives you.",
    "The consumer law where you live decides.",
)
OLD_STOCK: Final = Caution(
    "Old-stock gaskets of grey fibre may hold asbestos: do not cut, punch, sand or sweep them dry; leave them in "
    "their bag and ask.",
    "The national asbestos rules decide.",
)
MATERIAL: Final = Caution(
    "Say of every gasket, seal, hose and float what it is made of and whether it stands petrol with ethanol.",
    "The supplier's material sheet and the fuel standard decide.",
)
NO_ASBESTOS: Final = Caution(
    "Send no gasket, packing or heat shield that holds asbestos, old stock included.",
    "The national asbestos rules decide.",
)

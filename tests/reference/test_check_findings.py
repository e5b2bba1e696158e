"""Every kind of gap and contradiction is found where it is, and a whole pack has none."""

from __future__ import annotations

import random
import time

import pytest

from floatbowl.reference import number_checks
from floatbowl.reference.check import check
from floatbowl.reference.facts import Carburettor, Kit, KitFit, Maker, Mark, Reference
from floatbowl.reference.finding import Finding
from floatbowl.reference.pack import read_pack


def told(make_folder, files):
    return [str(finding) for finding in check(read_pack(make_folder(files)))]


def test_a_whole_pack_has_no_findings(whole):
    assert check(whole) == ()


@pytest.mark.parametrize(
    ("files", "line"),
    [
        (
            {
                "features.csv": "carburettor,feature,value,source,page\n"
                "k36-118,bolts,60.5,hand,4\nk36-118,bolts,62,hand,9\n"
            },
            "features.csv:3: sources disagree: k36-118, bolts: value 62 (hand 9, line 3) against value 60.5 (hand 4,",
        ),
        (
            {
                "settings.csv": "carburettor,quantity,value,unit,datum\n"
                "k36-118,float level,5,mm,lid\nk36-118,float level,7,mm,lid\n"
            },
            "settings.csv:3: sources disagree: k36-118, float level: value 7 (no source, line 3)",
        ),
        (
            {
                "kit_parts.csv": "kit,part,quantity\nT-12,g,1\nT-12,g,2\n",
                "parts.csv": "part,kind,name\ng,gasket,Bowl\n",
            },
            "kit_parts.csv:3: sources disagree: T-12, g: quantity 2",
        ),
        (
            {"kits.csv": "kit,name\nT-12,a\nT-20,b\nB-3,c\nX-1,d\n"},
            "kits.csv:5: fits nothing: kit X-1 fits no carburettor",
        ),
        (
            {"carburettors.csv": "carburettor,maker\nk36-118,tarnsyke\nk28-205,tarnsyke\nring-206,brattock\nk99,\n"},
            "carburettors.csv:5: no identifying mark: k99 has no mark",
        ),
        (
            {"carburettors.csv": "carburettor,maker\nk36-118,tarnsyke\nk28-205,tarnsyke\nring-206,brattock\nk99,\n"},
            "carburettors.csv:5: no kit: no kit fits k99",
        ),
        (
            {"carburettors.csv": "carburettor,maker\nk36-118,tarnsyke\nk28-205,tarnsyke\nring-206,brattock\nk99,\n"},
            "carburettors.csv:5: no machine: k99 came on no machine",
        ),
        (
            {"carburettors.csv": "carburettor,maker\nk36-118,tarnsyke\nk28-205,tarnsyke\nring-206,brattock\nk99,\n"},
            "carburettors.csv:5: empty: maker is not told",
        ),
        (
            {"machines.csv": "machine,make,model\nlowfold,Drumlow,Lowfold\nhighfold,Drumlow,Highfold\n"},
            "machines.csv:3: no carburettor: no carburettor is listed as having come on highfold",
        ),
        (
            {"replacements.csv": "old,new\nT-12,T-20\nT-20,B-3\nB-3,T-12\n"},
            "replacements.csv:3: cycle of replacements: B-3 -> T-12 -> T-20 -> B-3; none of these is the newest",
        ),
        ({"replacements.csv": "old,new\nT-12,T-12\n"}, "replacements.csv:2: cycle of replacements: T-12 -> T-12"),
        (
            {"replacements.csv": "old,new\nT-12,T-99\n"},
            "replacements.csv:2: no part: T-99 replaces T-12, but is neither",
        ),
        (
            {
                "marks.csv": "carburettor,text,role\n"
                "k36-118,K366118,identifies\nk28-205,K28/205,identifies\nring-206,x,casting\n"
            },
            "marks.csv:2: breaks pattern: k36-118: 'K366118' does not fit tarnsyke's pattern",
        ),
        (
            {
                "marks.csv": "carburettor,text,role,with\nk36-118,K36/118,identifies,\nk28-205,K28/205,identifies,\n"
                "ring-206,206-E-3,identifies,n\nring-206,{RING},family,n\n"
            },
            "marks.csv:4: breaks check letter: ring-206: the letter in '{RING} 206-E-3' is not the one",
        ),
        (
            {"makers.csv": "maker,name,pattern\ntarnsyke,T,(\nbrattock,B,\n"},
            "makers.csv:2: bad pattern: tarnsyke: '(' is no",
        ),
        (
            {"makers.csv": "maker,name,pattern\ntarnsyke,T,(K+)+/x\nbrattock,B,\n"},
            "makers.csv:2: bad pattern: tarnsyke: '(K+)+/x' could take for ever",
        ),
        (
            {"makers.csv": "maker,name,check\ntarnsyke,T,\nbrattock,B,mod7:A-Z\n"},
            "makers.csv:3: bad check rule: brattock:",
        ),
        (
            {
                "marks.csv": "carburettor,text,role\nk36-118,K36/118,identifies\n"
                "k28-205,K36/113,identifies\nring-206,x,casting\n"
            },
            "marks.csv:2: one worn character: 'K36/118' (k36-118) is one character from 'K36/113' (k28-205), which",
        ),
        (
            {
                "marks.csv": "carburettor,text,role\nk36-118,K36/118,identifies\n"
                "k28-205,K36/18,identifies\nring-206,x,casting\n"
            },
            "marks.csv:3: one worn character: 'K36/18' (k28-205) is one character from 'K36/118' (k36-118), which need",
        ),
        (
            {
                "marks.csv": "carburettor,text,role\nk36-118,K36/118,identifies\n"
                "k28-205,K36/118,identifies\nring-206,x,casting\n"
            },
            "marks.csv:3: same mark: k36-118 and k28-205 both bear 'K36/118' and need other kits, but no feature tells",
        ),
        (
            {"features.csv": "carburettor,feature,value\nk36-118,magnet,perhaps\n"},
            "features.csv:2: no such choice: k36-118, magnet: 'perhaps' is not among its choices",
        ),
        (
            {"features.csv": "carburettor,feature,value\nk36-118,colour,red\n"},
            "features.csv:2: no kind: colour is not in",
        ),
        (
            {"confusions.csv": "feature,true,said,weight\nmagnet,sticks,stuck,1\n"},
            "confusions.csv:2: no such choice: magnet",
        ),
        ({"kit_parts.csv": "kit,part,quantity\nT-12,g,1\n"}, "kit_parts.csv:2: no part: g is not in parts"),
        ({"kit_parts.csv": "kit,part,quantity\nT-12,g,1\n"}, "kits.csv:3: empty kit: kit T-20 has no parts listed"),
        (
            {
                "parts.csv": "part,kind,name\ng,gasket,Bowl gasket\nh,screw,Screw\n",
                "part_sizes.csv": "part,quantity,value\nh,length,9\n",
                "kit_parts.csv": "kit,part,quantity\nT-12,g,1\n",
            },
            "parts.csv:2: no size: g (Bowl gasket) is in a kit, but no size of it is recorded",
        ),
        ({"sources.csv": "source,title\nother,Another\n"}, "features.csv:2: no source: hand is not in sources"),
        (
            {"settings.csv": "carburettor,quantity,value,low,high\nk36-118,idle turns,1,2,1.5\n"},
            "settings.csv:2: backward range: k36-118, idle turns: low 2 is above high 1.5",
        ),
        (
            {"came_on.csv": "machine,carburettor,year_from,year_to\nlowfold,k36-118,1950,1948\n"},
            "came_on.csv:2: backward range: k36-118 on lowfold: year_from 1950 is after year_to 1948",
        ),
        (
            {"feature_kinds.csv": "feature,question,kind,choices\nmagnet,?,choice,sticks\nbolts,?,measure,\n"},
            "feature_kinds.csv:2: no choices: magnet is a choice with fewer than two choices",
        ),
    ],
)
def test_each_gap_and_contradiction_is_found(make_folder, files, line):
    findings = told(make_folder, files)
    assert any(each.startswith(line) for each in findings), findings


@pytest.mark.parametrize(
    "files",
    [
        # The same figure written otherwise, and figures that are not of one thing, do not disagree.
        {"features.csv": "carburettor,feature,value,source\nk36-118,bolts,60.5,hand\nk36-118,bolts,60.50,\n"},
        {"settings.csv": "carburettor,quantity,value,datum\nk36-118,float level,5,lid\nk36-118,float level,7,gasket\n"},
        # Parts that may be exchanged both ways go round and are no cycle.
        {"replacements.csv": "old,new,both_ways\nT-12,T-20,yes\nT-20,T-12,yes\n"},
        # Marks one character apart that need the same kit confuse nobody.
        {
            "marks.csv": "carburettor,text,role,with\nk36-118,K36/118,identifies,\nk28-205,K36/113,identifies,\n"
            "ring-206,206-D-3,identifies,n\nring-206,{RING},family,n\n",
            "kit_fits.csv": "kit,carburettor\nT-12,k36-118\nT-12,k28-205\nB-3,ring-206\nT-20,ring-206\n",
        },
        # Builds that share a mark are told apart by a feature.
        {
            "marks.csv": "carburettor,text,role,with\nk36-118,K36/118,identifies,\nk28-205,K36/118,identifies,\n"
            "ring-206,206-D-3,identifies,n\nring-206,{RING},family,n\n",
            "features.csv": "carburettor,feature,value\nk36-118,magnet,sticks\nk28-205,magnet,falls off\n",
        },
    ],
)
def test_what_is_no_contradiction_is_not_told(make_folder, files):
    assert told(make_folder, files) == []


def test_findings_come_in_the_order_of_tables_and_lines(make_folder):
    findings = check(
        read_pack(
            make_folder(
                {
                    "kits.csv": "kit,name\nZ,z\nA,a\n",
                    "kit_fits.csv": "kit,carburettor\n",
                    "machines.csv": "machine,make,model\nlowfold,D,L\nx,X,X\n",
                }
            )
        )
    )
    places = [(finding.file, finding.line) for finding in findings]
    assert places == sorted(
        places, key=lambda place: (["carburettors.csv", "kits.csv", "machines.csv"].index(place[0]), place[1])
    )
    assert Finding("kits.csv", 2, "fits nothing", "kit Z fits no carburettor") in findings


def test_marks_joined_with_a_device_fit_in_any_order_and_alone(make_folder):
    for pattern in (r"\{RING\} \d{3}-[A-G]-\d", r"\d{3}-[A-G]-\d \{RING\}", r"\d{3}-[A-G]-\d"):
        assert told(make_folder, {"makers.csv": f"maker,name,pattern\ntarnsyke,T,\nbrattock,B,{pattern}\n"}) == []
    findings = told(make_folder, {"makers.csv": "maker,name,pattern\ntarnsyke,T,\nbrattock,B,\\{BAR\\} .*\n"})
    assert findings[0].startswith("marks.csv:4: breaks pattern: ring-206: '{RING} 206-D-3' does not fit brattock's")


def test_a_pattern_that_takes_too_long_is_given_up(whole, monkeypatch):
    monkeypatch.setattr(number_checks, "PATTERN_SECONDS", -1.0)
    kinds = {finding.kind for finding in check(whole)}
    assert "slow pattern" in kinds


def large(count: int) -> Reference:
    rng = random.Random(7)
    numbers = set()
    while len(numbers) < 2 * count:
        numbers.add(f"{rng.choice('KNVD')}{rng.randrange(100, 999)}/{rng.randrange(100, 999)}")
    texts = sorted(numbers)
    rng.shuffle(texts)
    return Reference(
        makers=(Maker(maker="m", name="M", pattern=r"[DKNV]\d{3}/\d{3}"),),
        kits=tuple(Kit(kit=f"k{n}", name="x") for n in range(900)),
        carburettors=tuple(Carburettor(carburettor=f"c{n}", maker="m") for n in range(count)),
        kit_fits=tuple(KitFit(kit=f"k{rng.randrange(900)}", carburettor=f"c{n}") for n in range(count)),
        marks=tuple(Mark(carburettor=f"c{n // 2}", text=text, role="identifies") for n, text in enumerate(texts)),
    )


def test_20_000_marks_are_checked_quickly():
    """Allows about six times what an idle core takes; comparing every pair would take minutes."""
    reference = large(10_000)
    began = time.process_time()
    assert any(finding.kind == "one worn character" for finding in check(reference))
    assert time.process_time() - began < 6.0

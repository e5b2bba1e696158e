"""A small whole shop of invented names, and packs written by hand with something wrong in them."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from floatbowl.reference.facts import Reference
from floatbowl.reference.pack import read_pack

WHOLE = {
    "datapackage.json": json.dumps({"floatbowl_pack": 1, "currency": "crowns", "costs": {"wrong_kit": 30}}),
    "makers.csv": "maker,name,pattern,check\n"
    "tarnsyke,Tarnsyke,[DKNV]\\d\\d/\\d{3},\n"
    'brattock,Brattock,"\\{(RING|BAR|STAR)\\} \\d{3}-[A-G]-\\d",mod7:A-G\n',
    "carburettors.csv": "carburettor,maker\nk36-118,tarnsyke\nk28-205,tarnsyke\nring-206,brattock\n",
    "marks.csv": "carburettor,text,role,part,form,with\n"
    "k36-118,K36/118,identifies,tag,stamped,\n"
    "k28-205,K28/205,identifies,tag,stamped,\n"
    "ring-206,206-D-3,identifies,throttle body,stamped,number\n"
    "ring-206,{RING},family,lid,cast,number\n",
    "features.csv": "carburettor,feature,value,source,page\n"
    "k36-118,magnet,sticks,hand,4\nk36-118,bolts,60.5,hand,4\nring-206,magnet,falls off,hand,9\n",
    "feature_kinds.csv": "feature,question,kind,choices,unit\n"
    "magnet,Does a magnet stick?,choice,sticks|falls off,\nbolts,How far apart?,measure,,mm\n",
    "kits.csv": "kit,name,level,price,on_hand\nT-12,Tarnsyke gaskets,gaskets,9.5,3\n"
    "T-20,Tarnsyke small,,,\nB-3,Ring kit,,,\n",
    "kit_fits.csv": "kit,carburettor\nT-12,k36-118\nT-20,k28-205\nB-3,ring-206\n",
    "machines.csv": "machine,make,model\nlowfold,Drumlow,Lowfold\n",
    "came_on.csv": "machine,carburettor,how,year_from\n"
    "lowfold,k36-118,factory,1946\nlowfold,k28-205,option,\nlowfold,ring-206,factory,\n",
    "sources.csv": "source,title,kind\nhand,Drumlow handbook,manual\n",
}

MakeFolder = Callable[..., Path]


@pytest.fixture
def make_folder(tmp_path: Path) -> MakeFolder:
    """Writes the whole small pack; files given by name replace its own, ``None`` leaves one out."""

    def make(files: dict[str, str | bytes | None] | None = None) -> Path:
        folder = tmp_path / "pack"
        folder.mkdir(exist_ok=True)
        for name, text in (WHOLE | (files or {})).items():
            if text is not None:
                data = text if isinstance(text, bytes) else text.encode()
                (folder / name).write_bytes(data)
        return folder

    return make


@pytest.fixture
def whole(make_folder: MakeFolder) -> Reference:
    """The small shop as facts."""
    return read_pack(make_folder())

"""Rewrite the invented shop's pack and its enquiries: ``python -m floatbowl.demo.make_pack``."""

from __future__ import annotations

from floatbowl.demo.make_pack.whole_pack import PACK, make_pack
from floatbowl.demo.stories import enquiry_lines

make_pack()
enquiries = PACK.parent / "enquiries.jsonl"
enquiries.write_text(enquiry_lines(), encoding="utf-8", newline="\n")
print(f"Written: {PACK} and {enquiries.name}")

"""How the invented shop's reference pack is made: hand-written records in ``data/`` and seeded chance for the rest.

``python -m floatbowl.demo.make_pack`` rewrites ``demo/pack`` byte for byte the same. What the stories rely on
(look-alikes, decoys, pairs that differ in one look) is written by hand; everything else only has to be plausible.
"""

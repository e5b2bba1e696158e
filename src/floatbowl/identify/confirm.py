"""One more look for a kit that is likely but rests on one kind of evidence."""

from __future__ import annotations

import numpy as np

from floatbowl.identify.answer import NextLook
from floatbowl.identify.features import ChoiceColumn
from floatbowl.identify.looks import READ_CAUTION, READ_HOW
from floatbowl.identify.wear import Floats
from floatbowl.identify.weigh import Standing, once


@once
def confirming_look(standing: Standing) -> NextLook | None:
    """The choice whose expected answer would speak most, per minute, for the likeliest carburettor against the others.

    ``None`` when every recorded choice was asked for, or nothing is recorded for the likeliest carburettor; then the
    number on a part that was not read yet is asked for, if there is one.
    """
    if not standing.recorded.size:
        return None
    top = int(np.argmax(standing.recorded))
    catalogue, prior = standing.weigher.catalogue, standing.prior
    likely = prior[: catalogue.recorded] + prior[catalogue.siblings]
    of_makers = prior[catalogue.siblings.stop :]
    asked = {look.feature for look in standing.enquiry.looks}
    found = [
        look
        for feature, column in standing.weigher.features.items()
        if feature not in asked and isinstance(column, ChoiceColumn)
        for look in (_confirming(standing, column, top, likely, of_makers),)
        if look is not None
    ]
    best = max(found, key=lambda look: look.bits_per_minute, default=None)
    return best if best is not None and best.bits > 0 else _unread_mark(standing)


def _confirming(
    standing: Standing, column: ChoiceColumn, top: int, likely: Floats, of_makers: Floats
) -> NextLook | None:
    """``likely``: each recorded carburettor's share with its unlisted sibling's; ``of_makers``: each maker's rest."""
    code = int(column.code[top])
    if code >= len(column.choices):
        return None
    kind = column.kind
    given = standing.weigher.told_rightly(column).given[:, code]
    how_common: Floats = np.bincount(column.code[: likely.size], likely, minlength=given.size).astype(np.float64)
    how_common[len(column.choices) :] += of_makers
    common = float(given @ how_common / how_common.sum())
    bits = float(np.log2(given[code] / max(common, 1e-12)))
    minutes = kind.minutes or 2.0
    return NextLook(
        minutes, kind.risk or 0, bits, bits / minutes,
        feature=kind.feature, question=kind.question, how=kind.how, needs=kind.needs, caution=kind.caution,
    )  # fmt: skip


def _unread_mark(standing: Standing) -> NextLook | None:
    read = {reading.part for reading in standing.enquiry.readings}
    minutes = standing.weigher.assumptions.read_minutes
    for part in standing.weigher.identifying_parts:
        if part not in read:
            question = f"What number is on the {part}?"
            return NextLook(minutes, 2, 0.0, 0.0, mark=part, question=question, how=READ_HOW, caution=READ_CAUTION)
    return None

"""One more look for a kit that is likely but rests on one kind of evidence."""

from __future__ import annotations

import numpy as np

from floatbowl.identify.answer import NextLook
from floatbowl.identify.features import ChoiceColumn, answer_table, wrong_rate
from floatbowl.identify.looks import READ_CAUTION, READ_HOW
from floatbowl.identify.weigh import Standing
from floatbowl.reference.observed import Look


def confirming_look(standing: Standing) -> NextLook | None:
    """The choice whose expected answer would speak most, per minute, for the likeliest carburettor against the common run.

    ``None`` when every recorded choice was asked for, or nothing is recorded for the likeliest carburettor; then the number
    on a part that was not read yet is asked for, if there is one.
    """
    if not standing.recorded.size:
        return None
    top = int(np.argmax(standing.recorded))
    asked = {look.feature for look in standing.enquiry.looks}
    found = [
        look
        for feature, column in standing.weigher.features.items()
        if feature not in asked and isinstance(column, ChoiceColumn)
        for look in (_confirming(standing, column, top),)
        if look is not None
    ]
    best = max(found, key=lambda look: look.bits_per_minute, default=None)
    return best if best is not None and best.bits > 0 else _unread_mark(standing)


def _confirming(standing: Standing, column: ChoiceColumn, top: int) -> NextLook | None:
    code = int(column.code[top])
    if code >= len(column.choices):
        return None
    assumptions, kind = standing.weigher.assumptions, column.kind
    wrong = wrong_rate(kind, Look(kind.feature, "", coached=True), assumptions)
    given = answer_table(column, wrong, assumptions)[:, code]
    common = float(
        np.concatenate([given, column.by_maker @ given])[column.code] @ standing.prior / standing.prior.sum()
    )
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

"""Slots in the liner leave no strip beside an edge that nobody could cut."""

from __future__ import annotations

import shapely

from layout.box.liner import LEAST_MM
from layout.design.geometry import polygon
from layout.study.study import Study


def test_no_liner_sheet_has_a_narrow_strip(front_study: Study, l_study: Study) -> None:
    looked_at = 0
    for study in (front_study, l_study):
        for part in study.box.plates:
            if part.name.startswith("liner"):
                sheet = polygon(part.profile)
                opened = sheet.buffer(-0.49 * LEAST_MM, join_style="mitre").buffer(0.5 * LEAST_MM, join_style="mitre")
                narrow = [g for g in shapely.get_parts(sheet.difference(opened)) if g.area > 1.0]
                at_edge = [g for g in narrow if g.distance(sheet.envelope.exterior) < 1e-6]
                assert not at_edge, (part.number, [g.bounds for g in at_edge])
                looked_at += 1
    assert looked_at > 8

"""The US key data elements against 21 CFR part 1 subpart S.

Status of each row: P = published, a copy of the rule; S = published but seen second-hand in a summary. The texts that
standards bodies have of it decide; these are the counts and statements the sheets are held to.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from lotwake.demo_db.builder import Built
from lotwake.trace.actions.desk import open_desk
from lotwake.trace.actions.send_out import Choice, chosen, send_kde
from lotwake.trace.recall import kde
from lotwake.trace.recall.kde import FIRST_RECEIVING, INPUTS, OUTPUTS, RECEIVING, SHIPPING, Report
from lotwake.trace.recall.spreadsheet import Sheet

SINCE = date(2026, 8, 1)
COUNTS = [
    (FIRST_RECEIVING, 7, "P fsma204-01: 1.1335(a)-(g)"),
    (RECEIVING, 8, "P fsma204-04: 1.1345(a)"),
    (INPUTS, 3, "S fsma204-09: 1.1350(a)(1)"),
    (OUTPUTS, 6, "S fsma204-10: 1.1350(a)(2)"),
    (SHIPPING, 8, "P 1.1340(a)"),
]


@pytest.fixture(scope="module")
def report(season: Built) -> Report:
    """The key data elements of the whole demo season."""
    desk = open_desk(season.places)
    try:
        return kde.report(chosen(desk, Choice(since=SINCE)))
    finally:
        desk.close()


def _sheet(report: Report, title: str) -> Sheet:
    return next(sheet for sheet in report.sheets if sheet.title == title)


def _column(report: Report, sheet: str, title: str) -> list[Any]:
    return [row[title] for row in _sheet(report, sheet).records()]


@pytest.mark.parametrize(("title", "count", "source"), COUNTS)
def test_a_sheet_has_a_column_for_every_element(report: Report, title: str, count: int, source: str) -> None:
    """Each event has as many elements as its section lists, and every element has columns that must be filled."""
    sheet = _sheet(report, title)
    assert len(sheet.elements) == count, source
    assert {column.element for column in sheet.columns if column.needed} == set(sheet.elements)
    assert sheet.rows


def test_seven_elements_are_passed_on(report: Report) -> None:
    """P fsma204-03: of the shipping elements the first seven go to the recipient, the reference document need not."""
    shipping = _sheet(report, SHIPPING)
    passed = kde.passed_on(shipping.columns)
    assert tuple(dict.fromkeys(column.element for column in passed)) == shipping.elements[:7]
    assert not any("document" in column.title for column in passed)


def test_shipping_makes_no_code(report: Report) -> None:
    """P fsma204-06: every lot code that is shipped was made by a transformation."""
    made = set(_column(report, OUTPUTS, "New traceability lot code"))
    assert set(_column(report, SHIPPING, "Traceability lot code")) <= made


def test_first_land_based_receiving_makes_a_code(report: Report) -> None:
    """P fsma204-07: each landing has a code of its own, made by the house, which is its source."""
    codes = _column(report, FIRST_RECEIVING, "Traceability lot code")
    assert len(codes) == len(set(codes)) > 0
    assert set(_column(report, FIRST_RECEIVING, "Receiver and lot code source")) == {"Havlykt Smokehouse"}


def test_transformation_makes_a_code(report: Report) -> None:
    """P 1.1320(a): each new lot has a code no input has, save for a lot that is worked again."""
    made = _column(report, OUTPUTS, "New traceability lot code")
    assert len(made) == len(set(made))
    received = {
        *_column(report, FIRST_RECEIVING, "Traceability lot code"),
        *_column(report, RECEIVING, "Our lot or return"),
    }
    assert not received & set(made)


def test_a_dealers_code_is_kept(report: Report) -> None:
    """P 1.1345(a): what a dealer delivers keeps the dealer's code, and the dealer is its source."""
    rows = [
        row
        for row in _sheet(report, RECEIVING).records()
        if row["Immediate previous source"] == "Skvalpen Fish Dealing"
    ]
    assert {row["Traceability lot code"] for row in rows} == {"SK1187", "SK1243", "SK1310", "SK1342"}
    assert {row["Lot code source"] for row in rows} == {"Skvalpen Fish Dealing"}


def test_the_file_says_when_enforcement_begins(season: Built, tmp_path: Path) -> None:
    """The file carries the day enforcement begins, and what binds until then."""
    desk = open_desk(season.places)
    try:
        sent = send_kde(desk, Choice(since=date(2026, 11, 20)), tmp_path / "kde.csv")
    finally:
        desk.close()
    about = next(path for path in sent.files if path.name == "kde-about.csv").read_text(encoding="utf-8-sig")
    assert "2028-07-20" in about
    assert "subpart J" in about

"""The traceability plan, and the papers it is written as."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from io import BytesIO
from pathlib import Path

import pypdfium2
import pytest
from recall_chain import in_season

from lotwake.demo_db.builder import Built
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.send_out import send_plan
from lotwake.trace.base.settings import Settings
from lotwake.trace.recall.plan_document import BLANK, PlanFacts, blanks, plan
from lotwake.trace.recall.written import Facts, Heading, Lines, Table, as_markdown, as_text, write_pdf
from lotwake.trace.records.entries.house import SiteFacts

EMPTY = PlanFacts(
    SiteFacts("House", "", "NO", "9520000", "Europe/Oslo"), "", "here", "there", (), (), (), (), (), date(2026, 11, 24)
)


def test_the_plan_is_filled_from_the_house(season: Built, tmp_path: Path) -> None:
    """Site, contact, place of the record, products and sources of the demo house stand in its plan."""
    path = tmp_path / "plan.md"
    sent = in_season(season, lambda desk: send_plan(desk, path))
    text = path.read_text(encoding="utf-8")
    for said in ("Havlykt Smokehouse", "Signe Kvikklund", "+47 000 00 001", str(season.places.records).replace("_", r"\_"),
                 "Hot smoked haddock", "09520000000110", "Stillblikk Fish Farm", "Fish from a boat (6 known)"):  # fmt: skip
        assert said in text
    assert BLANK not in text
    assert sent.missing == ()


def test_the_plan_has_the_five_points_of_the_rule() -> None:
    """21 CFR 1.1315: how records are kept, how foods are identified, how codes are assigned, a contact, a farm map."""
    titles = [block.text for block in plan(EMPTY) if isinstance(block, Heading) and block.level == 2]
    for place, word in enumerate(("records", "Food Traceability List", "lot codes", "contact", "map")):
        assert word in titles[place]
    assert "2028-07-20" in as_text(plan(EMPTY))


def test_what_the_house_has_not_set_up_is_to_be_filled_in() -> None:
    """Each blank of an empty house is marked in the plan and named beside it."""
    assert len(blanks(EMPTY)) == 4
    assert as_text(plan(EMPTY)).count(BLANK) == 5
    assert blanks(replace(EMPTY, contact="Signe"))[:2] == (
        "the address of the house",
        "the telephone number of the house",
    )


def test_a_house_without_an_operator_in_its_settings_has_no_contact(desk: Desk, tmp_path: Path) -> None:
    """The contact is the operator of house.toml; without one it is missing, and said so."""
    sent = send_plan(replace(desk, settings=Settings()), tmp_path / "plan.txt")
    assert sent.missing == ("who is the contact (operator in house.toml)",)
    assert BLANK in (tmp_path / "plan.txt").read_text(encoding="utf-8")


BLOCKS = (
    Heading("Title <b>", 1), Lines(("One & two.", "Three.")), Lines(("a point",), bullets=True),
    Facts((("Name", "Tåkelur"), ("Long name", "x"))), Table(("A", "B"), (("1 | 2", "# [b12]"), ("3", ""))),
)  # fmt: skip


def test_plain_text() -> None:
    """Text has no marks but the line under a heading, and names stand under each other."""
    text = as_text(BLOCKS)
    assert text.startswith("Title <b>\n=========\n")
    assert "Name:      Tåkelur\nLong name: x\n" in text
    assert "A: 1 | 2\nB: # [b12]\n\nA: 3\n" in text


def test_markdown_keeps_the_record_apart_from_its_marks() -> None:
    """What comes from the record cannot open a table cell, a heading, a link or a tag."""
    text = as_markdown(BLOCKS)
    assert "# Title \\<b\\>" in text
    assert "| 1 \\| 2 | \\# \\[b12\\] |" in text


@pytest.mark.parametrize("odd", ["[/x] <font> & &amp; </para>", "鯖", "a" * 4000, ""])
def test_a_pdf_takes_any_text(odd: str) -> None:
    """Marks, letters the font lacks, and endless words become a readable page, and lacking letters are pointed out."""
    out = BytesIO()
    write_pdf(out, (Heading(odd, 1), Lines((odd,)), Table(("A", "B"), ((odd, "x"),)), Facts(((odd, odd),))), "Test")
    with pypdfium2.PdfDocument(out.getvalue()) as pdf:
        text = "".join(page.get_textpage().get_text_range() for page in pdf)
    assert ("cannot show" in text) == (odd == "鯖")
    if odd.startswith("["):
        assert odd in text


def test_the_same_paper_gives_the_same_bytes() -> None:
    """A PDF depends on nothing but what is in it."""
    one, two = BytesIO(), BytesIO()
    write_pdf(one, BLOCKS, "Test")
    write_pdf(two, BLOCKS, "Test")
    assert one.getvalue() == two.getvalue()

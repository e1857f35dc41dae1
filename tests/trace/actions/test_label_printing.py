"""Printing labels: nothing is entered that cannot be printed, nothing is sent that does not read, nothing prints twice."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from lotwake.labels.barcodes.dots import DOTS_203
from lotwake.labels.errors import WrongData
from lotwake.labels.printing.pictures import opened, picture
from lotwake.trace.actions import correct, labels, packing
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.label_fit import fit_to_print, in_words
from lotwake.trace.actions.label_laid import laid_unit
from lotwake.trace.base.errors import CallError, LotwakeError, Refused
from lotwake.trace.base.ranges import Serials
from lotwake.trace.records.find import Thing, by_code
from lotwake.trace.records.packing import prints_of_job
from lotwake.trace.records.verify import verify

Choose = Callable[..., Desk]
Labelled = Callable[..., Thing]
Scans = Callable[[Path], list[str]]
NOBODY = "ipp://localhost:9/ipp/print"  # the discard port: nothing listens there


def states(desk: Desk, job: int) -> list[str]:
    """Every state a job went through."""
    return [row[0] for row in desk.records.rows("SELECT state FROM label_state WHERE print = ? ORDER BY id", job)]


def test_labels_read_as_the_record_says(scans: Scans, labelled: Labelled, choose: Choose, tmp_path: Path) -> None:
    """Product, date, lot and serial on every label of a print are those of the record."""
    desk, run, out = choose(), labelled(), tmp_path / "labels.pdf"
    printed = labels.print_labels(desk, run.code, 3, out)
    assert scans(out) == [f"(01)09520000009991(15)270123(10){run.code}(21)000{n}" for n in (1, 2, 3)]
    assert (printed.packs, printed.count, printed.sent.state) == ((Serials(1, 3),), 3, "PRINTED")
    assert states(desk, printed.sent.job) == ["PENDING", "PRINTED"]
    assert list(desk.places.spool.iterdir()) == []
    assert verify(desk.records).whole


@pytest.mark.parametrize("design", ["line", "datamatrix", "qr"])
def test_every_design_is_printed_and_read(
    scans: Scans, labelled: Labelled, choose: Choose, tmp_path: Path, design: str
) -> None:
    """The house chooses the kind of symbol; each is read back before it is given out, use-by date and all."""
    desk, run, out = choose(design=design, use_by=True), labelled(), tmp_path / "labels.pdf"
    labels.print_labels(desk, run.code, 2, out)
    first, second = scans(out)
    assert "0001" in first
    assert "0002" in second
    assert all(run.code in text and "270123" in text for text in (first, second))
    assert ("(17)" in first or "17=270123" in first) is True


@pytest.mark.parametrize(
    ("changes", "settings", "says"),
    [
        ({}, {"market": "eu"}, "correct party house"),
        ({"ingredients": "haddock, salt"}, {"market": "eu"}, "The ingredients do not name fish as such"),
        ({"allergens": "fish"}, {"market": "us"}, 'allergens "fish (haddock)"'),
        ({}, {"market": "us", "languages": ("spanish",)}, 'languages = ["english"]'),
    ],
)
def test_an_unfit_label_says_what_to_add(
    labelled: Labelled, choose: Choose, tmp_path: Path, changes: dict[str, str], settings: dict[str, str], says: str
) -> None:
    """A label that lacks what its market asks is refused before anything is entered, with the command or setting."""
    run, desk = labelled(**changes), choose(**settings)
    before = desk.records.value("SELECT MAX(seq) FROM journal")
    with pytest.raises(Refused) as refused:
        labels.print_labels(desk, run.code, 3, tmp_path / "x.pdf")
    assert says in str(refused.value)
    assert f"lotwake label sample {run.shown}" in refused.value.hint
    assert desk.records.value("SELECT MAX(seq) FROM journal") == before
    assert not (tmp_path / "x.pdf").exists()


def test_what_does_not_stop_it_is_given_with_the_caution(labelled: Labelled, choose: Choose, tmp_path: Path) -> None:
    """What a label lacks without being stopped by it comes with the print, with what to do, and with the caution."""
    run = labelled(serving=None)
    printed = labels.print_labels(choose(), run.code, 1, tmp_path / "x.pdf")
    assert [(finding.rule, finding.blocks) for finding in printed.findings] == [("use", False)]
    (line,) = in_words(printed.findings, printed.product)
    assert line.endswith('serving "to be cooked" --why REASON.')
    assert "qualified person" in printed.caution


def test_the_usual_small_house_prints_in_every_market(labelled: Labelled, choose: Choose, tmp_path: Path) -> None:
    """With ingredients, keeping and an approval number the same product prints for Codex, the Union and the States."""
    run, desk = labelled(), choose()
    correct.correct_party(desk, "house", "Skerry Smokehouse", "approval", "NO X-999", "licence")
    for market in ("codex", "eu", "us"):
        printed = labels.print_labels(choose(market=market), run.code, 1, tmp_path / f"{market}.pdf")
        assert not any(finding.blocks for finding in printed.findings)


@pytest.mark.parametrize(
    ("words", "error", "says"),
    [
        ({"to": "printer"}, CallError, "'printer' is no printer"),
        ({"to": "file:"}, CallError, "'file:' is no printer"),
        ({"first_place": 2}, WrongData, "a page of roll 100 x 60 mm has 1"),
        ({"count": 0}, CallError, "0 labels cannot be printed"),
        ({"count": 300}, Refused, "too much"),
    ],
)
def test_a_call_that_cannot_be_enters_nothing(
    labelled: Labelled, choose: Choose, tmp_path: Path, words: dict[str, object], error: type[Exception], says: str
) -> None:
    """A printer, a place or a number that cannot be is refused before anything is entered."""
    run, desk = labelled(), choose()
    call = {"count": 3, **words}
    before = desk.records.value("SELECT MAX(seq) FROM journal")
    with pytest.raises(error, match=says):
        labels.print_labels(desk, run.code, out=tmp_path / "x.pdf", **call)  # type: ignore[arg-type]
    assert desk.records.value("SELECT MAX(seq) FROM journal") == before


def test_a_stock_nobody_knows_is_refused(labelled: Labelled, choose: Choose, tmp_path: Path) -> None:
    """A stock that is neither shipped nor in the house's folder is refused with those there are; one of its own prints."""
    run, desk = labelled(), choose(stock="our roll", pack_face_cm2=70)
    with pytest.raises(CallError, match=r"house\.toml: there is no label stock 'our roll'.*roll 100 x 60 mm"):
        labels.print_labels(desk, run.code, 1, tmp_path / "x.pdf")
    desk.places.stock.mkdir()
    file = desk.places.stock / "ours.toml"
    file.write_text('name = "our roll"\nwidth_mm = 90\nheight_mm = 60\nmargin_mm = 2\nbar_heights_mm = [9, 7]\n')
    for name in ("our roll", "ours.toml"):
        labels.print_labels(choose(stock=name), run.code, 1, tmp_path / "x.pdf")
        with opened(tmp_path / "x.pdf") as document:
            assert picture(document, 0, DOTS_203).width == DOTS_203.dots_within(90)
    file.write_text('name = "our roll"\nwidth_mm = -1\n')
    with pytest.raises(WrongData, match=r"ours\.toml, line 2: width_mm must be a number above 0"):
        labels.print_labels(desk, run.code, 1, tmp_path / "x.pdf")


def test_a_sheet_that_was_begun_is_gone_on_with(
    scans: Scans, labelled: Labelled, choose: Choose, tmp_path: Path
) -> None:
    """Printing begins at the place on the sheet that was asked for, and the proof knows it."""
    desk, run = choose(stock="Letter sheet, 2 x 5 labels", pack_face_cm2=70), labelled()
    labels.print_labels(desk, run.code, 5, tmp_path / "x.pdf", first_place=8)
    with opened(tmp_path / "x.pdf") as document:
        assert len(document) == 2
    assert len(scans(tmp_path / "x.pdf")) == 5


def test_a_reprint_takes_the_same_way(scans: Scans, labelled: Labelled, choose: Choose, tmp_path: Path) -> None:
    """A label once more is proofed, sent and entered like the first, and reads the same."""
    desk, run = choose(printer=NOBODY), labelled()
    labels.print_labels(desk, run.code, 3, tmp_path / "x.pdf", to="file")
    again = labels.reprint_labels(desk, f"{run.code}/2", "smeared", tmp_path / "y.pdf")
    assert again.sent.state == "WAITING"
    assert scans(tmp_path / "y.pdf") == scans(tmp_path / "x.pdf")[1:2]
    with pytest.raises(LotwakeError, match="names no packs"):
        labels.reprint_labels(desk, run.code, "smeared", tmp_path / "z.pdf")


def test_case_labels_read_with_their_origin(
    scans: Scans, labelled: Labelled, choose: Choose, house, tmp_path: Path
) -> None:  # type: ignore[no-untyped-def]
    """A case label carries content, lot and SSCC in bars, and all of it with the fish's origin in a DataMatrix."""
    run = labelled()
    case = house.case(f"{run.code}/1-12")
    desk = choose(printer=NOBODY, case_printer="folder:cases")
    desk.places.folder.joinpath("cases").mkdir()
    (printed,) = labels.print_case_labels(desk, [case], tmp_path / "c.pdf")
    assert (printed.sent.state, printed.sent.target.startswith("folder")) == ("PRINTED", True)
    texts = set(scans(tmp_path / "c.pdf"))
    assert {f"(00){case}", "(02)09520000009991(37)12", f"(15)270123(10){run.code}"} <= texts
    (matrix,) = [text for text in texts if "(7005)" in text]
    assert "(7005)27.4.b" in matrix
    assert "(7008)HAD" in matrix
    with pytest.raises(Refused, match="has its label already"):
        labels.print_case_labels(desk, [case], tmp_path / "d.pdf")
    assert labels.print_case_labels(desk, [case], tmp_path / "d.pdf", "torn")[0].sent.state == "PRINTED"


def test_a_case_label_without_room_leaves_the_origin_to_the_packs(labelled: Labelled, choose: Choose, house) -> None:  # type: ignore[no-untyped-def]
    """Where the words need the room, the case label keeps them and its bars, and says nothing of the origin."""
    long = "Keep frozen at -18 °C or colder. " * 7
    run = labelled(storage=long.strip())
    case = by_code(house.desk.records, house.case(f"{run.code}/1-12"))
    assert laid_unit(choose(), case).spec.origin is None


def test_cards_scan_back_to_their_batch(scans: Scans, choose: Choose, house, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    """One card for each tray, each carrying the code of the batch; printed again only with a reason."""
    batch = house.batch((house.landing(40_000), 40_000))
    desk = choose()
    printed = labels.print_card(desk, batch, tmp_path / "b.pdf", trays=3)
    assert scans(tmp_path / "b.pdf") == [f"(91){batch}"] * 3
    assert printed.sent.state == "PRINTED"
    (seen,) = prints_of_job(desk.records, printed.sent.job)
    assert (seen.thing, seen.packs, seen.count) == (by_code(desk.records, batch), None, 1)
    with pytest.raises(Refused, match="has its card already"):
        labels.print_card(desk, batch, tmp_path / "b.pdf")
    labels.print_card(desk, batch, tmp_path / "b.pdf", reason="wet", stock="roll 100 x 60 mm")
    assert verify(desk.records).whole


def test_the_packing_table_shows_what_would_be_printed(scans: Scans, labelled: Labelled, choose: Choose, house) -> None:  # type: ignore[no-untyped-def]
    """The preview of the table has the symbols of the next label and what its market asks; the print says the same."""
    run = labelled(2, serving=None)
    desk = choose()
    fresh = house.released((house.landing(30_000), 30_000))
    shown = packing.preview(desk, packing.lay_out(desk, fresh, "Hot smoked haddock fillets"))
    assert [finding.rule for finding in shown.findings] == ["use"]
    printed = packing.pack_and_print(desk, fresh, "Hot smoked haddock fillets", 2)
    (text,) = [symbol.hri for symbol in shown.on_paper.symbols]
    assert scans(printed.path)[0] == text
    assert printed.findings == shown.findings
    assert printed.thing != run


def test_fit_is_judged_for_the_longest_number(labelled: Labelled, choose: Choose) -> None:
    """A label that prints today prints for every serial the run can come to."""
    fit = fit_to_print(choose(), labelled())
    assert all(len(symbol) for symbol in fit.layout.symbols(999_999))
    assert "(21)999999" in "".join(f"({e.ai}){e.value}" for symbol in fit.layout.symbols(999_999) for e in symbol)

"""The origin answer: the same for whatever a buyer reads out, complete, without what is withheld, and written down."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from lotwake.trace.actions import origin, receive, smoke
from lotwake.trace.base.errors import CallError, LotwakeError, Refused
from lotwake.trace.recall.chain_picture import Box, levels
from lotwake.trace.recall.origin import Withhold, as_data, in_sentences, read_withheld
from lotwake.trace.recall.paper_origin import write_origin
from lotwake.trace.records.verify import verify

GTIN = "09520000000028"


@pytest.fixture
def sent(house: Any) -> tuple[str, str, str]:
    """Two landings and a farm's fish in one run, 12 packs to each of two buyers: the run, and the cases."""
    arrival = receive.Arrival("farmed", "Still Bay", 3_000, species="HAD", their_code="SB-7", method="farmed")
    farmed = receive.receive(house.desk, arrival).code
    batch = house.batch((house.landing(6_000), 6_000), (house.landing(3_000, "Brisling"), 3_000), (farmed, 3_000))
    smoke.take_step(house.desk, batch, "smoking", house.desk.now, house.later(2))
    smoke.take_readings(house.desk, batch, "core", [(house.desk.now, 6_410)])
    smoke.release_batch(house.desk, batch)
    run = house.run((batch, None), count=40)
    first, second = house.case(f"{run}/1-12"), house.case(f"{run}/13-24")
    house.send(first, document="HL-1")
    house.send(second, buyer="Hill Kitchen", document="HL-2")
    return run, first, second


def ask(house: Any, text: str, asker: str = "", *what: Withhold) -> Any:
    return origin.answer_origin(house.desk, origin.asked_about(house.desk, text), asker, what)


def test_everything_a_buyer_asks_is_in_it(house: Any, sent: Any) -> None:
    """What it is, boats, days, areas, gear, species, the farm with its lot code, shares, what was done, where it went."""
    answer = ask(house, sent[0])
    shares = {fish.sender: fish.mixed for fish in answer.fish}
    assert shares == {"Aurora": Fraction(1, 2), "Brisling": Fraction(1, 4), "Still Bay": Fraction(1, 4)}
    data = as_data(answer)
    assert (data["boats"], data["areas"], data["species"]) == (["Aurora", "Brisling"], ["27.4.b"], ["HAD"])
    assert (data["buyers"], data["documents"]) == (["Hill Kitchen", "Quay Deli"], ["HL-1", "HL-2"])
    assert data["landing_dates"] == [house.desk.today.isoformat()]
    text = " ".join(in_sentences(answer))
    for part in ("Hot smoked haddock", "300 g", sent[0], "Central North Sea", "bottom", "their lot SB-7", "50% Haddock",
                 "smoking 120 min", "core read up to 64.1 C", "no scheduled process",
                 "12 packs (3.6 kg) sent to Quay Deli"):  # fmt: skip
        assert part in text
    assert "safe" not in text.lower()
    assert "qualified person" in text


@pytest.mark.parametrize(
    "form", ["{run}", "{run}/3", "(01){gtin}(10){run}", "{case}", "HL-1", "https://id.example/01/{gtin}/10/{run}"]
)
def test_asked_in_any_form(house: Any, sent: Any, form: str) -> None:
    """A lot code, a pack, GTIN and lot, a case, a document or a web address lead to the same boats."""
    run, case, _ = sent
    answer = ask(house, form.format(run=run, case=case, gtin=GTIN))
    assert as_data(answer)["boats"] == ["Aurora", "Brisling"]
    assert answer.goods[0].lot == run


def test_a_photographed_bar_code(house: Any, sent: Any, tmp_path: Path) -> None:
    """A picture of the label's symbol is as good as the code; a picture of nothing is refused with what to do."""
    zxingcpp, image = pytest.importorskip("zxingcpp"), pytest.importorskip("PIL.Image")
    shot = tmp_path / "label.png"
    symbol = zxingcpp.create_barcode(f"https://id.example/01/{GTIN}/10/{sent[0]}/21/3", zxingcpp.BarcodeFormat.QRCode)
    image.fromarray(symbol.to_image(scale=6)).save(shot)
    assert ask(house, str(shot)).serial == 3
    blank = tmp_path / "blank.png"
    image.new("L", (200, 200), 255).save(blank)
    with pytest.raises(CallError, match="No bar code can be read"):
        origin.asked_about(house.desk, str(blank))
    (tmp_path / "text.png").write_text("not a picture")
    with pytest.raises(CallError, match="not a picture that can be read"):
        origin.asked_about(house.desk, str(tmp_path / "text.png"))


def test_what_is_withheld_is_nowhere(house: Any, sent: Any) -> None:
    """Boat names and smaller areas are in no sentence, key or link once withheld, and the answer says what is kept back."""
    answer = ask(house, sent[0], "", Withhold.BOATS, Withhold.POSITIONS)
    everything = repr(as_data(answer))
    for secret in ("Aurora", "Brisling", "N-12-X", "27.4.b", "Central North Sea"):
        assert secret not in everything
    assert {fish.area for fish in answer.fish if fish.sender_kind == "boat"} == {"27"}
    assert "Still Bay" in everything
    assert "names of the boats" in in_sentences(answer)[-2]


def test_a_buyer_is_told_of_their_own_goods_alone(house: Any, sent: Any) -> None:
    """A buyer who asks sees no goods of others, not even their documents."""
    data = as_data(ask(house, sent[0], "quay deli"))
    assert (data["buyers"], data["documents"]) == (["Quay Deli"], ["HL-1"])
    assert "HL-2" not in repr(data)


def test_the_answer_is_written_down(house: Any, sent: Any) -> None:
    """Who asked, what was withheld and every word is in the record; without somebody at work nothing is answered."""
    thing = origin.asked_about(house.desk, f"{sent[0]}/3")
    answer = ask(house, f"{sent[0]}/3", "Quay Deli")
    origin.record_answer(house.desk, thing, answer)
    (row,) = house.desk.records.rows("SELECT kind, serial, asker, withheld, said FROM origin_answer")
    assert row == ("pack", 3, "Quay Deli", "buyers", "\n".join(in_sentences(answer)))
    assert verify(house.desk.records).whole
    with pytest.raises(Refused, match="Nobody is at work"):
        origin.record_answer(replace(house.desk, operator=None), thing, answer)


def test_questions_nobody_can_answer(house: Any) -> None:
    """A person, an unknown code and an empty text are refused in a sentence."""
    for text in (house.desk.operator.code, "999-999", " "):
        with pytest.raises(LotwakeError):
            origin.asked_about(house.desk, text)
    with pytest.raises(CallError, match="cannot be withheld"):
        read_withheld("boats, prices")
    assert read_withheld("Boats; positions") == {Withhold.BOATS, Withhold.POSITIONS}


def test_shares_of_a_dispatch_weigh_its_runs(house: Any) -> None:
    """The share of a lot in a dispatch is weighed by the packs of each run in it."""
    one, two = house.packed_run(20), house.packed_run(20)
    house.send(f"{one}/1-15", f"{two}/1-5", document="HL-9")
    assert sorted(fish.mixed for fish in ask(house, "HL-9").fish) == [Fraction(1, 4), Fraction(3, 4)]


def test_the_page_is_one_page(house: Any, tmp_path: Path) -> None:
    """However long the chain, the answer is one page of PDF that holds the boats and the lot; the same bytes each time."""
    pdfium = pytest.importorskip("pypdfium2")
    batch = house.batch(*((house.landing(3_000, received=house.ago(number / 60)), 3_000) for number in range(12)))
    for number in range(14):
        smoke.take_step(house.desk, batch, f"step {number}", house.desk.now, house.desk.now + timedelta(0))
    smoke.release_batch(house.desk, batch)
    run = house.run((batch, None), count=100)
    for number in range(12):
        house.send(f"{run}/{4 * number + 1}-{4 * number + 4}", document=f"HL-{number}")
    answer = ask(house, run, "somebody in Łódź — 漁")  # letters the font may lack must not stop the answer
    for name in ("a.pdf", "b.pdf"):
        write_origin(answer, tmp_path / name)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()
    pdf = pdfium.PdfDocument(tmp_path / "a.pdf")
    assert len(pdf) == 1
    text = pdf[0].get_textpage().get_text_range()
    for part in ("Aurora N-12-X", run, "27.4.b", "and 7 more"):
        assert part in text


def test_columns_of_the_picture_go_with_the_fish() -> None:
    """Each box stands to the right of all that leads to it, those marked last in the last column; a circle ends."""
    boxes = [Box(code, "", "", "", last=code == "z") for code in "abcdez"]
    links = [("a", "c"), ("b", "c"), ("c", "d"), ("a", "d"), ("c", "z"), ("d", "z"), ("a", "nobody")]
    assert [[box.code for box in column] for column in levels(boxes, links)] == [["a", "b", "e"], ["c"], ["d"], ["z"]]
    circle = levels(boxes[:3], [("a", "b"), ("b", "c"), ("c", "a")])
    assert sorted(box.code for column in circle for box in column) == ["a", "b", "c"]

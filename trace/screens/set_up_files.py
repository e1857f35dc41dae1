"""Set-up of what a house keeps in files: its settings, printers among them, its label stock, its phrases."""

from __future__ import annotations

from lotwake.trace.actions import house_files
from lotwake.trace.actions.desk import Desk
from lotwake.trace.screens.arrival_form import DeskOf
from lotwake.trace.screens.set_up_kind import Kind, Values
from lotwake.trace.screens.widgets import ChoiceField, Field

_MEASURES = (
    ("width_mm", "Width, mm", "such as 90"),
    ("height_mm", "Height, mm", "such as 60"),
    ("margin_mm", "Margin, mm", "kept empty all round, such as 2"),
    ("bar_heights_mm", "Bars, mm", "heights tried, best first, such as 9 7"),
)


def _setting_fields(desk_of: DeskOf) -> list[Field]:
    return [
        ChoiceField("setting", "Setting", lambda: house_files.setting_rows(desk_of().settings)),
        Field("value", "It should be", needed=False, placeholder="empty takes it away; lists: english, filipino"),
    ]


def _change_setting(desk: Desk, values: Values) -> str:
    _, changed = house_files.change_setting(desk, values["setting"], values["value"] or "")
    return f"{values['setting']} is {changed.now or 'empty'} now. It said {changed.was or 'nothing'} before."


def _stock_fields(desk_of: DeskOf) -> list[Field]:
    stocks = ChoiceField(
        "like", "Begin as", lambda: [(name, "") for name in house_files.stock_names(desk_of())], needed=False,
        placeholder="one that is there; what is typed below differs",
    )  # fmt: skip
    measures = [Field(name, label, needed=False, placeholder=example) for name, label, example in _MEASURES]
    return [Field("name", "Name"), stocks, *measures]


def _add_stock(desk: Desk, values: Values) -> str:
    measures = {name: values[name] for name, _, _ in _MEASURES if values[name]}
    changed = house_files.add_stock(desk, values["name"], measures, values["like"] or "")
    return f"The stock {values['name']} is in {changed.path.name}. F7 makes its calibration page."


def _fix_stock(desk: Desk, values: Values) -> str:
    changed = house_files.change_stock(desk, values["who"], values["field"], values["value"])
    return f"{values['field']} of {values['who']} is {changed.now} now. It said {changed.was or 'nothing'} before."


def _phrase_fields(desk_of: DeskOf) -> list[Field]:
    def files() -> list[tuple[str, str]]:
        return [(name, "") for name in house_files.phrase_files(desk_of())]

    def phrases() -> list[tuple[str, str]]:
        return house_files.phrases_listed(desk_of(), desk_of().settings.languages[0])

    return [
        ChoiceField("language", "Language", files, other=str.strip, placeholder="or a file of your own: words.toml"),
        ChoiceField("phrase", "Phrase", phrases),
        Field("words", "It should say"),
    ]


def _change_phrase(desk: Desk, values: Values) -> str:
    changed = house_files.change_phrase(desk, values["language"], values["phrase"], values["words"])
    used = changed.path.name in desk.settings.languages
    then = "" if used else f" Labels use it when the setting languages names {changed.path.name}."
    return f"{values['phrase']} says {changed.now} now.{then}"


FILE_KINDS = (
    Kind("setting", "settings", _setting_fields, _change_setting,
         lambda desk: [f"{name} {now}" for name, now in house_files.setting_rows(desk.settings) if now]),
    Kind("stock", "stocks", _stock_fields, _add_stock, house_files.stock_names, _fix_stock,
         house_files.STOCK_FIELDS),
    Kind("phrase", "phrases", _phrase_fields, _change_phrase, house_files.phrase_files),
)  # fmt: skip

"""Widgets: they get data and post messages in the past tense. Each is loaded with the first page that uses it."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from lotwake.trace.screens.widgets.choice_field import ChoiceField
    from lotwake.trace.screens.widgets.count_panel import CountPanel
    from lotwake.trace.screens.widgets.field import Field
    from lotwake.trace.screens.widgets.form import Form
    from lotwake.trace.screens.widgets.ledger import Column, Ledger, ListedRows, Row
    from lotwake.trace.screens.widgets.line_input import LineInput

__all__ = ["ChoiceField", "Column", "CountPanel", "Field", "Form", "Ledger", "LineInput", "ListedRows", "Row"]
_FILES = {
    "ChoiceField": "choice_field",
    "Column": "ledger",
    "CountPanel": "count_panel",
    "Field": "field",
    "Form": "form",
    "Ledger": "ledger",
    "LineInput": "line_input",
    "ListedRows": "ledger",
    "Row": "ledger",
}


def __getattr__(name: str) -> Any:
    if name not in _FILES:
        raise AttributeError(name)
    return getattr(import_module(f"{__name__}.{_FILES[name]}"), name)

"""Widgets: they get data and post messages in the past tense."""

from lotwake.trace.screens.widgets.choice_field import ChoiceField
from lotwake.trace.screens.widgets.count_panel import CountPanel
from lotwake.trace.screens.widgets.field import Field
from lotwake.trace.screens.widgets.form import Form
from lotwake.trace.screens.widgets.ledger import Column, Ledger, ListedRows, Row
from lotwake.trace.screens.widgets.line_input import LineInput

__all__ = ["ChoiceField", "Column", "CountPanel", "Field", "Form", "Ledger", "LineInput", "ListedRows", "Row"]

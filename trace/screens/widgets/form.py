"""A form: fields from top to bottom, Enter goes on, what stands in it is kept as a draft."""

from __future__ import annotations

from typing import Any

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.message import Message

from lotwake.trace.base.errors import LotwakeError
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.widgets.field import Field


class Form(VerticalScroll, can_focus=False):
    """Fields with one draft. The page confirms or clears it; the form itself enters nothing."""

    class Filled(Message):
        """Enter was pressed in the last field and every field can be read."""

        def __init__(self, form: Form, values: dict[str, Any]) -> None:
            super().__init__()
            self.form = form
            self.values = values

    class Unready(Message):
        """Enter was pressed in the last field, but a field cannot be read; the cursor is in it now."""

        def __init__(self, form: Form, error: LotwakeError) -> None:
            super().__init__()
            self.form = form
            self.error = error

    class Restored(Message):
        """A draft was put back into the form."""

        def __init__(self, form: Form) -> None:
            super().__init__()
            self.form = form

    def __init__(self, name: str, fields: list[Field], drafts: DraftStore) -> None:
        super().__init__(id=f"form-{name}")
        self.form_name = name
        self.fields = fields
        self._drafts = drafts
        self._kept: dict[str, str] = {}

    def compose(self) -> ComposeResult:
        """The fields."""
        yield from self.fields

    def on_mount(self) -> None:
        """Put back what stood here when the form was left, the power went or the program died."""
        draft = self._drafts.get(self.form_name)
        if draft is None:
            return
        self._kept = draft
        for field in self.fields:
            field.text = draft.get(field.field_name, "")
        self.post_message(self.Restored(self))

    def texts(self) -> dict[str, str]:
        """What stands in the fields, by name."""
        return {field.field_name: field.text for field in self.fields}

    def values(self) -> dict[str, Any]:
        """The values of all fields, by name.

        Raises:
            LotwakeError: a field cannot be read; the cursor is put into the first such field.
        """
        values = {}
        for field in self.fields:
            try:
                values[field.field_name] = field.value()
            except LotwakeError:
                field.focus_here()
                raise
        return values

    def confirmed(self) -> None:
        """The entry was made: the fields are empty and the draft is gone."""
        self._kept = {field.field_name: "" for field in self.fields}
        for field in self.fields:
            field.text = ""
        self._drafts.drop(self.form_name)
        self.fields[0].focus_here()

    def on_field_edited(self, event: Field.Edited) -> None:
        """Keep every change; an empty form has no draft."""
        event.stop()
        texts = self.texts()
        if texts != self._kept:
            self._kept = texts
            self._drafts.put(self.form_name, texts)

    def on_field_passed(self, event: Field.Passed) -> None:
        """Go to the next field, or hand the form over after the last."""
        event.stop()
        at = self.fields.index(event.field)
        if at + 1 < len(self.fields):
            self.fields[at + 1].focus_here()
            return
        try:
            values = self.values()
        except LotwakeError as error:
            self.post_message(self.Unready(self, error))
        else:
            self.post_message(self.Filled(self, values))

"""A form: fields from top to bottom, Enter goes on, what stands in it is kept as a draft."""

from __future__ import annotations

from typing import Any

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.message import Message

from lotwake.trace.base.errors import LotwakeError
from lotwake.trace.screens.drafts import DraftStore
from lotwake.trace.screens.widgets.field import COMMAND_SIGN, Field


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
        """The fields; rare ones are hidden at first."""
        for field in self.fields:
            field.display = not field.has_class("-rare")
        yield from self.fields

    def on_mount(self) -> None:
        """Put back what stood here when the form was left, the power went or the program died."""
        draft = self._drafts.get(self.form_name)
        if draft is None:
            return
        self._kept = draft
        for field in self.fields:
            field.text = draft.get(field.field_name, "")
            field.display = field.display or bool(field.text)
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

    def show_all(self, everything: bool) -> None:
        """Show the rare fields as well, or hide those of them in which nothing stands."""
        for field in self.query(".-rare").results(Field):
            field.display = everything or bool(field.text)

    def confirmed(self) -> None:
        """The entry was made: the fields are empty and the draft is gone."""
        self._kept = {field.field_name: "" for field in self.fields}
        for field in self.fields:
            field.text = ""
        self._drafts.drop(self.form_name)
        self.fields[0].focus_here()

    def on_field_edited(self, event: Field.Edited) -> None:
        """Keep every change; an empty form has no draft, and a command is none."""
        event.stop()
        texts = {name: "" if text.startswith(COMMAND_SIGN) else text for name, text in self.texts().items()}
        if texts == self._kept or not (any(texts.values()) or any(self._kept.values())):
            return
        self._kept = texts
        if any(texts.values()):
            self._drafts.put(self.form_name, texts)
        else:
            self._drafts.drop(self.form_name)

    def on_field_passed(self, event: Field.Passed) -> None:
        """Go to the next field that is seen, or hand the form over after the last. The page may listen too."""
        later = [field for field in self.fields[self.fields.index(event.field) + 1 :] if field.display]
        if later:
            later[0].focus_here()
            return
        try:
            values = self.values()
        except LotwakeError as error:
            self.post_message(self.Unready(self, error))
        else:
            self.post_message(self.Filled(self, values))

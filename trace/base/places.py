"""One house, one folder: where everything of a house lies on disk."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Places:
    """The paths inside the folder of one house."""

    folder: Path

    @property
    def records(self) -> Path:
        return self.folder / "records.db"

    @property
    def settings(self) -> Path:
        return self.folder / "house.toml"

    @property
    def drafts(self) -> Path:
        return self.folder / "drafts"

    @property
    def printed(self) -> Path:
        return self.folder / "printed"

    @property
    def spool(self) -> Path:
        """What is under way to the printer."""
        return self.folder / "spool"

    @property
    def stock(self) -> Path:
        """Label stock of the house's own."""
        return self.folder / "stock"

    @property
    def traces(self) -> Path:
        return self.folder / "traces"

    @property
    def recalls(self) -> Path:
        """Papers of recalls and drills, a folder for each."""
        return self.folder / "recalls"

    @property
    def answers(self) -> Path:
        """Origin answers on paper."""
        return self.folder / "answers"

    @property
    def sent(self) -> Path:
        """What was written for authorities and buyers' systems."""
        return self.folder / "sent"

    @property
    def backups(self) -> Path:
        return self.folder / "backups"


def places_at(folder: Path | None) -> Places:
    """The house in this folder, or the one in the user's data folder when none is named."""
    if folder is None:
        import platformdirs

        folder = Path(platformdirs.user_data_dir("lotwake", appauthor=False))
    return Places(folder.expanduser().absolute())

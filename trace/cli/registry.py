"""The commands by name, with their help, so that an overview needs none of their modules."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import cast

from lotwake.trace.cli.command import Command

PACKAGE = "lotwake.trace.cli"


@dataclass(frozen=True)
class Listed:
    """A command in the overview; ``module`` is its file in this room. ``help`` is the module's own ``HELP``."""

    name: str
    module: str
    help: str

    def load(self) -> Command:
        """Import the command."""
        return cast(Command, import_module(f"{PACKAGE}.{self.module}"))


COMMANDS = (
    Listed("demo", "demo", "Open an invented season to try the program on, or walk the main job in plain text."),
    Listed(
        "set-up", "set_up", "Open a new house, add who and what it deals with, change its settings, label stock and phrases."
    ),
    Listed("bring-in", "bring_in", "Load the old log book of a house from CSV files, all or nothing."),
    Listed("receive", "receive", "Write down a lot that came in: a landing, farmed or bought-in fish, or a material."),
    Listed("batch", "batch", "Run a batch: start it, add to it, its steps, readings and contacts, and its release."),
    Listed("logger", "logger", "Look at a temperature logger's file, and bring its readings into a batch."),
    Listed("process", "process", "Look at scheduled processes and adopt one for the house."),
    Listed("verdict", "verdict", "Hold a batch against its scheduled process, and say what a label may claim for it."),
    Listed("waiting", "waiting", "List what waits, most urgent first: deviations, results, packing, calibrations, reviews."),
    Listed("calibrate", "calibrate", "Write down the check of a thermometer, scale, hydrometer or logger."),
    Listed("lose", "lose", "Name a loss of a lot, batch or run: trim, drip, drying, samples, waste, giveaway."),
    Listed("pack", "pack", "Pack released batches: start a run, fill it, add packs, end packs, undo an end."),
    Listed("label", "label", "Print labels and cards, look at them, send what waits, and count them at the end of a run."),
    Listed("cards", "cards", "Print the cards to scan: scanner tests, people, commands and quantities, as one PDF."),
    Listed("serve", "serve", "Show the program in a browser, such as a tablet at the dock; it has no login of its own."),
    Listed("case", "case", "Put packs into cases."),
    Listed("pallet", "pallet", "Put cases or pallets onto a new pallet."),
    Listed("open-case", "open_case", "Open a case; its packs are loose again."),
    Listed("take-off", "take_off", "Take a case or pallet off the pallet it stands on."),
    Listed("dispatch", "dispatch", "Send cases, pallets and loose packs to a buyer."),
    Listed("return", "take_back", "Take goods back from a buyer."),
    Listed("place", "place", "Say where things lie in the house, by place: freezers, chill rooms, shelves."),
    Listed("hold", "hold", "Hold a lot, batch or run, and with it everything made from it."),
    Listed("reject", "reject", "Reject a lot, batch or run for good, and with it everything made from it."),
    Listed("release", "release", "Release a lot, batch or run from hold, by name and with a reason."),
    Listed("correct", "correct", "Correct an entry and say why; what it said before stays readable."),
    Listed("find", "find", "Say what a code is: everything it names, its state and its history."),
    Listed("trace", "trace", "Trace back to the boats or forward to the buyers, from any code the house knows."),
    Listed("origin", "origin", "Answer a buyer where goods are from, on one page, and write down who asked."),
    Listed("drill", "drill", "Practise a recall against the clock: name or draw a lot, find every pack, ring the buyers."),
    Listed("recall", "recall", "Recall goods: find every pack, hold what is here, tell the buyers, take their answers."),
    Listed("list", "listing", "List lots, batches, runs, cases, dispatches, boats, buyers, products and the rest."),
    Listed("journal", "journal", "Show the last entries of the journal."),
    Listed("verify", "verify", "Check that the record is whole: nothing changed behind the program's back."),
    Listed(
        "send-out",
        "send_out",
        "Send out key data elements, EU lot information, EPCIS, a dispatch note, the traceability plan, a day's record.",
    ),
    Listed("bring-epcis", "bring_epcis", "Bring a supplier's EPCIS 2.0 file in as bought-in lots, all or none."),
    Listed("reckon", "reckon", "Work out a number of the trade: brine, salt, heat, cooling, ice, type height, code look-ups."),
    Listed("locate", "locate", "Say which folder and files hold the house."),
    Listed("back-up", "back_up", "Copy the record into one file and check the copy."),
    Listed("restore", "restore", "Put a backup in place, unless that would lose newer entries."),
    Listed(
        "move-records",
        "move_records",
        "Copy the record to a PostgreSQL server, or from there into a folder, and check that all of it arrived.",
    ),
)  # fmt: skip


def command_table() -> list[tuple[str, str]]:
    """Every command with its one-sentence help, in the order of the overview."""
    return [(command.name, command.help) for command in COMMANDS]

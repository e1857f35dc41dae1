"""The commands of the pages that recall and drill."""

from __future__ import annotations

from lotwake.trace.recall.classes import TARGETS_ARE
from lotwake.trace.screens.command import CHOOSE, PAPER, REPEAT, VIEW, VOID, Command

TOLD = Command("told", "Told", "Write down how the marked buyer was told.", takes="HOW")
SILENT = Command("silent", "Silent", "Write down that the marked buyer was not reached.")
COUNT = Command("count", "Count", "Count what is in the house; with a number, so many of all.", takes="PACKS")
WIDEN = Command("widen", "Widen", "Suspect more, or without a code what was made since.", takes="CODE because WHY")
NARROW = Command("narrow", "Narrow", "Take something out of the scope.", takes="CODE because WHY")
PAUSE = Command("pause", "Pause", "Stop the clock, with the reason.", takes="WHY")
RESUME = Command("resume", "Resume", "Let the clock go on.")
CHECK = Command("check", "Check", "Draw the buyers an effectiveness check asks.", takes="A-E [PERCENT]")
CHECKED = Command("checked", "Checked", "What the check found at the marked buyer.", takes="RESULT [NOTE]")
FINISH = Command("finish", "Finish", "Sign it off and write the report.", takes="NAME")

RECALL_OFFERS = (
    VIEW.here("Figures", "The board, every figure with its records, what was done, and the board again."),
    CHOOSE.here("Which", "Every recall and drill, compared, and when the next drill is due."),
    PAPER.here("Papers", "Letters, e-mail texts and call sheet; of a finished one the report. /paper report at any time."),
    TOLD, SILENT, COUNT, WIDEN, NARROW, PAUSE, RESUME, CHECK, CHECKED, FINISH,
)  # fmt: skip

LOTS = CHOOSE.here("By lot", "Answer for one lot after the other, or for all at once again.")
PHONE = Command("phone", "Phone", "Put the buyer's telephone number right.", takes="NUMBER")
PERSON = Command("person", "Person", "Who answers.", takes="NAME")
NOTE = Command("note", "Note", "Something to remember about this answer.", takes="TEXT")
ALL = REPEAT.here("The rest", "All packs that no figure names yet.")
CALL_OFFERS = (
    LOTS,
    VOID.here("One back", "Take the last figure or name back."),
    TOLD.here("Told", "Write down how this buyer was told."),
    SILENT.here("Silent", "Write down that this buyer was not reached."),
    PHONE, PERSON, NOTE, ALL,
)  # fmt: skip

EQUIPMENT = Command("equipment", "Equipment", "Suspect what was in or on it.", takes="NAME from TIME [to TIME]")
INSTRUMENT = Command("instrument", "Instrument", "Suspect what rests on a failed instrument.", takes="NAME")
COMPLAINTS = Command("complaints", "Complaints", "The packs on the list are complaints: also what they share, or not.")
DRAW = Command("draw", "Draw", "Have the start of a drill drawn, and begin.", takes="SEED")
ONLY = Command("only", "Only these", "Only the packs on the list, not their whole lots, or the whole lots again.")
GOAL = Command("goal", "Goal", f"Hours to be done in, and the least per cent. {TARGETS_ARE}", takes="H:MM [PERCENT]")

"""What is offered on the batch page."""

from __future__ import annotations

from lotwake.trace.screens.command import CHOOSE, VIEW, VOID, Command
from lotwake.trace.screens.thing_page import FIX, HOLD, LIFT

STEP = Command(
    "step", "Step", "Begin a step: /step brining at 05:40; with 'to 06:00' behind, it is over.", takes="NAME"
)
END = Command(
    "end", "End step", "End the step that runs, or the one that is named; 'at 06:00' may follow.", takes="NAME"
)
READ = Command("read", "Read", "Choose what numbers are readings of, or write one down.", takes="KIND VALUE")
CORE = Command(
    "core", "Core", "Core temperature: /core 62.8 probe 2 at 05:40; alone, numbers are core readings.", takes="VALUE"
)
WITH = Command(
    "with", "With", "Readings are taken with this instrument from now on; /with none: nothing is said about it.",
    takes="INSTRUMENT",
)  # fmt: skip
WEIGH = Command(
    "weigh", "Weigh", "Weigh all the fish after a step: /weigh 24.6 after smoking; it gives the yield.", takes="KG"
)
LOSS = Command("loss", "Loss", "Name kilograms that were lost: trim, drip, drying, samples, waste.", takes="KIND KG")
RELEASE = Command(
    "release",
    "Release",
    "Sign that the batch may be packed; in spite of a limit: /release by NAME because REASON.",
    takes="NOTE",
)
ACT = Command(
    "act",
    "Act",
    "Why a limit was not met: /act core-heat because the fire went out; did smoke again.",
    takes="LIMIT",
)
REVIEW = Command("review", "Review", "Say that the record was read through and is in order.", takes="NOTE")
CARD = Command("card", "Card", "Show the card that goes with the batch, to print it; also one for each tray.")
FRESH = Command("new", "New batch", "Begin another batch; '/new at 05:40' began then.", takes="at TIME")

OFFERS = (
    VIEW.here("View", "Change between the work, the limits with what may be claimed, and the core chart."),
    CHOOSE.here("Batches", "Choose another batch, or begin one."),
    VOID.here("Undo last", "Take back the last input or loss by an entry that corrects it."),
    STEP,
    END,
    CORE,
    READ,
    WITH,
    WEIGH,
    LOSS,
    ACT,
    RELEASE,
    REVIEW,
    HOLD,
    LIFT,
    FIX,
    CARD,
    FRESH,
)

"""Sentences of the troubles that a customer can meet on his own page."""

from __future__ import annotations

from typing import Final

from app.language.marking import mark

TROUBLE_SENTENCES: Final = (
    mark("This link opens nothing."),
    mark("Ask the shop for a new one."),
    mark("There is no name."),
    mark("Type your name to sign."),
    mark("There is no text to sign."),
    mark("Open the quote again."),
    mark("The name or the text is too long."),
    mark("Shorten it."),
    mark("There is a zero character in the answer."),
    mark("There is half of a character in the answer."),
    mark("Type the text again without it."),
    mark("“{choice:kept}” cannot be chosen on this quote."),
    mark("Choose one that the quote offers; one that has lapsed or was revised offers none."),
    mark("This quote was accepted already on {day:day}."),
    mark("This quote was declined already on {day:day}."),
    mark("Ask the shop for a revision to answer anew."),
    mark("Quote {number:kept} was revised since; revision {revision:number} no longer holds."),
    mark("Open the last revision."),
    mark("Quote {number:kept} held until {day:day}."),
    mark("Quote {number:kept} does not offer {path:kept}."),
    mark("Choose one of its paths."),
    mark("You are not signed in, or that ended."),
    mark("Open the page again."),
)

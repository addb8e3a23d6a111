"""Phrases: English text that can be said in another language, data in it as it is."""

from __future__ import annotations

import json
import pickle

from taskdata.amounts import counted
from taskdata.page.wording import Wording
from taskdata.phrases import Phrase, in_language, phrase

GERMAN = {"{what} of {owner}": "{what} von {owner}", "water": "Wasser", "{size:.2f} m": "{size:.2f} m"}


def said(text: str) -> str:
    return in_language(text, lambda pattern: GERMAN.get(pattern, pattern), comma=True)


def test_a_phrase_is_the_english_text() -> None:
    text = phrase("{what} of {owner}", what=phrase("water"), owner="PFD1")
    assert text == "water of PFD1"
    assert json.dumps([text]) == '["water of PFD1"]'
    assert isinstance(pickle.loads(pickle.dumps(text)), Phrase)  # noqa: S301 - our own
    assert said(pickle.loads(pickle.dumps(text))) == "Wasser von PFD1"  # noqa: S301 - our own


def test_words_of_data_are_never_translated() -> None:
    assert said("water") == "water"
    assert said(phrase("{what} of {owner}", what="water", owner="{what} {0} %s")) == "water von {what} {0} %s"


def test_several_facts_stand_with_commas_and_decimals_follow_the_language() -> None:
    sizes = [phrase("{size:.2f} m", size=1234.5), phrase("water"), "water"]
    assert phrase("{sizes}", sizes=sizes) == "1234.50 m, water, water"
    assert said(phrase("{sizes}", sizes=sizes)) == "1234,50 m, Wasser, water"


def test_counts_are_said_in_the_language_of_the_page() -> None:
    assert [counted(number, "point") for number in (1, 2)] == ["1 point", "2 points"]
    assert [Wording("de").phrase(counted(number, "point")) for number in (0, 1, 2)] == [
        "0 Punkte",
        "1 Punkt",
        "2 Punkte",
    ]

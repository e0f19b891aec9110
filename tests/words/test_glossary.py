"""The words of the trade: each once, and a standard named as it is called."""

from advisor.words import glossary
from advisor.words.glossary import GROUPS

WORDS = [word for words in GROUPS.values() for word in words]


def test_each_word_stands_once():
    assert len({word.word for word in WORDS}) == len(WORDS)


def test_a_standard_is_named_once_and_by_its_body():
    assert {word.source for word in WORDS} == {"", "ASTM B374"}
    assert "ASTM B374" in glossary.__doc__
    assert glossary.__doc__.count("ASTM") == 1

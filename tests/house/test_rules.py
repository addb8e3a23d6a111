"""Every rule has one id, a full page, and facts from one vocabulary."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path
from string import Formatter

from taskdata import api, raised_rules
from taskdata.checks.registry import rules as modules
from taskdata.findings import Rule
from taskdata.raised_rules.declared import declared
from taskdata.reports.rule_page import parse_page

RULES = api.rules()
VOCABULARY = (Path(__file__).parent / "facts.txt").read_text(encoding="utf-8").split()


def facts(rule: Rule) -> set[str]:
    """The names of the facts in the words of a rule."""
    texts = (rule.message, rule.remedy)
    return {name for text in texts for _, name, _, _ in Formatter().parse(text) if name is not None}


def test_facts_are_named_without_a_format() -> None:
    """Facts are put into words before they stand in a sentence, so that a format of numbers would fail."""
    texts = [text for rule in RULES for text in (rule.message, rule.remedy)]
    assert [text for text in texts if any(spec or cast for _, _, spec, cast in Formatter().parse(text))] == []


def test_ids_are_unique() -> None:
    assert [name for name, count in Counter(rule.id for rule in RULES).items() if count > 1] == []


def has_page(rule: Rule) -> bool:
    """Whether the page of a rule is in the one form."""
    try:
        return parse_page(rule.about).checks.startswith(("That ", "Whether "))
    except ValueError:
        return False


def faults(rule: Rule) -> list[str]:
    """What is wrong with a rule's id, page, words, numbers or versions."""
    sound = {
        "id": re.fullmatch(r"[a-z]+\.[a-z0-9]+(-[a-z0-9]+)*", rule.id),
        "page": has_page(rule),
        "title": rule.about.strip().splitlines()[0].endswith(".") and not rule.about.startswith(("That ", "Whether ")),
        "message": rule.message.endswith((".", "?")),
        "remedy": rule.remedy.endswith("."),
        "covers": all(re.fullmatch(r"R-\d{3}", number) for number in rule.covers),
        "versions": {rule.since, rule.until} <= {None, 2, 3, 4},
    }
    return [name for name, holds in sound.items() if not holds]


def test_each_rule_has_a_page_and_says_what_to_do() -> None:
    assert len(RULES) > 300
    assert {rule.id: wrong for rule in RULES if (wrong := faults(rule))} == {}


def test_a_rule_module_is_named_like_its_rule_family() -> None:
    for module in modules():
        family = module.name.removeprefix("taskdata.checks.").partition(".")[0]
        if family != "readers":
            assert [rule.id.partition(".")[0] for rule in module.rules] == [family]


def test_a_raised_rule_is_named_like_its_module() -> None:
    folder = Path(raised_rules.__path__[0])
    names = {
        f"{path.parent.name.removesuffix('_')}.{path.stem.replace('_', '-')}"
        for path in folder.glob("*/*.py")
        if path.stem != "__init__"
    }
    assert {rule.id for rule in declared()} == names


def test_rules_of_the_schema_name_a_clause_and_what_they_cover() -> None:
    found = [rule for rule in RULES if rule.id.startswith("schema.")]
    assert len(found) == 8
    assert [rule.id for rule in found if not rule.clause or not rule.covers] == []


def test_rules_are_declared_in_two_places_alone() -> None:
    package = Path(raised_rules.__path__[0]).parent
    places = {
        path.relative_to(package).parts[0]
        for path in package.rglob("*.py")
        if re.search(r"^\w+(: \w+)? = Rule\(", path.read_text(encoding="utf-8"), re.M)
    }
    assert places == {"checks", "raised_rules"}


def test_names_of_facts_come_from_one_sorted_list() -> None:
    assert sorted({name for rule in RULES for name in facts(rule)}) == VOCABULARY

"""The generated sets are valid, cover the whole standard, and come out alike in every run."""

import subprocess
import sys
from functools import cache

import pytest
from hypothesis import given
from lxml import etree

from taskdata.isoxml.facts import elements
from taskdata.resources import schema_bytes
from tests.generate import FEATURES, build, file_sets

KINDS = {"ISO11783_TaskData": "TASKDATA", "XFC": "EXTERNAL", "TIM": "TIMELOG", "ISO11783LinkList": "LINKLIST"}


@cache
def schema(name):
    return etree.XMLSchema(etree.fromstring(schema_bytes(name)))


def standard_part(content):
    """Return the tree without proprietary names, which a schema cannot tell."""
    root = etree.fromstring(content)
    for element in [item for item in root.iter() if isinstance(item.tag, str)]:
        if element.tag.startswith("P2047_"):
            if element.getparent() is not None:
                element.getparent().remove(element)
            continue
        for name in [key for key in element.attrib if key.startswith("P2047_")]:
            del element.attrib[name]
    return root


@given(file_sets())
def test_every_file_is_valid_against_its_schema(made):
    for name, content in made.files.items():
        if name.endswith(".XML"):
            root = standard_part(content)
            wanted = schema(f"{KINDS[root.tag]}-{made.version}.0.xsd")
            assert wanted.validate(root), f"{name}: {wanted.error_log}"


@pytest.mark.parametrize("version", [2, 3, 4])
def test_every_element_attribute_and_code_of_the_version_occurs(version):
    seen = set()
    for seed in range(100):
        for content in (item for name, item in build(seed, version).files.items() if name.endswith(".XML")):
            for element in etree.fromstring(content).iter(etree.Element):
                seen |= {(element.tag,), *((element.tag, *item) for item in element.attrib.items())}
                seen |= {(element.tag, name) for name in element.attrib}
    wanted = set()
    for tag, fact in elements().items():
        if fact.since > version:
            continue
        wanted.add((tag,))
        for attribute in (item for item in fact.attributes.values() if item.since <= version):
            wanted.add((tag, attribute.letter))
            if attribute.type == "xs:NMTOKEN" and not tag.startswith("ISO11783") and tag != "TCC":
                wanted |= {(tag, attribute.letter, str(value.low)) for value in current(attribute, version)}
    assert wanted - seen == set()


def current(attribute, version):
    for value in attribute.values:
        if value.since <= version and (value.deprecated_in or 9) > version and value.name != "Reserved":
            yield value


def test_each_feature_makes_a_difference():
    whole = {feature: [build(seed, 4, frozenset([feature])).files for seed in range(8)] for feature in FEATURES}
    bare = [build(seed, 4, frozenset()).files for seed in range(8)]
    assert [feature for feature in FEATURES if whole[feature] == bare] == []


def test_a_seed_gives_the_same_bytes_in_another_process():
    told = "from tests.generate import build; print(repr(build(5).files))"
    run = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == repr(build(5).files)

"""Elements from the fact tables, with identifiers that are unique and references that hold."""

from __future__ import annotations

from random import Random

from taskdata.isoxml.facts import AttributeFact, elements
from tests.generate_tree import Node
from tests.generate_values import Values

_COMMENTS = (
    "<!-- plain -->",
    "<!---->",
    "<!-- <PNT A='1'/> & ü \U0001f69c -->",
    "<?display  some=text ?>",
    "<?empty?>",
)


class Maker:
    """Makes elements of one set.

    Attributes
    ----------
    made : dict of str to list of Node
        Every identified element so far, by tag.
    files : dict of str to bytes
        Binary files so far.
    """

    def __init__(self, rng: Random, version: int, origin: int, features: frozenset[str], most: int) -> None:
        self.rng = rng
        self.version = version
        self.origin = origin
        self.features = features
        self.most = most
        self.values = Values(rng, version, awkward="awkward texts" in features, odd="odd numbers" in features)
        self.made: dict[str, list[Node]] = {}
        self.files: dict[str, bytes] = {}
        self._used: dict[str, set[int]] = {}
        self._names: dict[str, int] = {}

    def has(self, feature: str) -> bool:
        return feature in self.features

    def chance(self, share: float) -> bool:
        return self.rng.random() < share

    def count(self, least: int = 0) -> range:
        """Return how many of a thing to make, as a range to iterate."""
        return range(max(least, self.rng.randint(0, self.most)))

    def element(self, tag: str, **given: str | None) -> Node:
        """Make an element; ``given`` sets attributes by the standard's name, None leaves one out."""
        fact = elements()[tag]
        unknown = set(given) - set(fact.letters)
        assert not unknown, f"{tag} has no {unknown}"
        node = Node(tag)
        for attribute in fact.attributes.values():
            if attribute.name in given:
                text = given[attribute.name]
            elif attribute.since > self.version or not (attribute.required or self.chance(0.5)):
                text = None
            else:
                text = self._value(attribute)
            if text is not None and attribute.since <= self.version:
                node.attributes[attribute.letter] = text
        if self.has("proprietary") and self.chance(0.1):
            node.attributes[f"P2047_{self.rng.choice(['Note', 'x', 'Hitch1'])}"] = self.values.text(64)
        if fact.id_letter in node.attributes:
            self.made.setdefault(tag, []).append(node)
        return node

    def ids(self, tag: str) -> list[str]:
        letter = elements()[tag].id_letter
        return [node.attributes[letter] for node in self.made.get(tag, ()) if letter]

    def reference(self, tag: str, *, sure: bool = False) -> str | None:
        """Return a reference to some element of ``tag``; None by chance (unless ``sure``) or without one."""
        known = self.ids(tag)
        return self.rng.choice(known) if known and (sure or self.chance(0.6)) else None

    def new_id(self, prefix: str) -> str:
        used = self._used.setdefault(prefix, set())
        choices = [2147483647, self.rng.randint(1, 2147483647), self.rng.randint(1, 99)]
        if self.origin == 2:
            choices += [-1, -2147483647, -self.rng.randint(1, 2147483647)]
        number = self.rng.choice(choices)
        while number in used:
            number = self.rng.randint(1, 2147483647)
        used.add(number)
        return f"{prefix}{number}"

    def new_file(self, prefix: str) -> str:
        """Return a new base name of a file; the numbers below 10000 cannot look like an identifier."""
        self._names[prefix] = self._names.get(prefix, 0) + self.rng.randint(1, 9)
        return f"{prefix}{self._names[prefix]:05d}"

    def letter(self, tag: str, name: str) -> str:
        return elements()[tag].letters[name]

    def read(self, node: Node, name: str) -> str | None:
        return node.attributes.get(self.letter(node.tag, name))

    def seasoned(self, root: Node) -> Node:
        """Shuffle what has no order, and strew in comments and proprietary elements."""
        for node in root.walk():
            if self.has("shuffled"):
                self._shuffle(node)
            if self.has("comments") and self.chance(0.1):
                node.children.insert(self.rng.randint(0, len(node.children)), self.rng.choice(_COMMENTS))
            if self.has("proprietary") and self.chance(0.05) and not node.tag.startswith("P2047_"):
                strange = Node("P2047_Extra", {"A": self.values.text(40), "b": "5"}, [Node("P2047_Inner")])
                node.children.insert(self.rng.randint(0, len(node.children)), strange)
        return root

    def _shuffle(self, node: Node) -> None:
        """Give attributes, and children of different tags, another order; equal tags keep theirs."""
        if node.tag != "PNT" or self.chance(0.05):
            items = list(node.attributes.items())
            self.rng.shuffle(items)
            node.attributes = dict(items)
        turned = self.chance(0.5)
        for point in (child for child in node.children if isinstance(child, Node) and child.tag == "PNT" and turned):
            point.attributes = dict(reversed(point.attributes.items()))
        children = [child for child in node.children if isinstance(child, Node)]
        if len(children) != len(node.children):
            return
        by_tag: dict[str, list[Node]] = {}
        for child in children:
            by_tag.setdefault(child.tag, []).append(child)
        slots = [child.tag for child in children]
        self.rng.shuffle(slots)
        node.children = [by_tag[tag].pop(0) for tag in slots]

    def _value(self, fact: AttributeFact) -> str | None:
        if fact.type == "xs:ID":
            prefix = elements()[fact.element].id_prefix
            assert prefix, f"{fact.element} has a maker of its own"
            return self.new_id(prefix)
        if fact.type == "xs:IDREF":
            return self.reference(fact.refers_to or "", sure=fact.required)
        if fact.type == "xs:string" and not fact.required and self.has("awkward texts") and self.chance(0.05):
            return ""
        return self.values.of(fact)

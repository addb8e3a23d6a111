"""Coding data: partners, products, comments, practices, devices and fields."""

from __future__ import annotations

from dataclasses import dataclass, field

from tests.generate_maker import Maker
from tests.generate_shapes import Shapes
from tests.generate_tree import Node
from tests.generate_values import RATES

QUANTITIES = ("0048", "004B", "004E")
_OFFSETS = ("0086", "0087", "0088")


@dataclass
class Machine:
    """A device and what tasks ask of it."""

    node: Node
    elements: list[Node]
    offers: dict[str, list[str]] = field(default_factory=dict)


class Coding:
    """Makes the coding data of one set; ``top`` is what stands under the root, in the standard's order."""

    def __init__(self, maker: Maker) -> None:
        self.maker = maker
        self.rng = maker.rng
        self.shapes = Shapes(maker)
        self.machines: list[Machine] = []
        self.customers: dict[str, str | None] = {}
        self.top: list[Node] = []
        for make in (self._comments, self._presentations, self._products, self._crops, self._partners, self._practices):
            make()
        for _ in maker.count(1):
            self._device()
        for _ in maker.count(1):
            self._field()

    def _comments(self) -> None:
        maker = self.maker
        self.top += [maker.element("CCG") for _ in maker.count()]
        for _ in maker.count():
            self.top.append(maker.element("CCT").add(*(maker.element("CCL") for _ in maker.count())))

    def _presentations(self) -> None:
        maker = self.maker
        for _ in maker.count():
            edges = sorted(self.rng.sample(range(-(2**31), 2**31), 4))
            edges = [-(2**31), *edges[1:3], 2**31 - 1] if self.rng.random() < 0.3 else edges
            ranges = [
                maker.element("CRG", MinimumValue=str(low), MaximumValue=str(high))
                for low, high in (edges[:2], edges[2:])[: self.rng.randint(1, 2)]
            ]
            self.top.append(maker.element("CLD").add(*ranges))
        self.top += [maker.element("VPN") for _ in maker.count()]

    def _products(self) -> None:
        maker = self.maker
        groups = [maker.element("PGP") for _ in maker.count()]
        singles = []
        for _ in maker.count(1):
            quantity = self.rng.choice([None, *QUANTITIES])
            given = {"ProductType": self.rng.choice([None, "1"]), "MixtureRecipeQuantity": None}
            singles.append(maker.element("PDT", QuantityDDI=quantity, **given))
        self.top += [*groups, *singles]
        parts = [item for item in singles if maker.read(item, "QuantityDDI")]
        if maker.version >= 4 and parts and self.rng.random() < 0.7:
            self.top.append(self._mixture(parts))

    def _mixture(self, parts: list[Node]) -> Node:
        maker = self.maker
        quantity = maker.read(parts[0], "QuantityDDI")
        alike = [item for item in parts if maker.read(item, "QuantityDDI") == quantity]
        amounts = [self.rng.choice([0, 1, 100, 700_000_000 // len(alike)]) for _ in alike]
        given = {"ProductType": self.rng.choice(["2", "3"]), "MixtureRecipeQuantity": str(sum(amounts))}
        mixture = maker.element("PDT", QuantityDDI=quantity, **given)
        for part, amount in zip(alike, amounts, strict=True):
            identifier = part.attributes[maker.letter("PDT", "ProductId")]
            mixture.add(maker.element("PRN", ProductIdRef=identifier, QuantityValue=str(amount)))
        return mixture

    def _crops(self) -> None:
        maker = self.maker
        crops = [item for item in maker.made.get("PGP", ()) if maker.read(item, "ProductGroupType") == "2"]
        for _ in maker.count(1):
            group = self.rng.choice(crops).attributes["A"] if crops else None
            crop = maker.element("CTP", ProductGroupIdRef=group)
            goods = [item for item in maker.made["PDT"] if group and maker.read(item, "ProductGroupIdRef") == group]
            for _ in maker.count():
                good = self.rng.choice(goods).attributes["A"] if goods else None
                crop.add(maker.element("CVT", ProductIdRef=good))
            self.top.append(crop)

    def _partners(self) -> None:
        maker = self.maker
        self.top += [maker.element("CTR") for _ in maker.count(1)]
        for _ in maker.count(1):
            farm = maker.element("FRM")
            self.customers[farm.attributes["A"]] = maker.read(farm, "CustomerIdRef")
            self.top.append(farm)
        self.top += [maker.element("WKR") for _ in maker.count(1)]
        if maker.version >= 4:
            self.top += [maker.element("BSN") for _ in maker.count()]

    def _practices(self) -> None:
        maker = self.maker
        self.top += [maker.element("OTQ") for _ in maker.count(1)]
        for _ in maker.count(1):
            techniques = self.rng.sample(maker.ids("OTQ"), self.rng.randint(0, len(maker.ids("OTQ"))))
            links = (maker.element("OTR", OperationTechniqueIdRef=technique) for technique in techniques)
            self.top.append(maker.element("CPC").add(*links))

    def _device(self) -> None:
        """Make a device whose element 0 offers the default set, and connectors with their offsets."""
        maker = self.maker
        label = maker.values.octets(0 if maker.version < 4 else self.rng.choice([0, 1, 32]))
        label += bytes(self.rng.randint(0, 254) for _ in range(7)).hex().upper()
        language = self.rng.choice(["6564", "6E65"])
        given = {"DeviceStructureLabel": label, "DeviceLocalizationLabel": f"FF00000000{language}"}
        device = maker.element("DVC", **given)
        numbers = iter(self.rng.sample([1, 65534, *range(2, 400)], 200))
        looks = [maker.element("DVP", DeviceValuePresentationObjectId=str(next(numbers))) for _ in maker.count()]
        shown = [look.attributes["A"] for look in looks]
        processes = self._processes(numbers, shown)
        parts = self._parts(numbers)
        machine = Machine(device, parts)
        properties = []
        for part in parts:
            identifier, kind = part.attributes["A"], part.attributes["C"]
            mine = self.rng.sample(processes, self.rng.randint(0, len(processes)))
            if kind == "1":
                mine = processes
            mine = [item for item in mine if kind == "1" or item.attributes["B"] != "DFFF"]
            if kind in {"6", "7"}:
                owned = [self._property(next(numbers), ddi, shown) for ddi in _OFFSETS]
                owned += [self._property(next(numbers), "009D", shown)] if kind == "6" else []
                properties += owned
                mine = [*mine, *owned]
            part.add(*(maker.element("DOR", DeviceObjectId=item.attributes["A"]) for item in mine))
            machine.offers[identifier] = [item.attributes["B"] for item in mine if item.attributes["B"] != "DFFF"]
        self.top.append(device.add(*parts, *processes, *properties, *looks))
        self.machines.append(machine)

    def _processes(self, numbers, shown: list[str]) -> list[Node]:  # an iterator of int
        maker = self.maker
        default = self.rng.random() < 0.5
        made = []
        known = {self.rng.choice(RATES), *(maker.values.ddi() for _ in maker.count(1))} - {"009D"}
        for ddi in sorted(known):
            bits = self.rng.choice([0, 2] if maker.version < 4 else [0, 2, 4]) + (1 if default else 0)
            given = {"DeviceProcessDataDDI": ddi, "DeviceProcessDataProperty": str(bits)}
            made.append(self._data(next(numbers), shown, **given))
        if default:
            given = {"DeviceProcessDataDDI": "DFFF", "DeviceProcessDataTriggerMethods": "31"}
            made.append(self._data(next(numbers), shown, DeviceProcessDataProperty="0", **given))
        return made

    def _data(self, number: int, shown: list[str], **given: str) -> Node:
        look = self.rng.choice([None, *shown])
        given = {"DeviceProcessDataObjectId": str(number), **given}
        return self.maker.element("DPD", DeviceValuePresentationObjectId=look, **given)

    def _property(self, number: int, ddi: str, shown: list[str]) -> Node:
        value = self.maker.values.raw_of(ddi) if ddi != "009D" else "1"
        given = {"DevicePropertyObjectId": str(number), "DevicePropertyDDI": ddi, "DevicePropertyValue": value}
        return self.maker.element("DPT", DeviceValuePresentationObjectId=self.rng.choice([None, *shown]), **given)

    def _parts(self, numbers) -> list[Node]:  # an iterator of int
        """Make a device element, a connector, and others below them."""
        first = {"DeviceElementType": "1", "DeviceElementNumber": "0", "ParentObjectId": "0"}
        parts = [self.maker.element("DET", DeviceElementObjectId=str(next(numbers)), **first)]
        kinds = ["6", *(self.rng.choice("234567") for _ in self.maker.count())]
        for kind, place in zip(kinds, self.rng.sample([1, 4095, *range(2, 50)], len(kinds)), strict=True):
            above = parts[0] if kind in "67" else self.rng.choice(parts)
            given = {"DeviceElementType": kind, "DeviceElementNumber": str(place)}
            given |= {"DeviceElementObjectId": str(next(numbers)), "ParentObjectId": above.attributes["B"]}
            parts.append(self.maker.element("DET", **given))
        return parts

    def _field(self) -> None:
        maker = self.maker
        farm = maker.reference("FRM")
        owner = self.customers[farm] if farm else None
        customer = owner or maker.reference("CTR")
        crop = self.rng.choice([None, *maker.made["CTP"]])
        kinds = [child.attributes["A"] for child in crop.children if isinstance(child, Node)] if crop else []
        whole = [item.attributes["A"] for item in maker.made.get("PFD", ()) if not maker.read(item, "FieldIdRef")]
        given = {
            "CustomerIdRef": self.rng.choice([None, customer]),
            "FarmIdRef": farm,
            "CropTypeIdRef": crop.attributes["A"] if crop else None,
            "CropVarietyIdRef": self.rng.choice([None, *kinds]),
            "FieldIdRef": self.rng.choice([None, *whole]),
        }
        node = maker.element("PFD", **given)
        spot = self.shapes.spot()
        self._shape_field(node, spot)
        self.top.append(node)

    def _shape_field(self, node: Node, spot) -> None:  # a Spot
        maker, shapes = self.maker, self.shapes
        node.add(*shapes.boundaries("1", spot))
        codes = "3 4 5 6 7 8" if maker.version < 4 else "3 4 5 6 7 8 9 10 11 12"
        node.add(*(shapes.polygon(self.rng.choice(codes.split()), spot.smaller()) for _ in maker.count()))
        lines = "3 4 5 6 7" if maker.version < 4 else "3 4 5 6 7 9"
        node.add(*(shapes.plain_line(self.rng.choice(lines.split()), spot) for _ in maker.count()))
        if self.rng.random() < 0.3:
            line = shapes.plain_line("8", spot)
            line.attributes.setdefault("B", "stone")
            node.add(line)
        node.add(*(shapes.loose_point(spot) for _ in maker.count()))
        if maker.version >= 4:
            if maker.has("binary points") and self.rng.random() < 0.5:
                node.add(shapes.binary_points(shapes.path(spot, self.rng.randint(1, 6)), "2"))
            for _ in maker.count():
                group = maker.element("GGP")
                for _ in maker.count(1):
                    shapes.pattern(spot, group)
                node.add(group)
                if self.rng.random() < 0.3:
                    group.add(shapes.polygon("8", spot.smaller()))

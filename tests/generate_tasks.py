"""Tasks: zones, grids, times, allocations, triggers, logs, shifts of guidance patterns."""

from __future__ import annotations

from taskdata.isoxml.facts import elements
from tests.generate_binary import Logs, grid, value_of_group
from tests.generate_coding import QUANTITIES, Coding, Machine
from tests.generate_maker import Maker
from tests.generate_tree import Node
from tests.generate_values import RATES


class Tasks:
    """Makes tasks over the coding data of one set."""

    def __init__(self, maker: Maker, coding: Coding) -> None:
        self.maker = maker
        self.rng = maker.rng
        self.coding = coding
        self.logs = Logs(maker, coding)
        self.running = False

    def task(self) -> Node:
        maker, rng = self.maker, self.rng
        codes = [str(code) for code in rng.sample([0, 254, *range(1, 254)], 4 + maker.most)]
        zones, grids = self._zones(codes)
        known = [zone.attributes["A"] for zone in zones]
        field = rng.choice([None, *maker.made["PFD"]])
        farm = maker.read(field, "FarmIdRef") if field else maker.reference("FRM")
        owner = (maker.read(field, "CustomerIdRef") if field else None) or self.coding.customers.get(farm or "")
        states = "1 2 3 4" if maker.version < 4 else "1 2 3 4 6"
        state = rng.choice([item for item in states.split() if item != "2" or not self.running])
        self.running |= state == "2"
        template = maker.version >= 4 and rng.random() < 0.2
        node = maker.element(
            "TSK",
            CustomerIdRef=rng.choice([None, owner]) if owner else maker.reference("CTR") if not farm else None,
            FarmIdRef=farm,
            PartfieldIdRef=field.attributes["A"] if field else None,
            TaskStatus="5" if template else state,
            DefaultTreatmentZoneCode=rng.choice([None, *known]),
            PositionLostTreatmentZoneCode=rng.choice([None, *known]),
            OutOfFieldTreatmentZoneCode=rng.choice([None, *known]),
        )
        node.add(*zones)
        if not template:
            node.add(*self._times())
        return node.add(*self._practice(), *self._allocations(), *self._triggers(), *self._remarks(), *grids)

    def logged(self, node: Node) -> Node:
        """Add logs, peer control and guidance."""
        maker = self.maker
        if maker.has("time logs") and maker.read(node, "TaskStatus") != "5":
            node.add(*(self.logs.log() for _ in maker.count(1)))
        if maker.version >= 4:
            node.add(*(maker.element("CAT").add(*self._stamped()) for _ in maker.count()))
            groups = maker.made.get("GGP", [])
            node.add(*(self._guidance(self.rng.choice(groups)) for _ in maker.count() if groups))
        return node

    def _zones(self, codes: list[str]) -> tuple[list[Node], list[Node]]:
        """Make zones, and a grid over those without polygons."""
        maker, rng = self.maker, self.rng
        given = {"TreatmentZoneColour": maker.rng.choice([None, "0", "254"])}
        plain = [maker.element("TZN", TreatmentZoneCode=codes.pop(), **given) for _ in range(2)]
        sizes = {}
        for zone in plain:
            zone.add(*(self._setpoint() for _ in range(rng.randint(1, 3))))
            sizes[zone.attributes["A"]] = len(zone.children)
        shaped = []
        for _ in maker.count():
            zone = maker.element("TZN", TreatmentZoneCode=codes.pop())
            polygons = self.coding.shapes.boundaries("2", self.coding.shapes.spot())
            values = [self._setpoint() for _ in range(1 if maker.version >= 4 else rng.randint(1, 2))]
            shaped.append(zone.add(*polygons, *values))
        if not maker.has("grids") or rng.random() < 0.2:
            return [*plain, *shaped], []
        template = rng.choice([None, plain[0].attributes["A"]])
        return [*plain, *shaped], [grid(maker, sizes, template)]

    def _setpoint(self) -> Node:
        maker, rng = self.maker, self.rng
        ddi = rng.choice(RATES)
        part = rng.choice([None, *maker.ids("DET")])
        value = maker.element(
            "PDV", ProcessDataDDI=ddi, ProcessDataValue=maker.values.raw_of(ddi), DeviceElementIdRef=part
        )
        if rng.random() < 0.3:
            value.attributes.pop("C", None)
            for product in rng.sample(maker.ids("PDT"), 1):
                given = {"ProductIdRef": product, "DeviceElementIdRef": None}
                raw = maker.values.raw_of(ddi)
                value.add(maker.element("PDV", ProcessDataDDI=ddi, ProcessDataValue=raw, **given))
        return value

    def _span(self) -> dict[str, str | None]:
        """Return start, and a stop or a duration or both or neither."""
        start = self.maker.values.stamp()
        length = self.rng.randint(1, 5000)
        open_end = self.rng.random() < 0.2
        duration = None if open_end else self.rng.choice([None, str(length)])
        stop = None
        if not open_end and (duration is None or self.rng.random() < 0.5):
            whole = start[:19]
            stop = self.maker.values.stamp(length)
            start = whole + self.maker.values.zone
        return {"Start": start, "Stop": stop, "Duration": duration}

    def _positions(self, span: dict[str, str | None]) -> list[Node]:
        most = 2 if span["Stop"] or span["Duration"] else 1
        return [self.maker.element("PTN") for _ in range(self.rng.randint(0, most))]

    def _stamped(self, *, sure: bool = False) -> list[Node]:
        if not sure and self.rng.random() < 0.4:
            return []
        span = self._span()
        kind = self.rng.choice(["1", "4"]) if self.maker.origin == 2 else "1"
        return [self.maker.element("ASP", **span, Type=kind).add(*self._positions(span))]

    def _times(self) -> list[Node]:
        maker = self.maker
        made = []
        kinds = "2 4 5 6 7 8" if maker.version >= 4 else "2 3 4 5 6 7"
        for kind in ["1", *(self.rng.choice(kinds.split()) for _ in maker.count() if maker.origin == 2)]:
            span = self._span()
            node = maker.element("TIM", **span, Type=kind).add(*self._positions(span))
            if maker.origin == 2 and self.rng.random() < 0.5:
                machine = self.rng.choice(self.coding.machines)
                part, offers = self.rng.choice(list(machine.offers.items()))
                node.add(*(value_of_group(maker, ddi, maker.values.raw_of(ddi), part) for ddi in offers[:3]))
            made.append(node)
        return made

    def _practice(self) -> list[Node]:
        maker = self.maker
        if self.rng.random() < 0.3:
            return []
        practice = self.rng.choice([node for node in self.coding.top if node.tag == "CPC"])
        known = [child.attributes["A"] for child in practice.children if isinstance(child, Node)]
        technique = self.rng.choice([None, *known])
        given = {"CulturalPracticeIdRef": practice.attributes["A"], "OperationTechniqueIdRef": technique}
        return [maker.element("OTP", **given)]

    def _allocations(self) -> list[Node]:
        maker = self.maker
        made = [maker.element("WAN").add(*self._stamped()) for _ in maker.count()]
        made += [self._machine_used(self.rng.choice(self.coding.machines)) for _ in maker.count()]
        hitches = [(machine, self._hitch(machine)) for machine in self.coding.machines]
        if len(hitches) > 1:
            (front, first), (back, second) = self.rng.sample(hitches, 2)
            ends = {"DeviceIdRef_0": front.node.attributes["A"], "DeviceIdRef_1": back.node.attributes["A"]}
            made.append(maker.element("CNN", **ends, DeviceElementIdRef_0=first, DeviceElementIdRef_1=second))
        return made + [self._product_used() for _ in maker.count()]

    def _machine_used(self, machine: Machine) -> Node:
        name = machine.node.attributes["D"]
        mask = self.rng.choice([None, "FFFFFFFFFFFFFFFF", "0000000000000000"])
        device = self.rng.choice([None, machine.node.attributes["A"]])
        given = {"ClientNAMEValue": name, "ClientNAMEMask": mask, "DeviceIdRef": device}
        return self.maker.element("DAN", **given).add(*self._stamped())

    def _hitch(self, machine: Machine) -> str:
        return next(part.attributes["A"] for part in machine.elements if part.attributes["C"] == "6")

    def _product_used(self) -> Node:
        maker = self.maker
        amount = maker.values.spelled(str(maker.values.integer(0, 2**31 - 1)))
        given = {"QuantityDDI": None, "QuantityValue": None, "TransferMode": None}
        if self.rng.random() < 0.7:
            mode = maker.values.code(elements()["PAN"].attributes["D"])
            given = {"QuantityDDI": self.rng.choice(QUANTITIES), "QuantityValue": amount, "TransferMode": mode}
        return maker.element("PAN", **given).add(*self._stamped())

    def _triggers(self) -> list[Node]:
        maker, rng = self.maker, self.rng
        made = []
        for _ in maker.count():
            ddi = rng.choice(["DFFF", "DFFE", maker.values.ddi()])
            low = rng.randint(0, 63)
            message = {"DataLogPGN": "0", "DataLogPGNStartBit": str(low), "DataLogPGNStopBit": str(min(63, low + 31))}
            given = message if ddi == "DFFE" else dict.fromkeys(message)
            limits = {
                "DataLogDistanceInterval": rng.choice(["0", "1000000"]),
                "DataLogTimeInterval": rng.choice(["0", "100", "60000"]),
                "DataLogThresholdMinimum": rng.choice(["2147483647", "-2147483648"]),
                "DataLogThresholdMaximum": rng.choice(["-2147483647", "2147483647"]),
                "DataLogThresholdChange": rng.choice(["0", "1"]),
                "DataLogMethod": str(rng.choice([1, 2, 4, 8, 16, 31, rng.randint(1, 31)])),
            }
            part = {} if ddi != "DFFF" else {"DeviceElementIdRef": None}
            made.append(maker.element("DLT", DataLogDDI=ddi, **given, **limits, **part))
        return made

    def _remarks(self) -> list[Node]:
        maker = self.maker
        made = []
        for _ in maker.count():
            given = {"CodedCommentIdRef": None, "CodedCommentListValueIdRef": None, "FreeCommentText": "Stein"}
            comments = maker.made.get("CCT", [])
            if comments and self.rng.random() < 0.6:
                comment = self.rng.choice(comments)
                choices = [child.attributes["A"] for child in comment.children if isinstance(child, Node)]
                given = {"CodedCommentIdRef": comment.attributes["A"], "FreeCommentText": None}
                given["CodedCommentListValueIdRef"] = self.rng.choice([None, *choices])
            made.append(maker.element("CAN", **given).add(*self._stamped()))
        return made

    def _guidance(self, group: Node) -> Node:
        """Allocate a group of patterns, with shifts of its patterns."""
        maker = self.maker
        node = maker.element("GAN", GuidanceGroupIdRef=group.attributes["A"]).add(*self._stamped(sure=True))
        patterns = [child.attributes["A"] for child in group.children if isinstance(child, Node) and child.tag == "GPN"]
        for _ in maker.count():
            pattern = self.rng.choice([None, *patterns])
            whole = group.attributes["A"] if pattern is None or self.rng.random() < 0.5 else None
            shift = maker.element("GST", GuidanceGroupIdRef=whole, GuidancePatternIdRef=pattern)
            node.add(shift.add(*self._stamped()))
        return node

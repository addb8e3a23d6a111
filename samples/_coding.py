"""People, crops, products and words of the farm: the coding data that several elements refer to."""

from __future__ import annotations

from _xml import Element, el

HOME = {
    "Street": "Lindholler Weg 3",
    "PostalCode": "LH-0417",
    "City": "Ahrenbrook",
    "State": "Lindhollen valley",
    "Country": "Invented",
}


def people() -> list[Element]:
    """Return customers, farms and workers."""
    return [*_customers(), *_farms(), *_workers()]


def _home(kind: str) -> dict[str, str]:
    return {f"{kind}{name}": item for name, item in HOME.items()}


def _customers() -> list[Element]:
    return [
        el(
            "CTR",
            CustomerId="CTR1",
            CustomerLastName="Söderhöft-Ährenbrook",
            CustomerFirstName="Jördis",
            **_home("Customer"),
            CustomerPhone="000 417 01",
            CustomerEMail="hof@ahrenbrook.example",
        ),
        el(
            "CTR",
            CustomerId="CTR2",
            CustomerLastName='Müllerin & "Söhne" <Lohnarbeit>',
            CustomerPOBox="PF 9",
            CustomerCity="Unterlindhollen",
            CustomerCountry="Invented",
            CustomerMobile="000 417 22",
        ),
    ]


def _farms() -> list[Element]:
    return [
        el("FRM", FarmId="FRM1", FarmDesignator="Hof Ahrenbrook", **_home("Farm"), CustomerIdRef="CTR1"),
        el(
            "FRM",
            FarmId="FRM2",
            FarmDesignator='Lohnbetrieb "Müllerin & Söhne"',
            FarmCity="Unterlindhollen",
            CustomerIdRef="CTR2",
        ),
    ]


def _workers() -> list[Element]:
    return [
        el(
            "WKR",
            WorkerId="WKR1",
            WorkerLastName="Söderhöft-Ährenbrook",
            WorkerFirstName="Jördis",
            **_home("Worker"),
            WorkerLicenseNumber="LH/T-0001",
        ),
        el(
            "WKR",
            WorkerId="WKR2",
            WorkerLastName="O'Tannendahl",
            WorkerFirstName="Žofka",
            WorkerEmail="zofka@ahrenbrook.example",
        ),
    ]


def crops() -> list[Element]:
    """Return crop types with their varieties."""
    return [
        el(
            "CTP",
            el("CVT", CropVarietyId="CVT1", CropVarietyDesignator="Lindhollen Gold", ProductIdRef="PDT1"),
            el("CVT", CropVarietyId="CVT2", CropVarietyDesignator="Früher Ährenbrooker"),
            CropTypeId="CTP1",
            CropTypeDesignator="Winterweizen",
            ProductGroupIdRef="PGP1",
        ),
        el(
            "CTP",
            el("CVT", CropVarietyId="CVT3", CropVarietyDesignator="Kuhlenbohne"),
            CropTypeId="CTP2",
            CropTypeDesignator="Ackerbohne",
        ),
    ]


def groups() -> list[Element]:
    """Return product groups."""
    return [
        el("PGP", ProductGroupId="PGP1", ProductGroupDesignator="Weizen (Saat & Ernte)", ProductGroupType=2),
        el("PGP", ProductGroupId="PGP2", ProductGroupDesignator="Dünger", ProductGroupType=1),
        el("PGP", ProductGroupId="PGP3", ProductGroupDesignator="Pflanzenschutz"),
    ]


def plain_products() -> list[Element]:
    """Return seed and fertilizer."""
    return [
        el(
            "PDT",
            ProductId="PDT1",
            ProductDesignator='Saatgut "Lindhollen Gold"',
            ProductGroupIdRef="PGP1",
            ValuePresentationIdRef="VPN2",
            QuantityDDI="004B",
            DensityMassPerCount=48_000,
        ),
        el(
            "PDT",
            ProductId="PDT2",
            ProductDesignator="Startdünger 18/46",
            ProductGroupIdRef="PGP2",
            ValuePresentationIdRef="VPN2",
            QuantityDDI="004B",
            ProductType=1,
            DensityMassPerVolume=960_000,
        ),
    ]


def liquid_products() -> list[Element]:
    """Return what goes into the sprayer, with two mixtures."""
    liquid = {"ProductGroupIdRef": "PGP3", "ValuePresentationIdRef": "VPN1", "QuantityDDI": "0048"}
    return [
        el("PDT", ProductId="PDT3", ProductDesignator="Kornblick flüssig", ProductType=1, **liquid),
        el("PDT", ProductId="PDT4", ProductDesignator="Wasser", DensityMassPerVolume=1_000_000, **liquid),
        el(
            "PDT",
            el("PRN", ProductIdRef="PDT4", QuantityValue=2_940_000),
            el("PRN", ProductIdRef="PDT3", QuantityValue=60_000),
            ProductId="PDT5",
            ProductDesignator="Spritzbrühe Kornblick 2 %",
            ProductType=2,
            MixtureRecipeQuantity=3_000_000,
            **liquid,
        ),
        el(
            "PDT",
            el("PRN", ProductIdRef="PDT4", QuantityValue=990_000),
            el("PRN", ProductIdRef="PDT3", QuantityValue=10_000),
            ProductId="PDT6",
            ProductDesignator="Rest mit Wasser gestreckt",
            ProductType=3,
            MixtureRecipeQuantity=1_000_000,
            **liquid,
        ),
    ]


def words() -> list[Element]:
    """Return coded comments, practices, techniques, presentations and the colour legend."""
    return [*_comments(), *_practices(), *_presentations()]


def _comments() -> list[Element]:
    return [
        el("CCG", CodedCommentGroupId="CCG1", CodedCommentGroupDesignator="Beobachtungen"),
        el(
            "CCT",
            el("CCL", CodedCommentListValueId="CCL1", CodedCommentListValueDesignator="Stein"),
            el("CCL", CodedCommentListValueId="CCL2", CodedCommentListValueDesignator="Nässe"),
            CodedCommentId="CCT1",
            CodedCommentDesignator="Hindernis",
            CodedCommentScope=1,
            CodedCommentGroupIdRef="CCG1",
        ),
        el(
            "CCT",
            el("CCL", CodedCommentListValueId="CCL3", CodedCommentListValueDesignator="schwach"),
            el("CCL", CodedCommentListValueId="CCL4", CodedCommentListValueDesignator="stark"),
            CodedCommentId="CCT2",
            CodedCommentDesignator="Wind",
            CodedCommentScope=2,
        ),
        el(
            "CCT",
            CodedCommentId="CCT3",
            CodedCommentDesignator="Unkrautdruck",
            CodedCommentScope=3,
            CodedCommentGroupIdRef="CCG1",
        ),
    ]


def _practices() -> list[Element]:
    return [
        el(
            "CPC",
            el("OTR", OperationTechniqueIdRef="OTQ1"),
            CulturalPracticeId="CPC1",
            CulturalPracticeDesignator="Pflanzenschutz",
        ),
        el(
            "CPC",
            el("OTR", OperationTechniqueIdRef="OTQ2"),
            el("OTR", OperationTechniqueIdRef="OTQ3"),
            CulturalPracticeId="CPC2",
            CulturalPracticeDesignator="Aussaat",
        ),
        el("OTQ", OperationTechniqueId="OTQ1", OperationTechniqueDesignator="Flächenspritzung"),
        el("OTQ", OperationTechniqueId="OTQ2", OperationTechniqueDesignator="Drillsaat"),
        el("OTQ", OperationTechniqueId="OTQ3", OperationTechniqueDesignator="Drillsaat mit Unterfußdüngung"),
    ]


def _presentations() -> list[Element]:
    return [
        el("VPN", ValuePresentationId="VPN1", Offset=0, Scale="0.001", NumberOfDecimals=1, UnitDesignator="L"),
        el("VPN", ValuePresentationId="VPN2", Offset=0, Scale="0.001", NumberOfDecimals=1, UnitDesignator="kg"),
        el(
            "VPN",
            ValuePresentationId="VPN3",
            Offset=0,
            Scale="0.0001",
            NumberOfDecimals=0,
            UnitDesignator="L/ha",
            ColourLegendIdRef="CLD1",
        ),
        el("VPN", ValuePresentationId="VPN4", Offset=0, Scale="0.01", NumberOfDecimals=1, UnitDesignator="kg/ha"),
        el(
            "CLD",
            el("CRG", MinimumValue=0, MaximumValue=1_599_999, Colour=12),
            el("CRG", MinimumValue=1_600_000, MaximumValue=1_999_999, Colour=14),
            el("CRG", MinimumValue=2_000_000, MaximumValue=2_147_483_647, Colour=10),
            ColourLegendId="CLD1",
            DefaultColour=7,
        ),
    ]

"""A set of two customers of one contractor in Lindhollen, with everything that may carry a name across."""

from __future__ import annotations

from pathlib import Path

import numpy as np

HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'
ROOT = (
    'VersionMajor="4" VersionMinor="3" ManagementSoftwareManufacturer="Lohnbetrieb Lindhollen" '
    'ManagementSoftwareVersion="1" DataTransferOrigin="1"'
)

MINE = ("Birkenbusch", "Hof Birkenbusch", "Mühlenkoppel", "Walzen Mühlenkoppel", "Tonke Birkenbusch")
OTHERS = (
    "Quastenberg",
    "Gut Quastenberg",
    "Seekoppel",
    "Walzen Seekoppel",
    "Grasmischung Quast",
    "Heimlich",
    "1c1c1c1c-2222-4333-8444-555555555555",
    "SEEKARTE.PDF",
    "Pacht bis 2031",
    "Vermerk",
    "streng geheim",
)
"""Texts of the other customer, or that stand where nobody can tell whose they are."""

MAIN = f"""<ISO11783_TaskData {ROOT} P777_Sync="streng geheim">
<!-- Vermerk: Quastenberg zahlt bar -->
<AFE A="LINKLIST.XML" B="2" C="" D="1"/>
<AFE A="SEEKARTE.PDF" B="1" C="9521234000006" D="200"/>
<AFE A="MUEHLE.TXT" B="1" C="9521234000006" D="200"/>
<CPC A="CPC1" B="Bodenpflege"><OTR A="OTQ1"/></CPC>
<CPC A="CPC2" B="Saat"/>
<OTQ A="OTQ1" B="Walzen"/>
<VPN A="VPN1" B="0" C="0.001" D="1" E="kg"/>
<PGP A="PGP1" B="Saatgut"/>
<PDT A="PDT1" B="Kleegras" C="PGP1" D="VPN1" E="004B"/>
<PDT A="PDT2" B="Grasmischung Quast" C="PGP1" E="004B"/>
<WKR A="WKR1" B="Birkenbusch" C="Tonke"/>
<WKR A="WKR2" B="Heimlich"/>
<CTR A="CTR1" B="Birkenbusch" C="Levke"/>
<CTR A="CTR2" B="Quastenberg" D="Seestraße 1"/>
<FRM A="FRM1" B="Hof Birkenbusch" I="CTR1"/>
<FRM A="FRM2" B="Gut Quastenberg" I="CTR2"/>
<PFD A="PFD1" C="Mühlenkoppel" D="10000" F="FRM1" P777_Foto="MUEHLE.TXT" P777_Nachbar="PFD2" P777_Note="gut"/>
<TSK A="TSK1" B="Walzen Mühlenkoppel" E="PFD1" F="WKR1" G="4">
<TIM A="2024-03-01T08:00:00" B="2024-03-01T09:00:00" D="4"/>
<OTP A="CPC1" B="OTQ1"/><PAN A="PDT1" B="004B" C="5"/><DAN A="FFFFFFFFFFFFFFFF" B="A0010000F0000001" C="DVC1"/>
<TLG A="TLG00001"/><X777_Memo A="von Quastenberg geborgt"/><X777_Box A="7"/>
</TSK>
<TSK A="TSK2" B="Walzen Seekoppel" E="PFD2" F="WKR2" G="4">
<TIM A="2024-04-02T08:00:00" B="2024-04-02T09:00:00" D="4"/>
<PAN A="PDT2" B="004B" C="5"/><TLG A="TLG00002"/>
</TSK>
<TSK A="TSK3" B="Nachsaat" E="PFD1" G="1"/>
<DVC A="DVC1" B="Walze" D="A0010000F0000001" F="01020304050607" G="FF000000006564">
<DET A="DET1" B="1" C="1" D="Walze" E="0" F="0"/></DVC>
<DVC A="DVC2" B="Striegel" D="A0010000F0000002" F="01020304050608" G="FF000000006564">
<DET A="DET2" B="1" C="1" D="Striegel" E="0" F="0"/></DVC>
<XFR A="PFD00001" B="1"/>
<Z777_Liste A="Pacht bis 2031"/>
</ISO11783_TaskData>
"""
EXTERNAL = (
    '<XFC><PFD A="PFD2" C="Seekoppel" D="20000" E="CTR2" F="FRM2"/>'
    '<PFD A="PFD3" C="Kleine Mühlenkoppel" D="1000" E="CTR1" I="PFD1"/></XFC>'
)
LINKS = f"""<ISO11783LinkList {ROOT} FileVersion="1">
<LGP A="LGP1" B="1"><LNK A="CTR1" B="0a0a0a0a-2222-4333-8444-555555555555"/>
<LNK A="PFD2" B="1c1c1c1c-2222-4333-8444-555555555555"/></LGP>
<LGP A="LGP2" B="3" D="urn:example:quastenberg:" E="Pacht bis 2031"><LNK A="CTR2" B="7"/></LGP>
</ISO11783LinkList>
"""


def header(part: str) -> str:
    """Return the header of a log with the position and a value of one part of a machine."""
    return f'<TIM A="" D="4"><PTN A="" B="" D="1"/><DLV A="0074" B="" C="{part}"/></TIM>'


def records() -> bytes:
    """Return two records of such a log: time of day, days, north, east, one value."""
    kind = np.dtype([("ms", "<u4"), ("day", "<u2"), ("n", "<i4"), ("e", "<i4"), ("c", "u1"), ("i", "u1"), ("v", "<i4")])
    rows = [(28800000 + 1000 * at, 16131, 543000000, 70000000 + at, 1, 0, at) for at in range(2)]
    return np.array(rows, kind).tobytes()


def write(folder: Path) -> Path:
    """Write the set and return its folder."""
    folder.mkdir(parents=True)
    files = {
        "TASKDATA.XML": MAIN,
        "PFD00001.XML": EXTERNAL,
        "LINKLIST.XML": LINKS,
        "TLG00001.XML": header("DET1"),
        "TLG00002.XML": header("DET2"),
    }
    for name, text in files.items():
        (folder / name).write_text(HEAD + text, encoding="utf-8")
    for name in ("TLG00001.BIN", "TLG00002.BIN"):
        (folder / name).write_bytes(records())
    (folder / "SEEKARTE.PDF").write_bytes(b"Seekoppel, Quastenberg")
    (folder / "MUEHLE.TXT").write_bytes(b"Foto der Koppel")
    (folder / "NOTIZ.TXT").write_bytes(b"Vermerk: Seekoppel drainieren")
    return folder

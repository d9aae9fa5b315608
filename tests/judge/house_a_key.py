"""The answer key of the demonstration house, worked by hand before the program existed.

Source of every value here: the hand-worked key of the invented demonstration house; its rule facts
were confirmed on contractors' and continuing-education pages (see the rulesets for each rule).
Columns: outlet, sections for GFCI in 2020, in 2023, protection now, place in the AFCI room list,
tamper resistance (R required and missing, H there, X exempt, ? not seen, - does not apply).
"""

from __future__ import annotations

from typing import NamedTuple


class Row(NamedTuple):
    """One outlet of the key."""

    gfci_2020: tuple[str, ...]
    gfci_2023: tuple[str, ...]
    now: str
    afci_place: bool
    tr: str


_TABLE = """
B2-1 | | | no | yes | R
B2-2 | | | no | yes | R
B3-1 | | | no | yes | R
B3-2 | | | no | yes | R
B3-3 | | | no | yes | R
PR-1 | | | no | yes | R
PR-2 | | | no | yes | R
PR-3 | | | no | yes | R
PR-4 | | | unknown | yes | ?
L-1 | | | no | yes | R
L-2 | | | no | yes | H
L-3 | | | no | yes | R
L-4 | | | no | yes | R
OUT-1 | (A)(3) | (A)(3) | no | | R
P-1 | (A)(3) | (A)(3) | no | | H
P-2 | (A)(3) | (A)(3) | no | | H
DR-1 | | | no | yes | R
DR-2 | | | no | yes | R
WB-2 | (A)(7) | (A)(7) (A)(8) | yes | yes | H
WB-1 | | (A)(7) | no | yes | R
K-1 | (A)(6) (A)(7) | (A)(6) (A)(8) | yes | yes | R
K-2 | (A)(6) (A)(7) | (A)(6) (A)(8) | yes | yes | R
K-3 | (A)(6) | (A)(6) | yes | yes | R
K-4 | (A)(6) (A)(7) | (A)(6) (A)(8) | no | yes | R
K-5 | (A)(6) | (A)(6) | no | yes | R
K-6 | (A)(6) | (A)(6) | no | yes | R
K-7 | | (A)(6) | no | yes | X
K-8 | (A)(7) (D) 422.5(A)(7) | (A)(6) (A)(8) (D)(7) | no | yes | X
K-9 | | (A)(6) (D)(12) | no | yes | X
K-10 | | (A)(6) (D)(8) | no | | -
HB-1 | (A)(1) (A)(7) | (A)(1) (A)(8) | no | | R
PB-1 | (A)(1) (A)(7) | (A)(1) (A)(8) | no | | R
PB-2 | (A)(1) (A)(9) | (A)(1) (A)(10) | no | | R
OUT-2 | (A)(3) | (A)(3) | no | | R
LA-1 | (A)(10) | (A)(11) | yes | yes | H
LA-2 | (A)(10) | (A)(11) (D)(11) | no | | -
R-1 | (A)(5) | (A)(5) | no | yes | R
R-2 | (A)(5) | (A)(5) | no | yes | R
R-3 | (A)(5) | (A)(5) | no | yes | R
R-4 | (A)(5) | (A)(5) | no | yes | R
U-1 | (A)(5) | (A)(5) | no | | R
U-2 | (A)(5) (D) 422.5(A)(6) | (A)(5) (D)(6) | no | | R
U-3 | (A)(5) (E) | (A)(5) (E) | no | | R
H-1 | | | no | yes | R
G-4 | (A)(2) | (A)(2) | no | | R
G-1 | (A)(2) | (A)(2) | yes | | R
G-2 | (A)(2) | (A)(2) | yes | | R
G-3 | (A)(2) | (A)(2) | yes | | R
G-5 | (A)(2) | (A)(2) | no | | X
"""


def _sections(cell: str) -> tuple[str, ...]:
    return tuple(each if each.startswith("422") else f"210.8{each}" for each in cell.split())


def _row(line: str) -> tuple[str, Row]:
    name, g2020, g2023, now, afci, tr = (cell.strip() for cell in line.split("|"))
    return name, Row(_sections(g2020), _sections(g2023), now, afci == "yes", tr)


OUTLETS = dict(_row(line) for line in _TABLE.strip().splitlines())

# The planted defects: subjects, kind, and sections that must be named there, for both editions.
# A dict of sections by edition where they differ; None where the edition finds nothing.
DEFECTS: dict[str, tuple[tuple[str, ...], str, dict[str, tuple[str, ...] | None]]] = {
    "D01": (("C11",), "defect", {"nec-2020": ("240.4(D)(3)",), "nec-2023": ("240.4(D)(4)",)}),
    "D02": (("C5", "C7"), "defect", {"nec-2020": ("210.4(B)",), "nec-2023": ("210.4(B)",)}),
    "D03": (("K-4",), "defect", {"nec-2020": ("110.3(B)",), "nec-2023": ("110.3(B)",)}),
    "D04": (("HB-1",), "defect", {"nec-2020": ("110.3(B)",), "nec-2023": ("110.3(B)",)}),
    "D05": (
        ("OUT-1", "OUT-2"),
        "defect",
        {"nec-2020": ("406.9(B)(1)",), "nec-2023": ("406.9(B)(1)",)},
    ),
    "D06": (
        ("P-1", "P-2"),
        "defect",
        {"nec-2020": ("406.9(A)", "210.8(A)(3)"), "nec-2023": ("406.9(A)", "210.8(A)(3)")},
    ),
    "D07": (("C3",), "defect", {"nec-2020": ("210.12(D)",), "nec-2023": ("210.12(E)",)}),
    "D08": (("P-2",), "defect", {"nec-2020": ("400.12",), "nec-2023": ("400.12",)}),
    "D09": (("B3-2",), "defect", {"nec-2020": ("200.11",), "nec-2023": ("200.11",)}),
    "D10": (
        ("B2-2",),
        "defect",
        {
            "nec-2020": ("406.4(B)", "406.4(C)", "250.148"),
            "nec-2023": ("406.4(B)", "406.4(C)", "250.148"),
        },
    ),
    "D11": (
        ("PR-1", "PR-2", "PR-3"),
        "defect",
        {"nec-2020": ("406.3(C)", "110.14(A)"), "nec-2023": ("110.14(A)",)},
    ),
    "D12": (("L-2",), "defect", {"nec-2020": ("210.21(B)(3)",), "nec-2023": ("210.21(B)(3)",)}),
    "D13": (("K-7",), "defect", {"nec-2020": ("210.21(B)(1)",), "nec-2023": ("210.21(B)(1)",)}),
    "D14": (
        ("U-2",),
        "gap",
        {
            "nec-2020": ("210.8(A)(5)", "210.8(D)", "422.5(A)(6)"),
            "nec-2023": ("210.8(A)(5)", "210.8(D)(6)"),
        },
    ),
    "D15": (("G-4", "G-5"), "gap", {"nec-2020": ("210.8(A)(2)",), "nec-2023": ("210.8(A)(2)",)}),
    "D16": (("LA-1",), "defect", {"nec-2020": ("210.8",), "nec-2023": ("210.8",)}),
    # The key names no kind for this one; it is new-work only, so it is a gap in an old house.
    "D17": (("PB-2",), "gap", {"nec-2020": None, "nec-2023": ("406.9(C)",)}),
    "D18": (
        ("R-3",),
        "defect",
        {"nec-2020": ("406.6", "314.25"), "nec-2023": ("406.6", "314.25")},
    ),
    "D19": (("PB-1",), "defect", {"nec-2020": ("314.16(B)",), "nec-2023": ("314.16(B)",)}),
    "D20": (("C18",), "defect", {"nec-2020": ("110.14(A)",), "nec-2023": ("110.14(A)",)}),
    "D20 directory": (
        ("P1",),
        "defect",
        {"nec-2020": ("408.4(A)",), "nec-2023": ("408.4(A)",)},
    ),
}

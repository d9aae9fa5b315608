"""The answer key of the second house, worked by hand before the program was run on it.

One row was changed afterwards: of the two-slot B1-2 no tamper resistance is asked, since another
two-slot may be put back without it (continuing-education page on 406.4(D)(5)). The hot tub of 2018 is
measured by 210.8(F) as all that is found is by 210.8(A): what new work would have to have.

Source of every value: contractors' and continuing-education pages on each edition, as named in the
rules. Measuring path: doorways and cabinet doors end it in 2017, no longer from 2020. Basements:
only unfinished ones until 2017. Kitchens: the counter until 2020, every receptacle from 2023.

Columns: outlet, sections for ground-fault protection in 2017, in 2020 and in 2023, ground-fault
protection now, arc-fault protection asked for and there (? its TEST was not pressed), tamper and
weather resistance (R asked for and missing, H there, X exempt, ? not seen, - does not apply).
"""

from __future__ import annotations

from typing import NamedTuple


class Row(NamedTuple):
    """One outlet of the key."""

    gfci: dict[str, tuple[str, ...]]
    gfci_now: str
    afci_asked: bool
    afci_now: str
    tr: str
    wr: str


_TABLE = """
B1-1 | | | | no | A no | R -
B1-2 | | | | no | A no | X -
B2-1 | | | | yes | A no | H -
B2-2 | | | | yes | A no | R -
L-1 | | | | no | A no | R -
L-2 | | | | no | A no | R -
L-3 | | | | no | A no | R -
D-1 | | | | no | A no | R -
K-1 | (A)(6) (A)(7) | (A)(6) (A)(7) | (A)(6) (A)(8) | yes | A no | R -
K-2 | (A)(6) | (A)(6) | (A)(6) | yes | A no | R -
K-3 | (A)(6) (A)(7) | (A)(6) (A)(7) | (A)(6) (A)(8) | no | A no | R -
K-4 | (A)(6) (A)(7) | (A)(6) (A)(7) | (A)(6) (A)(8) | no | A no | R -
K-5 | (A)(6) | (A)(6) | (A)(6) | no | A no | R -
K-6 | | | (A)(6) | no | A no | R -
K-7 | | | (A)(6) (D)(12) | no | A no | X -
K-8 | | (A)(7) | (A)(6) (A)(8) (D)(8) | no | - no | - -
K-9 | (A)(7) | (A)(7) | (A)(6) (A)(8) | no | A no | R -
K-10 | (D) | (D) 422.5(A)(7) | (D)(7) | no | A no | - -
BA-1 | (A)(1) (A)(7) | (A)(1) (A)(7) | (A)(1) (A)(8) | yes | - no | H -
BA-2 | (A)(1) (A)(9) | (A)(1) (A)(9) | (A)(1) (A)(10) | yes | - no | H -
PB-1 | (A)(1) (A)(7) | (A)(1) (A)(7) | (A)(1) (A)(8) | yes | - no | R -
F-1 | | (A)(5) | (A)(5) | no | A ? | H -
F-2 | | (A)(5) | (A)(5) | no | A ? | H -
F-3 | | (A)(5) | (A)(5) | no | A ? | H -
F-4 | | (A)(5) | (A)(5) | no | A ? | ? -
H-1 | | (A)(7) | (A)(8) | no | A no | R -
S-1 | | | | no | A no | - -
S-2 | | | | no | A no | - -
S-3 | | | | no | A no | - -
U-1 | (A)(5) | (A)(5) (D) 422.5(A)(6) | (A)(5) (D)(6) | no | - no | X -
U-2 | (A)(5) | (A)(5) | (A)(5) | no | - no | R -
W-1 | (A)(7) (A)(10) | (A)(7) (A)(10) | (A)(8) (A)(11) | no | A no | R -
W-2 | (A)(10) | (A)(10) | (A)(11) | no | A no | R -
DR-1 | | (A)(10) | (A)(11) (D)(11) | no | - no | - -
O-1 | (A)(3) | (A)(3) | (A)(3) | yes | - no | H H
O-2 | (A)(3) | (A)(3) | (A)(3) | yes | - no | R R
HT-1 | 680.42 680.44 | 210.8(F) 680.42 680.44 | 210.8(F) 680.42 680.44 | yes | - no | - -
G-1 | (A)(2) | (A)(2) | (A)(2) | yes | - no | H -
G-2 | (A)(2) | (A)(2) | (A)(2) | yes | - no | R -
G-3 | (A)(2) | (A)(2) | (A)(2) | yes | - no | X -
G-4 | | (A)(2) | (A)(2) | no | - no | R -
"""

EDITIONS = ("nec-2017", "nec-2020", "nec-2023")


def _row(cells: list[str]) -> Row:
    gfci = {
        edition: tuple(each if each[0] != "(" else f"210.8{each}" for each in cell.split())
        for edition, cell in zip(EDITIONS, cells[1:4], strict=True)
    }
    asked, afci_now = cells[5].split()
    tr, wr = cells[6].split()
    return Row(gfci, cells[4], asked == "A", afci_now, tr, wr)


OUTLETS = {
    cells[0]: _row(cells)
    for cells in (
        [cell.strip() for cell in line.split("|")] for line in _TABLE.strip().splitlines()
    )
}


DEFECTS = {
    # 14 AWG copper behind 20 A. Wire maker's ampacity sheet; question page quoting 240.4(D).
    ("C9", "240.4(D)(3)"): "conductor of the hall circuit",
    # The bootleg: a jumper from neutral to ground. From memory: 250.142(B).
    ("B1-1", "250.142(B)"): "false ground",
    # Trade magazines on 406.3(C): 15 and 20 A receptacles on aluminum are marked CO/ALR.
    ("L-1", "406.3(C)"): "aluminum, unmarked; L-2 is spliced and L-3 marked",
    ("D-1", "406.3(C)"): "aluminum, unmarked",
    ("D-1", "200.11"): "hot and neutral reversed",
    ("K-3", "110.3(B)"): "its TEST does nothing; K-4 and K-5 behind it have nothing either",
    ("P1", "408.4(A)"): "a blank line in the directory",
    # From memory: 210.4(B), for all shared neutrals since 2008.
    ("C3", "210.4(B)"): "shared neutral, no tie",
    ("C4", "210.4(B)"): "shared neutral, no tie",
    # Continuing-education page on 406.4(D)(4): a receptacle replaced in 2018 in a bedroom.
    ("B2-1", "406.4(D)(4)"): "the GFCI of 2018 is no AFCI",
    # Trade magazine on 406.4(D)(2): both marks where a GFCI ahead protects it.
    ("B2-2", "406.4(D)(2)(c)"): "neither mark",
    # Electricians' forum, history of in-use covers.
    ("O-2", "406.9(B)(1)"): "lid that keeps rain out only when closed",
    # Trade magazine on the 2011 changes: a receptacle of 2012 has to be tamper-resistant.
    ("G-2", "406.12"): "put in in 2012",
}
"""What is wrong whatever the year, or by the rules that bound the work; sections of 2017."""

RENAMED = {"240.4(D)(3)": "240.4(D)(4)", "406.3(C)": "406.3(D)"}
"""Sections of 2020 that have another name in 2023."""

BASEMENT_OF_2021 = frozenset({"F-1", "F-2", "F-3", "F-4"})
"""New in 2021: a defect by the edition of 2020, which took in finished basements."""

"""The cautions and limits that every screen and every report shows."""

CAUTIONS: tuple[str, ...] = (
    "This work can injure or kill. Switch the circuit off and prove it dead with a rated meter, "
    "tried on a live source before and after, before you open anything.",
    "If you are not trained: use only a plug-in tester and the TEST and RESET buttons. "
    "Never take off a panel cover.",
    "Before a TEST, find out what loses power: freezers, sump pumps, medical and alarm equipment. "
    "RESET afterwards.",
    "Warm plates, flicker, buzzing, scorching or a burning smell: stop, switch the circuit off, "
    "call a licensed electrician. Wet floor or hands: do not test.",
    "Solid aluminum wiring: do not open devices. Repairs belong to a licensed electrician, "
    "with a permit where one is required.",
)

NOT_A_CERTIFICATE = (
    "A visual and functional check of what is recorded, on the day shown. It is not a "
    "code-compliance inspection, not a permit inspection and no guarantee. The authority having "
    "jurisdiction decides; local amendments apply."
)

CODE_BOOK = "the code book"
"""Where the figures of a calculation are verified: they are those of the electrical code."""

MARKS: dict[str, str] = {
    "confirmed": "",
    "one-source": "read in one source: verify in {}",
    "inferred": "inferred: verify in {}",
    "memory": "from memory: verify in {}",
    "disputed": "disputed: ask the authority having jurisdiction",
}


def how_sure(confidence: str, verify_in: str) -> str:
    """A confidence mark in words, and where to verify what bears it; "" for what is confirmed."""
    return MARKS[confidence].format(verify_in)

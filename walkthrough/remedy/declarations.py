"""The shapes of the files of actions and of prices as written."""

from __future__ import annotations

import datetime
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from walkthrough.survey.model import Answer

FORMAT = 1
ASK = "ask"
_MOST = 1e9
"""No price and no time is more, in any currency; what is told in cents stays a number then."""

ActionScope = Literal["panel", "circuit", "outlet"]
Answers = dict[str, Answer]


class _Declared(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Condition(_Declared):
    """What must hold, or must not, and what to tell where an action is ruled out by it.

    A need that is only not known to hold tells `untold`, where there is one.

    A choice can lift one that has a name. A `quiet` one only says what the action is for. A bar
    with `unless` holds as long as that is not known to be so. One for `another_kind` says that the
    part is made for another kind of thing: it is no cheaper way that comes to mind.
    """

    when: str
    unless: str = ""
    says: str = Field(min_length=1)
    untold: str = ""
    name: str = ""
    quiet: bool = False
    another_kind: bool = False


class Also(_Declared):
    """Further changes where a condition holds, the text of a label that they stand for, and what
    the electrician is told to do for them."""

    when: str
    sets: Answers
    label: str = ""
    does: str = ""


class Over(_Declared):
    """Changes at what belongs to the subject, where a condition holds there."""

    of: Literal["circuit"]
    when: str
    sets: Answers


class GroupDeclared(_Declared):
    """What several actions have in common.

    `step` is its place in the order of the work. `tested`: the work ends with a TEST of the
    device. `wires`: the wires at the device are put on LINE or LOAD as the plan says. `fits_box`:
    the device has to go into the box. `shared`: one for all circuits of a shared neutral.
    `removes`: the outlet is none any more. `only_for` lists the cures without which it is not done.
    `by_offer`: what it costs hangs on the house, so without a price it counts for more than a part
    without one.
    """

    of: ActionScope | None = None
    step: str = ""
    price: str = ""
    does: str = ""
    tags: tuple[str, ...] = ()
    sets: Answers = {}
    also: tuple[Also, ...] = ()
    forgets: tuple[str, ...] = ()
    year: tuple[str, ...] = ()
    needs: tuple[Condition, ...] = ()
    bars: tuple[Condition, ...] = ()
    warns: tuple[str, ...] = ()
    over: Over | None = None
    only_for: tuple[str, ...] = ()
    done_by: str = ""
    tested: bool = False
    wires: bool = False
    fits_box: bool = False
    shared: bool = False
    removes: bool = False
    by_offer: bool = False


class ActionDeclared(GroupDeclared):
    """One action as written; what its groups say comes first."""

    groups: tuple[str, ...] = ()


class Binds(_Declared):
    """Answers that tell what was done, by which rules bind that work."""

    words: tuple[str, ...]


class Keeps(_Declared):
    """Answers that stay as they were in a second judgement of what was there before."""

    when: str
    words: tuple[str, ...]


class Implied(_Declared):
    """Answers that follow at an outlet from others, where they were not recorded."""

    when: str
    sets: Answers


class Assumed(_Declared):
    """What is taken to be so where nothing was recorded.

    `carried`: which answers are taken to be the same along a circuit where a place was not
    reached. `missing`: what outlets are taken to lack. `implied`: what follows from other answers.
    """

    carried: tuple[Literal["room", "circuit", "previous"], ...]
    missing: Answers = {}
    implied: tuple[Implied, ...] = ()


class Takes(_Declared):
    """Deficiencies that a scope takes in; an empty list takes all."""

    kind: tuple[str, ...] = ()
    severity: tuple[str, ...] = ()
    topic: tuple[str, ...] = ()


class ScopeDeclared(_Declared):
    """How much a plan has to clear."""

    title: str
    takes: tuple[Takes, ...] = Field(min_length=1)


class ChoiceDeclared(_Declared):
    """Another way of doing it, to be priced beside the cheapest.

    `without` bars actions of these tags, `lifts` drops conditions of these names. Where `own`
    holds, an outlet has a protective device that serves it alone. `local` lists kinds of
    protection that are reset in the same room. `no_series`: no outlet hangs on two devices of one
    kind.
    """

    title: str
    without: tuple[str, ...] = ()
    lifts: tuple[str, ...] = ()
    own: str = ""
    local: tuple[str, ...] = ()
    no_series: bool = False


class Opening(_Declared):
    """What it takes to find out a wiring order that is not known."""

    price: str
    does: str


class CautionDeclared(_Declared):
    """What to tell where work gives protection of a kind to an outlet for which `when` holds.

    `of`: only work on this kind of subject. `{outlets}` in `says` stands for those outlets.
    """

    gives: tuple[str, ...] = Field(min_length=1)
    of: Literal["circuit", "outlet"]
    when: str
    says: str


class ActionsDeclared(_Declared):
    """A whole file of actions."""

    format: int
    steps: tuple[str, ...] = Field(min_length=1)
    binds: Binds
    keeps: Keeps
    assumed: Assumed
    opening: Opening
    group: dict[str, GroupDeclared] = {}
    action: dict[str, ActionDeclared]
    scope: dict[str, ScopeDeclared]
    choice: dict[str, ChoiceDeclared] = {}
    caution: tuple[CautionDeclared, ...] = ()


def _ask(value: Any) -> Any:
    if isinstance(value, str) and value != ASK:
        raise ValueError(f'expected "{ASK}", or a table with material and minutes')
    return {"what": "", "ask": True} if value == ASK else value


class PriceDeclared(_Declared):
    """Material in money and work in minutes of one item; `low` and `high` are for the whole item.

    The word "ask" in its place means that the price is not known.
    """

    what: str = ""
    material: float = Field(default=0, ge=0, le=_MOST, allow_inf_nan=False)
    minutes: float = Field(default=0, ge=0, le=_MOST, allow_inf_nan=False)
    low: float | None = Field(default=None, ge=0, le=_MOST, allow_inf_nan=False)
    high: float | None = Field(default=None, ge=0, le=_MOST, allow_inf_nan=False)
    ask: bool = False

    @model_validator(mode="after")
    def _some_price(self) -> PriceDeclared:
        if not self.ask and not self.material and not self.minutes:
            raise ValueError('nothing costs nothing; expected material, minutes, or "ask"')
        if self.low is not None and self.high is not None and self.high < self.low:
            raise ValueError("'high' is below 'low'")
        return self


class PricesDeclared(_Declared):
    """A whole price list; `date` is the day to which the prices belong."""

    format: int
    title: str
    currency: str = Field(min_length=1)
    date: datetime.date
    labor_per_hour: float = Field(ge=0, le=_MOST, allow_inf_nan=False)
    price: dict[str, Annotated[PriceDeclared, BeforeValidator(_ask)]]

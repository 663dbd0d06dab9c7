"""One tag on one label: the port's letter huge, its box beside it, what it is, whose, and the code.

Takes a tag and its stock; gives marks from the label's own top left corner, or problems that name the tag.
All arrangements are tried with the heights that the reading distances ask for, a large code before a small
one; where none fits, with lower ones. The first in which everything fits is used: no text is cut, and neither
a code nor a caution goes below the size at which it reads.
"""

import math
from collections.abc import Callable, Iterable
from functools import lru_cache, partial
from itertools import chain

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Mark, Text, TextRole
from tagmaker.job.prints import TIE_ON_HOLE
from tagmaker.problems import Problem, Where, error
from tagmaker.sheets.label_code import PAD, Room, edge_pad, place_code
from tagmaker.sheets.label_draft import with_draft
from tagmaker.sheets.label_needs import SHARES, Setting, Share, Widest
from tagmaker.sheets.label_words import Way, back, column, lay_out_cell, lay_out_start, ways
from tagmaker.sheets.label_wrap import RINGS, THIRDS, lay_out_turn
from tagmaker.sheets.media import Panel, misfit, panels, turn_of
from tagmaker.tags.model import Tag
from tagmaker.tags.revision import revision_text
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.codes import MODULE_LEAST, MODULE_MOST, square_code
from tagmaker.typeset.fonts import face
from tagmaker.typeset.frame import Frame

__all__ = ["NO_WIDEST", "FittedLabel", "fit_label"]

MODULES = (MODULE_MOST, 0.5, 0.42, MODULE_LEAST)  # mm, tried in turn where words need the room
CABLE_REMARKS = ("cable_to", "cable_from_terminal", "cable_from_unit", "cable_on")
NOWHERE = Where("")
HIGH = 30.0  # mm of a label that has room for a large code
SLIP = 0.4  # mm by which letters reach beyond their frames, kept clear on a sheet, which may slip by 1 mm
ONCE_BELOW = 0.5  # of the heights that texts need: a wrap has its words once, on so thin a pipe
NO_WIDEST = Widest()
Step = Callable[[Layout], bool]
"""Lays a part of a label out; False where its code does not fit."""


class FittedLabel(Struct, frozen=True):
    """A tag's marks on its label, from the label's top left corner.

    `heights` are those of the texts that are read from a distance, by their roles: of the lowest of each, in
    mm. `has_code` is False where a draft has the word DRAFT in the code's place.
    """

    tag: Tag
    marks: tuple[Mark, ...]
    heights: dict[TextRole, float]
    has_code: bool = True

    @property
    def letter_caps(self) -> float:
        """Height of the smallest copy of the one huge thing on the tag."""
        return self.heights.get("main", 0.0)


def fit_label(
    tag: Tag, stock: Stock, words: Words, widest: Widest = NO_WIDEST
) -> tuple[FittedLabel | None, tuple[Problem, ...]]:
    """The tag laid out for its stock; None, with the problems that name the tag, where it does not fit.

    A default flag that is too short, or on whose faces not all texts of the job are as high as they must be,
    is printed as a tie-on tag. A draft is never refused for the word DRAFT: where the tag fits only without
    it, the word is in the code's place.
    """
    setting = Setting(tag, words, stock, widest)
    if stock.is_default and stock.shape == "flag":
        serves = misfit(tag.outside, stock) is None and _flags_serve(_longest(setting))
        label = _fit(setting, SHARES[:1])[0] if serves else None
        if label:
            return label, ()
        setting = replace(setting, stock=replace(stock, shape="tie-on", hole=TIE_ON_HOLE))
    label, problems = _fit(setting, SHARES)
    if label is None and tag.is_draft:
        bare = replace(tag, revision_text=revision_text(tag.revision, words, is_draft=False), is_draft=False)
        issued, _ = _fit(replace(setting, tag=bare), SHARES)
        if issued:
            marks, has_code = with_draft(issued.marks, stock, words)
            label = replace(issued, tag=tag, marks=marks, has_code=has_code)
    return label, () if label else problems


def _longest(setting: Setting) -> Setting:
    """The setting with the longest texts that a cable's tag of the job may have; it is on no label."""
    tag, widest = setting.tag, setting.widest
    box, unit = widest.box or tag.box_shown, widest.unit or max(tag.units, key=len, default="")
    remarks = [setting.words(f"tag.{key}", unit=unit, port=tag.port) for key in CABLE_REMARKS]
    longest = replace(
        tag,
        code="A" * max(len(tag.code), len(box) + len(unit) + len("/A/COM//ON")),
        kind="cable",
        box_shown=box,
        port="A",
        units=(unit,),
        rooms=(),
        remark=f"{max(remarks, key=len)}, {setting.words('tag.not_power')}",
        where=NOWHERE,
    )
    return replace(setting, tag=longest)


@lru_cache(maxsize=256)
def _flags_serve(longest: Setting) -> bool:
    """Whether default flags hold the longest texts of a job as high as they must be: all tags are alike."""
    return _fit(longest, SHARES[:1])[0] is not None


def _fit(setting: Setting, shares: tuple[Share, ...]) -> tuple[FittedLabel | None, tuple[Problem, ...]]:
    """The tag laid out with all its words, at the first of these shares of the heights at which it fits."""
    tag, stock = setting.tag, setting.stock
    message = f"tag {tag.code} on {stock.name}: its code does not fit at a readable size"
    hint = "shorten the unit's or box's tag, or choose a larger stock in [print]"
    problems = [error("code-too-long", message, tag.where, hint, (tag.box.upper(),))]
    for share, names in shares:
        layout = Layout(f"tag {tag.code} on {stock.name}", tag.where, tag.box.upper())
        if not _lay_out(layout, replace(setting, share=share, names=names)):
            continue
        problems = layout.problems
        if not problems:
            return FittedLabel(tag, tuple(layout.marks), _heights(layout.marks)), ()
    return None, tuple({problem.message: problem for problem in problems}.values())


def _heights(marks: list[Mark]) -> dict[TextRole, float]:
    """Heights of capitals by role, in mm: of the lowest text of each."""
    heights: dict[TextRole, float] = {}
    for mark in marks:
        if isinstance(mark, Text) and mark.role:
            caps = mark.size * face(mark.face).cap_height
            heights[mark.role] = min(caps, heights.get(mark.role, caps))
    return heights


def _lay_out(layout: Layout, setting: Setting) -> bool:
    """Every part of the label; False where its code does not fit."""
    tag, stock = setting.tag, setting.stock
    if stock.has_ring:
        _hole(layout, stock)
    for room in tag.rooms:  # a low label may leave rooms out, but must not hide that one cannot be printed
        layout.check_signs(room)
    parts = panels(tag, stock)
    if stock.shape == "flag" and len(parts) > 1:
        _fold(layout, stock)
        return _flag(layout, setting, *parts)
    found = [_panel(layout, setting, panel) for panel in parts]
    return all(found)


def _hole(layout: Layout, stock: Stock) -> None:
    """A ring where a tag of a plain sheet is to be punched."""
    x, y, diameter = stock.hole
    radius = diameter / 2
    layout.rect(Frame(x - radius, y - radius, diameter, diameter), line=0.2, radius=radius)


def _fold(layout: Layout, stock: Stock) -> None:
    """Two short marks where a flag is folded."""
    width, height = stock.label
    for top in (0.4, height - 2.4):
        layout.rule(width / 2, top, width / 2, top + 2.0, 0.2)


def _panel(layout: Layout, setting: Setting, panel: Panel) -> bool:
    """One part of the label; False where its code does not fit."""
    if panel.holds == "cell":
        lay_out_cell(layout, setting, panel.frame)
    elif panel.holds == "start":
        lay_out_start(layout, setting.words, panel.frame)
    elif panel.holds == "turn":
        once = _placed(setting, replace(panel, holds="all")) if setting.share <= ONCE_BELOW else ()
        return _first(layout, chain(_turns(setting, panel.frame), once))
    else:
        return _first(layout, _placed(setting, panel))
    return True


def _first(layout: Layout, steps: Iterable[Step]) -> bool:
    """The first of these steps in which everything fits; False where no code fits in any.

    Where none fits, the problems of the one with the fewest are reported.
    """
    tried: list[Layout] = []
    for step in steps:
        attempt = Layout(layout.what, layout.where, layout.box)
        if not step(attempt):
            continue
        tried.append(attempt)
        if not attempt.problems:
            layout.marks += attempt.marks
            return True
    if tried:
        layout.problems += min(tried, key=lambda attempt: len(attempt.problems)).problems
    return bool(tried)


def _modules(setting: Setting) -> list[float]:
    """Sizes of the code to try, in mm: small ones on a low label, or where texts are too low."""
    stock = setting.stock
    codes = (square_code(setting.tag.code, math.inf, stock.dots_per_mm, module) for module in MODULES)
    cells = list(dict.fromkeys(code.cell for code in codes if code)) or [MODULE_LEAST]
    if stock.symbol == "none" or setting.names < 1.0:
        return cells[-1:]
    return cells if stock.label[1] > HIGH else cells[-2:]


def _turns(setting: Setting, frame: Frame) -> Iterable[Step]:
    """A wrap's outer turn, with each size of the code and of the ring; a sheet's keeps clear of its slip."""
    frame = frame.inset(SLIP) if setting.stock.kind == "sheet" else frame
    for module in _modules(setting):
        for ring in RINGS:
            yield partial(lay_out_turn, setting=setting, frame=frame, ring=ring, module=module)


def _placed(setting: Setting, panel: Panel) -> Iterable[Step]:
    """A panel with each size and place of its code, and each arrangement of its words."""
    stock = setting.stock
    is_round = bool(stock.printed) and setting.share > 0
    reach = turn_of(setting.tag.outside, stock) / THIRDS if is_round else panel.frame.height
    for module in _modules(setting) if panel.holds == "all" else [MODULE_LEAST]:
        for way in ways(setting, panel.frame, reach):
            yield partial(_arranged, setting=setting, panel=panel, module=module, way=way)


def _arranged(layout: Layout, setting: Setting, panel: Panel, module: float, way: Way) -> bool:
    """A panel in one arrangement; False where its code does not fit."""
    room: Room | None = Room(panel.frame.inset(PAD, edge_pad(panel.frame, setting.stock)))
    if panel.holds == "all":
        room = place_code(layout, setting, panel.frame, module, way.corner)
    if room is None:
        return False
    way.arrange(layout, setting, room)
    return True


def _flag(layout: Layout, setting: Setting, front: Panel, rear: Panel) -> bool:
    """All words on both faces; or, on narrow ones, what it is in front, and the rest with the code behind.

    A default flag is narrow.
    """
    whole = partial(_both, setting=setting, front=front, rear=rear)
    parts = partial(_in_two, setting=setting, front=front, rear=rear)
    return _first(
        layout,
        (whole,) if setting.tag.is_caution else (parts,) if setting.stock.is_default else (whole, parts),
    )


def _both(layout: Layout, setting: Setting, front: Panel, rear: Panel) -> bool:
    """All words on both faces of a flag, the code behind; False where it does not fit."""
    found = [_first(layout, _placed(setting, panel)) for panel in (front, rear)]
    return all(found)


def _in_two(layout: Layout, setting: Setting, front: Panel, rear: Panel) -> bool:
    """A narrow flag: letter, kind, box, unit and room in front; letter, end, revision and remark behind."""
    bare = replace(setting, tag=replace(setting.tag, remark=""))
    ahead = Way("top", partial(column, top=0.0, is_front=True))
    _arranged(layout, setting=bare, panel=front, module=0.0, way=ahead)
    behind = Way("foot", back)
    modules = _modules(setting)
    return _first(
        layout,
        (partial(_arranged, setting=setting, panel=rear, module=module, way=behind) for module in modules),
    )

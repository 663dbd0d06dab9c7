"""What a screen reader reads: the tree of a document's elements (ISO 32000-1, 14.7 [memory]).

Takes pages as they were drawn; adds their elements to the document's objects, each with the stretches of
operators and the form fields that it holds, and the way back from those to it. Every page has a section of
its own.
"""

from collections.abc import Iterable, Sequence
from itertools import chain

from tagmaker.draw.marks import Element, Reading
from tagmaker.draw.objects import Objects, pdf_text, references
from tagmaker.draw.reading import Kid

__all__ = ["Structure"]

SCOPES = {"TH": "/Scope/Column"}
"""What a head of a table is the head of."""


class Structure:
    """The tree of one document."""

    def __init__(self, objects: Objects) -> None:
        self.objects = objects
        self.root, self.top = objects.number(), objects.number()
        self.sections: list[int] = []
        self.ways_back: list[int] = []  # a part of their tree for each page
        self.key = 0

    def keys(self, fields: int) -> int:
        """The key of a page with so many fields; theirs follow it."""
        key = self.key
        self.key += 1 + fields
        return key

    def add(self, page: int, key: int, kids: Iterable[Kid], fields: Sequence[int]) -> None:
        """The elements of a page, which is the object of that number, as its fields are."""
        section = _Section(self.objects, page, fields)
        self.objects.document.objectcounter = section.add(kids, self.top)
        self.sections.append(section.number)
        owners = references(section.owners[number] for number in range(len(section.owners)))
        forms = [(f"{key + 1 + field}", f"{form} 0 R") for field, form in sorted(section.forms.items())]
        self.ways_back.append(self.objects.number())
        head = f"<</Limits[{key} {key + len(fields)}]/Nums[{key}["
        self.objects.put_list(self.ways_back[-1], head, owners, "]", chain.from_iterable(forms), "]>>")

    def end(self) -> int:
        """The root, once all pages are there."""
        ways, put_list = self.objects.number(), self.objects.put_list
        put_list(ways, "<</Kids[", references(self.ways_back), "]>>")
        put_list(self.top, f"<</S/Document/P {self.root} 0 R/K[", references(self.sections), "]>>")
        self.objects.put(
            self.root,
            f"<</Type/StructTreeRoot/K[{self.top} 0 R]/ParentTree {ways} 0 R/ParentTreeNextKey {self.key}>>",
        )
        return self.root


class _Section:
    """A page's elements: `owners` by stretch and `forms` by field are the numbers of what holds them.

    No other object is numbered while it is made, so that it counts by itself: a campus has 300,000 elements.
    """

    def __init__(self, objects: Objects, page: int, fields: Sequence[int]) -> None:
        self.objects, self.page, self.fields = objects, page, fields
        self.waiting = objects.elements
        self.number = self.last = objects.number()
        self.owners: dict[int, int] = {}
        self.forms: dict[int, int] = {}

    def add(self, kids: Iterable[Kid], parent: int) -> int:
        """The section itself with all that it holds; the last number that it took."""
        inside = self._kids(kids, self.number, 0, 0)
        self.objects.put_list(self.number, f"<</S/Sect/P {parent} 0 R/K[", inside, "]>>")
        return self.last

    def _kids(self, kids: Iterable[Kid], parent: int, stretch: int, field: int) -> list[str]:
        """What an element holds, as it is written there; stretches and fields are counted from these."""
        found: list[str] = []
        for kid in kids:
            if isinstance(kid, Element):
                found.append(self._element(kid, parent, stretch, field))
            elif isinstance(kid, Reading):
                found += self._kids(kid.kids, parent, kid.stretch + stretch, kid.field + field)
            elif kid < 0:
                found.append(self._form(field - 1 - kid, parent))
            else:
                self.owners[stretch + kid] = parent
                found.append(str(stretch + kid))
        return found

    def _element(self, element: Element, parent: int, stretch: int, field: int) -> str:
        """One element; its reference."""
        number = self.last = self.last + 1
        first = element.kids[0] if len(element.kids) == 1 else None
        if isinstance(first, int) and first >= 0:  # most are one stretch: this is quicker than the way below
            self.owners[stretch + first] = number
            kids = str(stretch + first)
        else:
            inside = self._kids(element.kids, number, stretch, field)
            kids = inside[0] if len(inside) == 1 else f"[{' '.join(inside)}]"
        scope = SCOPES.get(element.role, "")
        more = f"/A<</O/Table{scope}/ColSpan {element.columns}>>" if scope or element.columns > 1 else ""
        if element.alt:
            more += f"/Alt{pdf_text(element.alt)}"
        self.waiting[number] = f"<</S/{element.role}/P {parent} 0 R/Pg {self.page} 0 R/K {kids}{more}>>"
        return f"{number} 0 R"

    def _form(self, field: int, parent: int) -> str:
        """The element of a form field, which has its name itself; its reference."""
        number = self.last = self.forms[field] = self.last + 1
        kid = f"<</Type/OBJR/Obj {self.fields[field]} 0 R>>"
        self.waiting[number] = f"<</S/Form/P {parent} 0 R/Pg {self.page} 0 R/K {kid}>>"
        return f"{number} 0 R"

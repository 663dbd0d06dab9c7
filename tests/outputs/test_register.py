"""register.csv: a row a printed label, in print order, where it lies."""

import csv
import io
import re

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tagmaker.catalog.words import load_words
from tagmaker.job.model import Job
from tagmaker.outputs.register import COLUMNS, register_csv, tags_file
from tagmaker.plan.plan_job import plan_job
from tagmaker.sheets.label import fit_label
from tagmaker.sheets.place import Placed, place_labels, stock_of
from tagmaker.tags.kits import box_tags
from tests.strategies import BoxSketch, JobSketch, UnitSketch, sketches

HEADER = "code,kind,use,box,port,end,unit,room,revision,file,page,x_mm,y_mm,width_mm,height_mm"
FACTS = ("kind", "use", "box", "port", "end", "unit", "room", "revision")
SMALL = JobSketch(
    revision="P02",
    boxes=(
        BoxSketch(
            "bb-1",
            4,
            (
                UnitSketch("fc-1", "A", "12 kBtu/h", "Shop, front"),
                UnitSketch("FC-2", "A", "12 kBtu/h", 'The "Nook"'),
                UnitSketch("AH-1", "C+D", "72 kBtu/h", "Küche"),
            ),
            shown="BB 1/L2",
        ),
    ),
)


def placed(job: Job) -> list[Placed]:
    """Every label of a job in its place."""
    words = load_words()
    tags = [tag for box in plan_job(job)[0].boxes for tag in box_tags(job, box, words)]
    fitted = [fit_label(tag, stock_of(job, tag), words)[0] for tag in tags]
    return place_labels([label for label in fitted if label], job)


def rows(job: Job) -> list[dict[str, str]]:
    """The register's rows."""
    return list(csv.DictReader(io.StringIO(register_csv(placed(job)).decode(), newline="")))


def row_of(code: str) -> dict[str, str]:
    """The small job's row of a code."""
    return {row["code"]: row for row in rows(SMALL.record())}[code]


def facts(code: str) -> tuple[str, ...]:
    """What a row says of its tag, places left out."""
    return tuple(
        row_of(code)[key] for key in ("kind", "use", "box", "port", "end", "unit", "room", "revision")
    )


def test_the_columns_are_the_documented_ones_in_their_order() -> None:
    """Other programs read them by name and by place; lines end with a line feed."""
    first, *others = register_csv(placed(SMALL.record())).decode().split("\n")
    assert first == HEADER == ",".join(COLUMNS)
    assert others[-1] == ""
    assert "\r" not in first


def test_a_register_of_nothing_is_its_header() -> None:
    """Even so it can be read."""
    assert register_csv([]) == f"{HEADER}\n".encode()


def test_a_unit_ends_row_names_its_unit() -> None:
    """Codes in capitals, tags as the job writes them, the key tag and not the one shown."""
    expected = ("liquid", "single", "bb-1", "A", "unit", "fc-1", "Shop, front", "P02")
    assert expected == facts("BB-1/A/LIQ/FC-1")


def test_a_box_ends_row_names_all_units_of_its_port() -> None:
    """Divided by plus signs, rooms by semicolons."""
    units, rooms = "fc-1+FC-2", 'Shop, front; The "Nook"'
    assert facts("BB-1/A/GAS") == ("gas", "single", "bb-1", "A", "box", units, rooms, "P02")


def test_a_spare_ports_row_says_so() -> None:
    """No unit, no room."""
    assert facts("BB-1/B/TRM") == ("terminal", "spare", "bb-1", "B", "box", "", "", "P02")


def test_a_joined_pairs_rows_have_a_letter_each() -> None:
    """Pipes and terminals by their own letter, the cable by the pair's first."""
    assert facts("BB-1/D/LIQ") == ("liquid", "joined", "bb-1", "D", "box", "AH-1", "Küche", "P02")
    assert facts("BB-1/C/COM") == ("cable", "joined", "bb-1", "C", "box", "AH-1", "Küche", "P02")
    assert "BB-1/D/COM" not in {row["code"] for row in rows(SMALL.record())}


def test_a_cable_that_goes_on_is_a_row_of_its_own() -> None:
    """At the first unit, continuing to the second."""
    assert facts("BB-1/A/COM/FC-1/ON")[4:6] == ("unit", "fc-1")


def test_a_row_tells_file_page_and_place() -> None:
    """Three decimals of millimetres from the page's top left corner."""
    row = row_of("BB-1/A/TRM")
    assert row["file"].startswith("tags-")
    assert row["page"] == "1"
    assert all(re.fullmatch(r"\d+\.\d{3}", row[key]) for key in ("x_mm", "y_mm", "width_mm", "height_mm"))


def test_a_stocks_file_is_named_after_it() -> None:
    """One file a stock."""
    assert tags_file("letter-30-67x25") == "tags-letter-30-67x25.pdf"


FEW = settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@FEW
@given(sketches(sizes=(4,), most_boxes=1, most_units=3))
def test_every_label_has_one_row_in_print_order(sketch: JobSketch) -> None:
    """A row a label; within a file pages only rise, and no code stands twice."""
    job = sketch.record()
    labels, found = placed(job), rows(job)
    assert [label.label.tag.code for label in labels] == [row["code"] for row in found]
    assert len({row["code"] for row in found}) == len(found)
    for file in {row["file"] for row in found}:
        numbers = [int(row["page"]) for row in found if row["file"] == file]
        assert numbers == sorted(numbers)
        assert numbers[0] == 1


@FEW
@given(sketches(sizes=(4,), most_boxes=1, most_units=3), st.data())
def test_rectangles_are_apart(sketch: JobSketch, data: st.DataObject) -> None:
    """Any two labels of a page lie side by side or one above the other."""
    found = rows(sketch.record())
    one, other = data.draw(st.sampled_from(found)), data.draw(st.sampled_from(found))
    if one is other or (one["file"], one["page"]) != (other["file"], other["page"]):
        return
    slack = 0.002  # both figures are rounded to a thousandth
    apart = [
        float(first[f"{axis}_mm"]) + float(first[f"{size}_mm"]) <= float(second[f"{axis}_mm"]) + slack
        for axis, size in (("x", "width"), ("y", "height"))
        for first, second in ((one, other), (other, one))
    ]
    assert any(apart)

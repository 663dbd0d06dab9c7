"""Changes of a job's files: what is written, what is refused, and the way back."""

from pathlib import Path
from unittest import mock

import pytest

from tagmaker.files import history as files_history
from tagmaker.files.jobs_below import jobs_below
from tagmaker.files.plain import files_below
from tagmaker.job.read import read_job
from tagmaker.problems import Where
from tagmaker.workflows.edit import Edited, apply, digests, go_to, history, redo, undo
from tagmaker.workflows.edit_kinds import (
    AddBox,
    AddUnit,
    AnswerColumn,
    ChooseSheets,
    Edit,
    LeaveRowsOut,
    Move,
    MoveUnits,
    RemoveBox,
    RemoveUnit,
    SetBands,
    SetBox,
    SetJob,
    SetPrint,
    SetUnit,
)
from tests.job_files import BOX, HEAD, UNIT, write_files

TWO_BOXES = f'{HEAD}schedule = "ports.csv"  # from the office\n\n{BOX}\n[[box]]\ntag = "BX-2"\nports = 4\n'
CSV = """\
unit,box,port,capacity (kBtu/h),room
FC-1,BX-1,A,24,"Shop ""North\"""
FC-2,BX-1,B,12,Office
FC-3,BX-2,A,12,Store
"""


def job(folder: Path, toml: str = TWO_BOXES, csv: str | bytes = CSV) -> Path:
    """A job with a schedule beside it."""
    return write_files(folder / "job", {"job.toml": toml, "ports.csv": csv})


def edit(folder: Path, *edits: Edit) -> Edited:
    """These changes, by somebody who was shown the files as they are."""
    return apply(folder, edits, digests(folder))


def codes(edited: Edited) -> list[str]:
    """The codes of the problems that kept a change from being made."""
    return [problem.code for problem in edited.problems]


def text(folder: Path, name: str = "job.toml") -> str:
    """A file's text, its line ends as they are."""
    return (folder / name).read_bytes().decode()


# --- moves --------------------------------------------------------------------------------------------------


def test_a_move_changes_only_its_cells(tmp_path: Path) -> None:
    """Box and port of one row; job.toml and every other byte stay."""
    folder = job(tmp_path)
    before = text(folder)
    edited = edit(folder, MoveUnits((Move("fc-2", "BX-2", "b + c"),)))
    assert (edited.problems, edited.what) == ((), "fc-2 to BX-2 B+C")
    assert text(folder, "ports.csv") == CSV.replace("FC-2,BX-1,B", "FC-2,BX-2,B+C")
    assert text(folder) == before
    assert edited.digests == digests(folder)


def test_two_units_change_places(tmp_path: Path) -> None:
    """All moves of one change are made together."""
    folder = job(tmp_path)
    edit(folder, MoveUnits((Move("FC-1", "BX-2", "A"), Move("FC-3", "BX-1", "A"))))
    expected = CSV.replace("FC-1,BX-1", "FC-1,BX-2").replace("FC-3,BX-2", "FC-3,BX-1")
    assert text(folder, "ports.csv") == expected


NAMED_ONCE = """\
Unit;Box;Port;Cap. (MBH)
FC-1;BX-1;A;24
FC-2;;B;12
FC-3;;C;12
FC-4;BX-2;A;12
FC-5;;B;12
"""


@pytest.mark.parametrize(
    ("move", "lines"),
    [
        (Move("FC-2", "BX-2", "C"), ["FC-2;BX-2;C;12", "FC-3;BX-1;C;12"]),
        (Move("FC-1", "BX-2", "C"), ["FC-1;BX-2;C;24", "FC-2;BX-1;B;12"]),
        (Move("FC-3", "BX-2", "C"), ["FC-2;BX-1;B;12", "FC-3;BX-2;C;12", "FC-5;BX-2;B;12"]),
        (Move("FC-3", "BX-1", "D"), ["FC-3;;D;12"]),
        (Move("FC-5", "BX-1", "D"), ["FC-5;BX-1;D;12"]),
    ],
)
def test_rows_below_keep_the_box_that_a_blank_means(move: Move, lines: list[str], tmp_path: Path) -> None:
    """A blank box is written out where it would follow the moved row, all where blanks mean nothing then."""
    folder = job(tmp_path, csv=NAMED_ONCE)
    before = units(folder)
    assert edit(folder, MoveUnits((move,))).problems == ()
    changed = [line for line in text(folder, "ports.csv").splitlines() if line not in NAMED_ONCE.splitlines()]
    assert changed == lines
    assert units(folder) == before | {move.unit: (move.box, move.port)}


SPARES = """\
unit,box,port,capacity (kBtu/h),room
FC-1,BX-1,A,24,Shop
FC-2,BX-1,A,12,Office
SPARE,BX-1,B,,
FC-3,BX-2,C+D,48,Hall
SPARE,BX-2,A+B,,
"""


@pytest.mark.parametrize(
    ("moves", "changes"),
    [
        # the spare row takes the port that was left
        (
            (Move("FC-3", "BX-1", "B"),),
            {"SPARE,BX-1,B,,": "SPARE,BX-2,C+D,,", "FC-3,BX-2,C+D": "FC-3,BX-1,B"},
        ),
        # somebody is left on that port: no row names the taken one as spare any more
        ((Move("FC-2", "BX-1", "B"),), {"SPARE,BX-1,B,,": ",,,,", "FC-2,BX-1,A": "FC-2,BX-1,B"}),
        # what is left of a spare pair stays spare
        ((Move("FC-2", "BX-2", "B"),), {"SPARE,BX-2,A+B,,": "SPARE,BX-2,A,,", "FC-2,BX-1,A": "FC-2,BX-2,B"}),
        # each place that was left is given once
        (
            (Move("FC-1", "BX-1", "B"), Move("FC-2", "BX-2", "A+B")),
            {
                "SPARE,BX-1,B,,": "SPARE,BX-1,A,,", "SPARE,BX-2,A+B,,": ",,,,",
                "FC-1,BX-1,A": "FC-1,BX-1,B", "FC-2,BX-1,A": "FC-2,BX-2,A+B",
            },
        ),
    ],
)  # fmt: skip
def test_a_row_of_a_spare_port_gives_way(
    moves: tuple[Move, ...], changes: dict[str, str], tmp_path: Path
) -> None:
    """It would contradict the unit that is moved there."""
    folder = job(tmp_path, csv=SPARES)
    before = units(folder)
    assert edit(folder, MoveUnits(moves)).problems == ()
    expected = SPARES
    for was, now in changes.items():
        expected = expected.replace(was, now)
    assert text(folder, "ports.csv") == expected
    assert units(folder) == before | {move.unit: (move.box, move.port) for move in moves}


def test_a_unit_of_the_job_file_takes_a_spare_port_of_the_schedule(tmp_path: Path) -> None:
    """Both files change, and go back together."""
    toml = TWO_BOXES + UNIT.replace("FC-1", "FC-9").replace('"A"', '"D"')
    folder = job(tmp_path, toml, SPARES)
    assert edit(folder, MoveUnits((Move("FC-9", "BX-1", "B"),))).problems == ()
    assert "SPARE,BX-1,D,," in text(folder, "ports.csv")
    assert units(folder)["FC-9"] == ("BX-1", "B")
    undo(folder)
    assert (text(folder), text(folder, "ports.csv")) == (toml, SPARES)


def units(folder: Path) -> dict[str, tuple[str, str]]:
    """Box and port of each unit of a job without problems in reading it."""
    found, problems = read_job(folder)
    assert problems == ()
    assert found
    return {unit.tag: (unit.box, unit.port) for unit in found.units}


def test_a_unit_of_the_job_file_is_moved_there(tmp_path: Path) -> None:
    """Its comments, order and style stay."""
    toml = HEAD + BOX + UNIT.replace('port = "A"', 'port = "A"  # nearest') + UNIT.replace("FC-1", "FC-2")
    folder = job(tmp_path, toml)
    assert edit(folder, MoveUnits((Move("FC-1", "BX-1", "C+D"),))).problems == ()
    assert text(folder) == toml.replace('port = "A"  # nearest', 'port = "C+D"  # nearest')


def test_of_two_rows_the_one_at_the_place_is_moved(tmp_path: Path) -> None:
    """A tag that two rows have is not enough."""
    csv = CSV.replace("FC-3", "FC-1")
    folder = job(tmp_path, csv=csv)
    assert codes(edit(folder, MoveUnits((Move("FC-1", "BX-1", "D"),)))) == ["edit-refused"]
    assert edit(folder, MoveUnits((Move("FC-1", "BX-1", "D", Where("ports.csv", 4)),))).problems == ()
    assert text(folder, "ports.csv") == csv.replace("FC-1,BX-2,A", "FC-1,BX-1,D")


@pytest.mark.parametrize(
    "move", [Move("FC-9", "BX-1", "A"), Move("FC-1", "BX-1", "A", Where("ports.csv", 3))]
)
def test_a_row_that_is_not_there_is_refused(move: Move, tmp_path: Path) -> None:
    """Nothing is written, not even the moves that could be made."""
    folder = job(tmp_path)
    assert codes(edit(folder, MoveUnits((Move("FC-2", "BX-1", "C"), move)))) == ["edit-refused"]
    assert text(folder, "ports.csv") == CSV
    assert not (folder / ".history").exists()


def test_a_file_in_windows_text_with_crlf_keeps_them(tmp_path: Path) -> None:
    """Its bytes are those of before but for the cell."""
    csv = CSV.replace("Store", "Café 24 °C").replace("\n", "\r\n").encode("cp1252")
    folder = job(tmp_path, csv=csv)
    edit(folder, MoveUnits((Move("FC-2", "BX-1", "D"),)))
    assert (folder / "ports.csv").read_bytes() == csv.replace(b"FC-2,BX-1,B", b"FC-2,BX-1,D")


# --- answers, tables, units ---------------------------------------------------------------------------------

ODD = CSV.replace("unit,box", "Equipment,box").replace("capacity (kBtu/h)", "Cap.")


def test_headers_are_answered_in_columns(tmp_path: Path) -> None:
    """The meaning, and the unit of bare numbers; an answer under another spelling is replaced."""
    folder = job(tmp_path, csv=ODD)
    edited = edit(folder, AnswerColumn("Equipment", "unit"), AnswerColumn("Cap.", "capacity", "MBH"))
    assert (edited.problems, edited.what) == ((), "column Equipment: unit; column Cap.: capacity (MBH)")
    answers = '\n[columns]\nEquipment = "unit"\n"Cap." = "capacity (MBH)"\n'
    assert text(folder) == TWO_BOXES.replace("office\n", f"office\n{answers}")
    assert units(folder)["FC-1"] == ("BX-1", "A")
    edit(folder, AnswerColumn("cap", "capacity", "kW"), AnswerColumn("room", ""))
    assert text(folder).count("capacity (kW)") == 1
    assert '\nroom = ""\n' in text(folder)
    edit(folder, AnswerColumn("room", None))
    assert "room" not in text(folder)


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (AnswerColumn("Equipmint", "unit"), "column-unknown"),
        (AnswerColumn("Equipment", "unti"), "value-wrong"),
        (SetJob({"revision": "much too long"}), "value-wrong"),
        (SetJob({"name": ""}), "key-missing"),
        (SetJob({"nmae": "x"}), "key-unknown"),
        (SetJob({"family": "no-such"}), "family-unknown"),
        (SetJob({"site": "two\nlines"}), "edit-refused"),
        (SetPrint({"pipe": "no-such"}), "stock-unknown"),
        (AddBox({"tag": "BX 3", "ports": "4"}), "tag-wrong"),
        (AddBox({"tag": "BX-3", "ports": "four"}), "value-wrong"),
        (AddBox({"tag": "bx-1", "ports": "4"}), "box-twice"),
        (AddUnit({"unit": "FC-9", "box": "BX-1"}), "cell-missing"),
        (AddUnit({"unit": "FC-9", "box": "BX-1", "port": "C", "run": "12"}), "length-unit"),
        (ChooseSheets(("Ports",)), "value-wrong"),
        (LeaveRowsOut(("FC-1",)), "value-wrong"),
        (SetBox("BX-9", {"place": "Hall"}), "edit-refused"),
        (RemoveBox("BX-9"), "edit-refused"),
        (SetUnit("FC-1", {"room": "Hall"}), "edit-refused"),
        (RemoveUnit("FC-1"), "edit-refused"),
    ],
)
def test_what_was_typed_wrongly_is_not_written(change: Edit, code: str, tmp_path: Path) -> None:
    """The reader's own problem is given, and the file is as it was."""
    folder = job(tmp_path, csv=ODD)
    before = text(folder)
    assert codes(edit(folder, change)) == [code]
    assert text(folder) == before


def test_keys_are_set_and_removed(tmp_path: Path) -> None:
    """A number, a date and a text each as TOML has it; an empty text removes the key; the rest stays."""
    folder = job(tmp_path)
    values = {"number": "TS-7", "revision": "2", "date": "2026-04-30", "site": " North  wing "}
    assert edit(
        folder, SetJob(values), SetPrint({"placard": "a4"}), SetBands({"interval": "10 ft"})
    ).what == (
        "number TS-7, revision 2, date 2026-04-30, site North  wing; print: placard a4; bands: interval 10 ft"
    )
    added = 'number = "TS-7"\nrevision = 2\ndate = 2026-04-30\nsite = "North  wing"\n'
    tables = '\n[print]\nplacard = "a4"\n\n[bands]\ninterval = "10 ft"\n'
    assert text(folder) == TWO_BOXES.replace("office\n", f"office\n{added}{tables}")
    edit(
        folder, SetJob({"number": "", "revision": "P02", "date": None, "site": ""}), SetPrint({"placard": ""})
    )
    left = 'revision = "P02"\n\n[print]\n\n[bands]\ninterval = "10 ft"\n'
    assert text(folder) == TWO_BOXES.replace("office\n", f"office\n{left}")


def test_boxes_are_changed_added_and_removed(tmp_path: Path) -> None:
    """Each where it is; a new one after the last."""
    folder = job(tmp_path)
    edit(
        folder,
        SetBox("bx-1", {"place": "Hall", "ports": "6"}),
        AddBox({"tag": "BX-3", "ports": "4", "level": ""}),
    )
    assert text(folder) == (
        TWO_BOXES.replace("ports = 4\n\n", 'ports = 6\nplace = "Hall"\n\n')
        + '\n[[box]]\ntag = "BX-3"\nports = 4\n'
    )
    edit(folder, RemoveBox("BX-3"), SetBox("BX-1", {"place": "", "ports": 4}))
    assert text(folder) == TWO_BOXES


def test_units_are_changed_added_and_removed(tmp_path: Path) -> None:
    """Those of job.toml."""
    folder = job(tmp_path, HEAD + BOX + UNIT)
    new = {"unit": "FC-2", "box": "BX-1", "port": "B", "capacity": "12 kBtu/h", "room": ""}
    assert (
        edit(folder, AddUnit(new), SetUnit("fc-1", {"room": "Shop", "capacity": "18 kBtu/h"})).problems == ()
    )
    changed = UNIT.replace("24", "18") + 'room = "Shop"\n'
    second = UNIT.replace("FC-1", "FC-2").replace('"A"', '"B"').replace("24", "12")
    assert text(folder) == f"{HEAD}{BOX}{changed}\n{second}"
    edit(folder, RemoveUnit("FC-2"), SetUnit("FC-1", {"room": None, "capacity": "24 kBtu/h"}))
    assert text(folder) == HEAD + BOX + UNIT


# --- conflicts, and the way back ----------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["job.toml", "ports.csv"])
def test_what_changed_on_disk_meanwhile_is_never_overwritten(name: str, tmp_path: Path) -> None:
    """Neither the file that would be changed nor one that the page took its rows from."""
    folder = job(tmp_path)
    seen = digests(folder)
    saved = text(folder, name) + "\n"
    (folder / name).write_bytes(saved.encode())
    edited = apply(folder, [MoveUnits((Move("FC-1", "BX-2", "B"),))], seen)
    assert codes(edited) == ["edit-conflict"]
    assert text(folder, name) == saved
    assert edited.digests == digests(folder)


def test_a_file_that_the_page_did_not_show_is_not_changed(tmp_path: Path) -> None:
    """Whoever saw job.toml alone does not know what is in the schedule."""
    folder = job(tmp_path)
    seen = {"job.toml": digests(folder)["job.toml"]}
    assert codes(apply(folder, [MoveUnits((Move("FC-1", "BX-2", "B"),))], seen)) == ["edit-conflict"]
    assert text(folder, "ports.csv") == CSV


def test_changes_are_undone_and_made_again(tmp_path: Path) -> None:
    """One after the other, byte for byte, and listed newest first."""
    folder = job(tmp_path)
    states = [(text(folder), text(folder, "ports.csv"))]
    for change in (
        SetJob({"site": "North"}),
        MoveUnits((Move("FC-1", "BX-2", "B"),)),
        SetBox("BX-1", {"level": "2"}),
    ):
        edit(folder, change)
        states.append((text(folder), text(folder, "ports.csv")))
    for at in (2, 1, 0):
        assert undo(folder).problems == ()
        assert (text(folder), text(folder, "ports.csv")) == states[at]
    assert codes(undo(folder)) == ["history-end"]
    for at in (1, 2, 3):
        assert redo(folder).problems == ()
        assert (text(folder), text(folder, "ports.csv")) == states[at]
    assert codes(redo(folder)) == ["history-end"]
    undo(folder)
    found = history(folder)
    assert [(past.what, past.files, past.is_undone) for past in found.changes] == [
        ("BX-1: level 2", ("job.toml",), True),
        ("FC-1 to BX-2 B", ("ports.csv",), False),
        ("site North", ("job.toml",), False),
    ]
    assert found.undo
    assert found.redo
    assert (found.undo.what, found.redo.what) == ("FC-1 to BX-2 B", "BX-1: level 2")


def test_one_goes_to_any_change_of_the_history(tmp_path: Path) -> None:
    """Back to the beginning, and forth again; a number that is not there is a problem."""
    folder = job(tmp_path)
    for site in "ABC":
        edit(folder, SetJob({"site": site}))
    third, second, first = (past.number for past in history(folder).changes)
    assert go_to(folder, first, third).what == "2 changes undone"
    assert 'site = "A"' in text(folder)
    assert go_to(folder, third, first).what == "2 changes redone"
    assert 'site = "C"' in text(folder)
    assert go_to(folder, second, third).what == "undone: site C"
    assert codes(go_to(folder, 0, third)) == ["edit-conflict"]
    assert go_to(folder, 0, second).problems == ()
    assert text(folder) == TWO_BOXES
    assert codes(go_to(folder, 99, 0)) == ["history-end"]
    assert text(folder) == TWO_BOXES


def test_on_the_way_back_what_somebody_saved_stops_it(tmp_path: Path) -> None:
    """What was undone before it stays undone, and is reported with the reason."""
    folder = job(tmp_path)
    edit(folder, SetJob({"site": "A"}))
    edit(folder, MoveUnits((Move("FC-1", "BX-2", "B"),)))
    (folder / "job.toml").write_text(text(folder) + "# mine\n", encoding="utf-8")
    last = history(folder).undo
    assert last
    gone = go_to(folder, 0, last.number)
    assert (codes(gone), gone.what) == (["edit-conflict"], "undone: FC-1 to BX-2 B")
    assert text(folder, "ports.csv") == CSV
    assert text(folder).endswith("# mine\n")


def test_a_change_that_a_killed_program_began_is_ended_before_the_job_is_read(tmp_path: Path) -> None:
    """Two files that belong together: a reader never sees the one without the other."""
    folder = job(tmp_path)

    def killed(*_: object) -> None:
        raise KeyboardInterrupt

    with mock.patch.object(files_history, "_put", killed), pytest.raises(KeyboardInterrupt):
        edit(folder, MoveUnits((Move("FC-1", "BX-2", "B"),)), SetJob({"site": "A"}))
    assert text(folder, "ports.csv") == CSV
    found, _ = read_job(folder)
    assert found
    assert (found.site, units(folder)["FC-1"]) == ("A", ("BX-2", "B"))
    assert history(folder).undo


def test_of_two_windows_the_later_is_told_and_nothing_is_lost(tmp_path: Path) -> None:
    """Also where it would undo what it did not see."""
    folder = job(tmp_path)
    seen = digests(folder)
    first = apply(folder, [SetJob({"site": "North"})], seen)
    shown = history(folder).undo
    assert shown
    assert codes(apply(folder, [SetJob({"site": "South"})], seen)) == ["edit-conflict"]
    assert apply(folder, [SetJob({"number": "7"})], first.digests).problems == ()
    assert codes(undo(folder, shown.number)) == ["edit-conflict"]
    assert 'site = "North"\nnumber = "7"\n' in text(folder)


def test_what_changes_nothing_leaves_no_trace(tmp_path: Path) -> None:
    """The same value again, or no change at all."""
    folder = job(tmp_path)
    assert edit(folder, SetBox("BX-1", {"ports": "4"})) == Edited(digests=digests(folder))
    assert edit(folder) == Edited(digests=digests(folder))
    assert not (folder / ".history").exists()


def test_the_history_is_no_part_of_the_job(tmp_path: Path) -> None:
    """Earlier job files in it are no jobs, and nothing that came back; the job is read as before."""
    folder = job(tmp_path)
    before = read_job(folder)
    edit(folder, SetJob({"site": "North"}))
    undo(folder)
    assert read_job(folder) == before
    assert jobs_below(tmp_path) == [folder]
    assert [path.name for path in files_below(folder)] == ["job.toml", "ports.csv"]

"""The JSON Schemas are those of the readers, and an independent validator holds the files to them."""

import json
import tomllib
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator, ValidationError

from tagmaker.catalog.folders import layouts, names
from tagmaker.problems import CODES
from tagmaker.revisions.selection import Selection
from tagmaker.workflows.make import make
from tagmaker.workflows.schemas import SCHEMAS, schema, schemas
from tests.job_files import BOX, HEAD, UNIT, write_files
from tests.strategies import one_box

EXAMPLES = sorted(Path("example_jobs").glob("*/job.toml"))
RIGHT = [path for path in EXAMPLES if path.parent.name != "full-of-mistakes"]


def toml(path: Path) -> object:
    """A TOML file as an editor's validator has it: dates as text."""
    return json.loads(json.dumps(tomllib.loads(path.read_text(encoding="utf-8")), default=str))


def faults(sort: str, content: object) -> list[str]:
    """What the validator finds wrong with a file's content."""
    return [error.message for error in Draft202012Validator(schema(sort)).iter_errors(content)]


@pytest.mark.parametrize("sort", SCHEMAS)
def test_each_is_a_schema(sort: str) -> None:
    """Of the dialect that it names."""
    Draft202012Validator.check_schema(schema(sort))


@pytest.mark.parametrize("sort", SCHEMAS)
def test_the_shipped_ones_are_those_of_the_readers(sort: str) -> None:
    """`tagmaker schemas layouts/schemas` was not forgotten."""
    shipped = (layouts() / "schemas" / f"{sort}.schema.json").read_text(encoding="utf-8")
    assert json.loads(shipped) == schema(sort)


@pytest.mark.parametrize("path", RIGHT, ids=lambda path: path.parent.name)
def test_every_example_is_a_job(path: Path) -> None:
    """What the program takes, the schema takes."""
    assert faults("job", toml(path)) == []


@pytest.mark.parametrize("kind", ["families", "stocks"])
def test_every_shipped_file_is_one_of_its_sort(kind: str) -> None:
    """Families and stocks."""
    sort = {"families": "family", "stocks": "stock"}[kind]
    assert {name: faults(sort, toml(layouts() / kind / f"{name}.toml")) for name in names(kind, None)} == {
        name: [] for name in names(kind, None)
    }


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (f"{HEAD}revison = 3\n{BOX}{UNIT}", "'revison' was unexpected"),
        (f'{HEAD}status = "final"\n{BOX}{UNIT}', "'final' is not one of"),
        (f'{HEAD}[[box]]\ntag = "BX 1"\nports = 4\n', "'BX 1' does not match"),
        (f"{HEAD}[[box]]\nports = 4\n", "'tag' is a required property"),
        (f'{HEAD}{BOX}[[unit]]\nunit = "FC-1"\n', "'box' is a required property"),
        (HEAD, "'box' is a required property"),
        (f"{HEAD}{BOX}{UNIT}liquid = 3\n", "3 is not of type 'string'"),
    ],
)
def test_a_mistake_in_a_job_is_marked_in_the_editor(text: str, told: str) -> None:
    """Unknown and missing keys, wrong words, tags and types."""
    assert any(told in fault for fault in faults("job", tomllib.loads(text)))


def test_a_family_without_its_source_is_marked() -> None:
    """Nobody's rules are followed."""
    content = tomllib.loads((layouts() / "families/four-port-boards.toml").read_text(encoding="utf-8"))
    del content["source"]
    assert faults("family", content) == ["'source' is a required property"]


def test_a_stocks_page_is_required_of_sheets_alone() -> None:
    """What only some sorts of stock need is not required of all."""
    assert schema("stock")["required"] == ["kind", "source"]


def test_a_sets_plan_is_a_plan(tmp_path: Path) -> None:
    """As it lies on disk."""
    job = one_box(("FC-1", "A", "24 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h")).write(tmp_path / "job")
    make(job, tmp_path / "out", selection=Selection(proof=False))
    plan = json.loads((tmp_path / "out" / "plan.json").read_bytes())
    assert faults("plan", plan) == []
    del plan["digest"]
    assert faults("plan", plan) == ["'digest' is a required property"]


def test_problems_name_known_codes() -> None:
    """The codes of a problem are those of the manual."""
    problem = {"severity": "error", "code": "port-overloaded", "message": "", "where": "", "hint": ""}
    assert faults("problems", [problem]) == []
    assert len(faults("problems", [problem | {"code": "unheard-of", "severity": "fatal"}])) == 2
    with pytest.raises(ValidationError):
        Draft202012Validator(schema("problems")).validate({"problems": []})
    assert "port-overloaded" in CODES


def test_they_are_written_into_a_folder_that_is_there(tmp_path: Path) -> None:
    """A file each; a folder that is not there is a problem."""
    files, problems = schemas(tmp_path)
    assert problems == ()
    assert sorted(files) == sorted(tmp_path.iterdir())
    assert {file.name for file in files} == {f"{sort}.schema.json" for sort in SCHEMAS}
    assert {problem.code for problem in schemas(tmp_path / "none")[1]} == {"output-blocked"}


def test_an_editor_of_a_jobs_own_stock_knows_every_key(tmp_path: Path) -> None:
    """A made-up key is marked, in a stock too."""
    folder = write_files(
        tmp_path, {"a.toml": 'source = "us"\nkind = "roll"\nlabel_mm = [50, 25]\nglue = "yes"\n'}
    )
    assert len(faults("stock", toml(folder / "a.toml"))) == 1

"""The commands of `boxwright` and their exit status."""

from __future__ import annotations

import json
import sys
import time
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from layout.cautions import CAUTIONS
from layout.errors import BoxwrightError, DesignError, ExportError, JobError, NothingFits, Problem

BEGAN = "boxwright.began"
DONE, NOT_HELD, JOB_WRONG, NOTHING_FITS, NOT_WRITTEN, OUR_FAULT = 0, 1, 2, 3, 4, 70


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="boxwright", prog_name="boxwright")
@click.pass_context
def cli(context: click.Context) -> None:
    """From one job file: fit modules into a bay, design box and brackets, weigh, check, and write the fabrication package.

    Exit status: 0 done and every check holds; 1 done, but a check does not hold; 2 the job file is wrong; 3 nothing fits;
    4 a file could not be written or failed its read-back; 70 our own fault.
    """
    context.meta[BEGAN] = time.monotonic()


def working(function: Callable[..., Any]) -> Callable[..., Any]:
    """Options that every working command has."""
    for option in (
        click.option("--json", "as_json", is_flag=True, help="Result on standard output as JSON; progress on standard error."),
        click.option("--arrangement", type=click.IntRange(1), default=None, help="Take this arrangement of the ranked list."),
        click.option("--time", "seconds", type=click.FloatRange(0.1), default=20.0, show_default=True, help="Search limit, s."),
        click.option("--seed", type=click.IntRange(0), default=0, show_default=True, help="Seed of the search."),
    ):
        function = option(function)
    return function


JOB_FILE = click.argument("job", type=click.Path(path_type=Path))
OUT = click.option("-o", "--out", type=click.Path(path_type=Path), default=None, help="Folder to write.")
FE = click.option("--fe", is_flag=True, help="Finite elements beside the hand figures, where CalculiX is installed (minutes).")
REPLACE = click.option("--replace", is_flag=True, help="Replace a folder or file that exists already.")


@cli.command()
@JOB_FILE
@REPLACE
def new(job: Path, replace: bool) -> int:
    """Write a commented job file to start from, and its JSON Schema beside it."""
    from outputs.cli.starting import write_start

    written = write_start(job, replace=replace)
    _print([f"wrote {p}" for p in written])
    return DONE


@cli.command()
@JOB_FILE
@click.option("--json", "as_json", is_flag=True, help="Result on standard output as JSON.")
def check(job: Path, as_json: bool) -> int:
    """Read the job file; list every problem with its place, value, allowed range and remedy."""
    from layout.job import read_job
    from layout.job.sense import cautions
    from layout.space.bay import bay_of
    from layout.space.parts import free_space_notes
    from outputs.cli.words import caution_lines

    found = read_job(job)
    notes = free_space_notes(bay_of(found, job.resolve().parent))
    told = (*cautions(found), *CAUTIONS)
    if as_json:
        _json({"problems": [], "cautions": list(told), "space_notes": notes})
    else:
        _print([f"{job}: no problem found ({found.job.title})", *notes, *caution_lines(told)])
    return DONE


@cli.command()
@JOB_FILE
@working
def fit(job: Path, **options: Any) -> int:
    """Ranked arrangements: count, upper bound, proved or not, what each is best at."""
    from outputs.cli.finding import found_data, found_lines
    from outputs.cli.pipeline import looked_at, searched
    from outputs.cli.words import caution_lines

    found = searched(_options(job, options))
    looked = looked_at(found, options["seconds"], options["arrangement"])
    if options["as_json"]:
        _json({"fit": found_data(found, looked), "problems": [], "cautions": list(CAUTIONS)})
    else:
        _print([*found_lines(found, looked), *caution_lines()])
    return DONE


@cli.command()
@JOB_FILE
@working
@click.option("--move", nargs=2, type=str, metavar="NAME DX,DY,DZ", help="What if this part lay elsewhere (mm).")
@click.option("--swap", type=str, default=None, metavar="TYPE", help="What if the pack were made of this module type alone.")
@click.option("--front-share", type=click.FloatRange(0.0, 1.0), default=None, help="Where the pack must lie for this split.")
def weigh(job: Path, move: tuple[str, str] | None, swap: str | None, front_share: float | None, **options: Any) -> int:
    """Mass list, centroid relative to the axle, mass ahead of it, axle loads before and after."""
    from outputs.cli.weighing import weighed

    result = weighed(_options(job, options), move, swap, front_share)
    if options["as_json"]:
        _json(result.data)
    else:
        _print(result.lines)
    return DONE if result.held else NOT_HELD


@cli.command()
@JOB_FILE
@FE
@working
def loads(job: Path, fe: bool, **options: Any) -> int:
    """Loads on each bracket and bolt per case, utilisations, the weakest item first."""
    from outputs.cli.pipeline import studied, with_fe
    from outputs.cli.words import caution_lines, load_lines
    from outputs.mounting import bracket_lines
    from outputs.results import load_data

    study = studied(_options(job, options))
    study = with_fe(study) if fe else study
    if options["as_json"]:
        _json({"loads": load_data(study), "problems": [], "cautions": list(study.cautions)})
    else:
        _print([*load_lines(study), *bracket_lines(study), *caution_lines(study.cautions)])
    return DONE if all(c.holds for c in study.checks) else NOT_HELD


@cli.command()
@JOB_FILE
@OUT
@REPLACE
@FE
@working
def build(job: Path, out: Path | None, replace: bool, fe: bool, **options: Any) -> int:
    """All of it, and the fabrication package."""
    return _build(job, out or Path(f"{job.stem}-package"), replace, options, fe=fe)


@cli.command()
@OUT
@REPLACE
@FE
@working
def demo(out: Path | None, replace: bool, fe: bool, **options: Any) -> int:
    """Build the job file that comes with the tool."""
    from layout.job.examples import demo_path

    return _build(demo_path(), out or Path("demo-package"), replace, options, fe=fe)


@cli.command()
@click.argument("before", type=click.Path(path_type=Path))
@click.argument("after", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Result on standard output as JSON.")
def compare(before: Path, after: Path, as_json: bool) -> int:
    """What differs between two packages: arrangement, parts, holes, hardware, masses, axles, checks.

    Exit status: 0 the same; 1 they differ; 2 one of the folders is no package.
    """
    from outputs.cli.comparing import compared

    found = compared(before, after)
    if as_json:
        _json(found.data())
    else:
        _print(found.lines())
    return DONE if found.same else NOT_HELD


@cli.command()
@click.argument("job", type=click.Path(path_type=Path), required=False)
@click.option("--port", type=click.IntRange(0, 65535), default=0, show_default="any free one", help="Port on this machine.")
def serve(job: Path | None, port: int) -> int:
    """The same in a local page: on this machine alone, opened with the link that is printed."""
    from outputs.cli.pipeline import say
    from outputs.page.serve import serve as served

    served(job, port, say)
    return DONE


def _build(job: Path, out: Path, replace: bool, options: dict[str, Any], *, fe: bool) -> int:
    from outputs.cli.fe_words import fe_lines
    from outputs.cli.pipeline import say, studied, with_fe
    from outputs.cli.words import caution_lines, five_figures
    from outputs.mounting import bracket_lines
    from outputs.publish import publish, refuse_existing

    refuse_existing(out, replace=replace)
    study = studied(_options(job, options))
    study = with_fe(study) if fe else study
    package = publish(study, out, job, replace=replace, say=say)
    if options["as_json"]:
        _json(package.data)
    else:
        told = [] if study.fe is None else fe_lines(study.fe)
        shown = [*five_figures(study), *told, *bracket_lines(study), "", *package.lines()]
        _print([*shown, *caution_lines(study.all_cautions)])
    return DONE if study.all_hold else NOT_HELD


def _options(job: Path, options: dict[str, Any]) -> Any:
    from outputs.cli.pipeline import Options

    began = click.get_current_context().find_root().meta.get(BEGAN)
    return Options(job, options["seconds"], options["seed"], options["arrangement"], options["as_json"], began)


def _print(lines: list[str]) -> None:
    sys.stdout.write("\n".join(lines) + "\n")


def _json(data: dict[str, Any]) -> None:
    from outputs.files import finite

    sys.stdout.write(json.dumps(finite(data), indent=1, ensure_ascii=False, allow_nan=False) + "\n")


def run(arguments: list[str] | None = None) -> int:
    """Run the command line and give its exit status; never a traceback for bad input."""
    words = sys.argv[1:] if arguments is None else arguments
    try:
        return int(cli.main(args=words, prog_name="boxwright", standalone_mode=False) or DONE)
    except click.exceptions.Abort:
        sys.stderr.write("boxwright: stopped\n")
        return 130
    except click.ClickException as error:
        error.show()
        return JOB_WRONG
    except BoxwrightError as error:
        return _refused(error, words)
    except OSError as error:
        sys.stderr.write(f"boxwright: {error.strerror or error}: {error.filename or ''}\n")
        return NOT_WRITTEN
    except Exception:  # noqa: BLE001 - the last resort: our own fault, said as such
        sys.stderr.write("boxwright: our own fault. Please report the lines below together with the job file.\n")
        traceback.print_exc()
        return OUR_FAULT


def _refused(error: BoxwrightError, words: list[str]) -> int:
    from outputs.cli.words import problem_lines
    from outputs.results import problem_data

    problems = error.problems if isinstance(error, JobError) else [_as_problem(error)]
    if "--json" in words:
        _json({"problems": problem_data(problems), "cautions": list(CAUTIONS)})
    if isinstance(error, JobError):
        file = next((w for w in words[1:] if not w.startswith("-")), "job")
        sys.stderr.write("\n".join(problem_lines(file, problems)) + f"\n{len(problems)} problem(s)\n")
        return JOB_WRONG
    sys.stderr.write(f"boxwright: {error}\n")
    return NOT_WRITTEN if isinstance(error, ExportError) else NOTHING_FITS


def _as_problem(error: BoxwrightError) -> Problem:
    if isinstance(error, NothingFits):
        return Problem("pack.count", str(error.fitted), str(error), "Ask for fewer modules, or give the bay more room.")
    if isinstance(error, DesignError):
        return Problem(error.part, error.figure, error.rule, error.remedy)
    return Problem("output", "", str(error), "Name another folder.")

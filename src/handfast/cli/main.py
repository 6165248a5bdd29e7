"""The command `handfast`. What is heavy is imported inside the verb that needs it."""

from __future__ import annotations

import gc
import json
from pathlib import Path
from typing import Any

import click

from handfast.cli.check_page import check
from handfast.cli.given import Refused, Verbs, home, read_given, shelf_at_hand, speak
from handfast.cli.many import MANY
from handfast.cli.serve import SERVING
from handfast.cli.sheets_out import OUT
from handfast.cli.whole import WHOLE
from handfast.data.release import TABLES, VERSION
from handfast.documents.kinds import KINDS, PAGES
from handfast.language.telling import tell

FILE = click.argument("file", type=click.Path(exists=True, dir_okay=False, allow_dash=True, path_type=Path))
AS_JSON = click.option("--json", "as_json", is_flag=True, help="The whole result as JSON, figures in SI.")
SEED = click.option(
    "--seed", type=click.IntRange(0, 2**63 - 1), default=None, help="Seed of the draws; else the file's, else 1."
)
UNITS = click.option(
    "--units", type=click.Choice(["us", "metric"]), default="us", show_default=True, help="Units of the page."
)
PAGE = click.option(
    "--page", type=click.Choice(list(PAGES)), default=None, help="Size of the paper; else letter, or the house's own."
)
SHELF = click.option(
    "--shelf",
    "folder",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    default=None,
    help="A folder of shelf files in place of the workspace's shelf.",
)


def write_json(result: Any) -> None:
    """Print a result as JSON: keys in the order of the records, floats in full, nothing that JSON does not know."""
    click.echo(json.dumps(result, ensure_ascii=False, allow_nan=False, indent=1))


@click.group(cls=Verbs, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(VERSION, message=f"Handfast %(version)s, tables {TABLES}")
@click.option(
    "--language",
    type=click.Choice(["en", "es"]),
    default="en",
    envvar="HANDFAST_LANGUAGE",
    show_default=True,
    help="Language of pages and papers.",
)
@click.pass_context
def main(ctx: click.Context, language: str) -> None:
    """Handfast, the loader-attachment reckoner: what fits, lifts, balances, powers and costs."""
    if language != "en":
        speak(ctx, language)


@main.command()
def demo() -> None:
    """Fill an empty workspace with the invented shelf and calls, and serve the pages."""
    from handfast.cli.serving import serve_pages
    from handfast.counter.verbs import fill_demo, open_workspace

    workspace = open_workspace(home())
    if fill_demo(workspace):
        click.echo(tell(f"Filled {home()} with the invented shelf and eight calls."))
    serve_pages(workspace)


@main.command()
@FILE
@AS_JSON
@click.option("--outfit", "outfit_id", help="One outfit in depth.")
@click.option(
    "--pdf", type=click.Path(dir_okay=False, path_type=Path), help="Write a paper of --outfit, else of the best."
)
@click.option(
    "--paper", type=click.Choice(list(KINDS)), default="fit-sheet", show_default=True, help="Which paper --pdf is."
)
@PAGE
@click.option("--supplier", default="", help="The purchase order for this supplier alone.")
@click.option("--all", "everything", is_flag=True, help="Every outfit, and every one that does not come into question.")
@SEED
@UNITS
@SHELF
def advise(
    file: Path,
    as_json: bool,
    outfit_id: str | None,
    pdf: Path | None,
    paper: str,
    page: str | None,
    supplier: str,
    everything: bool,
    seed: int | None,
    units: str,
    folder: Path | None,
) -> None:
    """Answer an inquiry: ranked outfits with their reasons."""
    gc.disable()  # one answer and out: collecting in between would only cost
    from handfast.cli.sheet import Sheet, write_sheet
    from handfast.machines.reading import read_held

    text, shelf = read_given(file), shelf_at_hand(folder)
    inquiry = read_held(text, file.name, shelf)  # before the reckoning is even imported
    from handfast.advice.advise import advise as reckon

    advice = reckon(inquiry, shelf, seed=inquiry.seed if seed is None else seed, system=units)
    if outfit_id is not None and outfit_id not in {one.id for one in advice.outfits}:
        raise Refused([_no_such_outfit(outfit_id, [one.id for one in advice.outfits])])
    if pdf is not None:
        sheet = Sheet(paper, PAGES[page or "letter"], supplier, units)
        write_sheet(advice, inquiry, shelf, outfit_id, sheet, pdf)
    if as_json:
        from handfast.advice.as_json import to_json

        whole = to_json(advice)
        write_json(whole if outfit_id is None else next(one for one in whole["outfits"] if one["id"] == outfit_id))
    elif outfit_id is not None:
        _show_outfit(advice, inquiry, shelf, outfit_id, units)
    elif pdf is None:
        from handfast.cli.advice_page import advice_page

        click.echo(advice_page(advice, units, everything), nl=False)


def _show_outfit(advice: Any, inquiry: Any, shelf: Any, outfit_id: str, units: str) -> None:
    """One outfit in depth: its checks and bill, its hoses and parts, what it turns on."""
    from handfast.advice.depth import in_depth
    from handfast.advice.order import order_for
    from handfast.cli.depth_page import depth_page
    from handfast.cli.order_page import order_page
    from handfast.cli.outfit_page import outfit_page
    from handfast.outfits.fitting import fitting_of
    from handfast.outfits.hose_order import hose_order_of

    one, currency = advice.outfit(outfit_id), advice.currency
    depth = in_depth(inquiry, shelf, outfit_id, advice.seed, units)
    fitting = fitting_of(outfit_id, inquiry, shelf, units)
    click.echo(outfit_page(one, currency, units), nl=False)
    click.echo(order_page(order_for(one, fitting), hose_order_of(fitting), currency, units), nl=False)
    click.echo(depth_page(depth, currency, units), nl=False)


def _no_such_outfit(wanted: str, there: list[str]) -> str:
    from handfast.machines.shelf import near_ids

    near = near_ids(wanted, there) or there[:3]
    return f"--outfit: no outfit {wanted!r} answers this inquiry. Did you mean {', '.join(near) or 'another inquiry'}?"


@main.group(cls=Verbs)
def reckon() -> None:
    """One chapter by itself, from one file that needs no shelf."""


CHAPTERS = {
    "lift": "What a loader's linkage lifts at each height.",
    "balance": "Axle loads, tipping load and counterweight.",
    "ballast": "The cheapest set of ballast that meets the rule.",
    "slope": "Where a machine first rolls, by heading.",
    "grip": "Whether a jaw holds a piece, and what it opens to.",
    "circuit": "Oil from pump to cylinder: flow, pressure, time, cold.",
    "linkage": "The pins and cylinders that a loader's spec sheet points to.",
    "cable": "Cable and fuse of an electric lid.",
    "connect": "The parts that join two ends.",
}


def _add_chapter(chapter: str, purpose: str) -> None:
    @reckon.command(chapter, help=purpose)
    @FILE
    @AS_JSON
    @UNITS
    def run(file: Path, as_json: bool, units: str) -> None:
        from importlib import import_module

        module = import_module(f"handfast.reckoning.{chapter}")
        result: dict[str, Any] = getattr(module, f"reckon_{chapter}")(read_given(file), file.name)
        if as_json:
            write_json(result)
        else:
            from handfast.cli.reckoning_page import reckoning_page

            click.echo(reckoning_page(result, units), nl=False)


for _chapter, _purpose in CHAPTERS.items():
    _add_chapter(_chapter, _purpose)


@main.command(name="import")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--supplier", default="", help="Whose list it is; what is answered is remembered for the next one.")
@click.option("--answer", "answers", multiple=True, metavar="KEY=CHOICE", help="Answer a question; may be repeated.")
@click.option("--take", is_flag=True, help="Put it on the shelf; without it, it is only looked at.")
def bring(file: Path, supplier: str, answers: tuple[str, ...], take: bool) -> None:
    """Bring a supplier's list in: CSV, XLSX, XLS or ODS, in any layout."""
    from handfast.cli.list_page import bring_in

    bring_in(home(), file, supplier, answers, take)


@main.command()
@click.option("--od", help="Outside diameter of a male thread, such as 20.7mm.")
@click.option("--id", help="Inside diameter of a female thread.")
@click.option("--pitch", help="From crest to crest, such as 1.814mm.")
@click.option("--tpi", help="Threads per inch, in place of the pitch.")
@click.option("--taper", help="Whether the thread narrows: yes or no.")
@click.option("--seat", help="What seals: cone 37, o-ring face, o-ring port, washer, thread …")
@click.option("--flare", help="Angle of the cone, such as 37.")
@click.option("--tolerance", help="How far the caliper may be out, such as 0.1mm.")
@AS_JSON
def thread(as_json: bool, **given: str | None) -> None:
    """What a measured thread can be, its look-alikes, and the look that settles it."""
    from handfast.reckoning.thread import reckon_thread

    found = reckon_thread(given)
    if as_json:
        write_json(found)
    else:
        from handfast.cli.thread_page import thread_page

        click.echo(thread_page(found), nl=False)


@main.command()
@click.argument("file", required=False, type=click.Path(exists=True, dir_okay=False, allow_dash=True, path_type=Path))
@click.option("--outfit", "outfit_id", help="The outfit to offer.")
@click.option("--number", type=click.IntRange(1, 2**31), help="Show a quote in place of making one.")
@click.option("--version", type=click.IntRange(1, 2**31), help="The version that --pdf writes; else the newest.")
@click.option("--pdf", type=click.Path(dir_okay=False, path_type=Path), help="Write the quotation.")
@PAGE
@SEED
@UNITS
def quote(
    file: Path | None, outfit_id: str | None, number: int | None, version: int | None, pdf: Path | None,
    page: str | None, seed: int | None, units: str,
) -> None:  # fmt: skip
    """Take an inquiry into the workspace and number an offer of one of its outfits; or show a quote's versions."""
    from handfast.cli.quote_page import make_quote, show_quote

    if number is not None:
        show_quote(home(), number, version, units)
    elif file is None or outfit_id is None:
        raise Refused(["quote: a FILE with --outfit ID makes a quote, --number N shows one."])
    else:
        number = make_quote(home(), read_given(file), file.name, outfit_id, seed, _no_such_outfit)
    if pdf is not None:
        from handfast.cli.quote_page import write_paper

        write_paper(home(), number, version, pdf, units, PAGES.get(page or ""))


@main.command("read-mail")
@FILE
@AS_JSON
@SHELF
def read_mail(file: Path, as_json: bool, folder: Path | None) -> None:
    """The facts in a letter, each with the characters that say it."""
    from handfast.cli.mail_page import mail_page
    from handfast.mail.plain import plain_facts
    from handfast.mail.read import TooLongError
    from handfast.mail.read import read_mail as read

    text, shelf = read_given(file), shelf_at_hand(folder)
    try:
        reading = read(text, shelf)
    except TooLongError as long:
        raise Refused([f"{file.name}: {long}"]) from None
    if as_json:
        write_json(plain_facts(reading))
    else:
        click.echo(mail_page(reading), nl=False)


@main.command()
@click.option("--from", "first", default="", help="First day, such as 2026-03-01; else 90 days before the last.")
@click.option("--to", "last", default="", help="Last day; else today.")
def numbers(first: str, last: str) -> None:
    """What an owner asks of the counter over a span of days."""
    from handfast.cli.numbers_page import show_numbers

    show_numbers(home(), first, last)


for verb in (*SERVING, *OUT, *WHOLE, *MANY):
    main.add_command(verb)


main.add_command(check)


@main.command()
@click.argument("record", required=False)
def schema(record: str | None) -> None:
    """The JSON Schema of every record, or of one: inquiry, machine, attachment, part …"""
    from handfast.machines.schema import schemas

    every = schemas()
    if record is not None and record not in every:
        raise Refused([f"No record {record!r}; there are {', '.join(every)}."])
    write_json(every if record is None else every[record])

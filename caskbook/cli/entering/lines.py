"""Entries line by line, each written at once: what was written, what was refused, and the last taken back. A scan and the bench are such."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from caskbook.cli.common import Book, say
from caskbook.cli.entering.book_now import house_stamp, renewed
from caskbook.cli.entering.kept import Given, Step, holds, kept_for
from caskbook.cli.entering.run_of_lines import Files, account, as_one_run
from caskbook.core import outcome
from caskbook.core.finding import CaskbookError
from caskbook.ledger.paths import known_as

if TYPE_CHECKING:
    from caskbook.entry.plan import Desk, Plan
    from caskbook.entry.plan_request import Draft
    from caskbook.entry.request import Request
    from caskbook.ledger.shift import Shift
    from caskbook.model.house import Settings

KEPT = ("by", "psi", "method", "spirit", "why", "approved_by")
"""What was asked for the first cask and is alike for a run: it holds for the next ones."""


class Refused(CaskbookError):  # noqa: N818 - named for what it is
    """A line that was not written, for reasons that are told already."""


class Lines:
    """Lines entered so far. `given`: what holds for each of them unless it says otherwise; `done`: what each line wrote, `tried` what it
    would have; `steps`: what each line of `done` found kept and left so; `answered`: a doubt that was put for all of them; `ahead`:
    lines that came in the place of an answer; `of_shift`: what the last line took from the shift, (job, key); `shift_says`: the keys that
    the shift says for every line."""

    kept: tuple[str, ...] = KEPT
    of_shift: AbstractSet[tuple[str, str]] = frozenset()
    shift_says: AbstractSet[str] = frozenset()

    def __init__(self, book: Book, given: Given | None = None, answered: str | None = None) -> None:
        self.book, self.answered = book, answered
        self.given: Given = given if given is not None else {}
        self.done: list[Files] = []
        self.tried: list[Files] = []
        self.steps: list[Step] = []
        self.ahead: list[str] = []
        self.refused, self._usual = 0, dict[str, str]()
        self.last: Request | None = None
        self._step = Step(None, self.of_shift, {})
        self._house, self.cautioned = house_stamp(book), set[str]()

    @property
    def count(self) -> int:
        """Lines written so far."""
        return len(self.done)

    @property
    def house(self) -> Settings:
        """The house's settings of today."""
        return self.book.ledger.house.on(self.book.today)

    def shift(self, named: Given | None = None) -> Shift | None:
        """The shift that a line goes by now; `named`: what says who did it. CaskbookError where it is over, and nobody was named."""
        from caskbook.cli.entering.shift import shift_for

        by = next((texts[-1] for (_, key), texts in (self.given if named is None else named).items() if key == "by"), None)
        return shift_for(self.book, by=by, told=False)

    def refresh(self) -> None:
        """The day and the time it is now, the house as it stands now, and whatever numbers were joined meanwhile."""
        house = house_stamp(self.book)
        if house != self._house:
            from caskbook.index.index import Index
            from caskbook.ledger.files import open_folder

            ledger = open_folder(self.book.root, Path.cwd())
            ledger.claims_known, ledger.takers_known = self.book.ledger.claims_known, self.book.ledger.takers_known
            Index.search_near(ledger)
            self.book, self._house = replace(self.book, ledger=ledger), house
        if self.book.ledger.claims_known is not None:
            self.book.ledger.forget_claims()
        self.book = renewed(self.book)

    def enter(self, request: Request) -> None:
        """Plan one line, ask what is open, tell and write. CaskbookError where it cannot be; Refused where that was told."""
        from caskbook.cli.entering.ask import on_terminal
        from caskbook.cli.entering.ask_questions import ask_questions
        from caskbook.cli.entering.desk import asker_of, desk_of
        from caskbook.cli.entering.shift import take_usual
        from caskbook.entry.plan_request import plan_scanned

        if request.has("help"):
            from caskbook.cli.entering.bench_reading import tell_jobs

            tell_jobs(request)
            return
        if request.has("records"):
            raise CaskbookError("--records: all lines go into one book, which is named where they begin")
        if request.has("commit") and ("run", "commit") not in self.given:
            raise CaskbookError("--commit is for the whole run, not for a line")
        self.refresh()
        shift = self.shift(self.hand_of(request))
        self._usual = dict(shift.usual) if shift is not None else {}
        desk = desk_of(self.book, shift, self.cautioned)
        typed, self._step = set(request.given), Step(self.last, self.of_shift, {**self.given})
        request.given = {
            **{place: [*texts] for place, texts in self.given.items() if holds(place, request, self.kept_for(place[0]), self.house)},
            **request.given,
        }
        self._settle(desk, request, shift.by if shift is not None else None)
        self.of_shift, self.shift_says = take_usual(request, shift, self.house), {"by", *shift.usual} if shift is not None else set()
        asker, may_ask = asker_of(self.book, desk, shift), on_terminal()
        draft = plan_scanned(desk, request, asker, may_ask=may_ask)
        draft = ask_questions(desk, request, draft, lambda: plan_scanned(desk, request, asker, may_ask=may_ask), one_key=True)
        self._tell_and_write(draft, request, lambda: plan_scanned(desk_of(self.book, shift, self.cautioned), request, asker, may_ask=False))
        self.last = request
        self._keep_answers(request, typed | self.of_shift)
        self._step.left = {**self.given}

    def hand_of(self, request: Request) -> Given:
        """Where who did it may be named for a line: in it, or for all lines."""
        return {**self.given, **request.given}

    def kept_for(self, job: str) -> dict[str, str]:
        """Key → what is kept for a job: by the lines before, for all of the run, and of the shift the spirit."""
        return kept_for(job, self.given, self._usual)

    def _settle(self, desk: Desk, request: Request, by: str | None) -> None:
        """The casks of a line by their numbers, which the book must have; and the sheet that all lines of the run bear."""
        from caskbook.cli.entering.desk import name_absent, name_in_full
        from caskbook.entry.entry import run_sheet
        from caskbook.entry.fields import NEW_FILE_JOBS
        from caskbook.entry.joined import refuse_joined

        name_in_full(desk, request)
        self.check_casks(request)
        refuse_joined(desk.joins, desk.page, request)
        if request.jobs[0] not in NEW_FILE_JOBS:
            if any(desk.page(cask).record is None for cask in request.casks):
                name_absent(desk, request)
            for cask in request.casks:
                if desk.page(cask).record is None:
                    raise CaskbookError(self.book.ledger.absent(cask))
        job = request.jobs[0]
        if request.one("sheet", job) is None and desk.sheet is None:
            minted = self.given.get(("run", "minted"))
            sheet = minted[-1] if minted else run_sheet(self.book.today, request.one("by", job) or by, desk.bits)
            self.given[("run", "minted")] = request.given[("run", "minted")] = [sheet]
            for one in request.jobs:
                request.given[(one, "sheet")] = [sheet]

    def check_casks(self, request: Request) -> None:
        """CaskbookError where a line may not name these casks."""

    def tell_plan(self, draft: Draft, doubts: Sequence[str]) -> None:
        """What is said of a line before it is written."""
        from caskbook.cli.entering.tell_and_write import safe

        for text in (*draft.remarks.lines, *doubts):
            say(safe(text))

    def tell_refusals(self, plan: Plan) -> None:
        """Why a line was not written."""
        from caskbook.cli.entering.tell_and_write import tell_refusals

        tell_refusals(plan)

    def tell_written(self, draft: Draft, plan: Plan) -> None:
        """What is said of a line once it is written."""

    def sure(self, plan: Plan, doubts: Sequence[str]) -> bool:
        """Whether what was doubted of a line is right all the same."""
        from caskbook.cli.entering.ask import sure

        return not doubts or sure()

    def _tell_and_write(self, draft: Draft, request: Request, again: Callable[[], Draft]) -> None:
        """Tell one line's plan, ask about what is doubted of it, and write it. Where a file has gone on meanwhile, it is laid on what that
        holds now (`again`). Refused where it is not written."""
        from caskbook.cli.entering.shift import note_cautions

        plan = draft.plan
        assert plan is not None
        if plan.refusals:
            self.tell_refusals(plan)
            raise Refused(plan.refusals[0].fault.message)
        doubts = [text for text in draft.remarks.doubts if text != self.answered]
        self.tell_plan(draft, doubts)
        self.cautioned |= set(draft.remarks.cautions)
        note_cautions(self.book, draft.remarks.cautions)
        if not (request.has("yes") or request.has("dry_run") or self.sure(plan, doubts)):
            raise Refused(doubts[0] if doubts else "not wanted")
        self.tell_written(draft, self._put_down(plan, request, again))

    def _put_down(self, plan: Plan, request: Request, again: Callable[[], Draft]) -> Plan:
        """Write one line's entries, and keep in mind what is to be taken back; also where the run is ended just then. Gives what was written."""
        from caskbook.entry.undo import as_run
        from caskbook.entry.write import stands, write_plan
        from caskbook.ledger.pending_writes import held_for_writing, recover

        if "same-as" in request.jobs:  # What this line joins counts for the next one, and no longer once it is taken back.
            self.book.ledger.forget_claims()
        if request.has("dry_run"):
            self.tried.append([as_run(page) for page in plan.pages])
            return plan
        with held_for_writing(self.book.root):
            recover(self.book.root)
            plan = self._as_it_is_now(plan, again)
            told = [as_run(page) for page in plan.pages]
            try:
                write_plan(self.book.root, plan)
            except KeyboardInterrupt:
                if stands(self.book.root, plan):
                    self._written(told)
                raise
        self._written(told)
        return plan

    def _written(self, files: Files) -> None:
        """A line is written, from the state that it found."""
        self.done.append(files)
        self.steps.append(self._step)

    def _as_it_is_now(self, plan: Plan, again: Callable[[], Draft]) -> Plan:
        """The plan, made anew where somebody wrote to one of its files since it was read. Refused where it cannot be any more."""
        from caskbook.ledger.files import Folder

        file_store = Folder(self.book.root, "")
        if all(file_store.read(name) == old for name, (old, _) in plan.changes.items()):
            return plan
        fresh = again().plan
        if fresh is None or fresh.refusals:
            say("somebody wrote to it meanwhile:")
            if fresh is not None:
                self.tell_refusals(fresh)
            raise Refused(fresh.refusals[0].fault.message if fresh is not None else "it is to be asked anew")
        return fresh

    def _keep_answers(self, request: Request, typed: Collection[tuple[str, str]]) -> None:
        """What was asked for the first cask, and is alike for a run, holds for the next ones; what stood on its line does not."""
        for place, texts in request.given.items():
            if place not in self.given and place not in typed and place[1] in self.kept:
                self.given[place] = texts

    def undo(self) -> Files:
        """Take back the last line, and tell which files. CaskbookError where there is none, where it was committed meanwhile, or where it cannot be."""
        from caskbook.cli.entering.take_back import PASSED, committed

        if not self.done:
            raise CaskbookError("nothing to take back in this run")
        files = self.done[-1]
        for cask, event in committed(self.book, files):
            raise CaskbookError(f"{cask} was committed meanwhile; put it out of force: caskbook void {cask} {event} --why …")
        if self.take_back(files) == PASSED:
            raise CaskbookError(f"{files[0]['cask']}: out of force already, or no longer there; undo again for the line before it")
        return files

    def take_back(self, files: Files) -> str:
        """Take back what a line wrote, of this run or of one before in its shift, and say which way it went (`take_out`). CaskbookError where it cannot be."""
        from caskbook.cli.entering.take_back import TAKEN, take_out

        with outcome.whole():
            done = take_out(self.book, files)
            self.book.ledger.forget_claims()
            if files in self.done:
                self.done.remove(files)
                self._gives_nothing_on(self.steps.pop())
            stand = {one["path"] for line in self.done for one in line} & {one["path"] for one in files}
            if stand and done == TAKEN:
                outcome.note(known_as(path) for path in sorted(stand))  # a line before it
        return done

    def _gives_nothing_on(self, step: Step) -> None:
        """What a line that was taken back kept for the next ones is as it was before it; `same` means the line before."""
        step.put_back(self.given)
        self.last, self.of_shift = step.last, step.of_shift

    def end(self) -> int:
        """What was done, in figures."""
        self.keep()
        tried = f"{account(self.tried)} tried, not written (--dry-run)" if self.tried else ""
        written = f"{account(self.done)} written" if self.done or not tried else ""
        say(", ".join(part for part in (written, tried, f"{self.refused} refused" if self.refused else "") if part))
        return 1 if self.refused else 0

    def keep(self) -> None:
        """What the whole run wrote is what `caskbook undo` takes back."""
        from caskbook.entry.write import remember

        if self.done:
            remember(self.book.root, as_one_run(self.done))

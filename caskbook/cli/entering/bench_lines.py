"""The lines of the bench: a job and its casks, the job staying; `same`, `undo`, `note`, `show`, `shift`; and the sum at the end."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from typing import TYPE_CHECKING

from caskbook.cli.common import Book, OutputError, say
from caskbook.cli.entering.ask import DeclinedError, OtherLine, on_terminal
from caskbook.cli.entering.ask_questions import without_early_key
from caskbook.cli.entering.bench_grammar import ENDS, SHOWN, is_cask, is_job, no_word, note_parts, words_of
from caskbook.cli.entering.bench_reading import show_help, show_read
from caskbook.cli.entering.bench_tally import Tally
from caskbook.cli.entering.kept import Given
from caskbook.cli.entering.lines import Lines, Refused
from caskbook.cli.entering.shift import shift_mark
from caskbook.cli.numbers import check_utf8
from caskbook.core.finding import CaskbookError
from caskbook.entry.kept_vat import OF_VAT, goes_along
from caskbook.ledger.paths import plain_name

if TYPE_CHECKING:
    from caskbook.entry.plan import Plan
    from caskbook.entry.plan_request import Draft
    from caskbook.entry.request import Request


class BenchLines(Lines):
    """A day at the bench. `answer` prints what came of a line: what is said first and large, the rest of it, and whether it is bad news."""

    kept = ("by", "psi", "water_l", "method", "spirit", "approved_by", *OF_VAT)

    def __init__(self, book: Book, answer: Callable[[str, Sequence[str], bool], None], given: Given | None = None) -> None:
        super().__init__(book, given)
        self.answer = answer
        self.tally = Tally()
        self._remarks: list[str] = []
        self._many, self._earlier = False, 0
        self._unbegun = self._day = self._refused = self._unlike = self.jobs = self.cask = ""
        self._seen = shift_mark(book.root)
        self._hand = self._seen[:1]

    def _heed_shift(self) -> None:
        """What lines before it kept ends with a shift, begun here or elsewhere: whoever comes says it anew."""
        before, self._seen = self._seen, shift_mark(self.book.root)
        if before != self._seen:
            self.given = {place: texts for place, texts in self.given.items() if place[0] == "run" and place[1] != "minted"}
            for step in self.steps:
                step.forget()
            if self._seen[:1] not in ((), self._hand):  # What another hand wrote is not taken back by a bare word.
                self._earlier, self._hand = len(self.done) if self._hand else 0, self._seen[:1]

    def shift_words(self) -> str:
        """Whose shift it is; where there is none, how to begin one."""
        from caskbook.cli.entering.shift import out_of_force, shift_line
        from caskbook.ledger.shift import shift_of

        shift = shift_of(self.book.root)
        if shift is None:
            return "no shift yet: shift WHO says who works, and for which day"
        return f"{why}; shift {shift.by} begins another" if (why := out_of_force(self.book, shift)) else shift_line(self.book, shift)

    def take(self, line: str) -> bool:
        """One line; False where it ends the bench."""
        words = words_of(line)
        if not words:
            return True
        if words[0].casefold() in ENDS and len(words) == 1:
            return False
        self._remarks = []
        self.refresh()
        self._heed_shift()
        try:
            check_utf8(line)
            self._act(words, line)
            self._refused = self._unlike = ""
        except Refused as refused:
            self._refuse(line, str(refused), told=True)
        except OtherLine as other:
            self._refuse(line, str(other))
            self.ahead.append(other.line)
        except OutputError:
            raise  # The line is written, or was told as refused; only nobody heard of it.
        except (CaskbookError, ValueError) as error:
            self._refuse(line, str(error))
        return True

    def _refuse(self, line: str, why: str, *, told: bool = False) -> None:
        self.refused += 1
        self._refused = plain_name(line)
        self._unlike = self._unlike if line.split()[:1] == ["same"] else self._refused
        self.tally.refused.append((self._refused, why))
        if not told:
            self.answer(f"NOT WRITTEN  {why}", self._remarks, True)

    def _act(self, words: list[str], line: str) -> None:
        """What the first word calls for. CaskbookError where it cannot be."""
        first = words[0].casefold()
        if first == "shift":
            self._shift(words[1:])
        elif first == "undo":
            self._undo(words[1:])
        elif first in ("help", "?"):
            show_help(words[1:])
        elif first in SHOWN:
            show_read(self.book, words, self.cask)
        elif first == "same":
            self._same(words[1:])
        elif first == "note":
            self._note(line)
        else:
            self._enter(words)

    def _enter(self, words: list[str]) -> None:
        """A job and its casks, or casks of the job that stays; a job alone is the one that stays."""
        from caskbook.entry.request import read_request

        words = [without_early_key(self.book, self.jobs, words[0]), *words[1:]] if self.jobs else words
        begins = is_job(words[0])
        if not begins and not self.jobs:
            if not is_cask(words[0]):
                begins = True  # Whoever typed it meant a job: it is refused as one, with the nearest.
            else:
                raise CaskbookError(f"which job? it goes first, as: test {words[0]} p; then it stays")
        if not begins and not is_cask(words[0]):
            self.jobs = self.jobs if on_terminal() else ""  # It may have been meant as a job, and the casks below it for that one.
            raise CaskbookError(no_word(words[0]))
        staying = self.jobs
        if begins and words[0] != staying:
            self.jobs = ""  # Whoever named another job has done with this one, also where the line cannot be read.
        request = read_request(words if begins else [staying, *words])
        if begins and not (request.casks or request.named or request.has("help")):
            self._keep_typed(request)
            self.jobs = words[0]
            self.answer(f"{'+'.join(request.jobs)}: the casks, one a line", [], False)
            return
        self.jobs = words[0] if begins else self.jobs  # It stays where the cask forbids it too: the next one may be meant.
        written = self.count
        self.enter(request)
        self._keep_typed(request, self.shift_says)
        if self.count > written:
            self.steps[-1].left = {**self.given}

    def _keep_typed(self, request: Request, aside: Collection[str] = ()) -> None:
        """What stood on a line and is alike for all of the job holds until it is said otherwise; `aside`: keys that the shift says. A vat that
        was not for the line is put down."""
        for job in request.jobs if not any(key == "replaces" for _, key in request.given) else ():
            stale = [key for key in OF_VAT if (job, key) not in request.given and not goes_along(request, job, key, self.kept_for(job), self.house)]
            for key in stale:
                self.given.pop((job, key), None)
        for place, texts in request.given.items():
            if place[1] in self.kept and place[0] in request.jobs and place[1] not in aside:
                self.given[place] = [*texts]

    def _same(self, words: Sequence[str]) -> None:
        """As the last line, on other casks."""
        from caskbook.cli.entering.bench_same import as_last

        if self.last is None:
            raise CaskbookError("same as what? nothing was entered at this bench yet")
        if not words:
            raise CaskbookError("same, on which cask? as: same 7008")
        self._lean("same", self._unlike)
        self.enter(as_last(self.last, words, self.of_shift, self._day, self.house))

    def _lean(self, word: str, refused: str) -> None:
        """CaskbookError where in a pipe a line before was refused: whoever wrote this one did not know, and meant that one."""
        if refused and not on_terminal():
            raise CaskbookError(f"`{word}` of what? the line before it was refused: {refused[:40]}")

    def _note(self, line: str) -> None:
        """`note CASK… TEXT`, or `note TEXT` on the last cask; the text is taken as it stands. The job stays what it was."""
        from caskbook.entry.request import read_request

        casks, text, options = note_parts(line.strip()[len("note") :], self.cask)
        if not casks and not self.cask:
            raise CaskbookError("a note on which cask? as: note 7005 wet head")
        if not text and not options:
            raise CaskbookError("which note? as: note 7005 wet head")
        request = read_request(["note", *casks, *options])
        if text and ("note", "note") in request.given:
            raise CaskbookError("the note is said twice: behind the cask, and by --note")
        if text:
            request.given["note", "note"] = [text]
        if not casks and not request.named and not request.casks:
            self._lean("note", self._refused)
            request.casks = [self.cask]
        self.enter(request)

    def _undo(self, words: Sequence[str]) -> None:
        """The last line is taken back; then the one before, also where a bench that was ended wrote it in this shift."""
        from caskbook.cli.entering.take_back import PASSED, last_of_shift, line_words, meant

        if words:
            raise CaskbookError("undo takes back the last line; for an older entry: caskbook void CASK EVENT --why …")
        if self._refused and not on_terminal():
            self.answer(f"NOTHING TAKEN BACK  the line before was refused: {self._refused[:40]}", [], False)
            return
        mine = len(self.done) > self._earlier
        files = self.done[-1] if mine else None if ("run", "dry_run") in self.given else last_of_shift(self.book)
        if files is None:
            raise CaskbookError("nothing to take back in this shift")
        said = line_words(self.book, files)
        if not mine and not meant(said):
            self.answer("LEFT AS IT IS", [], False)
            return
        done = self.take_back(files)
        del self.tally.written[len(self.done) :]
        self.answer(f"{done}  {said}", ["undo again for the line before it"] if done == PASSED else [], False)

    def _shift(self, words: list[str]) -> None:
        """`shift ab`, `shift`, `shift end`, as the command does it. Where one is not begun, the lines below it are nobody's."""
        from caskbook.cli.commands.shift import ENDS, run

        begins = bool(words) and words[0].casefold() not in ENDS
        self._unbegun = " ".join(["shift", *words]) if begins else ""
        if run([*words, "--records", str(self.book.root)]) and begins:
            raise Refused("the shift was not begun")
        self._unbegun = ""

    def hand_of(self, request: Request) -> Given:
        """In the line alone: what lines before it kept names nobody once the shift is over, for its day is over too."""
        return request.given

    def enter(self, request: Request) -> None:
        """As any line; CaskbookError where the shift that it was meant for was not begun."""
        if self._unbegun:
            raise CaskbookError(f"`{self._unbegun[:40]}` was refused, so whose is this? begin that shift, or say `shift` to go on with the one there is")
        super().enter(request)

    def check_casks(self, request: Request) -> None:
        """Several casks on a line are asked about, but where the job is one of several."""
        from caskbook.entry.request import MANY_FILES

        self._many = len(request.casks) > 1 and request.jobs[0] not in MANY_FILES

    def tell_plan(self, draft: Draft, doubts: Sequence[str]) -> None:
        """Kept for the answer, but where something is doubted: then it is said before it is asked."""
        self._remarks = [*draft.echoes, *draft.remarks.lines]
        if doubts:
            for text in (*self._remarks, *doubts):
                say(_safe(text))
            self._remarks = []

    def tell_refusals(self, plan: Plan) -> None:
        """The reason first, what to do below it."""
        from caskbook.entry.says import refusal_lines

        first, *rest = refusal_lines(plan.refusals)
        if all(refusal.policy for refusal in plan.refusals):
            rest.append('it was done all the same? add --anyway --why "…"')
        self.answer(f"NOT WRITTEN  {_safe(first)}", [_safe(text.strip()) for text in rest], True)

    def sure(self, plan: Plan, doubts: Sequence[str]) -> bool:
        """Many casks on one line are asked about, and what is doubted."""
        from caskbook.cli.entering.ask import yes_no

        count = len({cask for cask, _ in plan.written})
        if doubts and not super().sure(plan, doubts):
            self.answer("NOT WRITTEN  it was not right", [], True)
            return False
        if self._many and on_terminal():
            try:
                agreed = yes_no(f"{count} casks: write all? [y/N] ", "n")
            except DeclinedError:
                agreed = False
            if not agreed:
                self.answer("NOT WRITTEN  not all of them were meant", [], True)
            return agreed
        return True

    def tell_written(self, draft: Draft, plan: Plan) -> None:
        """What is written now, large; then what the cask is, and what else is to be said."""
        from caskbook.entry.says import event_says

        casks = list(dict.fromkeys(cask for cask, _ in plan.written))
        self.cask = casks[-1]
        own = [(cask, event) for cask, event in plan.written if event["id"] not in {one["id"] for _, _, one in plan.unsaid}]
        dry = len(self.done) == len(self.tally.written)
        if not dry:
            self.tally.write(own)
        words = "TRIED" if dry else "WRITTEN"
        named = casks[0] if len(casks) == 1 else f"{len(casks)} casks"
        said = "; ".join(dict.fromkeys(event_says(event) for _, event in own))
        first = own[0][1]
        self._day = first["date"].isoformat()
        who = f"{first['date']:%a} {first['date']}" + (f", {first['by']}" if first.get("by") else "")
        previewed = {f"  {event_says(event)}" for _, event in own}
        rest = [text for text in self._remarks if not any(text.startswith(one) for one in previewed)]
        at = next((n for n, text in enumerate(rest) if len(casks) == 1 and text.startswith(f"{casks[0]}  ")), None)
        if at is not None:
            rest[at] = rest[at].replace(f"{casks[0]}  ", "before: ", 1)
        self.answer(f"{words}  {named}  {_safe(said)}  {who}", [_safe(text) for text in rest], False)


def _safe(text: str) -> str:
    from caskbook.cli.entering.tell_and_write import safe

    return safe(text)

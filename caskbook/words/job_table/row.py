"""One row of the job table: everything about a job that more than one room has to know."""

from typing import Literal, NamedTuple

# What is asked of jobs somewhere, as a property that several of them share.
Trait = Literal[
    # the cask and its book
    "arrival",  # begins the file of a cask
    "comes-in",  # the cask comes with a past of its own, which nobody here has nosed
    "ends",  # the cask is gone after it
    "out-of-stock",  # a number counts no more after it, or nobody knows where it is: a review names each cask
    "whereabouts",  # makes it here, away or missing
    "takes-away",  # leaves it without a berth
    "berthed",  # may say where it lies and how it is stowed
    "heads",  # puts heads out or in
    "corrects",  # names, as `of`, the entry that it puts out of force
    "of-entry",  # names, as `of`, an entry that goes on standing
    "no-work",  # says nothing of the cask itself: where only such stand, there is no cask to speak of
    "repeats",  # may be entered twice on a day without a question
    "shared-id",  # the files of the other casks that it names have their side of it under the same id
    "seldom",  # invented ledgers of some hundred casks may be without it
    # work on the wood
    "fire-work",  # scrapes or burns the inside: a head must be out
    "takes-parts",  # puts in staves, heads or hoops, which may come from another cask (`from`)
    "gives-parts",  # takes the cask down, so that its parts are there for others
    "closes-leak",  # may close a leak that it names (`closes`)
    "mends-place",  # mends the wood at the places it names: the same place again and again is worn
    "place-lists",  # names several places, staves or hoops in a list, each of them once
    "cures-anywhere",  # may cure a leak whether it names a place or not
    # looking
    "finds",  # may tell of something that a claim on the supplier rests on
    "defect-words",  # has a field of defects, leaks or faults of the nose in the trade's words
    "verdict",  # has a verdict that decides whether the cask may be used
    "leak-seen",  # tells of a leak on a filled cask
    "answers",  # what is open on the cask is offered to be answered by it
    # liquor
    "spirit-in",  # spirit comes into the cask, and is a fill where that was empty
    "liquor-in",  # spirit or wine comes into it
    "liquor-out",  # liquor goes out, so that it may be empty
    "begins-fill",  # a fill may begin with it, that on arrival included
    "brings-liquor",  # says itself what liquor came into the cask
    "oak-since",  # may say since when the spirit has been in oak
    "gauged",  # litres gauged, which need a temperature: asked for when it is not given
    "gauges-held",  # what was held up to now gets gauged
    "part-moved",  # a part comes in or goes out, the rest stays
    "of-contents",  # its strength is that of what is in the cask already
    "carries-alcohol",  # the alcohol in the cask is followed through it
    "at-temperature",  # its litres stay uncorrected without a temperature
    "through-bung",  # the bung comes out over what is in the cask
    # how it is judged
    "own-needs",  # needs more of the cask than contents, form and whereabouts
    "policy",  # the house has rules of its own for it
    "approved",  # somebody signs for it in `approved_by`
    "judged-at-entry",  # the check's rules have something to say on it that the fold has not
    "changes-state",  # after it another job may be impossible: what a merge has to look at
]


class JobRow(NamedTuple):
    """One job. Only `job`, `family`, `model` and what is asked of every job must be there; texts that are left out are made of `job`."""

    job: str
    """As it is stored, and first of the ways to type it."""
    family: str
    """Under which heading help lists it: arrival, bench, fire, spirit, custody, book."""
    model: str
    """Where its model is, in `caskbook.model.jobs`: `repair.wood.Stave`. Empty: typed as one job, written as others."""
    past: str = ""
    """What the review puts before what the entry says of itself: "racked", "toasted"."""
    many: str = ""
    """What the review says of several casks: "12 casks closed". Empty: each is told by itself."""
    noun: str = ""
    """Its entry by name: "emptying of 2026-11-02"; where empty, the job itself."""
    synonyms: tuple[str, ...] = ()
    """What else is understood for it when it is typed."""
    example: str = ""
    """A line that `enter JOB --help` shows; a test enters it."""
    note: str = ""
    """What `explain words` says of a second meaning of its word."""
    elsewhere: str = ""
    """The command that writes it, where `enter` does not by this name."""
    shares: str = ""
    """The field that lists other casks with the litres each gave or took."""
    half: str = ""
    """The job by which the file of another cask tells of the same work."""
    alone: str = ""
    """What a check finds where that other file does not tell of it."""
    ahead: str = ""
    """The field with a day up to which it holds, or on which to look again: not before its own."""
    loosens: str = ""
    """How `retest` tells that after it the cask is not proved tight."""
    visit_begins: str = ""
    """How a due rule tells that with it the cask came to the bench: "emptied 2026-11-02"."""
    cures: str = ""
    """How the card names it as the cure of a leak: "driving"."""
    turn: int = 0
    """When it is done in a visit to the bench: nosed before looked into, mended before charred, tested last; 0 where that is all one."""
    letter: str = ""
    """Its letter on the time line."""
    well: tuple[tuple[str, str | float], ...] = ()
    """What its entry says, field by field, where the work on an empty cask ends well, as far as that does not hang on the cask."""
    traits: tuple[Trait, ...] = ()

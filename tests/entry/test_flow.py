"""Runs of `enter`: what is asked, refused, told, put in unasked, and written."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from caskbook.entry.caution import REMINDER
from entry.shop import CASK, HOUSE, Shop, days_ago
from entry.states import STATES

READY = STATES["ready"] or []
FILLED = STATES["filled"] or []
FILL = ["--spirit", "malt", "--litres", "190", "--abv", "63.5", "--temp", "14"]


def test_one_cask_is_echoed_written_and_told(shop: Shop) -> None:
    shop.put(*READY)
    ran = shop.enter("test", CASK, "pass", "--psi", "0.8bar", "--water", "2")
    assert ran.code == 0
    assert ran.err.split("\n")[0] == "0.8 bar = 11.6 psi"
    assert f"{CASK}  barrel, ready, 1 fill since char\n  test: pass, 11.6 psi on {shop.today:%A} {shop.today}  (ab)\n" in ran.err
    event = shop.last()
    assert list(event) == ["id", "date", "job", "by", "psi", "water_l", "result"]
    assert (event["psi"], event["water_l"], event["date"]) == (11.6, 2, shop.today)
    assert ran.out == f"{CASK}  {event['id']}  {shop.today}  test: pass, 11.6 psi\n"


def test_the_echo_says_what_the_cask_is(shop: Shop) -> None:
    shop.put(*READY, {"date": days_ago(5), "job": "test", "psi": 11, "result": "fail", "leaks": [{"at": "croze-A"}]},
             {"date": days_ago(4), "job": "test", "psi": 11, "result": "pass"}, {**FILLED[-1], "date": days_ago(3)}, type="hogshead")  # fmt: skip
    assert f"{CASK}  hogshead, full of malt, 2nd fill since char, last fail croze-A\n" in shop.enter("note", CASK, "--note", "x").err


def test_missing_fields_are_named_where_nobody_can_be_asked(shop: Shop) -> None:
    shop.put(*READY)
    ran = shop.enter("fill", CASK)
    assert ran.code == 2 and "fill needs --spirit, --litres (L, 1 to 2000), --abv (% vol, 40 to 80)" in ran.err
    assert "--psi" in shop.enter("test", CASK, "pass").err
    assert "--from" in shop.enter("stave", CASK, "replace", "--staves", "1").err


def test_dry_run_shows_added_lines_and_writes_nothing(shop: Shop) -> None:
    path = shop.put(*READY)
    before = path.read_bytes()
    ran = shop.enter("test", CASK, "pass", "--psi", "11", "--dry-run")
    assert ran.code == 0 and path.read_bytes() == before
    changed = [line for line in ran.out.splitlines() if line[:1] in "+-" and line[:3] not in ("+++", "---")]
    assert len(changed) == 6 and all(line.startswith("+") for line in changed)
    assert f"+++ b/records/casks/TH-004/{CASK}.yaml" in ran.out


def test_several_casks_are_all_or_none_and_share_a_sheet(shop: Shop) -> None:
    casks = [f"TH-{number:06d}" for number in range(4501, 4505)]
    for cask in casks:
        shop.put(*(FILLED if cask == "TH-004502" else READY), cask=cask)
    before = shop.path("TH-004501").read_bytes()
    ran = shop.enter("test", "TH-004501..004504", "pass", "--psi", "11", "--yes")
    assert ran.code == 1 and "nothing written: 1 of 4 casks refused" in ran.err and "TH-004502  test needs it empty" in ran.err
    assert shop.path("TH-004501").read_bytes() == before
    ran = shop.enter("test", "TH-004501..004504", "except", "502", "pass", "--psi", "11")
    assert ran.code == 2 and "3 casks, and nobody to ask" in ran.err
    ran = shop.enter("test", "TH-004501..004504", "except", "502", "pass", "--psi", "11", "--yes")
    assert ran.code == 0 and f"  3 casks: test: pass, 11 psi on {days_ago(0):%A} {days_ago(0)}  (ab)" in ran.err
    sheets = {shop.last(cask)["sheet"] for cask in casks if cask != "TH-004502"}
    assert len(sheets) == 1 and sheets.pop().startswith(f"run-{shop.today:%Y%m%d}-ab-")


def test_absent_casks_are_listed_and_may_be_skipped(shop: Shop) -> None:
    shop.put(*READY)
    ran = shop.enter("test", "TH-004216..004218", "pass", "--psi", "11", "--yes")
    assert ran.code == 1 and "2 of 3 casks are not in the book: TH-004216, TH-004218" in ran.err
    ran = shop.enter("test", "TH-004216..004218", "pass", "--psi", "11", "--yes", "--skip-missing")
    assert ran.code == 0 and shop.last()["job"] == "test"


def test_two_jobs_in_one_line_keep_their_order(shop: Shop) -> None:
    shop.put(*READY)
    assert shop.enter("shave+char", CASK, "flail", "--level", "3", "--char-depth", "3").code == 0
    events = shop.data()["events"][-3:]
    assert [event["job"] for event in events] == ["open", "shave", "char"]
    assert [event["id"] for event in events] == sorted(event["id"] for event in events)
    assert events[0]["note"] == f"heads out for the shave {events[1]['id']}"
    assert events[2]["depth_mm"] == 3 and "depth_mm" not in events[1]


def test_a_head_left_out_is_put_in_on_its_own_day(shop: Shop) -> None:
    shop.put(*(STATES["open"] or []))
    ran = shop.enter("test", CASK, "pass", "--psi", "11", "--closed-on", "yesterday")
    assert ran.code == 0, ran.err
    close, test = shop.data()["events"][-2:]
    assert (close["job"], close["date"], close["heads"]) == ("close", days_ago(1), ["A", "B"]) and test["date"] == shop.today


def test_before_puts_it_between(shop: Shop) -> None:
    shop.put(*READY, {"date": days_ago(5), "job": "test", "psi": 11, "result": "pass"}, {"date": days_ago(5), "job": "note", "note": "rolled"})
    ran = shop.enter("drive", CASK, "--before", "e0000003")
    assert ran.code == 0, ran.err
    assert [event["job"] for event in shop.data()["events"]] == ["receive", "examine", "drive", "test", "note"]
    assert shop.enter("soak", CASK, "cold", "--before", "e0000004").code == 0
    assert [event["job"] for event in shop.data()["events"]] == ["receive", "examine", "drive", "test", "soak", "note"]
    assert "leave --date out" in shop.enter("drive", CASK, "--before", "e0000003", "--date", "today").err


def test_a_late_entry_goes_to_its_day_and_what_no_longer_fits_is_listed(shop: Shop) -> None:
    shop.put(*READY, {**FILLED[-1], "date": days_ago(3)})
    ran = shop.enter("open", CASK, "--heads", "A", "--date", days_ago(6).isoformat())
    assert ran.code == 0
    assert [event["job"] for event in shop.data()["events"]] == ["receive", "examine", "open", "fill"]
    assert "a later entry no longer fits: fill with the cask head A out" in ran.err


@pytest.mark.parametrize(("day", "told"), [("+1", "no day"), ("future", "lies ahead"), ("early", "before the cask came")])
def test_days_that_cannot_be(shop: Shop, day: str, told: str) -> None:
    shop.put(*READY)
    text = {"future": (shop.today + timedelta(days=1)).isoformat(), "early": days_ago(400).isoformat()}.get(day, day)
    ran = shop.enter("note", CASK, "--note", "x", "--date", text)
    assert ran.code in (1, 2) and told in ran.err and len(shop.data()["events"]) == 2


def test_replacing_takes_over_what_is_not_given(shop: Shop) -> None:
    shop.put(*READY, {"date": days_ago(5), "job": "test", "psi": 1.1, "water_l": 2, "result": "pass"})
    ran = shop.enter("test", CASK, "--replaces", "e0000003", "--psi", "11")
    assert ran.code == 2 and "--why" in ran.err
    assert shop.enter("test", CASK, "--replaces", "e0000003", "--psi", "11", "--why", "point slipped").code == 0
    event = shop.last()
    assert (event["psi"], event["water_l"], event["result"], event["replaces"], event["date"]) == (11, 2, "pass", "e0000003", days_ago(5))
    assert event["id"].startswith("e0000003") and len(event["id"]) == 10
    assert shop.facts().last_test == {"date": days_ago(5), "result": "pass", "psi": 11}


def test_policy_is_written_anyway_with_its_reason_and_stays_a_finding(shop: Shop) -> None:
    shop.put(*READY)
    ran = shop.enter("test", CASK, "pass", "--psi", "14")
    assert ran.code == 1 and "the house limit is 12 psi" in ran.err and "is usual" not in ran.err and shop.data()["events"][-1]["job"] == "examine"
    assert "--anyway needs its reason" in shop.enter("test", CASK, "pass", "--psi", "14", "--anyway").err
    assert shop.enter("test", CASK, "pass", "--psi", "14", "--anyway", "--why", "gauge reads high").code == 0
    assert shop.last()["why"] == "gauge reads high" and shop.codes() == ["test-over-house-limit"]


def test_where_why_is_a_closed_list_the_reason_goes_into_the_note(shop: Shop) -> None:
    shop.put(*FILLED)
    ran = shop.enter("empty", CASK, "--litres", "180", "--abv", "12", "--why", "watered by mistake")
    assert ran.code == 2 and "drawn" in ran.err
    ran = shop.enter("empty", CASK, "--litres", "180", "--abv", "12", "--anyway", "--why", "watered by mistake")
    assert ran.code == 0, ran.err
    assert shop.last()["note"] == "watered by mistake" and "why" not in shop.last()


def test_slips_are_named(shop: Shop) -> None:
    shop.put(*READY)
    assert "did you mean bar?" in shop.enter("test", CASK, "pass", "--psi", "0.8").err
    assert "did you mean 63.5 %?" in shop.enter("fill", CASK, *FILL[:5], "6.35").err
    assert "did you mean 14.5 °C?" in shop.enter("fill", CASK, *FILL[:-1], "145").err


def test_who_did_it(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    shop.put(*READY)
    assert "xy is not of the crew" in shop.enter("note", CASK, "--note", "x", "--by", "xy").err
    assert "no shop the house names" in shop.enter("note", CASK, "--note", "x", "--by", "shop-south").err
    monkeypatch.delenv("CASKBOOK_BY")
    ran = shop.enter("note", CASK, "--note", "x")
    assert ran.code == 2 and "--by (ab, kd)" in ran.err
    (shop.root / "house.yaml").write_text(HOUSE.replace("  - {initials: kd}\n", ""), encoding="utf-8")
    assert shop.enter("note", CASK, "--note", "x").code == 0 and shop.last()["by"] == "ab"


def test_answers_and_closes_by_place(shop: Shop) -> None:
    shop.put(
        *READY,
        {
            "date": days_ago(5),
            "job": "examine",
            "verdict": "repair",
            "findings": [{"at": "stave-9", "defect": "cracked"}, {"at": "joint-3", "defect": "joint-leak"}],
        },
    )
    assert shop.enter("soak", CASK, "cold", "--answers", "joint-3").code == 0
    assert shop.last()["answers"] == ["e0000003/joint-3"]
    assert [one["at"] for one in shop.facts().open_defects or []] == ["stave-9"]
    assert "nothing is open at head-A" in shop.enter("soak", CASK, "cold", "--answers", "head-A").err
    shop.put(*(STATES["leaking"] or []), cask="TH-004300")
    assert shop.enter("drive", "TH-004300", "--closes", "joint-3").code == 0
    assert shop.facts("TH-004300").open_leaks == []


def test_a_new_cask_and_one_like_it(shop: Shop) -> None:
    words = [
        "--type",
        "hogshead",
        "--capacity",
        "250",
        "--maker",
        "Fenwick Hollow",
        "--prior",
        "bourbon 1; oloroso 2",
        "--charred",
        "2011",
        "--staves",
        "33",
        "--heads",
        "6,6",
        "--wood",
        "American oak",
    ]
    assert shop.enter("receive", "TH-009001", "accept", *words).code == 0
    text = shop.path("TH-009001").read_text()
    assert text.startswith(
        "cask: TH-009001\nformat: 1\ntype: hogshead\ncapacity_l: 250\nwood: american-white-oak\nmaker: Fenwick Hollow\nstaves: 33\nheads: [6, 6]\nprior:\n"
    )
    assert shop.enter("receive", "TH-009002..009004", "hold", "--like", "TH-009001", "--yes").code == 0
    made = shop.data("TH-009003")
    assert made["maker"] == "Fenwick Hollow" and made["events"][0]["verdict"] == "hold"
    ran = shop.enter("receive", "TH-009005", "accept")
    assert ran.code == 2 and "--type (octave" in ran.err
    assert "--capacity (L)" in shop.enter("receive", "TH-009005", "accept", "--type", "quarter cask").err
    assert "in the book already" in shop.enter("receive", "TH-009001", "accept", "--type", "butt").err


@pytest.mark.thorough
def test_cautions_are_told_once_with_figures_and_no_advice(shop: Shop) -> None:
    casks = [f"TH-{number:06d}" for number in range(4501, 4504)]
    for cask in casks:
        shop.put(*READY, cask=cask)
    ran = shop.enter("test", "TH-004501..004503", "pass", "--psi", "12", "--yes")
    assert ran.err.count(REMINDER) == 1
    assert "12 psi presses on a 0.53 m head (by its size) with 18 kN, the weight of 1.9 tonnes" in ran.err
    shop.put(*READY, {"date": days_ago(2), "job": "measure", "dims_mm": {"head": 700}}, type="butt", capacity_l=500)
    assert "on a 0.70 m head with 32 kN" in shop.enter("test", CASK, "pass", "--psi", "12").err
    assert REMINDER not in shop.enter("note", CASK, "--note", "x").err
    shop.put(*READY, cask="TH-004600")
    assert REMINDER not in shop.enter("soak", "TH-004600", "cold").err and "scald" in shop.enter("soak", "TH-004600", "hot").err


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("state", "words", "told"),
    [
        ("ready", "char --level 3", "Fire work"), ("ready", "shave flail", "Shaving"), ("ready", "sulphur --grams 5 --why winter", "5 g burn to 3.7 L of sulphur dioxide"),
        ("filled", "leak run --at joint-3", "A run from a cask of 190 L"), ("filled", "move --berth Y2", "about 220 kg full"), ("ready", "knock-down", "31 staves spring apart"),
        ("ready", "drive", "6 hoops under strain"), ("ready", "nose clean", "200 L of closed air"), ("filled", "sample --ml 100", "0.1 L at 63.5 %"),
        ("wine", "bung replace", "Easing the bung on 200 L of oloroso"),
    ],
)  # fmt: skip
def test_each_kind_of_caution(shop: Shop, state: str, words: str, told: str) -> None:
    shop.put(*(STATES[state] or []))
    job, *rest = words.split()
    ran = shop.enter(job, CASK, *rest)
    assert ran.code == 0 and told in ran.err and REMINDER in ran.err, ran.err


def test_a_note_cannot_steer_the_terminal(shop: Shop) -> None:
    shop.put(*READY)
    ran = shop.enter("note", CASK, "--note", "[red]x[/red]")
    assert ran.code == 0 and "[red]x[/red]" in ran.out
    assert shop.enter("note", CASK, "--note", "\u202eabc").code == 2
    assert shop.enter("note", CASK, "--note", "\x1b[31mx").code == 2
    assert shop.enter("note", "../../x", "--note", "x").code == 2


def test_an_unknown_option_or_word(shop: Shop) -> None:
    shop.put(*READY)
    assert "did you mean --result?" in shop.enter("test", CASK, "--resutl", "pass").err
    assert "shaved, toasted, charred?" in shop.enter("recondition", CASK).err
    assert "writes both sides" in shop.enter("rack-in", CASK).err
    assert "for which job? --shave-depth-mm or --char-depth-mm" in shop.enter("shave+char", CASK, "--depth", "3").err
    assert "which casks?" in shop.enter("test").err
    assert shop.enter("rechar", CASK, "--level", "3").code == 0 and shop.last()["job"] == "char"


def test_help_names_every_job_and_every_field(shop: Shop) -> None:
    from caskbook.cli.commands.enter import run
    from caskbook.entry.request import all_jobs

    assert run([]) == 0
    text = shop.run(lambda _: run(["--help"])).out
    assert [job for job in all_jobs() if job != "moved" and f"  {job} " not in text and f"  {job}\n" not in text] == []
    test = shop.run(lambda _: run(["test", "--help"])).out
    assert "--psi" in test and "psi, 5 to 12" in test and "--result *" in test and "pass, fail" in test and "as: caskbook enter test" in test
    assert max(len(line) for line in (text + test).splitlines() if not line.startswith("as: ")) <= 80


def test_the_examples_of_help_are_read(shop: Shop) -> None:
    import shlex

    from caskbook.entry.request import all_jobs, read_request
    from caskbook.words.job_table import JOB_TABLE

    assert {row.job for row in JOB_TABLE.values() if row.example} == set(all_jobs())
    for job in all_jobs():
        assert read_request(shlex.split(JOB_TABLE[job].example)).casks


def test_written_days_are_days_for_every_reader(shop: Shop) -> None:
    shop.put(*READY)
    shop.enter("fill", CASK, *FILL, "--oak-since", "2014-05-01", "--note", "no: on 12:30")
    assert shop.last()["oak_since"] == date(2014, 5, 1) and shop.last()["note"] == "no: on 12:30"


def test_a_thing_entered_twice_is_asked_about(shop: Shop) -> None:
    shop.put(*READY)
    words = ["test", CASK, "pass", "--psi", "11"]
    assert shop.enter(*words).code == 0
    ran = shop.enter(*words, "--by", "kd")
    assert ran.code == 1 and f"the same test of {shop.today} stands there already" in ran.err
    assert "it is written with its reason" in ran.err and "stays a finding" not in ran.err
    assert shop.enter(*words, "--anyway", "--why", "tested twice").code == 0 and "entered-twice" not in shop.codes()


def test_a_thing_that_was_moved_here_or_put_right_is_entered_twice_too(shop: Shop) -> None:
    day = days_ago(3)
    soak = {"date": day, "job": "soak", "method": "cold", "hours": 24}
    again = ["soak", CASK, "cold", "--hours", "24", "--date", day.isoformat(), "--yes"]
    for how in ({"moved_from": "TH-004271/e0000009"}, {"replaces": "e0000003"}):
        shop.put(*READY, {**soak, "hours": 12}, {**soak, **how})
        ran = shop.enter(*again)
        assert ran.code == 1 and f"the same soak of {day} stands there already (e0000004)" in ran.err, (how, ran.err)
    shop.put(*READY, {**soak, "hours": 12}, {**soak, "note": "long"})
    ran = shop.enter(*again, "--replaces", "e0000003", "--why", "misread")
    assert ran.code == 1 and "stands there already (e0000004)" in ran.err and "void the wrong one instead" in ran.err, ran.err
    assert shop.enter(*again, "--replaces", "e0000004", "--why", "it was longer").code == 0


def test_a_thing_that_stands_on_the_right_cask_already_is_not_moved_there(shop: Shop) -> None:
    from caskbook.cli.commands.correct import move_event

    soak = {"date": days_ago(3), "job": "soak", "method": "cold", "hours": 24}
    shop.put(*READY, soak)
    right = shop.put(*READY, soak, cask="TH-004271")
    before = right.read_bytes()
    words = [CASK, "e0000003", "--to", "TH-004271", "--why", "misread", "--yes"]
    ran = shop.run(move_event, *words)
    assert ran.code == 1 and "TH-004271" in ran.err and "stands there already (e0000003)" in ran.err and right.read_bytes() == before, ran.err
    assert "add --anyway:" in ran.err and shop.run(move_event, *words, "--anyway").code == 0


def test_entries_of_two_people_at_once_are_both_kept(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    from caskbook.cli.entering import ask

    shop.put(*READY)

    def meanwhile(count: int, *, yes: bool) -> bool:
        monkeypatch.setattr(ask, "agreed", lambda count, *, yes: True)
        assert shop.enter("note", CASK, "--note", "theirs").code == 0
        return True

    monkeypatch.setattr(ask, "agreed", meanwhile)
    assert shop.enter("note", CASK, "--note", "ours").code == 0
    assert [event.get("note") for event in shop.data()["events"]][2:] == ["theirs", "ours"]


def test_what_somebody_did_meanwhile_can_make_it_impossible(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    from caskbook.cli.entering import ask

    shop.put(*READY)

    def meanwhile(count: int, *, yes: bool) -> bool:
        monkeypatch.setattr(ask, "agreed", lambda count, *, yes: True)
        assert shop.enter("dispose", CASK, "sold").code == 0
        return True

    monkeypatch.setattr(ask, "agreed", meanwhile)
    ran = shop.enter("test", CASK, "pass", "--psi", "11")
    assert ran.code == 1 and "meanwhile" in ran.err and shop.last()["job"] == "dispose"


def test_the_rules_of_the_check_are_asked_before_writing(shop: Shop) -> None:
    shop.put(*FILLED)
    ran = shop.enter("regauge", CASK, "meter", "--litres", "199", "--abv", "63.5", "--temp", "14")
    assert ran.code == 1 and "127.0 L of alcohol: it held 121.3 L" in ran.err and "--anyway" in ran.err, ran.err
    ran = shop.enter("receive", "TH-009001", "accept", "--type", "barrel", "--claim-by", "2020-01-01")
    assert ran.code == 1 and "claim_by" in ran.err and not shop.path("TH-009001").exists()
    shop.put(*(STATES["open"] or []), cask="TH-004300")
    ran = shop.enter("stave", "TH-004300", "replace", "--staves", "3", "--from", "TH-009999")
    assert ran.code == 1 and "TH-009999" in ran.err, ran.err


def test_a_loss_without_temperature_is_told(shop: Shop) -> None:
    shop.put(*FILLED)
    assert "no temperature: the litres stay uncorrected" in shop.enter("draw", CASK, "--litres", "5", "--abv", "60").err
    assert "uncorrected" not in shop.enter("draw", CASK, "--litres", "6", "--abv", "60", "--at-20").err


def test_many_refused_for_one_reason_are_told_together(shop: Shop) -> None:
    for number in range(4501, 4506):
        shop.put(*(FILLED if number < 4504 else STATES["gone"] or []), cask=f"TH-{number:06d}")
    ran = shop.enter("test", "TH-004501..004505", "pass", "--psi", "11", "--yes")
    assert ran.err.splitlines() == [
        f"3 casks  test needs it empty; it has held malt since {days_ago(10)}:", "    TH-004501, TH-004502, TH-004503", "  enter the emptying first",
        "2 casks  test on a cask that is gone:", "    TH-004504, TH-004505", "  void the entry by which it left (caskbook show TH-004504)",
        "nothing written: 5 of 5 casks refused",
    ]  # fmt: skip


def test_a_verdict_that_names_nothing_asks_what_it_means(shop: Shop) -> None:
    shop.put(*READY)
    for words, option in ((("examine", CASK, "repair"), "--findings"), (("nose", CASK, "fault"), "--faults")):
        ran = shop.enter(*words)
        assert ran.code == 2 and f"needs {option}" in ran.err
    none = shop.enter("examine", CASK, "repair", "--findings", "none")
    assert none.code != 0 and "findings" in none.err, "nobody could tell when that is mended, and a pass would make it ready"
    assert shop.enter("nose", CASK, "fault", "--faults", "musty").code == 0 and shop.last()["faults"] == ["musty"]


@pytest.mark.parametrize(("who", "code"), [("kd", 0), ("zz", 1), ("K. Dunmore", 0), ("Brewster", 0)])
def test_initials_under_an_approval_are_the_crews(shop: Shop, who: str, code: int) -> None:
    shop.put(*READY, {"date": days_ago(3), "job": "hold", "why": "no label"})
    ran = shop.enter("release", CASK, "--why", "label found", "--approved-by", who)
    assert ran.code == code and ("approved by zz, who is not of the crew" in ran.err) == bool(code)


def test_a_place_no_such_cask_has_is_doubted_where_nobody_counted_the_staves(shop: Shop) -> None:
    path = shop.put(*READY)
    path.write_text(path.read_text().replace("staves: 31\n", ""), encoding="utf-8")
    test = ("test", CASK, "fail", "--psi", "11", "--leaks")
    ran = shop.enter(*test, "joint-99")
    assert ran.code == 1 and "joint-99: a barrel has 25 to 35 staves, and nobody counted these" in ran.err and f"measure {CASK} --staves" in ran.err
    assert shop.enter(*test, "joint-30").code == 0
    assert shop.enter(*test, "joint-99", "--anyway", "--why", "it has").code == 0
    shop.put(*READY)
    assert "the cask has 31 staves" in shop.enter(*test, "joint-99").err


@pytest.mark.thorough
def test_a_dip_says_what_it_comes_to_or_what_is_lacking(shop: Shop) -> None:
    shop.put(*FILLED)
    dip = ("regauge", CASK, "--wet-mm", "400", "--abv", "62", "--temp", "12", "--method", "dip")
    ran = shop.enter(*dip)
    assert ran.code == 0 and f"{CASK}  no dimensions: litres not worked out; give --litres, or: caskbook enter measure {CASK} --dims" in ran.err
    shop.put(*FILLED)
    assert "weight empty not known: litres not worked out" in shop.enter("regauge", CASK, "--gross", "230", "--abv", "62", "--method", "weigh").err
    shop.put(*FILLED)
    assert shop.enter("measure", CASK, "--dims", "bung 660 head 560 length 840").code == 0
    ran = shop.enter(*dip)
    assert ran.code == 0 and "no dimensions" not in ran.err and " L at 20 °C by the dip; how it lies is not written (--stow): taken as on its bilge" in ran.err

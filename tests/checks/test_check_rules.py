"""Rules beyond their examples: bounds, what is not judged, what the house decides, and what is seen only over all files."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from caskbook.checks import check_ledger, check_record, context_of, exit_code, explanation
from caskbook.checks.mentions import mentions
from caskbook.core.finding import Finding
from checks.example_ledgers import TODAY, check_example, files_of, ledger_of

HELD = """\
# received 2020-01-01, examined 2020-01-02
- {id: e1000001, date: 2020-01-02, job: hold, by: ab, why: owner asked}
- {id: e1000002, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5, at_20: true%s}
"""


def codes(example: str, root: Path) -> list[str]:
    return [finding.code for finding in check_example(example, root).findings]


@pytest.mark.parametrize("litres, wrong", [("700", False), ("700.1", True), ("701", True)])
@pytest.mark.parametrize("law", ["scotch-2009", "irish-2014", "eu-2019-787"])
def test_seven_hundred_litres_pass_and_a_little_more_does_not(litres: str, wrong: bool, law: str, tmp_path: Path) -> None:
    # Scotch Whisky Regulations 2009 reg. 3(1), Irish technical file 2014, Regulation (EU) 2019/787 Annex I category 2.
    text = f"# house.yaml\nlaws: [{law}]\n# TH-004217\n{{cask: TH-004217, format: 1, type: custom, capacity_l: {litres}, events: []}}\n"
    assert codes(text, tmp_path) == (["cask-over-700-litres"] if wrong else [])


def test_no_law_is_judged_that_the_house_does_not_declare(tmp_path: Path) -> None:
    text = "{cask: TH-004217, format: 1, type: custom, capacity_l: 900, wood: chestnut, events: []}\n"
    assert codes(text, tmp_path) == []


def test_a_law_counts_from_the_day_the_house_declares_it(tmp_path: Path) -> None:
    text = """\
# house.yaml
laws: [{since: 2022-01-01, value: [bourbon-5.143]}]
# TH-004217
# received 2020-01-01, examined 2020-01-02
- {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: bourbon, litres: 195, abv: 65, at_20: true}
"""
    assert codes(text, tmp_path) == []


def test_what_the_law_on_bourbon_wants_is_asked_of_each_filling(tmp_path: Path) -> None:
    text = """\
# house.yaml
laws: [straight-5.143]
# TH-004217
cask: TH-004217
format: 1
type: barrel
capacity_l: 200
prior: []
charred: 2019
events:
  - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
  - {id: e1000002, date: 2020-01-02, job: examine, by: ab, verdict: sound}
  - {id: e1000003, date: 2020-01-03, job: fill, by: ab, spirit: bourbon, litres: 195, abv: 62.5, at_20: true}
  - {id: e1000004, date: 2021-12-31, job: empty, by: ab, litres: 185, abv: 62, at_20: true}
  - {id: e1000005, date: 2022-01-01, job: examine, by: ab, verdict: sound}
  - {id: e1000006, date: 2022-01-02, job: fill, by: ab, spirit: bourbon, litres: 195, abv: 62.5, at_20: true}
  - {id: e1000007, date: 2024-01-02, job: empty, by: ab, litres: 185, abv: 62, at_20: true}
"""
    assert codes(text, tmp_path) == ["left-under-age", "prior-contents-not-allowed"]


def test_policy_is_not_judged_on_imported_events(tmp_path: Path) -> None:
    assert codes(HELD % "", tmp_path / "a") == ["fill-while-held"]
    assert codes(HELD % ", source: register", tmp_path / "b") == []


def test_a_house_may_change_a_warning_but_no_error(tmp_path: Path) -> None:
    house = "# house.yaml\nseverities: {fill-while-held: error, events-out-of-order: note}\n# TH-004217\n"
    report = check_example(house + HELD % "", tmp_path)
    found = {finding.code: finding.severity for finding in report.findings}
    assert found == {"fill-while-held": "error", "severity-of-no-warning": "warning"}


@pytest.mark.parametrize(("rows", "severity"), [
    ("{since: 2000-01-01, value: {fill-while-held: note}}, {since: 2024-01-01, value: {}}", "note"),
    ("{since: 2000-01-01, value: {}}, {since: 2024-01-01, value: {fill-while-held: error}}", "warning"),
    ("{since: 2000-01-01, value: {fill-while-held: error}}, {since: 2024-01-01, value: {fill-while-held: note}}", "error"),
])  # fmt: skip
def test_an_entry_is_as_grave_as_the_house_had_it_on_its_day(tmp_path: Path, rows: str, severity: str) -> None:
    report = check_example(f"# house.yaml\nseverities: [{rows}]\n# TH-004217\n" + HELD % "", tmp_path)
    assert {finding.code: finding.severity for finding in report.findings} == {"fill-while-held": severity}


def test_exit_codes() -> None:
    def of(severity: Any) -> list[Finding]:
        return [Finding("some-code", severity, "", "p")]

    assert [exit_code(of("error")), exit_code(of("warning")), exit_code(of("note")), exit_code([])] == [1, 0, 0, 0]
    assert [exit_code(of("warning"), strict=True), exit_code(of("note"), strict=True)] == [1, 0]


def test_a_late_emptying_put_in_its_place_clears_the_fill(tmp_path: Path) -> None:
    text = """\
# received 2020-01-01, examined 2020-01-02, filled 2020-01-03
%s- {id: e1000002, date: 2023-06-02, job: examine, by: ab, verdict: sound}
- {id: e1000003, date: 2023-06-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5, at_20: true}
"""
    late = "- {id: e1000001, date: 2023-06-01, job: empty, by: ab, litres: 180, abv: 62, at_20: true}\n"
    assert codes(text % "", tmp_path / "a") == ["job-on-full-cask"]
    assert codes(text % late, tmp_path / "b") == []


def test_a_voided_entry_is_not_judged(tmp_path: Path) -> None:
    text = HELD % "" + "- {id: e1000003, date: 2020-01-03, job: void, by: ab, of: e1000002, why: wrong cask}\n"
    assert codes(text, tmp_path) == []


def test_a_leavers_old_entries_stay_good(tmp_path: Path) -> None:
    house = "# house.yaml\ncrew: [{initials: ab, until: 2020-01-02}, {initials: kd}]\n# TH-004217\n"
    assert codes(house + "# received 2020-01-01, examined 2020-01-02\n", tmp_path / "a") == []
    assert codes(house + "# received 2020-01-01, examined 2020-01-03\n", tmp_path / "b") == ["crew-not-yet-or-no-longer"]


def test_a_house_limit_lowered_last_week_does_not_judge_old_tests(tmp_path: Path) -> None:
    text = """\
# house.yaml
test_limit_psi: [{since: 2000-01-01, value: 12}, {since: 2024-12-25, value: 10}]
# TH-004217
# received 2020-01-01
- {id: e1000001, date: 2020-01-02, job: test, by: ab, psi: 11, result: pass}
- {id: e1000002, date: 2024-12-26, job: test, by: ab, psi: 11, result: pass}
"""
    report = check_example(text, tmp_path)
    assert [(f.code, f.span.line, f.message) for f in report.findings] == [("test-over-house-limit", 14, "`psi` is 11: the house limit is 10 psi")]


def test_alcohol_is_carried_through_draws_tops_and_temperature(tmp_path: Path) -> None:
    text = """\
# received 2020-01-01, examined 2020-01-02
- {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 190, abv: 63.5, temp_c: 5}
- {id: e1000002, date: 2021-01-03, job: draw, by: ab, litres: 50, abv: 63, at_20: true}
- {id: e1000003, date: 2022-01-03, job: top, by: ab, litres: 20, abv: 63, at_20: true, oak_since: 2019-01-01}
- {id: e1000004, date: 2023-01-03, job: regauge, by: ab, litres: %s, abv: 62, temp_c: 20, method: dip}
"""
    # 190 L at 5 °C are about 192.6 L at 20 °C: 122.3 LPA - 31.5 + 12.6 = 103.4, so 166.8 L at 62 %.
    assert codes(text % "165", tmp_path / "a") == []
    assert codes(text % "168", tmp_path / "b") == []
    assert codes(text % "172", tmp_path / "c") == ["lpa-gain"]


def test_what_is_uncorrected_is_told_once_a_file_and_given_room(tmp_path: Path) -> None:
    text = """\
# received 2020-01-01, examined 2020-01-02
- {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 190, abv: 63.5}
- {id: e1000002, date: 2021-01-03, job: regauge, by: ab, litres: 193, abv: 63.5, method: dip}
"""
    report = check_example(text, tmp_path)
    assert [(f.code, f.severity) for f in report.findings] == [("uncorrected-gauge", "note")]
    assert "and 1 more" in report.findings[0].message


def test_more_after_the_arrival_than_before_blames_the_arrival_only(tmp_path: Path) -> None:
    text = """\
- {id: e1000001, date: 2019-01-01, job: measure, by: ab, stave_mm: 24}
- {id: e1000002, date: 2019-01-02, job: measure, by: ab, stave_mm: 24}
- {id: e1000003, date: 2019-01-03, job: measure, by: ab, stave_mm: 24}
- {id: e1000004, date: 2020-01-01, job: receive, by: ab, verdict: accept}
"""
    assert codes(text, tmp_path) == ["arrival-not-first"]


def test_what_all_took_of_a_donor_is_counted_whichever_file_is_checked(tmp_path: Path) -> None:
    def taker(number: str, day: str) -> str:
        return f"# {number}\n# received 2020-01-01, opened 2020-01-02\n- {{id: e1000001, date: {day}, job: stave, by: ab, staves: [4, 5], action: replace, from: TH-001187}}\n"

    text = "# TH-001187\n- {id: e1000001, date: 2019-01-01, job: receive, by: ab, verdict: reject}\n"
    text += "- {id: e1000002, date: 2019-01-02, job: break-up, by: ab, staves_saved: 3}\n"
    ledger = ledger_of(files_of(text + taker("TH-004217", "2020-02-01") + taker("TH-004218", "2020-01-15")), tmp_path)
    report = check_ledger(ledger, TODAY)
    assert [(f.code, f.cask) for f in report.findings] == [("donor-out-of-staves", "TH-004217")]
    assert "4 staves" in report.findings[0].message and report.casks == 3
    assert [check_ledger(ledger, TODAY, [f"casks/TH-004/TH-{number}.yaml"]).findings for number in ("004217", "004218")] == [report.findings, ()]


def test_three_barrels_racked_into_one_butt_take_the_age_of_the_youngest(tmp_path: Path) -> None:
    butt = """\
# TH-009001
cask: TH-009001
format: 1
type: butt
capacity_l: 500
prior: []
charred: never
events:
  - {id: e1000001, date: 2023-01-01, job: receive, by: ab, verdict: accept}
  - {id: e1000002, date: 2024-01-02, job: examine, by: ab, verdict: sound}
  - {id: g1000001, date: 2024-01-03, job: rack-in, by: ab, from: [{cask: TH-000001, litres: 150, abv: 62},
     {cask: TH-000002, litres: 150, abv: 62}, {cask: TH-000003, litres: 150, abv: 62}], at_20: true, spirit: malt, oak_since: %s}
"""
    barrels = "".join(
        f"# TH-00000{n}\n# received 2019-01-01, examined 202{n}-01-02, filled 202{n}-01-03\n"
        f"- {{id: g1000001, date: 2024-01-03, job: rack-out, by: ab, to: [{{cask: TH-009001, litres: 150, abv: 62}}], at_20: true, why: vatting}}\n"
        for n in (0, 1, 2)
    ).replace("TH-000000", "TH-000003")
    assert codes(butt % "2022-01-03" + barrels, tmp_path / "a") == []
    assert codes(butt % "2020-01-03" + barrels, tmp_path / "b") == ["rack-age-differs"]
    assert codes(butt % "unknown" + barrels, tmp_path / "c") == ["rack-age-differs"]


def test_an_event_out_of_order_is_judged_where_it_does_the_least_harm(tmp_path: Path) -> None:
    slip = """\
# received 2020-01-01, examined 2020-01-02, filled 2020-01-03
- {id: e1000001, date: 2012-06-01, job: empty, by: ab, litres: 180, abv: 62, at_20: true}
- {id: e1000002, date: 2022-06-02, job: examine, by: ab, verdict: sound}
- {id: e1000003, date: 2022-06-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5, at_20: true}
"""
    assert codes(slip, tmp_path / "a") == ["date-before-arrival"]
    hand = """\
# received 2020-01-01, examined 2020-01-02, filled 2020-01-03
- {id: e1000002, date: 2022-06-02, job: examine, by: ab, verdict: sound}
- {id: e1000003, date: 2022-06-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5, at_20: true}
- {id: e1000001, date: 2022-06-01, job: empty, by: ab, litres: 180, abv: 62, at_20: true}
"""
    assert codes(hand, tmp_path / "b") == ["events-out-of-order"]


def test_one_cask_alone_gives_what_the_whole_check_gives(tmp_path: Path) -> None:
    ledger = ledger_of(files_of(HELD % ""), tmp_path)
    record = ledger.get("TH-004217")
    alone = check_record(ledger, record, context_of(ledger, TODAY))
    assert tuple(alone) == check_ledger(ledger, TODAY).findings
    assert check_record(ledger, record, context_of(ledger, date(2020, 1, 2)))[0].code == "date-in-future"


def test_a_number_that_is_a_path_is_refused_as_a_form(tmp_path: Path) -> None:
    text = "# TH-004217\n{cask: ../../x, format: 1, type: barrel, events: []}\n"
    assert codes(text, tmp_path) == ["wrong-form"]


def test_the_help_can_be_pasted(tmp_path: Path) -> None:
    text = "# received 2020-01-01, examined 2020-01-02, filled 2020-01-03\n- {id: e1000001, date: 2020-02-03, job: test, by: ab, psi: 11, result: pass}\n"
    assert check_example(text, tmp_path).findings[0].help == 'enter the emptying first, or void this test: caskbook void TH-004217 e1000001 --why "…"'


def test_a_file_mentions_the_casks_its_findings_depend_on(tmp_path: Path) -> None:
    one = explanation("parent-still-in-stock")
    assert one is not None
    ledger = ledger_of(files_of(one.right), tmp_path)
    found = {record.name: mentions(record.cask) for record in ledger.records() if record.cask}
    assert found == {"TH-001187": {"TH-004218"}, "TH-004218": {"TH-001187"}}


FULL = "# received 2020-01-01, examined 2020-01-02, filled 2020-01-03\n"
TESTED = "- {id: e%d000000, date: %s, job: test, by: ab, psi: 11, result: pass}\n"


def test_a_missing_entry_is_one_fault_however_many_follow(tmp_path: Path) -> None:
    emptying = (
        FULL
        + """\
- {id: e1000002, date: 2023-06-02, job: examine, by: ab, verdict: sound}
- {id: e1000003, date: 2023-06-02, job: open, by: ab, heads: [A, B]}
- {id: e1000004, date: 2023-06-02, job: char, by: ab, level: 3}
- {id: e1000005, date: 2023-06-02, job: close, by: ab, heads: [A, B]}
- {id: e1000006, date: 2023-06-02, job: test, by: ab, psi: 11, result: pass}
- {id: e1000007, date: 2023-06-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5, at_20: true}
- {id: e1000008, date: 2024-06-03, job: regauge, by: ab, litres: 190, abv: 63, at_20: true, method: dip}
"""
    )
    assert codes(emptying, tmp_path / "a") == ["job-on-full-cask"]
    opening = """\
# received 2020-01-01, examined 2020-01-02
- {id: e1000001, date: 2020-01-03, job: stave, by: ab, staves: [4], action: rejoint}
- {id: e1000002, date: 2020-01-03, job: char, by: ab, level: 3}
- {id: e1000003, date: 2020-01-03, job: close, by: ab, heads: [A, B]}
- {id: e1000004, date: 2020-01-04, job: test, by: ab, psi: 11, result: pass}
"""
    assert codes(opening, tmp_path / "b") == ["job-needs-open-cask"]
    gone = (
        "# received 2020-01-01\n- {id: e1000000, date: 2020-01-02, job: dispose, by: ab, how: sold}\n" + TESTED % (2, "2020-02-02") + TESTED % (3, "2020-03-02")
    )
    assert codes(gone, tmp_path / "c") == ["job-on-gone-cask"]


def test_two_faults_with_proof_between_them_are_two(tmp_path: Path) -> None:
    gauge = "- {id: e2000000, date: 2021-01-03, job: regauge, by: ab, litres: 190, abv: 63, at_20: true, method: dip}\n"
    text = FULL + TESTED % (1, "2020-06-01") + "%s" + TESTED % (3, "2021-06-01")
    assert codes(text % gauge, tmp_path / "a") == ["job-on-full-cask", "job-on-full-cask"]
    assert codes(text % "", tmp_path / "b") == ["job-on-full-cask"]


def test_a_defect_word_that_cannot_be_read_is_told_once_and_not_as_a_word_of_ours(tmp_path: Path) -> None:
    text = """\
# TH-004217
# received 2020-01-01
- {id: e1000001, date: 2020-01-02, job: examine, by: ab, verdict: repair, findings: [{at: stave-3, defect: cracked stave, severity: 1}]}
"""
    assert codes(text, tmp_path) == ["wrong-form"]
    assert codes(text.replace("cracked stave", "unknown"), tmp_path) == ["unknown-defect-word"]

"""The table of a score as text of 110 columns."""

from __future__ import annotations

from loss.simulator.scoring import Table, Tally, by_habit, by_rate
from loss.simulator.weather import BASE_RATES

HEAD = f"{'':26}{'>= 3x':>16}{'2-3x':>15}{'act':>14}{'act+watch':>16}   left out: unseen few small"


def text(table: Table) -> str:
    """By habit, by base rate, and by both; then what was missed and accused, by kind."""
    lines = [HEAD]
    lines += [_row(habit, tally) for habit, tally in by_habit(table).items()]
    lines += ["", *(_row(f"all habits, {100 * rate:g} %", tally) for rate, tally in by_rate(table).items())]
    lines.append("")
    for habit in by_habit(table):
        lines += [_row(f"{habit}, {100 * rate:g} %", table[habit, rate]) for rate in BASE_RATES if (habit, rate) in table]
    lines.append("")
    for habit, tally in by_habit(table).items():
        lines.append(f"{habit}: last said of sound fills: {', '.join(f'{level} {n}' for level, n in tally.said.most_common())}")
        lines += [f"  {n:5}  {kind}" for kind, n in tally.kinds.most_common()]
    return "\n".join(lines)


def _row(name: str, tally: Tally) -> str:
    """Shares with the counts behind them: found of leaks; alarms in so many decades of sound casks."""
    cells = [f"{name:26}"]
    for size, width in (("large", 16), ("middle", 15)):
        found, every = tally.of(size)
        cells.append(f"{f'{100 * found / every:.1f} % of {every}' if every else '-':>{width}}")
    for sort, width in (("act", 14), ("any", 16)):
        cells.append(f"{f'{100 * tally.a_decade(sort):.2f} % ({tally.alarms[sort]})':>{width}}")
    rest = "   ".join(f"{found}/{every}" for found, every in map(tally.of, ("unseen", "few", "small")))
    return "".join(cells) + f"   {rest}"

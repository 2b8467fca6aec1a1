"""A value in the dataset is the one in the record: every key of every act, tool, departure, estimate and reading."""

from __future__ import annotations

import json
import tomllib
from datetime import date, datetime
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from typing import Any

import pytest

from fleet.datasets import asked, exported, golden_books

_IN_NEWTON_METRES = {"N·m": Decimal(1), "lbf·ft": Decimal("1.3558179483314004"), "kgf·m": Decimal("9.80665")}


@pytest.fixture(scope="module")
def records(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[dict[str, Any]], list[dict[str, Any]]]:
    """The dataset of all golden books, and their records as the files have them: of runs, and of checks."""
    folder = tmp_path_factory.mktemp("golden")
    books = golden_books(folder)
    exported(folder / "dataset", *books)
    found = [
        sorted(path for book in books for path in book.glob(f"{kind}/*/record.toml")) for kind in ("runs", "checks")
    ]
    runs, checks = ([tomllib.loads(path.read_text(encoding="utf-8")) for path in paths] for paths in found)
    return folder / "dataset", runs, checks


def _same(said: object, held: object) -> bool:
    match held:
        case datetime():
            return datetime.fromisoformat(str(said)) == held
        case date():
            return str(said) == held.isoformat()
        case Decimal():
            return Decimal(str(said)) == held
        case _:
            return said == held


def _compared(said: dict[str, Any], row: dict[str, Any]) -> int:
    """Hold every key of a table in the record against the row; those without a column stand in `other`."""
    other = json.loads(row["other"] or "{}")
    for key, value in said.items():
        held = row[key] if row.get(key) is not None else other.get(key)
        assert _same(value, held), (key, value, held)
    return len(said)


def test_every_act_has_what_its_record_says(records: tuple[Path, list[dict[str, Any]], list[dict[str, Any]]]) -> None:
    dataset, runs, _ = records
    rows = {(row["run"], row["line"], row["row"], row["position"]): row for row in asked(dataset, "FROM {acts}")}
    compared = values = 0
    for run in runs:
        for kind in ("reading", "wait", "inspection"):
            for act in run.get(kind, []):
                values += _compared(act, rows[run["run"], act["line"], kind, act.get("position")])
                compared += 1
    assert compared == len(rows) >= 455
    assert values > 5000


def test_acts_stand_in_the_order_of_their_lines(
    records: tuple[Path, list[dict[str, Any]], list[dict[str, Any]]],
) -> None:
    dataset, runs, _ = records
    found: dict[str, list[int]] = {}
    for row in asked(dataset, "SELECT run, line FROM {acts}"):
        found.setdefault(row["run"], []).append(row["line"])
    assert all(lines == sorted(lines) for lines in found.values())
    assert set(found) == {run["run"] for run in runs if "reading" in run or "inspection" in run or "wait" in run}


def test_torque_angle_and_stretch_are_in_one_unit(
    records: tuple[Path, list[dict[str, Any]], list[dict[str, Any]]],
) -> None:
    dataset, runs, _ = records
    rows = {
        (row["run"], row["line"], row["position"]): row for row in asked(dataset, "FROM {acts} WHERE row = 'reading'")
    }
    found = dict.fromkeys(("torque_nm", "angle_deg", "stretch_mm", "length_mm", "set_nm"), 0)
    for run in runs:
        for act in run.get("reading", []):
            row = rows[run["run"], act["line"], act.get("position")]
            for column, expected in _expected(act).items():
                assert row[column] == expected, (run["run"], act["line"], column)
                found[column] += expected is not None
    assert all(found.values()), found


def _expected(act: dict[str, Any]) -> dict[str, Decimal | None]:
    judged = next((Decimal(act[key]) for key in ("at_fastener", "sum", "result") if key in act), None)
    unit = act.get("judged_unit")
    of_torque = None if judged is None or unit not in _IN_NEWTON_METRES else judged * _IN_NEWTON_METRES[unit]
    length = judged if unit == "mm" else None
    setting = act.get("set_to_at_fastener")
    return {
        "torque_nm": _six(of_torque),
        "angle_deg": judged if unit == "°" else None,
        "length_mm": length,
        "stretch_mm": length if act["kind"] == "stretch" else None,
        "set_nm": None if setting is None else _six(Decimal(setting) * _IN_NEWTON_METRES[act["sheet_unit"]]),
    }


def _six(value: Decimal | None) -> Decimal | None:
    return None if value is None else value.quantize(Decimal("0.000001"), ROUND_HALF_UP)


def test_a_target_is_that_of_the_stage(records: tuple[Path, list[dict[str, Any]], list[dict[str, Any]]]) -> None:
    dataset, runs, _ = records
    head = next(run for run in runs if run["title"].startswith("Cooling pump bed"))
    rows = asked(dataset, f"FROM {{acts}} WHERE run = '{head['run']}' AND kind IN ('pull', 'turn') ORDER BY line")
    aims = {(row["stage"], row["kind"], row["target_nm"], row["target_deg"]) for row in rows}
    assert (1, "pull", Decimal(20), None) in aims
    assert (2, "pull", Decimal(30), None) in aims
    assert (3, "turn", None, Decimal(50)) in aims


def test_runs_tools_estimates_departures_and_parts_have_what_their_records_say(
    records: tuple[Path, list[dict[str, Any]], list[dict[str, Any]]],
) -> None:
    dataset, runs, _ = records
    tables = {
        name: asked(dataset, f"FROM {{{name}}}") for name in ("runs", "tools", "estimates", "deviations", "parts")
    }
    expected = dict.fromkeys(tables, 0)

    def one(table: str, run: dict[str, Any], **where: object) -> dict[str, Any]:
        expected[table] += 1
        named = {"run": run["run"], **where}
        (row,) = (row for row in tables[table] if all(row[key] == value for key, value in named.items()))
        return row

    for run in runs:
        heading = {key: value for key, value in run.items() if not _is_table(value) and key != "book"}
        row = one("runs", run)
        _compared(heading, row)
        assert row["of_book"] == run["book"]
        for tool in run.get("tool", []):
            of_tool = one("tools", run, tool=tool["tool"], serial=tool.get("serial"))
            _compared({key: value for key, value in tool.items() if not _is_table(value)}, of_tool)
        for part in run.get("part", []):
            _compared(part, one("parts", run, line=part["line"], part=part["part"], recorded=part["recorded"]))
        for number, deviation in enumerate(run.get("deviation", []), start=1):
            for place, departed in enumerate(deviation["departed"], start=1):
                _compared(departed, one("deviations", run, deviation=number, departure=place))
        for load in run.get("clamp_load", []):
            for at in load.get("at", []):
                named = {key: load[key] for key in ("group", "stage", "round", "do")}
                row = one("estimates", run, position=at["position"], **named)
                _compared(at, row)
                assert row["clamp_load_kn"] == Decimal(at["likely"])
    assert expected == {name: len(rows) for name, rows in tables.items()}


def _is_table(value: object) -> bool:
    return isinstance(value, dict) or (isinstance(value, list) and isinstance(value[0], dict))


def test_checks_have_what_their_records_say(
    records: tuple[Path, list[dict[str, Any]], list[dict[str, Any]]],
) -> None:
    dataset, _, checks = records
    rows = {(row["check"], row["row"], row["line"]): row for row in asked(dataset, "FROM {check_readings}")}
    (check,) = checks
    for reading in check["reading"]:
        row = rows[check["check"], reading.get("row"), reading.get("line")]
        _compared(reading, row)
        assert row["reference_nm"] == _six(Decimal(reading["reference"]) * _IN_NEWTON_METRES["lbf·ft"])
    assert len(rows) == len(check["reading"])
    (row,) = asked(dataset, "FROM {checks}")
    assert (row["tool_serial"], row["reference_serial"]) == ("HM-0118", "HM-0201")
    assert (row["as_found"], row["permissible_percent"]) == ("passed", Decimal(4))

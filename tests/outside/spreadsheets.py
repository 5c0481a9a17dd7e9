#!/usr/bin/env python3
"""Writes spreadsheets with openpyxl and odfpy and reads them with ours; cells must come as shown.

    python3 tests/outside/spreadsheets.py              compares what is read with what must be
    python3 tests/outside/spreadsheets.py --cases      writes the files of tests/cases/intake anew
"""

import datetime
import json
import subprocess
import sys
import tempfile
from pathlib import Path

import openpyxl
from odf import opendocument, table, text

ROOT = Path(__file__).resolve().parent.parent.parent
DAY = datetime.date(2026, 11, 25)
EVENING = datetime.datetime(2026, 11, 25, 18, 30)

# A stored value, its format, and the text that must be read.
SHOWN = [
    (123, "00000", "00123"),
    (123456789, "00000-0000", "12345-6789"),
    (12.5, "0.00", "12.50"),
    (1118.5, '#,##0.00 "€"', "1118.50 €"),
    (1118.5, "[$€-407] #,##0.00", "€ 1118.50"),
    (-4, "0.00;[Red](0.00)", "-4.00"),
    (0.031, "General", "0.031"),
    (0.1 + 0.2, "General", "0.3"),
    (0.35, '0.00" kg"', "0.35 kg"),
    (0.5, "0%", "50%"),
    (4711, '"TH-"0000', "TH-4711"),
    (123456789012, "0.00E+00", "123456789012"),
    (DAY, "yyyy-mm-dd", "2026-11-25"),
    (DAY, "dd.mm.yy", "2026-11-25"),
    (DAY, "mm-dd-yy", "2026-11-25"),
    (EVENING, "d/m/yyyy h:mm", "2026-11-25 18:30"),
    (datetime.time(18, 30), "h:mm:ss", "18:30:00"),
    ("00123", "General", "00123"),
    ("Jörg <Weißenfels> & Söhne", "General", "Jörg <Weißenfels> & Söhne"),
    ("two\nlines", "General", "two\nlines"),
    (" spaces ", "General", " spaces "),
    ("🖋", "General", "🖋"),
    (True, "General", "TRUE"),
    ("=1+1", "@", None),
]

ORDERS = [
    ["Bestellnummer", "Bestelldatum", "Name", "Straße", "PLZ", "Ort", "Land", "Artikel", "Menge",
     "Einzelpreis", "Gewicht (kg)"],
    [4711, DAY, "Jörg Weißenfels", "Am Sägewerk 7", 1067, "Grünsiel", "Deutschland",
     "Füller „Reiher“", 1, 1118.5, 0.031],
    [4711, None, None, None, None, None, None, "Feder", 2, 46, 0.002],
    [4712, DAY, "Zoë Ahlers", "Deichweg 3\nHinterhaus", 26993, "Nordkoog", "Deutschland", "Tinte",
     1, 9.9, 0.12],
]
FORMATS = {"Bestelldatum": "dd.mm.yyyy", "PLZ": "00000", "Einzelpreis": '#,##0.00 "€"'}


def write_xlsx(path, rows, formats):
    """Writes rows with openpyxl; a cell with a format of its own is a pair."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Bestellungen"
    for number, row in enumerate(rows, 1):
        for column, value in enumerate(row, 1):
            cell = sheet.cell(number, column)
            value, own = value if isinstance(value, tuple) else (value, None)
            # openpyxl takes text that starts so for a formula.
            cell.value = value
            shown = own or (formats.get(rows[0][column - 1]) if number > 1 else None)
            if shown:
                cell.number_format = shown
    return book, sheet


def add_ods_cell(row, value, shown=None):
    """Adds a cell with what it holds and what it shows."""
    if value is None:
        row.addElement(table.TableCell())
        return
    if isinstance(value, (datetime.datetime, datetime.date)):
        cell = table.TableCell(valuetype="date", datevalue=value.isoformat())
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        cell = table.TableCell(valuetype="float", value=str(value))
    else:
        cell = table.TableCell(valuetype="string")
    for line in str(shown if shown is not None else value).split("\n"):
        cell.addElement(text.P(text=line))
    row.addElement(cell)


def write_ods(path, rows):
    """Writes rows with odfpy; a cell is a value, or a value and what it shows."""
    document = opendocument.OpenDocumentSpreadsheet()
    sheet = table.Table(name="Bestellungen")
    for cells in rows:
        row = table.TableRow()
        for value in cells:
            add_ods_cell(row, *(value if isinstance(value, tuple) else (value,)))
        sheet.addElement(row)
    # Spreadsheet programs fill the sheet to its last row and column.
    rest = table.TableRow(numberrowsrepeated="1048000")
    rest.addElement(table.TableCell(numbercolumnsrepeated="16384"))
    sheet.addElement(rest)
    document.spreadsheet.addElement(sheet)
    document.save(str(path))


def read_with_ours(path):
    """The cells and the error of a file, as ours reads it."""
    run = subprocess.run(
        ["cargo", "run", "-q", "--locked", "--example", "outside", "--", "cells"], cwd=ROOT, check=True,
        input=json.dumps({"file": str(path)}) + "\n", capture_output=True, text=True,
    )
    return json.loads(run.stdout)


def compare():
    """Compares cells of all kinds."""
    wrong = []
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "shown.xlsx"
        shown = [it for it in SHOWN if it[2] is not None]
        rows = [["stored"], *[[(value, code)] for value, code, _ in shown]]
        write_xlsx(path, rows, {})[0].save(path)
        answer = read_with_ours(path)
        for (value, code, expected), row in zip(shown, answer["rows"][1:], strict=True):
            if row != [expected]:
                wrong.append(f"{value!r} as {code}: expected {expected!r}, found {row!r}")
        formula = Path(folder) / "formula.xlsx"
        write_xlsx(formula, [["stored"], ["=1+1"]], {})[0].save(formula)
        if read_with_ours(formula)["error"] != "formula-without-value":
            wrong.append("a formula that was never computed was read")
        path = Path(folder) / "shown.ods"
        rows = [["stored", "x"], [(123, "00123"), "a"], [(12.5, "12,50 €"), "b"], [(DAY, "25.11."), "c"],
                ["two\nlines", "d"], [(1.2e15, "1,2E+15"), "e"], [None, "f"]]
        write_ods(path, rows)
        expected = [["stored", "x"], ["00123", "a"], ["12,50 €", "b"], ["2026-11-25", "c"],
                    ["two\nlines", "d"], ["1.2E+15", "e"], ["", "f"]]
        found = read_with_ours(path)["rows"]
        if found != expected:
            wrong.append(f"expected {expected}, found {found}")
    if wrong:
        sys.exit("\n".join(wrong))
    print(f"{len(SHOWN) + 6} cells are read as they are shown")


def write_cases():
    """Writes the spreadsheets of the cases."""
    cases = ROOT / "tests/cases/intake"
    for name in ["spreadsheet-excel", "first-map-spreadsheet"]:
        path = cases / name / "export.xlsx"
        path.parent.mkdir(exist_ok=True)
        book, sheet = write_xlsx(path, ORDERS, FORMATS)
        book.create_sheet("Kunden")
        book.save(path)
    path = cases / "spreadsheet-hidden-rows/export.xlsx"
    path.parent.mkdir(exist_ok=True)
    book, sheet = write_xlsx(path, ORDERS, FORMATS)
    sheet.row_dimensions[4].hidden = True
    book.save(path)
    path = cases / "spreadsheet-far-cell/export.xlsx"
    path.parent.mkdir(exist_ok=True)
    book, sheet = write_xlsx(path, ORDERS, FORMATS)
    sheet["XFD1048576"] = "x"
    book.save(path)
    path = cases / "spreadsheet-formula/export.xlsx"
    path.parent.mkdir(exist_ok=True)
    book, sheet = write_xlsx(path, ORDERS, FORMATS)
    sheet["I3"] = "=1+1"
    book.save(path)
    path = cases / "spreadsheet-opendocument/export.ods"
    path.parent.mkdir(exist_ok=True)
    shown = {1067: "01067", 1118.5: "1.118,50 €", 46: "46,00 €", 9.9: "9,90 €", 0.031: "0,031",
             0.002: "0,002", 0.12: "0,12", DAY: "25. Nov."}
    known = lambda value: isinstance(value, (int, float, datetime.date)) and value in shown
    rows = [[(value, shown[value]) if known(value) else value for value in row] for row in ORDERS]
    write_ods(path, rows)


if __name__ == "__main__":
    write_cases() if "--cases" in sys.argv else compare()

"""From bytes to rows: letters, columns, titles, headings, sheets."""

import csv
import io
from datetime import date

import openpyxl
import pytest
from tests.book.typed.cast import LISTS, camp_list, decision, shipped_list, table, workbook

from loftbook.book.typed.encoding import decode
from loftbook.book.typed.separated import split_cells
from loftbook.errors import ListError

TEXT = "Name;Double tuck\nEngström, Elodie;x\nGwen Grönholm;x\nIBSEN Inés;x\nMirela Møller;x\nURBÁN Ulla;1\n"


def sentences(list_):
    return {note.id: note for note in list_.notes}


def test_it_works():
    spring = table(shipped_list("camp-spring.csv"), "camp-spring.csv")
    assert spring.titles == ("Spring camp, Saltmarsh hall", "12 & 13 April 2025, bed A to soft mat")
    assert spring.header.cells == ("Name", "DBL tuck", "dbl pike", "Open DBL tuck")
    assert (spring.header.number, spring.rows[0].number, spring.rows[-1].number) == (3, 4, 33)
    assert spring.rows[1].cells == ("Berisha, Brisa", "no", "", "-")


@pytest.mark.parametrize("name", ["roster.csv", "camp-spring.csv", "camp-autumn.csv"])
def test_the_rows_are_those_of_another_reader(name):
    """The csv module of Python, told the encoding and the separator by hand."""
    encoding, sign = {"roster.csv": ("utf-8-sig", ";"), "camp-spring.csv": ("utf-8", ",")}.get(
        name, ("cp1252", ";")
    )
    with (LISTS / name).open(encoding=encoding, newline="") as file:
        expected = [[cell.strip() for cell in cells] for cells in csv.reader(file, delimiter=sign)]
    read = table(shipped_list(name))
    assert [list(r.cells) for r in read.rows] == [
        cells for cells in expected[read.header.number :] if any(cells)
    ]
    for r in read.rows:
        assert list(r.cells) == expected[r.number - 1]


@pytest.mark.parametrize(
    ("encoding", "words"),
    [
        ("utf-8", "UTF-8"),
        ("utf-8-sig", "byte-order mark"),
        ("utf-16", "UTF-16"),
        ("utf-16-le", "UTF-16"),
        ("utf-16-be", "UTF-16"),
        ("utf-32", "UTF-32"),
        ("cp1252", "Windows-1252"),
        ("mac_roman", "Mac Roman"),
        ("cp850", "DOS 850"),
    ],
)
def test_letters_of_the_usual_encodings(encoding, words):
    read = table(TEXT.encode(encoding))
    assert read.rows[3].cells[0] == "Mirela Møller"
    assert words in sentences(read)["encoding"].sentence


@pytest.mark.parametrize("encoding", ["cp1251", "cp1253", "cp1250"])
def test_letters_of_other_scripts(encoding):
    text = {"cp1251": "Иванова Анна", "cp1253": "Γεωργίου Μαρία", "cp1250": "Łukasz Wójcik"}[encoding]
    assert table(f"Name;Double tuck\n{text};x\n".encode(encoding)).rows[0].cells[0] == text


def test_what_an_old_encoding_leaves_open_is_said_and_names_in_the_book_settle_it():
    data = "Name;Double tuck\nČAPEK Calla;x\nJUHÁSZ Jutta;x\n".encode("cp1250")
    alone = decode(data)
    assert alone.confidence < 0.8
    assert "Windows-1250 “ÈAPEK” would read “ČAPEK”" in alone.sentence
    helped = decode(data, expect=["Calla Čapek", "Jutta Juhász"])
    assert "ČAPEK" in helped.text
    assert "names in the book" in helped.sentence


def test_letters_that_were_saved_twice_are_put_right():
    assert table("Name;Height\nGwen GrÃ¶nholm;140\n").rows[0].cells[0] == "Gwen Grönholm"


def test_an_encoding_can_be_told():
    assert "Mřller" in table(TEXT.encode("cp1252"), encoding="cp1250").rows[3].cells[0]
    with pytest.raises(ListError, match="name another one"):
        table(b"\xff\xff\xfe", encoding="utf-8")


@pytest.mark.parametrize("sign", [";", ",", "\t", "|"])
def test_columns(sign):
    rows = [["Name", "Double tuck", "Height"], ["Ayla Aalto", "x", "140"], ["Calla Čapek", "", "133"]]
    assert table("\n".join(sign.join(cells) for cells in rows)).rows[1].cells == ("Calla Čapek", "", "133")


def test_a_decimal_comma_is_not_a_separator():
    text = "Name;Height;Born\nAyla;1,40 m;2014-10-26\nBrisa;1,59 m;2016-08-26\n"
    assert table(text).rows[0].cells == ("Ayla", "1,40 m", "2014-10-26")


def test_the_separator_line_that_a_spreadsheet_writes():
    read = table("sep=;\nName;Height\nAyla, the first;140\n")
    assert read.header.number == 2
    assert read.rows[0].cells == ("Ayla, the first", "140")


def test_quotes_as_published():
    # RFC 4180 (2005), section 2, rules 6 and 7: "b CRLF bb" is one field; "b""bb" holds one quote mark
    assert split_cells('"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx').rows == (
        ("aaa", "b\nbb", "ccc"),
        ("zzz", "yyy", "xxx"),
    )
    assert split_cells('"aaa","b""bb","ccc"').rows[0] == ("aaa", 'b"bb', "ccc")


def test_a_quote_that_is_never_closed_swallows_no_row():
    rows = "".join(f"Child{n} Family{n},x\n" for n in range(200))
    read = table(f'Name,Double tuck\n"Nini Berg,x\n{rows}')
    assert len(read.rows) == 201
    assert "never closed" in sentences(read)["quotes"].sentence


def test_quote_marks_inside_cells_stay():
    read = table('Name,Height\nAnna "Nini" Berg,4\'9"\n')
    assert read.rows[0].cells == ('Anna "Nini" Berg', "4'9\"")


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_line_ends(end):
    assert len(table(end.join(["Name,Height", "Ayla,140", "Calla,133"])).rows) == 2


def test_a_spreadsheet_reads_like_the_text_it_came_from():
    read = table(shipped_list("camp-spring.csv"))
    rows = [*([t] for t in read.titles), read.header.cells, *(r.cells for r in read.rows)]
    sheet = table(workbook(rows), "list.xlsx")
    assert sheet.titles == read.titles
    assert [r.cells for r in sheet.rows] == [r.cells for r in read.rows]


def test_numbers_and_dates_of_a_spreadsheet():
    rows = [
        ["Name", "Date of birth", "Height cm", "filming ok?"],
        ["Ayla", date(2014, 10, 26), 140.0, True],
    ]
    assert table(workbook(rows), "r.xlsx").rows[0].cells == ("Ayla", "2014-10-26", "140", "yes")


def test_the_sheet_that_looks_like_a_list_is_taken():
    def notes_first(book, sheet):
        sheet["A1"], sheet["B1"] = "Bring:", "leotard"
        list_ = book.create_sheet("Girls")
        for cells in (["Name", "Double tuck"], ["Ayla Aalto", "x"]):
            list_.append(cells)

    read = table(workbook([], title="Notes", change=notes_first), "l.xlsx")
    assert read.rows[0].cells == ("Ayla Aalto", "x")
    assert "“Girls”" in sentences(read)["sheet"].sentence
    assert "“Notes”" in sentences(read)["sheet"].sentence
    with pytest.raises(ListError, match="Notes, Girls"):
        table(workbook([], title="Notes", change=notes_first), "l.xlsx", sheet="Boys")


def test_two_sheets_that_look_like_lists_are_both_named():
    def two(book, sheet):
        other = book.create_sheet("Group B")
        other.append(["Name", "Double tuck"])

    read = table(
        workbook([["Name", "Double tuck"], ["Ayla Aalto", "x"]], title="Group A", change=two), "l.xlsx"
    )
    assert "“Group B” looks like a list too" in sentences(read)["sheet"].sentence
    assert [c.key for c in sentences(read)["sheet"].choices] == ["Group A", "Group B"]


def group_b(book, sheet):
    other = book.create_sheet("Group B ")  # with a space that nobody sees
    other.append(["Name", "Double tuck"])
    other.append(["Gwen Grönholm", "belt"])


@pytest.mark.parametrize("how", [{"sheet": "Group B"}, {"answers": {"sheet": "Group B"}}])
def test_another_sheet_can_be_chosen(how):
    data = workbook([["Name", "Double tuck"], ["Ayla Aalto", "x"]], change=group_b)
    assert table(data, "l.xlsx").rows[0].cells == ("Ayla Aalto", "x")
    read = table(data, "l.xlsx", **how)
    assert read.rows[0].cells == ("Gwen Grönholm", "belt")
    assert (sentences(read)["sheet"].chosen, sentences(read)["sheet"].verdict) == ("Group B", "take")
    assert "not read: “List”" in sentences(read)["sheet"].sentence


def test_an_answer_that_names_no_sheet_is_said():
    data = workbook([["Name", "Double tuck"], ["Ayla Aalto", "x"]], change=group_b)
    answers = {"sheet": "Group C"}
    report = camp_list(table(data, "l.xlsx", answers=answers), answers=answers)
    assert len(report.attempts) == 1
    assert "“sheet” = “Group C”" in decision(report, "answers").sentence


def test_merged_cells_count_for_each_cell():
    def merge(book, sheet):
        sheet.merge_cells("B3:D3")
        sheet.merge_cells("A1:D1")

    rows = [["Spring camp"], ["Name", "Double tuck", "Double pike", "Open tuck"], ["Ayla Aalto", "abs"]]
    read = table(workbook(rows, change=merge), "l.xlsx")
    assert read.titles == ("Spring camp",)
    assert read.rows[0].cells == ("Ayla Aalto", "abs", "abs", "abs")
    assert "B3:D3" in sentences(read)["merged cells"].sentence


def test_macros_are_said_and_never_run():
    data = io.BytesIO(workbook([["Name", "Double tuck"], ["Ayla Aalto", "x"]]))
    import zipfile

    with zipfile.ZipFile(data, "a") as packed:
        packed.writestr("xl/vbaProject.bin", b"macro")
    read = table(data.getvalue(), "list.xlsm")
    assert "macros" in sentences(read)["macros"].sentence


def test_headings_below_titles_and_none_at_all():
    assert table("Squad;;\n;;\nSpring;;\nName;Double tuck;Height\nAyla;x;140\n").header.number == 4
    unknown = table("foo;bar\nAyla Aalto;x\n")
    assert sentences(unknown)["headings"].verdict == "ask"


def test_a_heading_in_another_language_is_found():
    german = table(
        "Lehrgang 12./13. April 2025\nName;Doppelsalto gehockt;Doppelsalto gebückt\nAyla Aalto;x;x\n"
    )
    assert german.header.number == 2


def test_rows_of_a_spreadsheet_by_the_other_engine():
    """What openpyxl itself reads back from the file, row by row."""
    data = workbook([["Name", "Height"], ["Ayla", 1.4], ["Čapek", "1,33 m"]])
    sheet = openpyxl.load_workbook(io.BytesIO(data)).active
    assert [str(c.value) for c in sheet[2]] == list(table(data, "l.xlsx").rows[0].cells)


def test_the_decision_on_formulas():
    def formula(book, sheet):
        sheet["A3"] = '="Calla "&"Čapek"'

    rows = [["Name", "Double tuck"], ["Ayla Aalto", "x"], [None, "x"]]
    read = table(workbook(rows, change=formula), "l.xlsx")
    assert read.rows[1].cells[0] == '="Calla "&"Čapek"'
    assert len(read.shown) == 1

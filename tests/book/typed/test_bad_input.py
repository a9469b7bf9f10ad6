"""Files that are no lists, and lists full of mischief: a sentence each, nothing lost, no traceback."""

import csv
import io
import zipfile
from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.book.typed.cast import (
    LADDER,
    SPRING,
    SQUAD,
    TODAY,
    camp_list,
    decision,
    roster,
    row,
    shipped_list,
    table,
    told,
    workbook,
    written,
)

from loftbook.book.people import Athlete
from loftbook.book.typed import CampListOptions, RosterOptions, read_camp_list, read_roster, read_table
from loftbook.book.typed.titles import read_titles
from loftbook.errors import ListError

LIST = workbook([["Name", "Double tuck"], ["Ayla Aalto", "x"]])


def refused(data, name="list.xlsx"):
    with pytest.raises(ListError) as error:
        read_table(data, name)
    sentence = error.value.sentence()
    assert sentence.startswith("Found ")
    assert "What to do: " in sentence
    return sentence


def packed(parts, source=LIST):
    """The spreadsheet with some of its parts replaced or added."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(source)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for info in old.infolist():
            if info.filename not in parts:
                new.writestr(info, old.read(info))
        for name, data in parts.items():
            new.writestr(name, data)
    return out.getvalue()


SHEET = "xl/worksheets/sheet1.xml"


def sheet_with(text):
    with zipfile.ZipFile(io.BytesIO(LIST)) as old:
        return old.read(SHEET).decode().replace("</sheetData>", f"</sheetData>{text}")


# ---- files that are no list ----


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.99])
def test_a_truncated_spreadsheet(share):
    assert "the end of it is missing" in refused(LIST[: int(len(LIST) * share)])


def test_two_hundred_megabytes():
    assert "200 MB" in refused(bytes(200_000_000), "list.csv")


def test_a_small_file_that_unpacks_to_a_hundred_megabytes():
    bomb = packed({SHEET: b"<worksheet>" + b" " * 100_000_000 + b"</worksheet>"})
    assert len(bomb) < 1_000_000
    assert "unpacks to 100 MB" in refused(bomb)


def test_a_part_that_lies_about_its_size():
    data = bytearray(packed({SHEET: b"<worksheet/>" + b" " * 9_000_000}))
    refused(bytes(data.replace((9_000_012).to_bytes(4, "little"), (100).to_bytes(4, "little"))))


@pytest.mark.parametrize("area", ["A1:XFD1048576", "B2:ZZ99999"])
def test_cells_merged_by_the_million(area):
    refused(packed({SHEET: sheet_with(f'<mergeCells count="1"><mergeCell ref="{area}"/></mergeCells>')}))


def test_entities_that_unfold():
    entities = '<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">'
    bomb = f'<?xml version="1.0"?><!DOCTYPE x [{entities}]><worksheet>&b;</worksheet>'
    refused(packed({SHEET: bomb}))


@pytest.mark.parametrize(
    ("data", "found"),
    [
        (b"", "empty file"),
        (b" \r\n\r\n", "empty file"),
        (b"\xef\xbb\xbf", ""),
        (b";;;\n;;;\n", "without a single filled cell"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(500), "old XLS"),
        (b"%PDF-1.7\n", "PDF"),
        (b"\x89PNG\r\n\x1a\n", "picture"),
        (b"<html><table><tr><td>Name", "web page"),
        (b"SQLite format 3\x00", "database"),
        (bytes(range(256)) * 20, "no text"),
        (b"PK\x03\x04 no zip at all", "the end of it is missing"),
    ],
)
def test_other_files(data, found):
    assert found in refused(data)


def test_other_packed_files():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as new:
        new.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
    assert "OpenDocument" in refused(out.getvalue())
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as new:
        new.writestr("letter.txt", "hello")
    assert "no spreadsheet" in refused(out.getvalue())


def test_too_many_rows_or_columns():
    refused(b"Name;Double tuck\n" + b"Ayla Aalto;x\n" * 6000)
    refused(b"Name" + b";x" * 300 + b"\n")


# ---- lists in odd form ----


def test_only_a_heading():
    report = camp_list("Name;Double tuck\n")
    assert report.rows == ()
    assert "no row under the headings" in decision(report, "rows").sentence


def test_one_column():
    report = roster("Name\nNova Nilsson\nPia Peters\n")
    assert report.counts["take"] == 2
    report = camp_list("Name\nAyla Aalto\n")
    assert report.rows == ()
    assert "No column is a rung" in decision(report, "rungs").sentence


def test_no_column_of_names():
    report = camp_list("Double tuck;Double pike\nx;x\n")
    assert report.rows == ()
    assert "No column holds names" in decision(report, "names").sentence
    answered = camp_list("Wer?;Double tuck;Double pike\nAyla Aalto;x;x\n", answers={"column 1": "name"})
    assert len(answered.attempts) == 2


def test_rows_of_uneven_length_lose_nothing():
    report = camp_list("Name;Double tuck;Double pike\nAyla Aalto;x\nGwen Grönholm;x;x;x;x\nCalla Čapek\n")
    assert [r.verdict for r in report.rows] == ["take", "take", "skip"]
    assert len(report.attempts) == 3


@pytest.mark.parametrize(
    "name",
    ["=cmd()", "@SUM(1)", "=1+1", "🤸🤸", "12", "\u202e", "?" * 50, "x" * 200, '"', "''", "<script>alert(1)</script>",
     "مريم حداد", "Robert'); DROP TABLE athlete;--", "a\x00b", "null", "-", "`backtick`", "|pipe|"],
)  # fmt: skip
def test_mischief_in_a_name_spoils_no_other_row(name):
    quoted = '"' + name.replace('"', '""') + '"'
    report = camp_list(f"Name;Double tuck\n{quoted};x\nAyla Aalto;x\n")
    assert row(report, 3).verdict == "take"
    assert [a.athlete for a in report.attempts] == [SQUAD[0].id]
    text = report.as_markdown()
    assert "<script>" not in text
    assert "\x00" not in text


@pytest.mark.parametrize(
    "mark", ["=cmd()", "=x", "🤸", "<b>x</b>", "x" * 5000, "\u202ex\u202e y", "a`b", "1e999", "#REF!"]
)
def test_mischief_in_a_mark_is_asked(mark):
    report = camp_list(f"Name;Double tuck;Double pike\nAyla Aalto;{mark};x\n")
    assert len(report.attempts) == 1
    assert report.questions


def test_a_formula_is_never_a_fact():
    report = roster(
        "First name;Surname;Born;Club;Height\n=cmd();Aalto;=A1;=B1;=C1\nNova;Nilsson;=A1;=B1;=C1\n"
    )
    assert "=" not in "".join(str(fact) for _, fact in report.facts).replace("=", "", 0).split("Athlete")[0]
    assert row(report, 2).verdict == "refuse"
    assert row(report, 3).verdict == "refuse"


def test_emoji_and_other_scripts_in_a_roster():
    report = roster('First name;Surname;Club\nمريم;حداد;نادي\n🤸Nova;Nilsson;Club 🏆\nÀ;Ü;"Club ""Tuck"""\n')
    clubs = [fact.club.club for _, fact in report.facts]
    assert clubs == ["نادي", "Club 🏆", 'Club "Tuck"']


def test_the_sentence_of_a_right_to_left_name_keeps_its_direction():
    # Unicode Standard Annex 9 (UAX #9): U+2068 first strong isolate, U+2069 pop directional isolate
    text = roster("Name\nمريم حداد\n").as_markdown()
    line = next(line for line in text.splitlines() if "مريم" in line)
    assert "\u2068" in line
    assert "\u2069" in line


# ---- anything at all ----

ROSTER = RosterOptions(TODAY, TODAY, date(2025, 4, 12))
CAMP = CampListOptions(SPRING, "Head coach", TODAY)


def survives(data):
    """A report for any bytes, or a ListError; never anything else."""
    try:
        read = read_table(data, "list")
    except ListError:
        return
    for report in (read_roster(read, SQUAD, ROSTER), read_camp_list(read, SQUAD, LADDER, CAMP)):
        assert report.as_markdown()
        assert report.as_dict()
        rows = {r.number for r in read.rows}
        if any(d.id in ("names", "rungs") for d in report.decisions):
            continue
        assert {d.row for d in report.rows} == rows  # each row has its decision
        for d in report.rows:
            assert d.sentence
            assert not (d.facts and d.verdict in ("ask", "refuse", "skip"))


@given(st.binary(max_size=3000))
@settings(max_examples=200, deadline=None)
def test_any_bytes(data):
    survives(data)


@given(st.text(max_size=1000), st.sampled_from(["utf-8", "utf-16", "cp1252"]))
@settings(max_examples=200, deadline=None)
def test_any_text(text, encoding):
    survives(text.encode(encoding, "replace"))


TYPICAL = (
    "|x|✓|-|0|1|no|abs|inj|S|belt|x, belt|?|=A1|Ayla Aalto|ČAPEK Calla|Lindqvist|Y?ld?z Yara|Totals|Name|2014-10-26|"
    "03/05/2013|31.02.2014|1,40 m|14.5 m|4'9\"|left|yes|a@b.example|Old Mill Club|Gwen Grönhelm|43000|Ayla|Aalto"
).split("|")
CELLS = st.one_of(st.sampled_from(TYPICAL), st.text(max_size=12))
HEADINGS = st.lists(
    st.sampled_from(
        "Name;First name;Surname;Date of birth;Club;Height cm;twists;filming ok?;E-mail;Home coach e-mail;"
        "Double tuck;dbl pike;Double tuck 2;Open tuck;Tuck;;No.;Weight".split(";")
    ),
    min_size=1,
    max_size=8,
)


@given(HEADINGS, st.lists(st.lists(CELLS, max_size=8), max_size=12), st.sampled_from(";,\t|"))
@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_cells_under_real_headings(headings, rows, sign):
    def quoted(cell):
        return '"' + cell.replace('"', '""') + '"' if any(c in cell for c in f'{sign}"\n\r') else cell

    lines = [sign.join(quoted(cell) for cell in cells) for cells in [headings, *rows]]
    survives("\n".join(lines).encode("utf-8", "replace"))


@given(st.data())
@settings(max_examples=60, deadline=None)
def test_a_damaged_spreadsheet(data):
    at = data.draw(st.integers(0, len(LIST) - 1))
    length = data.draw(st.integers(1, 40))
    survives(LIST[:at] + data.draw(st.binary(min_size=length, max_size=length)) + LIST[at + length :])


QUESTIONS = (
    "row 31 club;row 30;date order;column 1;column 3;name order;ticks;code x;new people;camp days;camp surfaces;"
    "row 4 double_tuck"
).split(";")
KEYS = "moved;keep;other;new;skip;day;month;name;ignored;did;tried;create;camp;nothing;".split(";")


@given(st.dictionaries(st.sampled_from(QUESTIONS), st.sampled_from(KEYS)))
@settings(max_examples=40, deadline=None)
def test_any_answers(answers):
    for name in ("roster.csv", "camp-spring.csv"):
        read = table(shipped_list(name))
        read_roster(read, SQUAD, RosterOptions(TODAY, answers=answers)).as_markdown()
        read_camp_list(
            read, SQUAD, LADDER, CampListOptions(SPRING, "H", TODAY, answers=answers)
        ).as_markdown()


@given(HEADINGS, st.lists(st.lists(CELLS, max_size=8), max_size=10), st.booleans())
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_whatever_was_read_reads_as_known_the_second_time(headings, rows, dated):
    """A law of every list: facts that were written are not written again."""
    out = io.StringIO()
    csv.writer(out, delimiter=";").writerows([headings, *rows])
    try:
        read = read_table(out.getvalue().encode("utf-8", "replace"), "list.csv")
    except ListError:
        return
    options = {"as_of": TODAY} if dated else {}
    once = roster(read, SQUAD, **options)
    assert roster(read, told(once, SQUAD), **options).facts == ()
    first = camp_list(read, SQUAD, {"new people": "create"})
    people = {**{a.id: a for a in SQUAD}, **{w: f for w, f in first.facts if isinstance(f, Athlete)}}
    again = camp_list(read, tuple(people.values()), {"new people": "create"}, existing=written(first))
    assert again.facts == ()


def test_a_second_part_with_its_columns_in_another_order_is_refused_not_misread():
    report = camp_list(
        "Name;Double tuck;Double pike\nAyla Aalto;x;-\nName;Double pike;Double tuck\nGwen Grönholm;x;-\n"
    )
    assert [d.verdict for d in report.rows] == ["take", "refuse", "refuse"]
    assert len(report.attempts) == 2


def test_a_comma_in_a_name_does_not_shift_the_marks():
    report = camp_list("Name,Double tuck,Double pike\nAyla Aalto,x,-\nGrönholm, Gwen,-,x\n")
    assert [d.verdict for d in report.rows] == ["take", "refuse"]
    assert "more cells than there are headings" in report.rows[1].sentence


def test_a_short_quote_that_is_never_closed_swallows_no_row():
    read = read_table(
        b'Name,Double tuck,Double pike\n"Aalto, Ayla,x,-\nGwen Gr,x,x\n"Lindqvist, Lumi",x,-\n', "list.csv"
    )
    assert len(read.rows) == 3
    assert read.rows[2].cells == ("Lindqvist, Lumi", "x", "-")


def test_ones_beside_twos_are_asked():
    report = camp_list("Name;Double tuck\nAyla Aalto;1\nGwen Grönholm;1\nLumi Lindqvist;2\n")
    assert report.attempts == ()
    assert [d.verdict for d in report.rows] == ["ask", "ask", "ask"]


def test_a_word_that_means_absent_or_fault_is_asked():
    report = camp_list("Name;Double tuck\nAyla Aalto;falta\n")
    assert (report.attempts, report.rows[0].verdict) == ((), "ask")


@pytest.mark.parametrize(
    "title",
    [
        "Printed 1 May 2025; camp 12 April 2025",
        "Camp 12.04.2025, printed 20.04.2025",
        "Lehrgang 12.04.2025 (Stand: 14.04.2025)",
    ],
)
def test_a_day_on_which_a_list_was_printed_is_not_a_day_of_the_camp(title):
    said = read_titles([title], today=TODAY)
    assert (said.starts, "several days" in said.problem) == (None, True)


@pytest.mark.parametrize("title", ["Camp 12.04.2025 - 13.04.2025", "Camp Sat 12.04.2025 bis Sun. 13.04.2025"])
def test_two_days_with_a_word_of_range_are_the_camp(title):
    said = read_titles([title], today=TODAY)
    assert (said.starts, said.ends) == (date(2025, 4, 12), date(2025, 4, 13))


@pytest.mark.parametrize("more", ["", ";Lieblingsfarbe"])
def test_a_roster_with_its_names_in_another_order_further_down_swaps_nobody(more):
    report = roster(
        "Vorname;Nachname;Geburtsdatum\nAnna;Bell;12.05.2014\n"
        f"Nachname;Vorname;Geburtsdatum{more}\nCox;Bea;13.05.2014\n"
    )
    assert [d.verdict for d in report.rows] == ["take", "refuse", "refuse"]
    assert [person.name.full for person in told(report)] == ["Anna Bell"]
    assert "Save that part as a list of its own" in report.rows[1].sentence

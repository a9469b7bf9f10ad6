"""Lists as coaches type them: bytes in, decisions and facts out; nothing is opened or written.

table      bytes -> titles, headings, rows (encoding, separated, workbook, headings)
roster     a roster -> who is new, what is new of those known (roster_rows, whose_row, news)
camplist   a camp list -> attempts (camp_check, camp_rows, listed, same_name, cell_facts,
           codes, legend, marks, titles)
report     the decisions as Markdown and as a dictionary
"""

from loftbook.book.typed.camplist import CampListOptions, read_camp_list
from loftbook.book.typed.decisions import Answers, BirthDate, Choice, Fact, FileDecision, RowDecision
from loftbook.book.typed.news import with_facts
from loftbook.book.typed.report import ListReport
from loftbook.book.typed.roster import RosterOptions, read_roster
from loftbook.book.typed.table import TypedTable, read_table
from loftbook.book.typed.titles import camp_from_titles

__all__ = [
    "Answers",
    "BirthDate",
    "CampListOptions",
    "Choice",
    "Fact",
    "FileDecision",
    "ListReport",
    "RosterOptions",
    "RowDecision",
    "TypedTable",
    "camp_from_titles",
    "read_camp_list",
    "read_roster",
    "read_table",
    "with_facts",
]

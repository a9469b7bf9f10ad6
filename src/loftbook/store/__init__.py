"""The book's file: the only package that speaks SQL.

Values of `book` and `insight` go in and come out; rows stay inside. `database`
opens a book and gives connections; the other modules are plain functions on one:
`people`, `camps`, `attempts` (facts), `standings` (findings), `imports`, `ladders`,
`clips`, `decisions`, `home_answers`, `meta`; `jobs` is the work in hand; `leaving` and
`erasing` are for the children's sake, `backups` for the day when a disk breaks. `schema`
and the modules named `..._table(s)` say what each column holds, `migrations` how older
books are brought up to it.
"""

# Whoever asks for the schema gets all of its tables.
from loftbook.store import account_tables as account_tables
from loftbook.store import answer_table as answer_table
from loftbook.store import clip_tables as clip_tables
from loftbook.store import decision_table as decision_table
from loftbook.store import privacy_tables as privacy_tables
from loftbook.store import same_as_table as same_as_table

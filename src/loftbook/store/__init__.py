"""The book's file: the only package that speaks SQL.

Values of `book` and `insight` go in and come out; rows stay inside. `database`
opens a book and gives connections; the other modules are plain functions on one:
`people`, `camps`, `attempts` (facts), `standings` (findings), `imports`, `ladders`,
`meta`. `schema` says what each column holds, `migrations` how older books are
brought up to it.
"""

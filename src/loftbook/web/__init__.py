"""The pages and the JSON answers: `create_app(desk)` is the only thing the outside needs.

A view says who asks for what, makes one `desk` call, and hands the answer to its
template. No arithmetic, no SQL, no statistics stand here; `words` turns values into
the words a coach reads, and that is all.

    app        puts everything together
    guard      which host, which origin, how large; the headers of each answer
    faults     errors as sentences, in HTML or JSON
    rendering  templates, and what every page may use
    pages/     one folder a page: view.py and template.html
    api/       the same answers as JSON, described by OpenAPI
"""

from loftbook.web.app import create_app

__all__ = ["create_app"]

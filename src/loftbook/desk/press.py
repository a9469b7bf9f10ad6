"""All papers of a camp made beside the pages: how far it is, stopped when nobody wants them, taken away as one file."""

from __future__ import annotations

import io
import threading
import zipfile
from dataclasses import dataclass, replace
from uuid import UUID

from loftbook.desk import Desk
from loftbook.desk.batch import papers_of_camp
from loftbook.errors import LoftbookError, Refused
from loftbook.reports.pdf import PAPERS


@dataclass(frozen=True)
class PrintRun:
    """One run: of which camp, how far, and how it ended. `state` is running, done, stopped or failed."""

    camp: UUID
    paper: str
    done: int = 0
    every: int = 0
    name: str = ""
    state: str = "running"
    trouble: str = ""


class Press:
    """Makes the papers of one camp at a time and remembers the last run; nothing is written to a disk."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._run: PrintRun | None = None
        self._wanted = True
        self._packed = b""

    def look(self, camp: UUID) -> PrintRun | None:
        """How far the papers of this camp are; None where nobody asked for them, or for another camp's since."""
        with self._lock:
            return self._run if self._run and self._run.camp == camp else None

    def begin(self, desk: Desk, camp: UUID, paper: str = "a4") -> None:
        """Begins; raises Refused while another run is under way, or for a paper that there is not."""
        if paper not in PAPERS:
            raise Refused(
                f"a paper called {paper[:40]!r}", f"one of {', '.join(PAPERS)}", "choose one of these"
            )
        with self._lock:
            if self._run and self._run.state == "running":
                raise Refused(
                    "papers that are being made already", "one run at a time", "wait, or stop that one"
                )
            self._run, self._wanted, self._packed = PrintRun(camp, paper), True, b""
        threading.Thread(target=self._make, args=(desk, camp, paper), daemon=True).start()

    def stop(self, camp: UUID) -> None:
        """Gives up a run of this camp; what was made of it is thrown away."""
        with self._lock:
            if self._run and self._run.camp == camp:
                self._wanted = False

    def packed(self, camp: UUID) -> bytes:
        """All papers of the last run in one ZIP file; raises Refused where they are not there."""
        with self._lock:
            if self._run and self._run.camp == camp and self._run.state == "done":
                return self._packed
        raise Refused("no papers that are made", "a run that is done", "begin it, and wait for its end")

    def _make(self, desk: Desk, camp: UUID, paper: str) -> None:
        kept = io.BytesIO()
        try:
            with zipfile.ZipFile(kept, "w", zipfile.ZIP_STORED) as archive:  # PDF is compressed already
                for name, data in papers_of_camp(desk, camp, paper=paper, told=self._told):
                    archive.writestr(zipfile.ZipInfo(name), data)
                    if not self._wanted:
                        break
        except LoftbookError as error:
            self._end("failed", error.sentence())
        except Exception as error:
            self._end(
                "failed", f"Something went wrong inside Loftbook ({type(error).__name__}). Begin again."
            )
        else:
            self._end("done" if self._wanted else "stopped", packed=kept.getvalue())

    def _told(self, done: int, every: int, name: str) -> None:
        with self._lock:
            if self._run:
                self._run = replace(self._run, done=done, every=every, name=name)

    def _end(self, state: str, trouble: str = "", packed: bytes = b"") -> None:
        with self._lock:
            if self._run:
                self._run = replace(self._run, state=state, trouble=trouble)
                self._packed = packed if state == "done" else b""

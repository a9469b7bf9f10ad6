"""What the squad's, a camp's and an athlete's page show, that of agreement, and a federation's counts, as values."""

from loftbook.desk.answers.agreement import AgreementAnswer, agreement_answer
from loftbook.desk.answers.athlete import AthleteAnswer, CampColumn, athlete_answer
from loftbook.desk.answers.camp import CampAnswer, camp_answer
from loftbook.desk.answers.federation import federation_answer
from loftbook.desk.answers.squad import SquadAnswer, SquadRow, squad_answer

__all__ = [
    "AgreementAnswer",
    "AthleteAnswer",
    "CampAnswer",
    "CampColumn",
    "SquadAnswer",
    "SquadRow",
    "agreement_answer",
    "athlete_answer",
    "camp_answer",
    "federation_answer",
    "squad_answer",
]

"""What the headings of a list can mean, in the words and languages in which they are typed."""

from __future__ import annotations

import re

from loftbook.book.typed.words import fold

# meaning -> the headings for it; ";" divides them. English, German, French, Spanish, some Italian and Dutch.
_HEADINGS = {
    "given": "first name;firstname;given name;given;forename;first;vorname;prenom;primer nombre;voornaam;nome",
    "family": "surname;last name;lastname;family name;family;last;nachname;familienname;name familie;"
    "nom de famille;apellido;apellidos;cognome;achternaam",
    "name": "name;names;full name;gymnast;gymnasts;athlete;athletes;child;children;girl;girls;who;"
    "surname first name;last name first name;turnerin;turnerinnen;athletin;name vorname;vorname name;"
    "name der turnerin;gymnaste;gymnastes;nom;nom et prenom;nom prenom;prenom nom;nombre;"
    "nombre y apellidos;apellidos y nombre;gimnasta;atleta;ginnasta;naam;turnster",
    "born": "date of birth;dob;d o b;birth date;birthdate;birth;born;birthday;birth day;date born;"
    "geburtsdatum;geburtstag;geb;geb datum;geb dat;geb am;"
    "geboren;geboren am;date de naissance;naissance;ne e le;nee le;"
    "fecha de nacimiento;nacimiento;f nac;data di nascita;geboortedatum",
    "club": "club;gym;team;home club;home gym;club gym;gym club;verein;heimatverein;equipe;club de gym;"
    "societa;vereniging",
    "coach_name": "home coach;coach;coach name;home coach name;trainer;trainerin;heimtrainer;heimtrainerin;"
    "entraineur;entraineuse;entrenador;entrenadora;allenatore",
    "coach_email": "home coach e mail;home coach email;coach e mail;coach email;e mail home coach;"
    "email home coach;e mail of home coach;e mail trainer;trainer e mail;trainer email;email trainer;"
    "email entraineur;courriel entraineur;e mail entraineur;email entrenador;correo entrenador;"
    "correo del entrenador",
    "twist": "twist;twist dir;drehr;twists;twist side;twisting side;twist direction;direction of twist;twists to;"
    "drehrichtung;schraubenrichtung;schraube;dreht;vrille;sens de vrille;sens de rotation;giro;"
    "lado de giro;sentido de giro",
    "height": "height;height cm;height m;height in cm;height in m;height in;height ft;standing height;"
    "stature;ht;ht cm;ht in;hgt;"
    "height inches;height feet;grosse;grosse cm;grosse in cm;korpergrosse;taille;taille cm;altura;altura cm;estatura;"
    "talla;lengte;altezza",
    "consent": "filming ok;filming;film ok;film;film consent;filming consent;may be filmed;filming allowed;"
    "video ok;video consent;video;video allowed;consent to filming;filmen ok;filmerlaubnis;videoerlaubnis;"
    "film ja nein;filmen;autorisation de filmer;filmer ok;film autorise;permiso de video;grabar ok;"
    "permiso para grabar",
    "weight": "weight;weight kg;body weight;kg;gewicht;gewicht kg;poids;poids kg;peso;peso kg;mass",
    "ignored": "no;nr;number;num;bib;bib no;start no;start number;startnummer;dossard;dorsal;lfd nr;age;alter;"
    "edad;group;gruppe;groupe;grupo;squad;level;notes;note;comment;comments;remark;remarks;bemerkung;"
    "bemerkungen;remarques;observaciones;gender;sex;phone;tel;telephone;mobile;mother;father;parent;"
    "parents;parent e mail;parent email;parents e mail;parents email;e mail of parents;mother e mail;"
    "father e mail;e mail eltern;eltern;address;adresse;clip;clip no;date;datum;id;year;jahrgang;"
    "photo;photos;photo ok;photo consent;emergency contact;allergies;medical",
    "email": "e mail;email;mail;e mail address;email address;courriel;correo;correo electronico",
}

MEANINGS = {
    "name": "the whole name",
    "given": "first name",
    "family": "family name",
    "born": "date of birth",
    "club": "club",
    "coach_name": "home coach",
    "coach_email": "home coach's e-mail",
    "twist": "twist side",
    "height": "standing height",
    "consent": "filming consent",
    "ignored": "not read",
}

ALIASES = {alias: meaning for meaning, text in _HEADINGS.items() for alias in text.split(";")}

# Words of the trade: each stands for one word of a rung's name, in whatever language it is typed.
_TRADE = {
    "double": "double dbl dble doppel doppelsalto doppelter doppelte doble dubbel doppio 2x",
    "triple": "triple dreifach dreifachsalto trpl",
    "tuck": "tuck tucked tck gehockt hocke groupe groupee groupes agrupado agrupada raccolto gehurkt",
    "pike": "pike piked pk pke gebuckt gebuecke gebueckt carpe carpee carpes carpado carpada carpa carpiato",
    "open": "open opened offen offene offener geoffnet geoeffnet ouvert ouverte ouverts abierto abierta aperto",
    "straight": "straight layout lay stretched gestreckt tendu tendue extendido extendida teso",
    "front": "front av forward forwards fwd vorwarts vorwaerts avant adelante avanti",
    "back": "back arr backward backwards bwd ruckwarts rueckwarts arriere atras indietro",
    "somersault": "somersault somersaults somi salto saltos sault ss",
    "twist": "twist twists twisting schraube schrauben vrille vrilles pirueta",
    "full": "full",
    "half": "half",
    "out": "out",
    "in": "in",
    "barani": "barani",
    "rudi": "rudi rudy",
    "puck": "puck",
}
_WORD = {word: key for key, words in _TRADE.items() for word in words.split()}
_JOINED = {"doppelsalto": ("double", "somersault"), "dreifachsalto": ("triple", "somersault")}
NOISE = frozenset({"back", "somersault"})  # words that most lists leave away
# "in" and "out" alone say nothing of a heading
_TELLING = frozenset(_WORD.values()) - {"in", "out", "half"}


def trade_words(text: str) -> frozenset[str]:
    """The words of a heading in the trade's own spelling, whatever the language.

    >>> sorted(trade_words("Open DBL tuck"))
    ['double', 'open', 'tuck']
    """
    found: list[str] = []
    for word in re.split(r"[\s_]+", fold(text.replace("_", " "))):
        found += _JOINED.get(word, (_WORD.get(word, word),)) if word else ()
    return frozenset(found)


def is_heading(text: str) -> bool:
    """True when a cell looks like a heading: a known one, or one with a word of the trade.

    >>> is_heading("Date of birth"), is_heading("dbl pike"), is_heading("Ayla Aalto")
    (True, True, False)
    """
    return fold(text) in ALIASES or bool(trade_words(text) & _TELLING)


def is_trade_word(word: str) -> bool:
    """True for a word that is known as one of the trade's.

    >>> is_trade_word("piked"), is_trade_word("tcuk")
    (True, False)
    """
    return fold(word) in _WORD

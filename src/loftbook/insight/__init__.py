"""From many attempts and readings to something worth saying.

    standing       the attempts of one gymnast, camp and rung, as one word with its grounds
    history        all standings by athlete, camp and rung, camps in order
    inventory      who did what at a camp, patterns over the test rungs, reversals
    change         what changed since the camp before and since the first (table: change_kind)
    change_marks   what became of her marks, and whether that is more than marking alone makes
    agreement      how alike two people mark the same turns, and how exactly a mark repeats
    first_ever     when each rung was first done alone
    expectation    how many were to be expected alone, and how it came out (counts: pairing)
    families       which families of aerial movement a child has never shown
    twistside      one twist side across her skills, or not
    wilson         how sure a count can be

Pure: no file, no clock, no database. Counts come with their interval, blanks stay blank, and nothing
here decides anything.
"""

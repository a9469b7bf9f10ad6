"""From a phone clip to readings: what was seen is a track, what physics makes of it a reading with a verdict.

    clip        what a file holds: size, true frame times, what was odd about it
    track       where the joints were in the picture, frame by frame, and how sure
    measuring   everything after detection in one call: contacts, gravity, turning, phases, readings
    reading     one number about one flight, with its uncertainty, its verdict and what it rests on

`film` knows clips, never children. Its middle is pure; its two edges open video (`decode`) and call a pose model
(`detect`). Both a film and a plan in the lab end in the same `mechanics.Flight`.

The picture has x to the right and y downward, in pixels of the upright picture, the corner at 0, 0. Turning in the
picture is counted against the clock. Only once it is known which way she faces does it become backward (positive) or
forward (negative).
"""

from loftbook.film.clip import Clip
from loftbook.film.guided import Click, Proposed, proposed_frames, with_clicks
from loftbook.film.lines import Line
from loftbook.film.measurement import FlightSeen, Measurement
from loftbook.film.measuring import measure
from loftbook.film.posed import flight_of
from loftbook.film.reading import Reading
from loftbook.film.readings import ShapeBox, ShapeLimits, usual_limits
from loftbook.film.telling import as_json, time_course
from loftbook.film.track import Silhouette, Track

__all__ = [
    "Click", "Clip", "FlightSeen", "Line", "Measurement", "Proposed", "Reading", "ShapeBox", "ShapeLimits",
    "Silhouette", "Track", "as_json", "flight_of", "measure", "proposed_frames", "time_course", "usual_limits",
    "with_clicks",
]  # fmt: skip

"""From a phone clip to readings: what was seen is a track, what physics makes of it a reading with a verdict.

    clip        what a file holds: size, true frame times, what was odd about it
    track       where the joints were in the picture, frame by frame, and how sure
    reading     one number about one flight, with its uncertainty, its verdict and what it rests on

`film` knows clips, never children. Its middle is pure; its two edges open video (`decode`) and call a pose model
(`detect`). Both a film and a plan in the lab end in the same `mechanics.Flight`.

The picture has x to the right and y downward, in pixels of the upright picture, the corner at 0, 0. Turning in the
picture is counted against the clock. Only once it is known which way she faces does it become backward (positive) or
forward (negative).
"""

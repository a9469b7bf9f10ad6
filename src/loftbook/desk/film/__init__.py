"""Films of attempts: put one with a turn, measure it, put it right by hand, compare two, take the numbers along.

engine      what opens, tracks and measures a film, behind one door
places      the files of a clip, all of them, beside the book
consenting  what was said about filming a child
attaching   a film put with an attempt; deleted when its day is over
measuring   a file without any book; findings made and made again from facts
working     the jobs, one after another, in a process of their own
correcting  points, bed line, true speed
answers     what the pages show
saving      CSV, Parquet, TRC and C3D
"""

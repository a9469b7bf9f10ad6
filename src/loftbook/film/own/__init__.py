"""Our own network for the folded, inverted body: the second pair of eyes beside the stock pose model.

    card        what the file of the network says of itself
    network     the file beside the program, and how it is asked (the one edge)
    maps        from maps of likelihood to points, each with its uncertainty, and one confidence
    looking     follows her with it: the square from her silhouette and from the frames before
    both        the two pairs of eyes as one track, and which frames of it to trust

It was trained on drawn bodies only. What it is worth on real film nobody knows yet: see docs/guide/film-detector.md.
"""

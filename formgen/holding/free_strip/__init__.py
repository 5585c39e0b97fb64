"""Stage `holding`: the mechanics of a thin strip: the elastica, and strips of unlike stiffness between pins."""

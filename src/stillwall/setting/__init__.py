"""The setting of a case, which several hazards share, since hazards never import each other.

How the work hangs, what it weighs and bears, the light, the heat and the people that reach it, the way in.
"""

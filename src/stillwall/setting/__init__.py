"""The setting of a case, which several hazards share: how the work hangs, what it weighs and bears, the light,
the heat and the people that reach it, the way in. Hazards never import each other."""

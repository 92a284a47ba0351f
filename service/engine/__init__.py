"""The fit model as arithmetic: frozen values in, frozen values out, standard library only.

Lengths in mm, forces in N, stresses in N/mm² (MPa), masses in kg.
"""

"""Physics and rules of small wind generators: SI numbers in, SI numbers out.

Nothing here reads a file at run time except the published tables in ``calc/tables``, and nothing prints.
Every function takes scalars or arrays with a leading axis of variants.
"""

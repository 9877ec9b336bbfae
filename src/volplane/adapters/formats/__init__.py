"""Recordings in the formats of their makers, one module a format with the same names: NAME, recognises, read, write.

`sniff` lists the formats and takes a file out of its wrapping; the other modules are what several formats share.
"""

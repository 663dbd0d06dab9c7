"""The desk: the workflows for a browser on the same computer, for people who never open a terminal.

A page is one file, `NAME_page.py`, with its routes: it takes what the browser sends, calls workflows, and
gives a template its values. No rule of the trade is decided here.
"""

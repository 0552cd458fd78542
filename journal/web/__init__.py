"""Small pages for a phone in the shed: the same services as the command line, for one build, while they are served.

Only ``galebook serve`` loads this room, for it needs what is not installed with the program (``galebook[phone]``).
One file for each group of pages; each asks the services, fills a template of ``templates/web`` and gives it out.
"""

"""Making an archived order again.

Comes in: a claimed order that is only a job ticket with `repeat`, the archive, the settings. Goes out: what is to be
made (`plan.Again`), and the art of the first time beside that ticket (`bring`). May import the records, the orders and
the settings in force; knows no pixel and no PDF. All of it is read off the folders: killed anywhere, it is done anew.
"""

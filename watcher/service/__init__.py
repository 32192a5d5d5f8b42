"""The service: the loop, taking orders out of the inbox, and each order's life until it is finished or held.

In: a print folder and its settings. Out: folders in outbox, archive and held, or files back in the inbox, with the
journal written at each step. It opens no art: whatever was dropped is opened by the workers (`watcher.work`).
"""

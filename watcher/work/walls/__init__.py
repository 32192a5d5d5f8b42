"""The walls around a worker's task on Linux: what the process that opens foreign files may still read, write and call.

In: the places that a task reads and writes. Out: a process that can reach nothing else, until it ends.
"""

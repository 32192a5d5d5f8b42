"""Gang runs: different orders on the same sheets.

In: orders whose art has been seen to be good. Out: the orders that are made together now, and, in a worker, the folder
of their run. It may import the stages and the records: like `pipeline`, its worker's side sees all of them.
"""

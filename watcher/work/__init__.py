"""What a worker does: one order, or one gang run, from its art to its finished folder; and the workers themselves.

In: a `job.Job`. Out: a finished folder in its building place, and an `answer.Answer`. `make_order` and `make_gang_run`
are readable from top to bottom. A worker (`contract`) is a child process with limits (`local_worker`), or has orders
made on a cluster (`remote_worker`).
"""

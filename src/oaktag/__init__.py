"""Oaktag: measurements in, checked full-scale sewing patterns out.

Order in which to read the source: errors, units, geometry, model, body, draft, garments, finish, checks, sheet,
export, verify, job, pipeline, cli. Each imports only from what stands before it.
"""

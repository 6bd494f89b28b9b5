"""The local page: the same results in a browser, on this machine alone.

guard     who is answered: Host, Origin, session, size of what is sent        routes    what is answered
worker    the one process that computes, and can be killed                    desk      its work seen from the server
job_text  a job file that came as text: which files it may name               serve     socket, link, server
"""

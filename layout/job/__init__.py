"""The job file: its models (one file per table), places in the text, physical sense, template and schema."""

from layout.job.model import Job
from layout.job.read import read_job

__all__ = ["Job", "read_job"]

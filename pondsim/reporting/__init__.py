"""Results of a pond and its designs -> one page that explains itself, and its tables as CSV."""

from pondsim.reporting.page import TABLES, Report, report
from pondsim.reporting.study import UNREAD

__all__ = ["TABLES", "UNREAD", "Report", "report"]

"""One family of user-facing problems: what is wrong, where, and how to mend it.

Every problem carries a code that has a page in the catalogue (``errors/catalogue``).
"""

from loftwright.errors.problem import Problem, ProblemError, Where
from loftwright.errors.render import as_dict, as_line, as_text

__all__ = ["Problem", "ProblemError", "Where", "as_dict", "as_line", "as_text"]

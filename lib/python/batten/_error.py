"""What is raised where the C++ library returns an error."""


class Error(Exception):
    """What went wrong; `str()` of it is the sentence.

    Attributes:
        code: a number that never changes, as in the C and C++ interfaces: 1 a bad option, 200 no ink found ...
        name: the same in words: "bad option", "no ink found" ...
        message: one sentence: what is wrong and what to try.
        place: the file, option or stage; may be empty.
    """

    def __init__(self, code, name, message, place=""):
        super().__init__(code, name, message, place)
        self.code, self.name, self.message, self.place = code, name, message, place

    def __str__(self):
        return f"{self.message} ({self.place})" if self.place and self.place not in self.message else self.message


class Cancelled(Error):
    """A job that was asked to stop, by a Stop or by a progress callback that returned False."""

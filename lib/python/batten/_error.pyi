# Types of _error.py.
class Error(Exception):
    code: int
    name: str
    message: str
    place: str
    def __init__(self, code: int, name: str, message: str, place: str = "") -> None: ...

class Cancelled(Error): ...

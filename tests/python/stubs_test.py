"""The type stubs say what the package has: every name, every argument with its default, every attribute."""

import ast
import inspect
import re
import unittest
from pathlib import Path

import batten

HOME = Path(batten.__file__).parent


def arguments_of(function):
    """name -> text of its default, or None, from a stub's function without self."""
    a = function.args
    ordered = a.args + a.kwonlyargs
    defaults = [None] * (len(a.args) - len(a.defaults)) + a.defaults + a.kw_defaults
    out = {arg.arg: ast.unparse(d) if d else None for arg, d in zip(ordered, defaults) if arg.arg != "self"}
    return out | ({a.kwarg.arg: None} if a.kwarg else {})


def documented_arguments(function):
    """The same from the first line of a docstring of the extension."""
    inside = re.match(r"\w+\((.*)\) -> ", inspect.getdoc(function)).group(1)
    parts = [p.strip() for p in re.split(r", (?=[\w*]+[:,]|\*\*|\*$)", inside) if p.strip() not in ("", "*")]
    out = {}
    for part in parts:
        match = re.match(r"(\**)(\w+)(?:: [^=]*)?(?: = (.*))?$", part)
        if match.group(2) != "self":
            out[match.group(2)] = match.group(3)
    return out


class Stubs(unittest.TestCase):
    def setUp(self):
        body = [n for file in ("_error.pyi", "__init__.pyi") for n in ast.parse((HOME / file).read_text()).body]
        self.functions = {n.name: n for n in body if isinstance(n, ast.FunctionDef)}
        self.classes = {n.name: n for n in body if isinstance(n, ast.ClassDef) and not n.name.startswith("_")}

    def test_names(self):
        self.assertTrue((HOME / "py.typed").exists())
        self.assertEqual(sorted([*self.functions, *self.classes, "__version__"]), batten.__all__)

    def test_arguments(self):
        for name, function in self.functions.items():
            self.assertEqual(arguments_of(function), documented_arguments(getattr(batten, name)), name)

    def test_attributes(self):
        for name, node in self.classes.items():
            if name in ("Error", "Cancelled"):
                continue
            stubbed = {n.name for n in node.body if isinstance(n, ast.FunctionDef) and not n.name.startswith("__")}
            real = {n for n in vars(getattr(batten, name)) if not n.startswith("_")}
            self.assertEqual(stubbed, real, name)

    def test_fields_of_options(self):
        real = {n for n in vars(batten.Options) if not n.startswith("_")} - {"replace"}
        fields = ast.parse((HOME / "__init__.pyi").read_text()).body
        table = next(n for n in fields if isinstance(n, ast.ClassDef) and n.name == "_Fields")
        self.assertEqual({n.target.id for n in table.body}, real)

    def test_everything_has_a_docstring(self):
        for name in batten.__all__:
            thing = getattr(batten, name)
            self.assertTrue(isinstance(thing, str) or inspect.getdoc(thing), name)
            if isinstance(thing, type) and not issubclass(thing, Exception):
                for attribute, value in vars(thing).items():
                    if not attribute.startswith("_"):
                        self.assertTrue(inspect.getdoc(value), f"{name}.{attribute}")


if __name__ == "__main__":
    unittest.main()

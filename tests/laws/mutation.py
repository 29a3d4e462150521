"""Small faults, one at a time, in the functions of the computations: made in memory, in the code that runs.

A fault replaces the code of the function object itself, so everyone who imported the function runs it.
"""

import ast
import copy
import importlib
import inspect
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from types import CodeType, FunctionType, ModuleType

from training import calc

# What the table is made of, not computed by.
NOT_COMPUTING = ("__init__", "catalogue", "entries", "ranges")

BINARY: dict[type[ast.operator], type[ast.operator]] = {
    ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Pow: ast.Mult, ast.FloorDiv: ast.Div,
}  # fmt: skip
OPPOSITE: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.GtE, ast.GtE: ast.Lt, ast.Gt: ast.LtE, ast.LtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
}  # fmt: skip
EDGE: dict[type[ast.cmpop], type[ast.cmpop]] = {ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt}
TWINS = {"floor": "ceil", "ceil": "floor", "up": "down", "down": "up", "max": "min", "min": "max", "log": "log10",
         "log10": "log", "cdf": "sf", "ppf": "isf", "exp": "expm1", "bisect_right": "bisect_left"}  # fmt: skip
DROPPED = ("sqrt", "abs", "hypot")
FACTOR = 1.1


@dataclass(frozen=True, slots=True)
class Mutant:
    """One fault: where it is, what it says, and the code that has it."""

    subject: str
    function: str
    line: int
    change: str
    code: CodeType

    @property
    def place(self) -> str:
        """Return a name that stays when lines move: subject, function, change."""
        return f"{self.subject}.{self.function}: {self.change}"


def modules() -> Iterator[ModuleType]:
    """Yield the modules that compute, one a subject."""
    for file in sorted(Path(next(iter(calc.__path__))).glob("*.py")):
        if file.stem not in NOT_COMPUTING:
            yield importlib.import_module(f"training.calc.{file.stem}")


def target(module: ModuleType, name: str) -> FunctionType:
    """Return the plain function under a name, beneath its checks."""
    found = getattr(module, name)
    found = getattr(found, "function", found)
    assert isinstance(found, FunctionType)
    return found


def mutants(module: ModuleType) -> Iterator[Mutant]:
    """Yield every fault of every function of a module, in the order of its text."""
    subject = module.__name__.rpartition(".")[2]
    for function in ast.parse(inspect.getsource(module)).body:
        if not isinstance(function, ast.FunctionDef):
            continue
        function.decorator_list = []
        count: dict[str, int] = {}
        for line, change, tree in faults(function, module):
            count[change] = count.get(change, 0) + 1
            again = f" ({count[change]})" if count[change] > 1 else ""
            yield Mutant(subject, function.name, line, change + again, compiled(tree, module))


def compiled(function: ast.FunctionDef, module: ModuleType) -> CodeType:
    """Return the code object of a function given as a tree."""
    tree = ast.fix_missing_locations(ast.Module([function], []))
    outer = compile(tree, str(module.__file__), "exec")
    return next(code for code in outer.co_consts if isinstance(code, CodeType) and code.co_name == function.name)


def faults(function: ast.FunctionDef, module: ModuleType) -> Iterator[tuple[int, str, ast.FunctionDef]]:
    """Yield copies of a function, each with one fault: its line, its words, the tree."""
    answers = [node.value for node in ast.walk(function) if isinstance(node, ast.Return)]
    for number, node in enumerate(computing(function.body)):
        passed_on = isinstance(node, ast.Name) and node in answers
        for faulty in [ast.BinOp(node, ast.Add(), ast.Constant(1))] if passed_on else _faulty(node, module):
            change = f"{ast.unparse(node)} becomes {ast.unparse(faulty)}"
            tree = copy.deepcopy(function)
            twin = list(computing(tree.body))[number]
            yield node.lineno, change, Replace(twin, faulty).visit(tree)


def computing(body: list[ast.stmt]) -> Iterator[ast.expr]:
    """Yield the expressions that make a value: not what is said, raised or only written for the reader."""
    for node in body:
        yield from _walk(node)


def _walk(node: ast.AST) -> Iterator[ast.expr]:
    silent = isinstance(node, (ast.Raise, ast.JoinedStr, ast.Import, ast.Assert))
    if silent or (isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)):
        return
    if isinstance(node, ast.expr):
        yield node
    for name, value in ast.iter_fields(node):
        if name == "annotation":
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield from _walk(child)


def _faulty(node: ast.expr, module: ModuleType) -> Iterator[ast.expr]:
    match node:
        case ast.BinOp(left, operator, right):
            if type(operator) in BINARY:
                yield ast.BinOp(left, BINARY[type(operator)](), right)
            yield from (left, right)
        case ast.Compare(left, [operator], [right]):
            for table in (OPPOSITE, EDGE):
                if type(operator) in table:
                    yield ast.Compare(left, [table[type(operator)]()], [right])
        case ast.Constant(value) if isinstance(value, (int, float)) and not isinstance(value, bool):
            yield ast.Constant(value + 1 if isinstance(value, int) else value * FACTOR or FACTOR)
        case ast.Name(name, ast.Load()) if type(getattr(module, name, None)) in (int, float):
            yield ast.BinOp(node, ast.Mult(), ast.Constant(FACTOR))
        case ast.UnaryOp(ast.USub() | ast.Not(), operand) if not isinstance(operand, ast.Constant):
            yield operand
        case ast.BoolOp(operator, values):
            yield ast.BoolOp(ast.Or() if isinstance(operator, ast.And) else ast.And(), values)
        case ast.IfExp(test, body, orelse):
            yield ast.IfExp(test, orelse, body)
        case ast.Call():
            yield from _called(node)


def _called(node: ast.Call) -> Iterator[ast.expr]:
    name = ast.unparse(node.func).rpartition(".")[2]
    if name in TWINS:
        twin: ast.expr = ast.Name(TWINS[name], ast.Load())
        if isinstance(node.func, ast.Attribute):
            twin = ast.Attribute(node.func.value, TWINS[name], ast.Load())
        if not (name == "cdf" and "NormalDist" in ast.unparse(node.func)):
            yield ast.Call(twin, node.args, node.keywords)
    if name in DROPPED:
        yield node.args[0]
    if len(node.args) > 1 and ast.dump(node.args[0]) != ast.dump(node.args[1]) and name not in ("max", "min", "hypot"):
        first, second, *rest = node.args
        yield ast.Call(node.func, [second, first, *rest], node.keywords)


class Replace(ast.NodeTransformer):
    """Puts one expression in the place of another."""

    def __init__(self, old: ast.expr, new: ast.expr) -> None:
        self.old, self.new = old, new

    def visit(self, node: ast.AST) -> ast.AST:
        return ast.copy_location(copy.deepcopy(self.new), node) if node is self.old else super().visit(node)

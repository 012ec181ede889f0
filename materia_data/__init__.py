"""The Chinese materia medica as checked data: `from materia_data import load`.

Everything an exporter or a caller may use is named here and loaded when first used.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from materia_data.change.diff import Change as Change
    from materia_data.change.diff import Diff as Diff
    from materia_data.change.diff import diff as diff
    from materia_data.check.layers.loosened import Loosened as Loosened
    from materia_data.check.measure import Measure as Measure
    from materia_data.check.measure import measure_all as measure_all
    from materia_data.check.rules import Rule as Rule
    from materia_data.check.rules import read_rules as read_rules
    from materia_data.facts.fact import Fact as Fact
    from materia_data.facts.facts import Facts as Facts
    from materia_data.facts.pattern import PatternError as PatternError
    from materia_data.materia import Materia as Materia
    from materia_data.materia import load as load
    from materia_data.names.keys import NameKeys as NameKeys
    from materia_data.names.keys import name_keys as name_keys
    from materia_data.notice import LICENCE as LICENCE
    from materia_data.notice import TEACHING as TEACHING
    from materia_data.places import schema_root as schema_root
    from materia_data.problem import Problem as Problem
    from materia_data.read.layers.layer import Layer as Layer
    from materia_data.read.layers.layer import LayerError as LayerError
    from materia_data.read.layers.over import LayerCell as LayerCell
    from materia_data.read.schema import TableSchema as TableSchema
    from materia_data.read.schema import table_schemas as table_schemas
    from materia_data.study.card_page import cards_page as cards_page
    from materia_data.study.card_table import cards_table as cards_table
    from materia_data.study.cards import Card as Card
    from materia_data.study.cards import Cards as Cards
    from materia_data.study.cards import cards as cards
    from materia_data.study.fonts import PrintError as PrintError
    from materia_data.study.markdown import sheet_markdown as sheet_markdown
    from materia_data.study.page import sheet_page as sheet_page
    from materia_data.study.pdf import cards_pdf as cards_pdf
    from materia_data.study.pdf import sheet_pdf as sheet_pdf
    from materia_data.study.selection import SelectionError as SelectionError
    from materia_data.study.sheet import Sheet as Sheet
    from materia_data.study.sheet import sheet as sheet
    from materia_data.teach.askable import Askable as Askable
    from materia_data.teach.askable import Asked as Asked
    from materia_data.teach.askable import askable as askable
    from materia_data.teach.basis import Basis as Basis
    from materia_data.teach.basis import basis as basis
    from materia_data.teach.confusable import Confusable as Confusable
    from materia_data.teach.confusable import confusable as confusable
    from materia_data.teach.contrast import Contrast as Contrast
    from materia_data.teach.contrast import contrast as contrast
    from materia_data.teach.discover import Found as Found
    from materia_data.teach.discover import discover as discover
    from materia_data.teach.explain import Explained as Explained
    from materia_data.teach.explain import Explanation as Explanation
    from materia_data.teach.explain import Property as Property
    from materia_data.teach.explain import Reason as Reason
    from materia_data.teach.explain import explain as explain
    from materia_data.teach.explain import explain_all as explain_all
    from materia_data.teach.formula.analysis import Formula as Formula
    from materia_data.teach.formula.analysis import analyse as analyse
    from materia_data.teach.formula.recipe import Recipe as Recipe
    from materia_data.teach.formula.recipe import RecipeError as RecipeError
    from materia_data.teach.formula.recipe import read_recipe as read_recipe
    from materia_data.teach.formula.recipe import recipe_of as recipe_of
    from materia_data.teach.layered import LayerLine as LayerLine
    from materia_data.teach.layered import layer_lines as layer_lines
    from materia_data.teach.match import Matches as Matches
    from materia_data.teach.match import match as match
    from materia_data.teach.nearest import Nearest as Nearest
    from materia_data.teach.nearest import nearest as nearest
    from materia_data.teach.processing import Processing as Processing
    from materia_data.teach.processing import processing as processing
    from materia_data.teach.proof.proof import Proof as Proof
    from materia_data.teach.proof.proof import proof as proof
    from materia_data.teach.proof.proof_error import ProofError as ProofError
    from materia_data.teach.show import Shown as Shown
    from materia_data.teach.show import show as show
    from materia_data.teach.standouts import StandOuts as StandOuts
    from materia_data.teach.standouts import standouts as standouts
    from materia_data.teach.why_not import WhyNot as WhyNot
    from materia_data.teach.why_not import why_not as why_not

_HOME = {
    "Askable": ".teach.askable",
    "Asked": ".teach.askable",
    "Basis": ".teach.basis",
    "Card": ".study.cards",
    "Cards": ".study.cards",
    "Change": ".change.diff",
    "Confusable": ".teach.confusable",
    "Contrast": ".teach.contrast",
    "Diff": ".change.diff",
    "Explained": ".teach.explain",
    "Explanation": ".teach.explain",
    "Fact": ".facts.fact",
    "Facts": ".facts.facts",
    "Formula": ".teach.formula.analysis",
    "Found": ".teach.discover",
    "LICENCE": ".notice",
    "Layer": ".read.layers.layer",
    "LayerCell": ".read.layers.over",
    "LayerError": ".read.layers.layer",
    "LayerLine": ".teach.layered",
    "Loosened": ".check.layers.loosened",
    "Matches": ".teach.match",
    "Materia": ".materia",
    "Measure": ".check.measure",
    "NameKeys": ".names.keys",
    "Nearest": ".teach.nearest",
    "PatternError": ".facts.pattern",
    "PrintError": ".study.fonts",
    "Problem": ".problem",
    "Processing": ".teach.processing",
    "Proof": ".teach.proof.proof",
    "ProofError": ".teach.proof.proof_error",
    "Property": ".teach.explain",
    "Reason": ".teach.explain",
    "Recipe": ".teach.formula.recipe",
    "RecipeError": ".teach.formula.recipe",
    "Rule": ".check.rules",
    "SelectionError": ".study.selection",
    "Sheet": ".study.sheet",
    "Shown": ".teach.show",
    "StandOuts": ".teach.standouts",
    "TEACHING": ".notice",
    "TableSchema": ".read.schema",
    "WhyNot": ".teach.why_not",
    "analyse": ".teach.formula.analysis",
    "askable": ".teach.askable",
    "basis": ".teach.basis",
    "cards": ".study.cards",
    "cards_page": ".study.card_page",
    "cards_pdf": ".study.pdf",
    "cards_table": ".study.card_table",
    "confusable": ".teach.confusable",
    "contrast": ".teach.contrast",
    "diff": ".change.diff",
    "discover": ".teach.discover",
    "explain": ".teach.explain",
    "explain_all": ".teach.explain",
    "layer_lines": ".teach.layered",
    "load": ".materia",
    "match": ".teach.match",
    "measure_all": ".check.measure",
    "name_keys": ".names.keys",
    "nearest": ".teach.nearest",
    "processing": ".teach.processing",
    "proof": ".teach.proof.proof",
    "read_recipe": ".teach.formula.recipe",
    "read_rules": ".check.rules",
    "recipe_of": ".teach.formula.recipe",
    "schema_root": ".places",
    "sheet": ".study.sheet",
    "sheet_markdown": ".study.markdown",
    "sheet_page": ".study.page",
    "sheet_pdf": ".study.pdf",
    "show": ".teach.show",
    "standouts": ".teach.standouts",
    "table_schemas": ".read.schema",
    "why_not": ".teach.why_not",
}
__all__ = sorted(_HOME)
__version__ = "0.1.0"


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"materia_data offers {', '.join(__all__)}; not {name}")
    return getattr(import_module(_HOME[name], __name__), name)


def __dir__() -> list[str]:
    return __all__

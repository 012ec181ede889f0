"""Hold QTI files to the standard's own XML schema, for those who have it."""

from collections.abc import Mapping
from pathlib import Path

from materia_data.study.quiz.asked import QuizFileError
from materia_data.study.quiz.check import Wrong
from materia_data.study.quiz.read import parsed


def against_schema(files: Mapping[str, bytes], folder: Path) -> list[Wrong]:
    """What the schemas in the folder find, each of the file's own namespace; nothing is fetched.

    Raises QuizFileError: lxml is not here, the folder has no schema for a file, or one that cannot be used.
    """
    try:
        from lxml import etree
    except ImportError:
        raise QuizFileError("--xsd needs lxml: pip install 'materia-data[study]'.") from None
    schemas = {}
    parser = etree.XMLParser(no_network=True, resolve_entities=False)
    for path in sorted(folder.glob("*.xsd")):
        try:
            root = etree.parse(path, parser).getroot()
            schemas[root.get("targetNamespace")] = path
        except etree.XMLSyntaxError as error:
            raise QuizFileError(f"{path} is no XML: {error}.") from None
    loaded, found = {}, []
    for name, text in files.items():
        space = parsed(name, text).tag.partition("}")[0].strip("{")
        if space not in schemas:
            raise QuizFileError(f"{folder} has no schema of {space or 'no namespace'}, which {name} is written in.")
        try:
            if space not in loaded:
                loaded[space] = etree.XMLSchema(etree.parse(schemas[space], parser))
        except etree.XMLSchemaParseError as error:
            raise QuizFileError(f"{schemas[space]} cannot be used: {error}.") from None
        schema = loaded[space]
        schema.validate(etree.fromstring(text, parser))
        found += [Wrong(name, "", "", "schema", f"line {one.line}: {one.message}") for one in schema.error_log]
    return found

"""The shipped data, read once for all of these tests."""

import pytest

from materia_data.change.adopt.identity import Identifier
from materia_data.change.adopt.lexicon import Lexicon
from materia_data.materia import Materia, load


@pytest.fixture(scope="session")
def shipped() -> Materia:
    """The shipped package."""
    return load()


@pytest.fixture(scope="session")
def identifier(shipped: Materia) -> Identifier:
    """Names and words of the shipped package."""
    return Identifier(Lexicon(shipped))

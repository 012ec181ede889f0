"""Permissions, combinations and amounts in an English sentence."""

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from materia_data.facts.vocabulary import Vocabulary
from materia_data.teach.proof.claim import Claim
from materia_data.teach.proof.mentions import Mention
from materia_data.teach.proof.word_list import word_list

_TOPICS = {
    "pregnancy": r"pregnan\w*|expectant (?:mother|women|woman)s?|expecting|gestation|mothers-to-be|first trimester",
    "lactation": r"lactati\w*|breast-?feeding|nursing (?:mother|women|woman)s?",
    "children": r"child(?:ren)?|infants?|bab(?:y|ies)|toddlers?|kids",
    "alcohol": r"alcohol|wine|liquor|beer|spirits",
    "elderly": r"elderly|the old|old people",
    "surgery": r"surgery|before an operation",
    "sport": r"athletes?|sportsm[ae]n|doping tests?|competiti(?:on|ve sport)s?|tested in sport",
}
_TOPIC_WORDS = tuple((topic, re.compile(rf"\b(?:{words})\b")) for topic, words in _TOPICS.items())
_SHORTEST = 3
_TARGETS = ("drug", "condition", "allergy")
_TARGET_WORDS = {
    "hypertension": (
        r"high blood pressure|blood pressure (?:is|runs) (?:\w+ )?high|raised blood pressure"
        r"|hypertensive (?:patient|person|people)s?"
    ),
    "hypokalemia": r"low potassium|potassium is low",
    "anticoagulants": r"warfarin|blood[- ]thinners?|anticoagulant",
    "maoi": r"maois?|mao inhibitors?",
    "diabetes": r"diabetics?|diabetes",
    "peptic-ulcer": r"stomach ulcers?|ulcer patients?",
    "kidney-impairment": r"kidney (?:failure|disease)|weak kidney function",
    "liver-impairment": r"liver (?:failure|disease)",
    "hyperthyroidism": r"hyperthyroid\w*",
    "epilepsy": r"epileptics?",
    "heart-disease": r"heart patients?",
    "digoxin": r"digitalis",
}
_TARGET_FOUND = tuple((target, re.compile(rf"\b(?:{words})\b")) for target, words in _TARGET_WORDS.items())
_FINE = r"(?:fine|good|nice|lovely|perfect|excellent|classic|splendid|happy|harmonious|ideal|great|useful|favou?rite)"
_CAN = r"(?:can|may|could safely|is allowed to|are allowed to)"
_PERMITS = re.compile(
    rf"""\b(?:(?:is|are|it's|they're|be|considered|perfectly|completely|entirely|absolutely|quite)\s+(?:\w+ly\s+)?
    (?:safe|harmless|fine|allowed|permitted|suitable|ok|okay|compatible|unproblematic|all\sright|good)
    |(?:is|are|makes|make)\s+(?:an?|the)\s+(?:\w+\s+)?(?:ideal|excellent|perfect|best|good)\s+\w+\s+(?:for|in|during)
    |(?:is|are)\s+well\s+tolerated|tolerates?\s+§\s+(?:\w+\s+)?well|(?:ideal|suits|suit|suitable\s+even)\b|suitable
    |safe\s+(?:for|in|during|while|with|together|to|even)|suitable\s+(?:for|in|during)|safely|freely|compatible
    |{_CAN}\s+(?:\w+ly\s+)?(?:be\s+)?(?:\w+ly\s+)?(?:taken|take|used|use|given|eaten|eat|have|prescribed|combined|drunk|drink|continue|put|mixed
       |boiled|cooked|go|enjoy|receive|swallow|tolerate|prescribe|add|added|share|appear|paired|joined)
    |(?:go|goes|work|works|pair|pairs)\s+(?:very\s+)?(?:well|nicely)|no\s+(?:problem|risk|danger|harm|worry|worries|issue|conflict|objection|restriction)s?|without\s+(?:worry|fear|risk|danger|concern|harm|problem|hesitation|restriction)s?
    |not\s+(?:contraindicated|forbidden|prohibited|dangerous|harmful|a\sproblem|a\sconcern|opposed|incompatible)
    |(?:isn't|aren't)\s+(?:contraindicated|forbidden|prohibited|dangerous|harmful|a\sproblem|opposed|incompatible)
    |(?:do|does)\s+not\s+(?:conflict|oppose|clash|harm|hurt)|(?:don't|doesn't)\s+(?:conflict|oppose|clash|harm|hurt)
    |need\s+not\s+(?:be\s+)?avoid(?:ed)?|no\s+need\s+to\s+avoid|need(?:s)?\s+not\s+(?:worry|fear)|nothing\s+(?:against|wrong))\b""",
    re.VERBOSE,
)
_DENIES = re.compile(
    r"\b(?:not|never|no|nor|neither|n't|cannot|can't|don't|doesn't|isn't|aren't|mustn't|shouldn't|"
    r"avoid\w*|forbid\w*|forbidden|"
    r"contraindicated|prohibited|unsafe|dangerous|danger|risk\w*|harmful|nobody|unless|only if|banned|"
    r"except|instead|stop|keep|"
    r"oppose[sd]?|antagoni\w+|incompatible|conflicts?|clash\w*|kill\w*|poison\w*|wrong|mistake|"
    r"warn\w*|hardly|without|less|only|where|swap\w*|replac\w*|substitut\w*|harms?|reported|rather)\b|n't\b"
)
_CAREFUL = re.compile(r"\b(?:caution|cautiously|care|careful|carefully|supervis\w+|licensed|specialist)\b")
_LESSON = re.compile(rf"\b(?:{'|'.join(sorted(word_list('safety lesson')))})\b")
_TOGETHER = re.compile(
    r"\b(?:together|combin\w+|with|along|alongside|pair\w*|compatible|conflict|oppose|clash|one formula"
    r"|(?:same|one|single) (?:pot|"
    r"formula|prescription|decoction|powder|pill|cup|bag)|couple|partner\w*|duo|teams?|add(?:ed)? (?:some "
    r"|the |a little )?(?:§ )?to|&|mix\w*|both)\b"
)
_ORDERS = re.compile(
    r"(?:^|[,;:]\s*|\b(?:we|please|always|then|and|just|simply|we may|you may)\s+)(?:give|use|take|"
    r"prescribe)\s+(?:§|it|them|\d|the|some|a)"
)
_TAUGHT = re.compile(
    r"(?:^|[,;:]\s*|\band\s+|\bthen\s+|\b(?:you|we|i|always|please|just|should|simply)\s+)(?:combine|"
    r"pair|use|give|boil|cook|decoct|mix|add|put|join|match|team|prescribe|take)\s"
    r"|\bpairs?\s+(?:\w+\s+)?with\b|\b(?:works?|goes|go)\s+(?:well|nicely)\s+with\b|\b(?:should|"
    r"must)\s+be\s+(?:combined|paired|mixed|used|taken|given)\b"
    r"|\b(?:is|are)\s+(?:\w+ly\s+)?(?:combined|paired|mixed|joined)\s+with\b|\b(?:is|are|"
    r"make|makes)\s+an?\s+(?:\w+\s+)?(?:pair|combination|match|team|couple|partner\w*|duo)\b"
    rf"|[:–—,]\s*(?:an?|our|my|the)\s+{_FINE}\s+(?:pair|combination|match|team|couple|duo|partners)\b"
    r"|\b(?:belong|go)\s+together\b|\bpartners?\s+(?:\w+\s+)?with\b|\bget\s+along\b|\bteams?\s+up\s+with\b|\b(?:is|are|works?)\s+best\s+with\b"
    r"|\badd\s+(?:some\s+|the\s+|a little\s+)?§\s+to\s+(?:the\s+)?§|\badded\s+to\s+(?:the\s+)?§"
    r"|\b(?:is|are)\s+(?:often\s+|best\s+|usually\s+|always\s+)?(?:prescribed|given|used|taken|ground"
    r"|swallowed|boiled|cooked|decocted)"
    r"\s+together\b|\btogether\s+in\s+(?:one|a|the same)\b"
    r"|§\s+and\s+§\s+(?:go\s+)?in(?:to)?\s+(?:the\s+same|one)\s+(?:pot|powder|"
    r"pill|decoction|formula|cup|bag)"
)
_NUMBERS = {
    "half a": 0.5,
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "eight": 8,
    "nine": 9,
    "ten": 10,
    "twelve": 12,
    "fifteen": 15,
    "twenty": 20,
    "thirty": 30,
    "forty": 40,
    "fifty": 50,
    "sixty": 60,
    "ninety": 90,
    "a hundred": 100,
}
_COUNTED = "|".join(_NUMBERS)
_AMOUNT = re.compile(
    rf"(?<![\w.])(\d+(?:\.\d+)?|{_COUNTED})\s*(?:(?:-|–|—|to|or|~)\s*(\d+(?:\.\d+)?)\s*)?(mg|"
    rf"milligrams?|g|gm|gms|grams?|grammes?|克|毫克)(?![\w])"
)
_CEILING = re.compile(
    r"(?:no|not|never|n't|cannot)\s+(?:\w+\s+){0,3}(?:more than|over|above|beyond|exceed\w*|higher than)\s*$|"
    r"(?:at most|up to|max(?:imum)?(?: of)?|maximum (?:dose|amount)[\w\s]{0,20}(?:is|of)|as much as|"
    r"ceiling (?:is|of)|limit (?:is|of)|less than|under|below)\s*$"
)
_BEYOND = re.compile(r"(?:more than|over|above|beyond|exceed\w*|higher than|from)\s*$")
_HARM = re.compile(
    r"\b(?:too much|overdos\w*|kill\w*|lethal|fatal|deadly|poison\w*|danger\w*|never|not|n't|don't|"
    r"avoid|forbidden|mistake|wrong|"
    r"instead|reduce|cannot|formula|batch|original|ancient|external\w*|outside|topical\w*|wash|bath|"
    r"soak|plaster|child\w*|"
    r"per kilo\w*|kg|animal|mice|rats|packet|costs?|weigh\w*|fresh|brought|causes?|caused|coma|"
    r"vomiting|numb|old|recipe|"
    r"(?:he|she|they|we|i)\s+used|bought|buy|sold|sell|stock|order|shelf|jar|bag|dispensary|took|drank"
    r"|gave|got|was|were|had|died|"
    r"liang|qian|jin|twice|ratio|parts?|standard's|for long|stupor|books?|older|too many|symptoms?|times)\b|n't\b"
)
_ROUTES = (
    ("powder", re.compile(r"powder|swallow|grind|ground|chased|stir")),
    ("pill", re.compile(r"\bpills?\b|capsul|tablet")),
    ("decoction", re.compile(r"decoct|boil|simmer|brew|into the pot|in the pot")),
)
_NOT_PLAIN = re.compile(
    r"\b(?:first|beforehand|ahead|pre-?(?:boil|decoct|cook)\w*|before|hours?|minutes|long|longer"
    r"|separately|never|not|no|"
    r"n't|without|out|outside|keep\w*|kept|avoid\w*|granules?|powder\w*|pills?|dissolv\w*|stir\w*|melt\w*"
    r"|wash|external\w*|formula|classic\w*)\b|n't\b"
)
_DOSE = re.compile(r"\bdos(?:e|age|ed|es)\b|\bdaily amount\b|\bamount is\b|\brange\b")


def read_safety(
    text: str,
    mentions: Sequence[Mention],
    before: Sequence[Mention],
    vocabularies: Mapping[str, Vocabulary],
    formula: bool,
) -> tuple[list[Claim], bool]:
    """Claims in one clause, and whether a warning was read in it. before: whom `it` or `they` means; formula: one is
    named, so that what is combined and how much is its own matter."""
    bare = _without(text, mentions)
    subjects = tuple(mentions) or tuple(before)
    if not subjects:
        return [], False
    claims = list(_amounts(text, mentions, before)) if not formula else []
    permits, rest = bool(_PERMITS.search(bare)), _PERMITS.sub(" ", bare)
    rest = re.sub(r"\bno\s+(?:toxicity|poison)\b", " ", rest)
    rest = re.sub(r"\bsubject to testing|who are tested\b", " ", rest)
    rest = re.sub(r"\b(?:even|and)\s+(?:where|when|if)\b|\bfree (?:of|from) poison\w*", " ", rest)
    denies = bool(_DENIES.search(rest))
    about = _about(bare, vocabularies)
    if denies or formula:
        return claims, denies and (bool(about) or len(subjects) > 1 or bool(_AMOUNT.search(text)))
    careful = bool(_CAREFUL.search(bare))
    none = re.search(
        (
            r"\bno\s+(?:toxicity|poison)\s+(?:at all\s+|whatever\s+)?in\s+§|§\s+(?:has|have|contains?|holds?|"
            r"carries)\s+no\s+(?:toxicity|poison)"
        ),
        bare,
    )
    if none and len(mentions) == 1:
        return [*claims, Claim("toxicity", subjects, "none")], False
    if about:
        if permits or _ORDERS.search(bare):
            claims += [Claim("allowed", subjects, value, careful=careful) for value in about]
        elif careful:
            return claims, True
    elif len(subjects) > 1 and _TOGETHER.search(bare) and not _LESSON.search(bare):
        if permits:
            claims.append(Claim("together", subjects, "allowed"))
        elif _TAUGHT.search(bare):
            claims.append(Claim("together", subjects, "taught"))
    elif re.search(r"\b(?:is|are|it's|they're)\s+(?:\w+ly\s+)?(?:safe|harmless)\s*(?:[.,;!]|$)", bare):
        claims.append(Claim("harmless", subjects))
    return claims, False


def _without(text: str, mentions: Sequence[Mention]) -> str:
    """Small letters, each name as one sign."""
    made, at = "", 0
    for one in mentions:
        made += text[at : one.start] + "§"
        at = one.end
    return (made + text[at:]).casefold().replace("’", "'")


def _about(bare: str, vocabularies: Mapping[str, Vocabulary]) -> list[str]:
    """Topics of cautions and their targets, by their English names."""
    targets = vocabularies["targets"]
    found = [topic for topic, words in _TOPIC_WORDS if words.search(bare)]
    if len(bare) < _SHORTEST:
        return found
    found += [id for id, words in _TARGET_FOUND if id in targets and words.search(bare)]
    found += [id for id in targets if targets.cell(id, "topic") in _TARGETS and _said(bare, targets.label(id))]
    return list(dict.fromkeys(found))


def _said(bare: str, label: str) -> bool:
    at = bare.find(label.casefold())
    return at >= 0 and bool(re.search(rf"\b{re.escape(label.casefold())}\b", bare[max(0, at - 1) :]))


def _amounts(text: str, mentions: Sequence[Mention], before: Sequence[Mention]) -> Iterator[Claim]:
    small = _masked(text, mentions)
    found = list(_AMOUNT.finditer(small))
    for place, amount in enumerate(found):
        lead = small[max(0, amount.start() - 40) : amount.start()]
        ceiling = _CEILING.search(lead)
        trail = small[amount.end() : amount.end() + 40]
        if re.match(r"\s*(?:(?:(?:and|or)\s+)?(?:more|less|above|below|over|up|short)|buys)\b", trail) or _of_another(
            trail, amount.end(), mentions
        ):
            continue
        if place and re.search(r"\bto\s*$", lead):
            continue
        if (_BEYOND.search(lead) and not ceiling) or _harm(small, amount.start(), ceiling):
            continue
        subjects = _each(small, mentions, amount) or _dosed(small, mentions, before, found, place)
        if not subjects:
            continue
        factor = 0.001 if amount[3].startswith(("m", "毫")) else 1.0
        numbers = [_number(part) * factor for part in (amount[1], amount[2]) if part]
        taught = bool(_DOSE.search(small)) and not ceiling
        routes = [name for name, words in _ROUTES if words.search(small)]
        route = routes[0] if len(routes) == 1 else ""
        yield Claim("dose", subjects, route, amount=max(numbers), low=min(numbers) if taught else None)
        if route == "decoction" and len(found) == 1 and not ceiling and not _NOT_PLAIN.search(small):
            yield Claim("decocted", subjects)


def _masked(text: str, mentions: Sequence[Mention]) -> str:
    """Small letters, the names as signs, as long as the text was."""
    small = text.casefold() if len(text.casefold()) == len(text) else text.lower()
    for one in mentions:
        small = small[: one.start] + "§" * (one.end - one.start) + small[one.end :]
    return small.replace("’", "'")


def _number(text: str) -> float:
    return _NUMBERS[text] if text in _NUMBERS else float(text)


def _of_another(trail: str, end: int, mentions: Sequence[Mention]) -> bool:
    """Whether the amount is of something that is no medicinal named here."""
    found = re.match(r"\s*of\s+(?:the\s+|a\s+)?([^\W\d_]+)", trail)
    if not found or found[1] in ("it", "this", "powder", "decoction", "raw", "each", "that", "dried"):
        return False
    return not any(one.start <= end + found.start(1) < one.end for one in mentions)


def _harm(small: str, start: int, ceiling: re.Match[str] | None) -> bool:
    """Whether the sentence speaks of the amount as of something not to be given."""
    rest = small if ceiling is None else small[: max(0, start - 40)] + small[start:]
    if ceiling is not None:
        rest = re.sub(r"\b(?:do not|don't|never|not|no)\b", " ", rest)
    return bool(_HARM.search(re.sub(r"\bno problem|raw\b|not decocted|without\b", " ", rest)))


def _dosed(
    small: str, mentions: Sequence[Mention], before: Sequence[Mention], found: Sequence[re.Match[str]], place: int
) -> tuple[Mention, ...]:
    """The medicinal that the amount is of: `9 g of it` first, else the one named last before, within one clause."""
    amount = found[place]
    for one in mentions:
        between = small[amount.end() : one.start] if one.start >= amount.end() else "-"
        if re.fullmatch(r"\s*(?:of\s+(?:the\s+)?|the\s+)?", between):
            return (one,)
    earlier = [one for one in mentions if one.end <= amount.start()]
    if earlier:
        near = earlier[-1]
        if any(near.end <= other.start() < amount.start() for other in found[:place]) and len(mentions) > 1:
            return ()
        listed = len(earlier) > 1 and re.fullmatch(r"\s*(?:,|and|or)\s*", small[earlier[-2].end : near.start])
        return () if listed else (near,)
    return tuple(before) if not mentions and len(before) == 1 else ()


def _each(small: str, mentions: Sequence[Mention], amount: re.Match[str]) -> tuple[Mention, ...]:
    """All the medicinals listed right before an amount that is said to be of each."""
    earlier = [one for one in mentions if one.end <= amount.start()]
    if len(earlier) != len(mentions) or not re.match(r"\s*(?:of\s+)?(?:each|apiece)\b", small[amount.end() :]):
        return ()
    gaps = [small[one.end : other.start] for one, other in pairwise(earlier)]
    return tuple(earlier) if all(re.fullmatch(r"\s*(?:,|and|&|,\s*and)\s*", gap) for gap in gaps) else ()

"""How it is cooked and swallowed, in an English sentence."""

import re
from collections.abc import Sequence

from materia_data.teach.proof.claim import Claim
from materia_data.teach.proof.mentions import Mention
from materia_data.teach.proof.word_list import word_list

_WAYS = {
    "decoct-first": (
        r"(?:pre-?)?(?:decoct\w*|boil\w*|cook\w*|simmer\w*|put|goes|go|add\w*)[^.;]{0,40}?\b(?:first|"
        r"beforehand|ahead)\b|first|beforehand|pre-?(?:boil|decoct|cook)\w*|before the (?:others|rest)|"
        r"ahead of"
    ),
    "wrap": r"wrap\w*|cloth|bags?|gauze|muslin|in a (?:\w+ )?bag|bagged|pouch|sachet",
    "melt": r"melt\w*|dissolv\w*",
    "dissolve": r"dissolv\w*|stir\w* into|melt\w*",
    "separate": r"separate\w*|on its own|alone",
    "add-late": (
        r"late|(?:goes?|go|put|added?|thrown?) (?:\w+ )?last|at the end|last (?:few "
        r"|\w+ )?minutes?|toward\w* the end|near the end|waits?|finish\w*"
    ),
    "take-powder": r"powder\w*|swallow\w*|ground|grind",
    "not-decocted": r"not (?:be )?(?:decocted|boiled|cooked)|never (?:be )?(?:decocted|boiled|cooked)",
    "steep": r"steep\w*",
}
_NEEDLESS = (
    r"(?:no need (?:to|for)|need not|needn't|(?:does|do) not (?:have|need) to|(?:doesn't|don't) "
    r"(?:have|need) to|(?:is|it's) not (?:necessary|needed|required) to|unnecessary to|no reason to|"
    r"never needs? to|never needs?|needs? no|requires? no|(?:does|do) not need|(?:doesn't|don't) need|no need of|"
    r"without|no point in|skip|(?:does|do) not require|(?:doesn't|don't) require)"
)
_NOT_LONG = re.compile(
    rf"\b{_NEEDLESS}\s+(?:be\s+)?(?:boil\w*|cook\w*|decoct\w*|simmer\w*)\s+(?:it\s+|them\s+|§\s+)?"
    r"(?:for\s+)?(?:so\s+|very\s+|that\s+|too\s+)?(?:long|hours|an hour)\b"
    rf"|\b{_NEEDLESS}\s+(?:any\s+)?long\s+(?:boil|cook|decoct)\w*|\bneeds?\s+no\s+(?:long|special"
    rf"|extra)\s+(?:boil|cook|decoct)\w*"
)
_UNWRAPPED = re.compile(
    r"\bunwrapped\b|\b(?:in|go|goes|left|float|swim)\s+loose\b|\bloose\s+in(?:to)?\s+(?:the|with)\b"
)
_COOKS = re.compile(
    r"(?:^|[,;:]\s*|\b(?:then|you|we|can|may|should|must|please|always|just|simply|and)\s+)(?:decoct|"
    r"simmer|cook|brew|boil)\s+(?:§|it\b|them\b|the\b|both\b|all\b|for\b|together\b|with\b|in\b|\d)"
    r"|(?:§|\bit|\bthey|\bboth|\ball|\bbe|\bg|\bthen|,)\s+(?:(?:is|are|be|gets?|being|should be|can "
    r"be|may be|must be)\s+)?(?:\w+ly\s+|simply\s+|just\s+|also\s+|all\s+|both\s+)?(?:decocted|boiled|"
    r"simmered|cooked|brewed)\b(?!\s+(?:down|to|into|out|off)\b)"
    r"|\b(?:goes?|go|put|throw|tip|toss|drop|stir|thrown|stirred|added|add)\b[^.;]{0,60}\b(?:pot|with "
    r"(?:the|all the) (?:other|rest)\w*|with everything)|\bbring (?:it |them )?to (?:the|a) boil\b|"
    r"\bgoes? in with\b|(?:§|\bit|\bthey|\band)\s+(?:boils|simmers|cooks)\s+for\b|"
    r"\bminutes of (?:boiling|cooking)\b|\bboil (?:for )?(?:\d+|\w+) min"
)
_MINUTES = re.compile(
    r"\b(\d+|five|ten|fifteen|twenty|thirty|forty|forty-five|fifty|sixty|ninety|a few|a couple of|one|"
    r"two|three|an|half an)\s*(?:more\s+)?(minutes?|min|mins|hours?|h)\b"
)
_NUMBERS = {
    "five": 5,
    "ten": 10,
    "fifteen": 15,
    "twenty": 20,
    "thirty": 30,
    "forty": 40,
    "forty-five": 45,
    "fifty": 50,
    "sixty": 60,
    "ninety": 90,
    "a few": 3,
    "a couple of": 2,
    "one": 1,
    "two": 2,
    "three": 3,
    "an": 1,
    "half an": 0.5,
}
_AT_ONCE = re.compile(
    r"\b(?:from the (?:very )?(?:start|beginning|first minute|outset)|at the (?:very )?(?:start|beginning"
    r"|outset)(?!\s+of\b)|"
    r"(?:a full|a whole|for an|for one|for a good|one whole) hour|for (?:\w+ )?hours|before (?:all"
    r"|everything|anything) else)\b"
)
_LESSON = re.compile(rf"\b(?:{'|'.join(sorted(word_list('safety lesson')))})\b")
_HARMS = re.compile(r"\b(?:kill\w*|poison\w*|toxic\w*|dangerous|numb\w*|harm\w*|dies?|deadly)\b")
_LATER = re.compile(r"\b(?:then|last|end|late|later|ahead|after|finally|the rest boils?|the others? boils?)\b")
_INTO_POT = re.compile(
    r"\b(?:boil|cook|simmer|decoct|brew|put|add|go|throw|drop|place)(?:s|es|ed|ing)?\b|\b(?:pot|decoction)\b"
)
_BY_MOUTH = re.compile(
    r"\bin (?:a |one )?(?:capsules?|pills?|tea|soup|honey|wine|porridge)\b|§\s+(?:tea|wine)\b|\bon an empty stomach\b"
    r"|\bwith (?:warm )?(?:water|wine)\b"
    r"|\b\d+(?:\.\d+)?(?:\s*(?:-|–|to)\s*\d+(?:\.\d+)?)?\s*(?:g|grams?|mg)\b|\b(?:a|one|two|three"
    r"|half a) (?:grams?|spoon\w*|pinch)\b"
    r"|\b(?:by|in) (?:a )?decoction\b|\b(?:gets|receives|drinks|eats|is given|are given)\b|\bgive\b"
)
_ON_SKIN = re.compile(
    r"\b(?:paste|plaster\w*|ointment|appl(?:y|ied|ies)|soak\w*|wash\w*|liniment|rub\w*|topical\w*"
    r"|compress|poultice|tincture|bath|"
    r"prepar\w*|process\w*|detoxif\w*|store\w*|order\w*|buy|bought|sell|weigh\w*|worth|dollars?|euros?|costs?|prices?|table|lay|show\w*|look|box|samples?|specimens?|jar)\b"
)
_LONG = re.compile(r"\b(?:long|for hours|an hour|hours?)\b")
_WARNS = re.compile(
    r"\b(?:not|never|nobody|no one|n't|cannot|don't|must not|avoid|forbidden|without|kill\w*|instead "
    r"of|rather than|unless|no|neither|none|nothing|only|too much|call for|hospital|poison\w*|outside|"
    r"external\w*|skin|where)\b|n't\b"
)
_SWALLOWS = re.compile(
    r"(?:^|[,;:]\s*|\b(?:and|then|you|we|can|may|to|should|just|simply|please)\s+)(?:swallow|eat|chew|"
    r"take|drink|ingest|nibble|munch)\b(?!(?:\s+\w+){0,3}\s+(?:off|up|away|out)\b)"
    r"|\b(?:is|are|be|can be|may be)\s+(?:\w+\s+)?(?:swallowed|eaten|chewed|taken|drunk|"
    r"ingested)\b(?!\s+(?:off|up|away|out)\b)|\b(?:by mouth|orally|internally)\b"
    r"|\b(?:ground|powder\w*|grind)\b[^.;]*\b(?:swallowed|taken|drunk|washed down)\b"
)


def read_cooking(text: str, mentions: Sequence[Mention], before: Sequence[Mention]) -> tuple[list[Claim], bool]:
    """Claims in one clause or sentence, and whether something was warned against or rightly taught."""
    bare = _without(text, mentions)
    bare = re.sub(r"\bonly (?=[\w-]+ min)|(?<=minutes) only\b", " ", bare)
    subjects = tuple(mentions) or tuple(before)
    if not subjects:
        return [], False
    claims = [
        Claim("spared", subjects, way)
        for way, words in _WAYS.items()
        if way not in ("take-powder", "not-decocted", "steep")
        and re.search(
            rf"\b{_NEEDLESS}\s+(?:be\s+|it\s+|them\s+|to\s+)?(?:the\s+|an?\s+)?(?:§\s*)?(?:\w+\s+)?(?:{words})", bare
        )
    ]
    if _NOT_LONG.search(bare) and not _HARMS.search(bare):
        claims.append(Claim("spared", subjects, "decoct-first"))
    if _UNWRAPPED.search(bare) and not _WARNS.search(bare):
        claims.append(Claim("spared", subjects, "wrap"))
    if claims or _WARNS.search(bare):
        return claims, True
    named_raw = tuple(one for one in mentions if one.raw)
    raw = named_raw or (subjects if len(subjects) == 1 else ())
    if raw and _SWALLOWS.search(bare):
        claims.append(Claim("swallowed", raw))
    elif named_raw and _BY_MOUTH.search(bare) and not _ON_SKIN.search(bare):
        claims.append(Claim("swallowed", named_raw, "amount"))
    if (
        _AT_ONCE.search(bare)
        and _INTO_POT.search(bare)
        and len(subjects) == 1
        and not (_LATER.search(bare) or _LESSON.search(bare))
    ):
        claims.append(Claim("early", subjects))
    if re.search(rf"\b(?:{_WAYS['add-late']})\b", bare) and not re.search(rf"\b(?:{_WAYS['decoct-first']})\b", bare):
        claims += [Claim("late", (one,)) for one in _near_late(bare, subjects)]
    if _COOKS.search(bare):
        claims += _cooked(text, bare, mentions, subjects)
    return claims, bool(_ways(bare))


def _cooked(text: str, bare: str, mentions: Sequence[Mention], subjects: tuple[Mention, ...]) -> list[Claim]:
    minutes = _minutes(bare)
    all_of = _ways(bare)
    made = []
    for one in subjects:
        handled = _own_ways(text, one, mentions) if len(mentions) > 1 else all_of
        if re.search(r"\bthen (?:add|put) (?:the )?§", bare) and len(mentions) == 1:
            handled = (*handled, "add-late")
        if "decoct-first" in all_of:
            handled = (*handled, "decoct-first" if len(subjects) == 1 else "ahead")
        made.append(
            Claim(
                "cooked",
                (one,),
                amount=minutes,
                handled=handled,
                careful=bool(_LONG.search(bare) or _AT_ONCE.search(bare)),
            )
        )
    return made


def _ways(bare: str) -> tuple[str, ...]:
    return tuple(way for way, words in _WAYS.items() if re.search(rf"\b(?:{words})\b", bare))


def _own_ways(text: str, one: Mention, mentions: Sequence[Mention]) -> tuple[str, ...]:
    """The ways said right beside the name; where a way stands elsewhere it may be meant of all."""
    small = text.casefold()
    stops = sorted(mention.start for mention in mentions if mention.start > one.end)
    after = small[one.end : stops[0] if stops else len(small)]
    earlier = [mention.end for mention in mentions if mention.end <= one.start]
    lead = small[max([0, *earlier]) : one.start]
    beside = re.match(
        r"\s*(?:\d+(?:\.\d+)?\s*g\b)?\s*[,(]?\s*(?:is |are |both |being )?(\w+(?: (?:last|first|late)\b)?)", after
    )
    near = f"{lead if not earlier else lead[-20:]} {beside[0] if beside else ''}"
    last = f" {after}" if not stops else ""
    ways = tuple(way for way, words in _WAYS.items() if re.search(rf"\b(?:{words})\b", near + last))
    if re.search(r"\b(?:ahead of|before|then (?:add|put))\s+(?:the\s+)?$", lead):
        return (*(way for way in ways if way != "decoct-first"), "add-late")
    return ways


def _near_late(bare: str, subjects: tuple[Mention, ...]) -> tuple[Mention, ...]:
    return subjects if len(subjects) == 1 or re.search(r"\b(?:all|both|they)\b", bare) else ()


def _minutes(bare: str) -> float | None:
    found = [
        (float(number) if number.isdigit() else _NUMBERS[number]) * (60 if unit.startswith("h") else 1)
        for number, unit in _MINUTES.findall(bare)
    ]
    return max(found) if found else None


def _without(text: str, mentions: Sequence[Mention]) -> str:
    made, at = "", 0
    for one in mentions:
        made += text[at : one.start] + "§"
        at = one.end
    return (made + text[at:]).casefold().replace("’", "'")

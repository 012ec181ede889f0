"""What keeps a sentence from being a plain claim: questions, hearsay, history, comparison, supposition, quotation."""

import re

_ENGLISH = re.compile(
    r"""\?|["“”«»]|\b(?:some\s+(?:say|people|books|authors|teachers|schools|think|claim)|say(?:s|ing)?\s+that|it\s+is\s+said|is\s+said\s+to|are\s+said\s+to
    |they\s+say|said|perhaps|maybe|might|possibly|probably|presumably|suppose\w*|supposing|assume|assuming|imagine|pretend
    |if|unless|whether|were\s+it|hypothe\w+|historically|traditionally|formerly|once\s+(?:was|were|thought|held|used)|used\s+to\s+be|ancient\w*|in\s+(?:the\s+)?(?:han|tang|song|ming|qing)\s+(?:dynasty|times)
    |dynasty|classic\w*|shen\s?nong\w*|zhang\s+zhongjing|li\s+shizhen|sun\s+simiao|herbal\s+(?:lists|says|calls)|oldest|older?\s+(?:books?|herbals?|texts?|masters?|verses?)|according\s+to|lists?\s+\S+\s+(?:\S+\s+)?as
    |i\s+(?:heard|think|believe|guess|read|was\s+told)|heard|hearsay|rumou?r\w*|reportedly|allegedly|apparently|seems?|seemingly|appears?\s+to|supposedly|so-called|arguably
    |than|compared|comparison|versus|vs|rather\s+like|stronger|weaker|warmer|colder|cooler|hotter|milder|more\s+\w+\s+of\s+the\s+two
    |true\s+or\s+false|quiz|exam|question|mistak\w+|myth|(?<!nothing\s)wrong\w*|incorrect\w*|error|not\s+true|false\w*|misconception|misprint|typo|claims?|claimed|argue\w*|debate\w*|dispute\w*|controvers\w*|disagree\w*|unsure|not\s+sure|unclear|unknown
    |would|could|should\s+not\s+be\s+called|in\s+this\s+formula|in\s+that\s+formula|in\s+theory|students?\s+(?:often|sometimes|say|write|think|wrote)|someone|somebody|people\s+(?:say|think|believe)|one\s+(?:book|author|student|source)
    |respectively|in\s+turn|in\s+(?:that|this)\s+order|when|once|after|before\s+(?:it|they)|until|except|sometimes|occasionally|in\s+some|depending|depends|was|were|had|did)\b""",
    re.VERBOSE | re.IGNORECASE,
)
_LIGHT = re.compile(
    r"\b(?:when|once|after|before|until|except|was|were|had|did|would|could|sometimes|stronger|"
    r"students?)\b",
    re.IGNORECASE,
)
_CHINESE = re.compile(
    r"[？?“”「」『』\"]|吗|呢|还是|是否|是不是|哪|何|什么|比|不如|古人|古代|古书|古籍|据说|听说|有人|"
    r"有的|有些|传说|可能|也许|或许|大概|恐怕|似乎|好像|如果|若|假如|假设|倘|要是|"
    r"曾|以前|从前|过去|旧说|《|张仲景|仲景|李时珍|错误|误以为|误认|误传|判断题|题|记载|某|未必|"
    r"不一定|相比|较|更|认为|书上|书中|本经"
)


def hedged(text: str) -> bool:
    """Whether the sentence is more, or less, than a plain claim."""
    return bool(
        _CHINESE.search(text) if any(char > "\u2e80" for char in text) and mostly_han(text) else _ENGLISH.search(text)
    )


def hedged_direction(text: str) -> bool:
    """The same of an instruction, where `when`, `after` and `until` only tell the time."""
    return hedged(_LIGHT.sub(" ", text))


def mostly_han(text: str) -> bool:
    """Whether at least half of the letters are Chinese characters."""
    letters = [char for char in text if char.isalpha()]
    return sum(char > "\u2e80" for char in letters) * 2 >= len(letters)

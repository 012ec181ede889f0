"""Claims in a plain Chinese sentence: each clause is understood whole, or not at all."""

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path

from materia_data.names.index import Index
from materia_data.read.package import Package
from materia_data.teach.proof.claim import Claim, Understood
from materia_data.teach.proof.mentions import Mention

_FILE = Path(__file__).with_name("characters.tsv")


@cache
def _written() -> tuple[tuple[str, str, str], ...]:
    lines = [line for line in _FILE.read_text(encoding="utf-8").splitlines() if not line.startswith("#")][1:]
    rows = [line.split("\t") for line in lines]
    return tuple((row[0], row[1], row[2]) for row in rows)


_CHANNELS = {word: value for kind, value, word in _written() if kind == "channel"}
_ORGANS = "|".join(sorted(_CHANNELS, key=len, reverse=True))
_MARK = 0xE000
_S = "[\ue000-\uf8ff]"
_LIST = rf"{_S}(?:(?:、|和|与|及|跟|同|以及|,|，){_S})*"
_CLAUSE = re.compile(r"[，,；;。！!:：]|\s{2,}")
_FILLER = re.compile(
    r"^(?:都是|均为|皆为|均是|皆是|都|均|皆|全|也|又|还|则|其|它们|它|药性|性味|这味药|此药|本品|的|"
    r"是|为|属于|属|而|且|并|性质|药|能够|能|可以|可|具有|有|主要|善于|善|长于|偏|之|品|功能|功效|"
    r"作用)"
)
_NOT = re.compile(r"^(?:并不能|并不是|并不|并非|不能|不会|不可以|不是|不具有|没有|不|非|无)")
_BAN = re.compile(r"禁|忌|不宜|不可|不能|不得|不要|不应|避免|慎|勿|切莫|不准|不许|不安全|危险|莫|别|不入|反对")
_MAY = re.compile(r"可以|能|可|安全|放心|没问题|没有问题|无妨|没关系|无禁忌|不忌|不必忌|宜|适合|无害|不反|不相反|配伍")
_NO_BAN = re.compile(
    r"不忌|不必忌|不用忌|无禁忌|没有禁忌|不必慎|不需慎|不反|不相反|不冲突|没有配伍禁忌|无配伍禁忌|"
    r"无需避免|不必避免|并非禁忌"
)
_TOGETHER = re.compile(r"同用|合用|配伍|一起|同煎|同服|相配|配合|并用|联用|搭配|配|共用|共煎")
_PREGNANT = re.compile(r"孕妇|妊娠|怀孕|孕期|准妈妈")
_CARE = re.compile(r"慎|小心|谨慎|遵医嘱")
_INSIDE = re.compile(r"吞服|冲服|内服|口服|服用|吃|嚼|咽|泡酒|生吃|服")
_AMOUNT = re.compile(r"(\d+(?:\.\d+)?)\s*(?:[-—–~～至到]+\s*(\d+(?:\.\d+)?)\s*)?(毫克|mg|克|g(?![a-z]))", re.IGNORECASE)
_COOKED = re.compile(r"煎|煮|熬|入锅|下锅")
_MINUTES = re.compile(r"(\d+|[一二三四五六七八九十半两]+)(?:个)?(分钟|小时)")
_WAYS = {
    "decoct-first": "先煎|先煮|久煎|先下|先放|先入",
    "add-late": "后下",
    "wrap": "包煎|布包|纱布|包好|包起|包(?![括含])",
    "melt": "烊化|烊|溶化|融化",
    "dissolve": "溶化|冲服|溶|兑",
    "separate": "另煎|单煎|另炖",
    "take-powder": "冲服|吞服|研末",
    "not-decocted": "不入煎|不煎",
}


def read_chinese(
    text: str,
    index: Index,
    mentions: Sequence[Mention],
    before: Sequence[Mention],
    words: Mapping[str, tuple[str, str]],
) -> Understood:
    """What one sentence says. before: whom it speaks of where it names nobody; words: `chinese_words`."""
    marked = _marked(index, text, mentions)
    subjects: tuple[Mention, ...] = ()
    claims: list[Claim] = []
    warned = False
    for clause in _clauses(marked):
        named = [mentions[ord(char) - _MARK] for char in clause if re.match(_S, char)]
        lead = re.match(_LIST, clause)
        if lead:
            subjects = tuple(mentions[ord(char) - _MARK] for char in lead[0] if re.match(_S, char))
        whom = subjects or tuple(named) or tuple(before)
        if not whom:
            continue
        rest = clause[lead.end() :] if lead else clause
        claims += _properties(rest, whom, words) if lead or not named else []
        found, banned = _safety(clause, marked, whom, tuple(named))
        claims += found
        warned = warned or banned
    whole = tuple(mentions)
    claims += _cooking(marked, whole, mentions)
    ahead = subjects or whole or tuple(before)
    return Understood(
        tuple(dict.fromkeys(claims)), ahead, _unknown(marked) if not mentions else _stranger(marked), warned
    )


def chinese_words(package: Package) -> dict[str, tuple[str, str]]:
    """Every word for a nature, flavor, grade of toxicity or action with what it names, the longest first."""
    actions = package.tables["actions"].columns
    ids = set(actions["id"])
    made = {
        word: (kind, value)
        for kind, value, word in _written()
        if kind != "channel" and (kind != "action" or value in ids)
    }
    made |= {hans: ("action", id) for id, hans in zip(actions["id"], actions["name_hans"], strict=True) if hans}
    return dict(sorted(made.items(), key=lambda item: -len(item[0])))


def _marked(index: Index, text: str, mentions: Sequence[Mention]) -> str:
    made, at = "", 0
    for number, one in enumerate(mentions[:6000]):
        made += text[at : one.start] + chr(_MARK + number)
        at = one.end
    made += text[at:]
    return "".join(index.script.simple.get(char, char) for char in made)


def _clauses(marked: str) -> Iterator[str]:
    """Parts between stops; a comma inside a list of names parts nothing."""
    joined = re.sub(rf"(?<={_S})[,，](?={_S}+(?:[,，、和与]|都|均|皆))", "、", marked)
    for part in _CLAUSE.split(joined):
        if part.strip():
            yield re.sub(r"\s+", "", part)


def _properties(rest: str, whom: tuple[Mention, ...], words: Mapping[str, tuple[str, str]]) -> list[Claim]:
    claims: list[Claim] = []
    denied = False
    while rest:
        if found := re.match(rf"^(?:归|入|走|归入)((?:(?:{_ORGANS})[、和与]?)+)(?:二|两|三|四|诸)?经?$", rest):
            return [
                *claims,
                *(Claim("channel", whom, _CHANNELS[organ], not denied) for organ in re.findall(_ORGANS, found[1])),
            ]
        if found := re.match(rf"^(?:归|入|走|归入)((?:(?:{_ORGANS})[、和与]?)+)(?:二|两|三|四|诸)?经", rest):
            claims += [Claim("channel", whom, _CHANNELS[organ], not denied) for organ in re.findall(_ORGANS, found[1])]
            rest = rest[found.end() :]
            continue
        if found := re.match(
            (
                r"^(?:气味|性味|味|性|药性)(?=[大微寒凉平温热辛甘酸苦咸淡涩偏而])|^性(?=的|$)|^味(?=的|$)|"
                r"^[、和与]"
            ),
            rest,
        ):
            rest = rest[found.end() :]
            continue
        known = next((word for word in words if rest.startswith(word)), "")
        if known:
            kind, value = words[known]
            claims.append(Claim(kind, whom, value, not denied))
            rest = rest[len(known) :]
            continue
        if found := _NOT.match(rest):
            denied, rest = True, rest[found.end() :]
            continue
        if found := _FILLER.match(rest):
            rest = rest[found.end() :]
            continue
        return []
    return claims


def _safety(
    clause: str, marked: str, whom: tuple[Mention, ...], named: tuple[Mention, ...]
) -> tuple[list[Claim], bool]:
    rest = _NO_BAN.sub("可以", clause)
    banned = bool(_BAN.search(rest)) and not re.search(r"能不能", rest)
    claims: list[Claim] = []
    pair = named if len(named) > 1 else whom
    if _PREGNANT.search(clause) or (_PREGNANT.search(marked) and re.search(r"安全|放心", clause)):
        if _MAY.search(rest) and not banned:
            claims.append(Claim("allowed", whom, "pregnancy", careful=bool(_CARE.search(clause))))
    elif len(pair) > 1 and _TOGETHER.search(rest) and not banned:
        if _MAY.search(rest):
            claims.append(Claim("together", pair, "allowed"))
        elif re.search(rf"^(?:用|以)?{_S}配{_S}", clause) or re.search(
            rf"{_S}(?:常|多|宜|应|须|要|当)?(?:与|和|跟|同|配){_S}.{{0,3}}(?:同用|合用|配伍|相配|并用)", clause
        ):
            claims.append(Claim("together", pair, "taught"))
    elif len(pair) > 1 and rest != clause and "反" in clause and "不" in clause:
        claims.append(Claim("together", pair, "allowed"))
    claims += _amounts(clause, marked, whom, named, banned)
    return claims, banned or "反" in clause or "畏" in clause


def _amounts(
    clause: str, marked: str, whom: tuple[Mention, ...], named: tuple[Mention, ...], banned: bool
) -> Iterator[Claim]:
    found = _AMOUNT.search(clause)
    if not found or re.search(
        r"外用|洗|古|[一二三四五六七八九十半]两|经验|医案|患者|误服|小儿|儿童|原方|每公斤|中毒|致死|过量", marked
    ):
        return
    if banned and not re.search(r"(?:不得|不可|不能|不宜|不要|勿)(?:超过|过|多于|大于|超)", clause):
        return
    if re.search(r"(?<!不)(?<!不得)(?<!不可)(?<!不能)(?<!不宜)(?:超过|大于|多于)", clause) and not banned:
        return
    if len(whom) != 1 or len(named) > 1:
        return
    factor = 0.001 if found[3].casefold() in ("毫克", "mg") else 1.0
    numbers = [float(part) * factor for part in (found[1], found[2]) if part]
    route = "decoction" if re.search("煎", marked) else "powder" if re.search("研末|冲服|吞服|粉", marked) else ""
    taught = bool(re.search("用量|剂量|常用量", clause)) and not banned
    yield Claim("dose", whom, route, amount=max(numbers), low=min(numbers) if taught else None)


def _cooking(marked: str, whole: tuple[Mention, ...], mentions: Sequence[Mention]) -> list[Claim]:
    claims: list[Claim] = []
    spare = r"(?:不必|不用|无需|无须|不需要|不需|毋须|不须|用不着)"
    for way, words in _WAYS.items():
        if way not in ("take-powder", "not-decocted") and re.search(rf"{spare}(?:{words})", marked):
            claims.append(Claim("spared", whole, way))
    banned = re.search(r"不可|不能|不宜|不要|不得|禁|忌|勿|切莫|不入|不必|不用|无需|不许|不准|避免|别|不煎", marked)
    if banned or not whole:
        return claims
    raw = tuple(one for one in whole if one.raw) or (whole if len(whole) == 1 else ())
    if raw and _INSIDE.search(marked) and not re.search("外|敷|涂", marked):
        claims.append(Claim("swallowed", raw))
    said = tuple(way for way, words in _WAYS.items() if re.search(words, marked))
    if "add-late" in said and len(whole) == 1 and "decoct-first" not in said:
        claims.append(Claim("late", whole))
    if _COOKED.search(marked):
        for number, one in enumerate(mentions):
            own = re.search(rf"{chr(_MARK + number)}[（(]?([^{chr(_MARK)}-\uf8ff、，,]{{0,6}})", marked)
            handled = tuple(way for way, words in _WAYS.items() if own and re.search(words, own[1]))
            late = ("decoct-first",) if "decoct-first" in said else ()
            claims.append(
                Claim("cooked", (one,), amount=_time(marked), handled=(*handled, *late) if len(whole) > 1 else said)
            )
    return claims


def _time(marked: str) -> float | None:
    found = _MINUTES.search(marked)
    if not found:
        return None
    digits = {char: number for number, char in enumerate("零一二三四五六七八九")} | {"两": 2}
    text = found[1]
    if text.isdigit():
        amount = float(text)
    elif text == "半":
        amount = 0.5
    elif "十" in text:
        tens, ones = text.split("十", 1)
        amount = float(digits.get(tens, 1) * 10 + digits.get(ones, 0))
    else:
        amount = float(digits.get(text[0], 1))
    return amount * (60 if found[2] == "小时" else 1)


def _unknown(marked: str) -> tuple[str, ...]:
    """A name of two to five characters at the beginning, of which a property is said as of a medicinal."""
    found = re.match(
        r"^([\u4e00-\u9fff]{2,5}?)(?:(?:的)?(?:药)?性(?:味)?(?:是|为)?(?:大|"
        r"微)?[寒凉平温热辛甘酸苦咸淡涩]|味[辛甘酸苦咸淡涩]|归[心肝脾肺肾胃胆]|(?:有|无)(?:小|大)?毒|孕妇|"
        r"(?:能|可|可以)(?:清热|补|活血|止血|发汗|解表|化痰))",
        marked,
    )
    return (found[1],) if found and not re.search(r"这|那|该|本|此|它|其|药|品|者|类|所|都|均|皆|味", found[1]) else ()


def _stranger(marked: str) -> tuple[str, ...]:
    """A name not on record that stands beside one that is."""
    found = re.match(rf"^([\u4e00-\u9fff]{{2,5}}?)(?:可以|能|可|不宜|不可|不能|宜)?(?:和|与|同|跟){_S}", marked)
    return (
        (found[1],)
        if found and not re.search(r"这|那|该|本|此|它|其|药|品|者|类|所|孕|医|方|常|多|宜|应|味", found[1])
        else ()
    )

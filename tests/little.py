# ruff: noqa: E501 - a row of a table is one line
"""A small, valid data package of invented medicinals, for tests that need one."""

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path

from materia_data.read.descriptor import descriptor_text
from materia_data.read.package import Package
from materia_data.read.schema import TableSchema, table_schemas
from materia_data.read.table import Table

Row = dict[str, str]


def little(folder: Path, *, rules: Mapping[str, str] | None = None, **tables: Sequence[Mapping[str, object]]) -> Path:
    """Write the package into the folder and return the folder.

    Each keyword names a table and gives rows for it. A row whose key stands already changes the cells it gives; any other row is new,
    and what it leaves out takes a valid value (required columns) or stays empty. `rules` gives rule files by name (`softening.toml`).
    """
    for name, rows in _rows(tables).items():
        schema = table_schemas()[name]
        write_table(folder / schema.path, schema, rows)
    for name, text in (rules or {}).items():
        path = folder / "rules" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")
    (folder / "datapackage.json").write_text(descriptor_text(folder), encoding="utf-8", newline="\n")
    return folder


def little_package(*, rules: Mapping[str, str] | None = None, **tables: Sequence[Mapping[str, object]]) -> Package:
    """The same package as read from such a folder, without writing one."""
    made = {}
    for name, rows in _rows(tables).items():
        schema = table_schemas()[name]
        rows.sort(key=lambda row: _sort_key(schema, row))
        columns = {field.name: [row.get(field.name, "") for row in rows] for field in schema.fields}
        made[name] = Table(schema, columns, range(2, len(rows) + 2))
    return Package(Path(), made, dict(rules or {}), "0.0.0", [])


def _rows(tables: Mapping[str, Sequence[Mapping[str, object]]]) -> dict[str, list[Row]]:
    schemas = table_schemas()
    unknown = sorted(set(tables) - set(schemas))
    if unknown:
        raise KeyError(f"no such table: {', '.join(unknown)}")
    made = {}
    for schema in schemas.values():
        made[schema.name] = _merged(schema, _base(schema), tables.get(schema.name, ()))
    return made


def write_table(path: Path, schema: TableSchema, rows: Sequence[Row]) -> None:
    """Write the rows as a canonical file: header, rows in key order, LF."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([field.name for field in schema.fields])
    for row in sorted(rows, key=lambda row: _sort_key(schema, row)):
        writer.writerow([row.get(field.name, "") for field in schema.fields])
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(out.getvalue(), encoding="utf-8", newline="\n")


def _sort_key(schema: TableSchema, row: Row) -> tuple[tuple[int, float, str], ...]:
    def part(column: str) -> tuple[int, float, str]:
        value = row.get(column, "")
        whole = schema.by_name[column].type == "integer" and value.lstrip("-").isdigit()
        return (0, int(value), "") if whole else (1, 0, value)

    return tuple(part(column) for column in schema.key)


def _merged(schema: TableSchema, rows: list[Row], given: Sequence[Mapping[str, object]]) -> list[Row]:
    """The rows with the given ones merged in by key."""
    by_key = {_key(schema, row): row for row in rows}
    fill = _FILL.get(schema.name, {})
    for cells in given:
        strange = sorted(set(cells) - set(schema.by_name))
        if strange:
            raise KeyError(f"{schema.name} has no column {', '.join(strange)}")
        new = {column: str(value) for column, value in cells.items()}
        if row := by_key.get(_key(schema, new)):
            row.update(new)
            continue
        rows.append({name: fill.get(name, _default(schema, name)) for name in schema.by_name} | new)
        by_key.setdefault(_key(schema, rows[-1]), rows[-1])
    return rows


def _key(schema: TableSchema, row: Row) -> tuple[str, ...]:
    return tuple(row.get(column, "") for column in schema.key)


def _default(schema: TableSchema, column: str) -> str:
    field = schema.by_name[column]
    if not field.required:
        return ""
    if column in _COMMON:
        return _COMMON[column]
    if field.enum:
        return field.enum[0]
    if field.type in ("integer", "number"):
        return "1"
    if field.type == "date":
        return "2026-01-01"
    if field.refers:
        return _base(table_schemas()[field.refers[0]])[0]["id"]
    return "demo"


def _base(schema: TableSchema) -> list[Row]:
    text = _TABLES.get(schema.name, "").strip()
    if not text:
        return []
    header, *lines = text.split("\n")
    columns = [name.strip() for name in header.split("|")]
    rows: list[Row] = []
    for line in lines:
        row = dict(zip(columns, (cell.strip() for cell in line.split("|")), strict=True))
        for column in schema.by_name:
            row.setdefault(column, _default(schema, column) if schema.by_name[column].required else "")
        rows.append(row)
    return rows


_COMMON = {
    "name_hans": "示例",
    "name_hant": "示例",
    "name_en": "demo",
    "name_latin": "Demo demo",
    "pinyin": "shì lì",
    "basis": "common-practice",
    "subject": "demo-leaf",
    "digest": "0" * 64,
    "lang": "en",
    "items_complete": "no",
}
_FILL = {
    "confusions": {"a": "demo-leaf", "b": "demo-seed", "kind": "look"},
    "antagonisms": {"a": "demo-leaf", "b": "demo-seed"},
    "citations": {"about_table": "herbs", "record": "demo-leaf", "column": "nature"},
    "doses": {"route": "decoction", "per": "day", "population": "adult", "min": "3", "max": "9", "unit": "g"},
    "cautions": {"topic": "pregnancy", "state": "caution"},
    "controls": {"instrument": "demo-law"},
    "herb_actions": {"action": "soften-hardness"},
    "handling": {"handling": "ordinary", "force": "usual"},
    "loosenings": {"source": "demo-book"},
    "formulas": {"category": "f-clear-heat"},
}
_TABLES = {
    "herbs": """
id|name_hans|name_hant|pinyin|name_en|category|subgroup|status|default_form|nature|flavors|channels|parts|traits|toxicity
demo-kelp|示例藻|示例藻|shì lì zǎo|demo kelp|clear-heat||current||cold|salty|liver;stomach;kidney|whole-herb|seaweed|unmarked
demo-leaf|示例叶|示例葉|shì lì yè|demo leaf|clear-heat|clear-heat-toxin|current||cool|pungent;slightly-bitter|lung|leaf|aromatic|none
demo-root|示例根|示例根|shì lì gēn|demo root|warm-interior||current|demo-root.zhi|hot|pungent|heart;kidney;spleen|root|aconitine|toxic
demo-seed|示例子|示例子|shì lì zǐ|demo seed|warm-interior||current||warm|sweet|spleen|seed|food;oily|none
""",
    "forms": """
id|herb|kind|method|inherits|name_hans|name_hant|pinyin|name_en|toxicity|reason
demo-root.sheng|demo-root|raw||safety|生示例根|生示例根|shēng shì lì gēn|raw demo root||Only for use outside the body.
demo-root.zhi|demo-root|prepared|boiling|all|制示例根|製示例根|zhì shì lì gēn|prepared demo root||Boiling lessens its toxicity.
""",
    "names": """
subject|name|lang|kind
demo-leaf|demo mint|en|trade
demo-root|示例根块|zh-Hans|old
""",
    "species": """
subject|taxon|part|status
demo-kelp|demo-alga|whole-herb|official
demo-root|demo-planta|root|official
""",
    "herb_actions": """
subject|action|site|cause|polarity|weight|position|indications
demo-kelp|soften-hardness|||does|chief|1|goiter
demo-leaf|clear-heat|lung||does|chief|1|cough
demo-leaf|soften-hardness|||does-not|||
demo-root|warm-interior|||does|chief|1|
demo-root.zhi|relieve-pain|||does|secondary|1|
demo-seed|stop-bleeding|||does|secondary|1|
""",
    "doses": """
subject|route|per|population|purpose|min|max|unit|max_days
demo-kelp|decoction|day|adult||6|12|g|
demo-leaf|decoction|day|adult||3|9|g|
demo-root.zhi|decoction|day|adult||1.5|3|g|14
demo-seed|decoction|day|adult||3|9|g|
""",
    "cautions": """
subject|topic|target|state|evidence|detail|reason
demo-kelp|condition|thyroid-disease|caution|tradition|Ask before long use.|It is rich in iodine.
demo-leaf|pregnancy||caution|tradition|Use with care in pregnancy.|It moves downward.
demo-root|pregnancy||contraindicated|tradition|Not in pregnancy.|It is toxic.
""",
    "handling": """
subject|handling|purpose|force|minutes_min|minutes_max|reason
demo-leaf|add-late||usual|||Its scent is soon lost.
demo-root.zhi|decoct-first||required|60|120|Long boiling lessens its toxicity.
""",
    "controls": """
subject|instrument|jurisdiction|level|detail|valid_from
demo-root.sheng|demo-law|demoland|prescription-only|An invented law.|2020-01-01
""",
    "antagonisms": """
a|b|list|line|reading|state
demo-kelp|demo-root|other|an invented line|stated|avoid
""",
    "pairs": """
id|subjects|relation|effect
demo-pair|demo-leaf;demo-seed|need|Together they clear heat without chilling the center.
""",
    "contrasts": """
id|shared
demo-contrast|Both are pungent.
""",
    "contrast_points": """
contrast|subject|axis|point
demo-contrast|demo-leaf|nature|Cool, so it clears.
demo-contrast|demo-root|nature|Hot, so it warms.
""",
    "confusions": """
a|b|kind|harm|tell_apart
demo-root|demo-seed|name|A toxic root would be given for a food.|The seed is round.
""",
    "formulas": """
id|name_hans|name_hant|pinyin|name_en|category|actions|indications|dosage_form|amounts_are|items_complete
demo-tang|示例汤|示例湯|shì lì tāng|demo decoction|f-clear-heat|clear-heat|cough|decoction|daily|yes
""",
    "formula_items": """
formula|position|subject|as_written|roles|function|amount_g|handling|reason
demo-tang|1|demo-leaf|示例叶|chief||6|add-late|Clears heat from the lung.
demo-tang|2|demo-seed|示例子|assistant;envoy|harmonize|3||Protects the center.
""",
    "categories": """
id|scheme|name_en|name_hans|position|defining_action
clear-heat|herbs|heat-clearing medicinals|清热药|1|clear-heat
f-clear-heat|formulas|heat-clearing formulas|清热剂|1|
warm-interior|herbs|interior-warming medicinals|温里药|2|warm-interior
""",
    "groups": """
id|category|name_en|name_hans|position|defining_action
clear-heat-toxin|clear-heat|heat- and toxin-clearing|清热解毒药|1|
""",
    "units": """
id|course|position|title
demo-unit|demo-course|1|Clearing heat
""",
    "unit_subjects": """
unit|subject|position|depth
demo-unit|demo-leaf|1|core
demo-unit|demo-tang|2|familiar
""",
    "aids": """
id|subject|kind|text
demo-leaf-aid|demo-leaf|image|A leaf in the wind cools the face.
""",
    "sources": """
id|title|edition|year|body|kind|jurisdiction|precedence
demo-book|An invented textbook|1|2024|Demo school|textbook||2
demo-classic|An invented classic||||classic||3
demo-law|An invented law||2020|Demoland|law|demoland|1
demo-standard|An invented standard||2020|Demoland|standard|demoland|1
""",
    "natures": """
id|name_en|name_hans|name_hant|pinyin|rank
cold|cold|寒|寒|hán|-2
cool|cool|凉|涼|liáng|-1
hot|hot|热|熱|rè|2
neutral|neutral|平|平|píng|0
slightly-cold|slightly cold|微寒|微寒|wēi hán|-1
slightly-warm|slightly warm|微温|微溫|wēi wēn|1
very-cold|very cold|大寒|大寒|dà hán|-3
very-hot|very hot|大热|大熱|dà rè|3
warm|warm|温|溫|wēn|1
""",
    "flavors": """
id|broader|name_en|name_hans|name_hant|pinyin
astringent||astringent|涩|澀|sè
bitter||bitter|苦|苦|kǔ
bland||bland|淡|淡|dàn
pungent||pungent|辛|辛|xīn
salty||salty|咸|鹹|xián
slightly-bitter|bitter|slightly bitter|微苦|微苦|wēi kǔ
sour||sour|酸|酸|suān
sweet||sweet|甘|甘|gān
""",
    "channels": """
id|name_en|name_hans|name_hant|pinyin
bladder|bladder|膀胱|膀胱|páng guāng
gallbladder|gallbladder|胆|膽|dǎn
heart|heart|心|心|xīn
kidney|kidney|肾|腎|shèn
large-intestine|large intestine|大肠|大腸|dà cháng
liver|liver|肝|肝|gān
lung|lung|肺|肺|fèi
pericardium|pericardium|心包|心包|xīn bāo
small-intestine|small intestine|小肠|小腸|xiǎo cháng
spleen|spleen|脾|脾|pí
stomach|stomach|胃|胃|wèi
triple-burner|triple burner|三焦|三焦|sān jiāo
""",
    "directions": """
id|name_en|name_hans|name_hant|pinyin
ascending|ascending|升|升|shēng
descending|descending|降|降|jiàng
floating|floating|浮|浮|fú
sinking|sinking|沉|沉|chén
""",
    "actions": """
id|broader|name_en|name_hans|name_hant|pinyin|implied_cause|implied_site
clear-heat||clear heat|清热|清熱|qīng rè|heat|
cool-blood|clear-heat|cool the blood|凉血|涼血|liáng xuè|blood-heat|
cool-blood-stop-bleeding|cool-blood;stop-bleeding|cool the blood to stop bleeding|凉血止血|涼血止血|liáng xuè zhǐ xuè|blood-heat|
free-stool||free the stool|通便|通便|tōng biàn||large-intestine
relieve-pain||relieve pain|止痛|止痛|zhǐ tòng||
soften-hardness||soften hardness|软坚|軟堅|ruǎn jiān||
stop-bleeding||stop bleeding|止血|止血|zhǐ xuè||
warm-channels-stop-bleeding|stop-bleeding|warm the channels to stop bleeding|温经止血|溫經止血|wēn jīng zhǐ xuè|cold|
warm-interior||warm the interior|温里|溫裡|wēn lǐ|cold|middle-burner
""",
    "sites": """
id|broader|name_en|name_hans|name_hant|pinyin
head||head|头|頭|tóu
large-intestine|lower-burner|large intestine|大肠|大腸|dà cháng
lower-burner||lower burner|下焦|下焦|xià jiāo
lung|upper-burner|lung|肺|肺|fèi
middle-burner||middle burner|中焦|中焦|zhōng jiāo
spleen|middle-burner|spleen|脾|脾|pí
stomach|middle-burner|stomach|胃|胃|wèi
upper-burner||upper burner|上焦|上焦|shàng jiāo
""",
    "causes": """
id|broader|name_en|name_hans|name_hant|pinyin
blood-heat|heat|heat in the blood|血热|血熱|xuè rè
cold||cold|寒|寒|hán
heat||heat or fire|热|熱|rè
phlegm||phlegm|痰|痰|tán
wind||wind|风|風|fēng
wind-cold|wind;cold|wind-cold|风寒|風寒|fēng hán
""",
    "parts": """
id|broader|name_en|name_hans|name_hant|pinyin
fruit-seed||fruit or seed|果实种子|果實種子|guǒ shí zhǒng zǐ
leaf||leaf|叶|葉|yè
rhizome|underground|rhizome|根茎|根莖|gēn jīng
root|underground|root|根|根|gēn
seed|fruit-seed|seed|种子|種子|zhǒng zǐ
underground||underground part|地下部分|地下部分|dì xià bù fèn
whole-herb||whole herb|全草|全草|quán cǎo
""",
    "traits": """
id|broader|name_en|name_hans|name_hant|pinyin|kind
aconitine||aconite diester alkaloids|乌头碱类|烏頭鹼類|wū tóu jiǎn lèi|constituent
aromatic||aromatic|芳香|芳香|fāng xiāng|sense
food||eaten as food as well|药食同源|藥食同源|yào shí tóng yuán|state
irritant||stings or numbs the mouth when raw|刺激咽喉|刺激咽喉|cì jī yān hóu|sense
mineral||mineral|矿物药|礦物藥|kuàng wù yào|origin
oily||rich in oil|富含油脂|富含油脂|fù hán yóu zhī|substance
seaweed||seaweed|海藻类|海藻類|hǎi zǎo lèi|origin
""",
    "methods": """
id|broader|name_en|name_hans|name_hant|pinyin
boiling||boiling|煮|煮|zhǔ
ginger-frying|stir-frying|frying with ginger|姜炙|薑炙|jiāng zhì
honey-frying|stir-frying|frying with honey|蜜炙|蜜炙|mì zhì
stir-frying||stir-frying|炒|炒|chǎo
""",
    "handlings": """
id|name_en|name_hans|name_hant|pinyin
add-late|add late|后下|後下|hòu xià
decoct-first|decoct first|先煎|先煎|xiān jiān
ordinary|ordinary decoction|同煎|同煎|tóng jiān
pills-powder-only|pills and powders only|入丸散|入丸散|rù wán sǎn
wrap|wrap in cloth|包煎|包煎|bāo jiān
""",
    "toxicities": """
id|name_en|name_hans|name_hant|pinyin|rank
none|not toxic|无毒|無毒|wú dú|0
slight|slightly toxic|有小毒|有小毒|yǒu xiǎo dú|1
toxic|toxic|有毒|有毒|yǒu dú|2
unmarked|no grade given|未标明|未標明|wèi biāo míng|
very-toxic|very toxic|有大毒|有大毒|yǒu dà dú|3
""",
    "indications": """
id|broader|name_en|name_hans|name_hant|pinyin
cough||cough|咳嗽|咳嗽|ké sòu
goiter||goiter|瘿瘤|癭瘤|yǐng liú
""",
    "topics": """
id|name_en|name_hans|name_hant|pinyin
condition|existing condition|病症|病症|bìng zhèng
drug|medicine taken beside it|西药|西藥|xī yào
lactation|breast-feeding|哺乳|哺乳|bǔ rǔ
pregnancy|pregnancy|妊娠|妊娠|rèn shēn
""",
    "targets": """
id|broader|name_en|topic
anticoagulants||anticoagulants|drug
thyroid-disease||thyroid disease|condition
warfarin|anticoagulants|warfarin|drug
""",
    "taxa": """
id|name_latin|kind
demo-alga|Demo alga|organism
demo-planta|Demo planta|organism
""",
    "routes": """
id|name_en|name_hans|name_hant|pinyin
decoction|decoction|汤剂|湯劑|tāng jì
external|external use|外用|外用|wài yòng
powder|powder|散剂|散劑|sǎn jì
""",
    "populations": """
id|name_en|name_hans|name_hant|pinyin
adult|adults|成人|成人|chéng rén
child|children|儿童|兒童|ér tóng
""",
    "purposes": """
id|name_en
emergency|in an emergency
""",
    "evidence": """
id|name_en
pharmacopoeia|the pharmacopoeia
tradition|tradition
""",
    "levels": """
id|name_en
banned|banned
prescription-only|on prescription only
""",
    "jurisdictions": """
id|name_en
demoland|Demoland (invented)
""",
    "dosage_forms": """
id|name_en|name_hans|name_hant|pinyin
decoction|decoction|汤剂|湯劑|tāng jì
pill|pill|丸剂|丸劑|wán jì
""",
    "axes": """
id|name_en
action|action
nature|nature
""",
}

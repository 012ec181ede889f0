"""Write the two messy sheets of Riverbank School, an invented school: `python examples/adopt/make_sheets.py FOLDER`.

Nobody uses these sheets; they hold mistakes on purpose. Not for use.
"""

import sys
from pathlib import Path

GBK = """\
河岸学校（虚构）中药表，仅作示例;;;;;;;;;
序号;药名;又名;性味;归经;功效;用量(g);孕妇;禁忌、注意;货位
解表药;;;;;;;;;
1;麻黄;麻黄草;辛、微苦，温;肺、膀胱;发汗解表，宣肺平喘，利水消肿;2～10;慎用;表虚自汗者慎用;A1
2;薄荷;蘇薄荷;辛，凉;肺、肝;疏散风热，清利头目，利咽，透疹;3—6;;表虚汗多者慎用;A2
清热药;;;;;;;;;
3;石膏;生石膏;甘、辛，大寒;肺、胃;清热泻火，除烦止渴;15-60，先煎;;脾胃虚寒者忌用;B4
4;黄连;川连;苦，寒;心、脾、胃、肝、胆、大肠;清热燥湿，泻火解毒;2-5;;脾胃虚寒者慎用;B5
活血化瘀药;;;;;;;;;
5;紅花;草红花;辛，温;心、肝;活血通经，散瘀止痛;3-10;慎用;月经过多者忌用;C1
6;桃仁;;苦、甘，平;心、肝、大肠;活血祛瘀，润肠通便，止咳平喘;5-15;忌用;便溏者慎用;C2
温里药;;;;;;;;;
7;附子;制附子;辛、甘，大热，有毒;心、肾、脾;回阳救逆，补火助阳，散寒止痛;3-15，先煎;慎用;反半夏、瓜蒌、贝母、白蔹、白及;D1
8;肉桂;桂心;辛、甘，大热;肾、脾、心、肝;补火助阳，散寒止痛，温通经脉;1-5，后下;慎用;阴虚火旺者忌用;D2
;Da ji;;甘、苦，凉;心、肝;凉血止血，散瘀解毒消痈;9-15;;;E1
"""
ROWS = [
    ["Riverbank School (invented) - evening class list, NOT FOR USE"],
    [],
    ["#", "Herb", "Pinyin", "Flavour & Temp", "Meridians", "What it does", "Dose", "How cooked", "Contra / cautions", "Incompat.", "Remarks"],
    [1, "黄芪", "huang qi", "sweet, sl. warm", "Sp, Lu", "Tonifies qi, raises yang; consolidates the exterior & stops sweating", "9-30g", "", "Caution with excess heat", "", "ask for honey-fried"],
    [2, "甘草", "gan cao", "sweet; neutral", "all 12", "Tonifies Spleen qi; clears heat and resolves toxins; harmonizes other herbs", "2~10 g (decoction)", "", "Avoid long-term use; caution w/ hypertension", "gan sui, Jing da ji, hai zao, yuan hua", ""],
    [3, "半夏", "ban xia", "acrid / warm / toxic", "Sp, St, Lu", "dries dampness and transforms phlegm, stops vomiting; dissipates nodules", "3-9g", "", "Not in preg.; yin def w/ dry cough", "wu tou", "processed only!"],
    [4, "大黄", "da huang", "bitter, cold", "Sp, St, LI, Liv, Pc", "Purges accumulation, clears heat & drains fire, quickens blood", "3-15g", "add near end (for purging)", "Use with caution in pregnancy, menstruation and breastfeeding", "", ""],
    [5, "天麻", "tian ma", "sweet, neutral", "Li", "extinguishes wind, subdues yang, free the collaterals", "3-10g; powder 1-1.5g", "", "", "", ""],
    [6, "细辛", "xi xin", "acrid, warm, sl toxic", "Ht, Lu, Ki", "releases exterior, disperses cold, unblocks the nose, warms the lung and transforms rheum", "1-3g", "", "caution: yin def with heat", "li lu", "no more than 3"],
    [7, "朱砂", "zhu sha", "sweet, sl. cold, toxic", "Ht", "settles fright, calms the spirit, clears heat & resolves toxicity", "0.1-0.5g in pills or powder", "do not decoct", "do not use in pregnancy", "", "mercury!"],
    [8, "", "mu tong", "bitter, cold", "Ht, SI, Bl", "promotes urination, relieves strangury, promotes lactation", "3-6g", "", "contraindicated in pregnancy", "", "which one is in the drawer?"],
]


def main(folder: Path) -> None:
    """Write riverbank-shelf.csv (GBK, cells parted by semicolons) and riverbank-evening.xlsx."""
    from openpyxl import Workbook

    (folder / "riverbank-shelf.csv").write_bytes(GBK.encode("gb18030"))
    book = Workbook()
    sheet = book.active
    sheet.title = "Evening class"
    for row in ROWS:
        sheet.append(row)
    book.save(folder / "riverbank-evening.xlsx")


if __name__ == "__main__":
    main(Path(sys.argv[1]))

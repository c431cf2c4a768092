#!/usr/bin/env python3
"""Writes tests/data/import: small invented recordings, one for every trap of a logger's export.

Run from anywhere; the same bytes every time (python3, no packages). Numbers are of no real machine.
"""
import gzip
import io
import json
import math
import pathlib
import random
import zipfile
from datetime import datetime, timedelta

OUT = pathlib.Path(__file__).parent / "import"
START = datetime(2026, 1, 14, 6, 0)


def put(name, content):
    path = OUT / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))


def machine(rows, step=60, seed=1, cycle=45):
    """Invented readings of one outdoor module in heating: it runs two thirds of each cycle."""
    rng = random.Random(seed)
    out = []
    hz = pd = ps = 0.0
    td, ts, oat = 30.0, -4.0, -6.0
    pd, ps = 1500.0, 1200.0
    for i in range(rows):
        t = START + timedelta(seconds=i * step)
        on = i % cycle >= cycle // 3
        hz = 0.0 if not on else 40 + 20 * abs(math.sin(i / 37))
        load = hz / 60
        pd += ((1300 + 1500 * load) - pd) * 0.35
        ps += ((1250 - 600 * load) - ps) * 0.35
        td += ((28 + 55 * load) - td) * 0.2
        ts += ((-2 - 9 * load) - ts) * 0.2
        oat = -6 + 3 * math.sin(i / 300) + rng.gauss(0, 0.02)
        out.append(dict(t=t, hz=round(hz, 1), pd=round(pd + rng.gauss(0, 8)), ps=round(ps + rng.gauss(0, 5)),
                        td=round(td + rng.gauss(0, 0.2), 1), ts=round(ts + rng.gauss(0, 0.2), 1),
                        oat=round(oat, 1), room=round(21 + 0.4 * math.sin(i / 50) + rng.gauss(0, 0.03), 1),
                        sp=21.0 if i < rows * 2 // 3 else 22.5, on=int(on),
                        defrost=int(i % 90 in (40, 41, 42, 43))))
    return out


def iso(t):
    return t.strftime("%Y-%m-%d %H:%M:%S")


def table(rows, *keys, header, sep=",", end="\n", stamp=iso, decimal="."):
    lines = [header]
    for r in rows:
        cells = [stamp(r["t"])]
        cells += [("" if r[k] is None else str(r[k])).replace(".", decimal) for k in keys]
        lines.append(sep.join(cells))
    return end.join(lines) + end


def german(t):
    return t.strftime("%d.%m.%Y %H:%M")


def cell_ref(r, c):
    return f"{chr(ord('A') + c)}{r}"


def workbook(rows):
    sheet = ['<worksheet><sheetData>']
    head = ["Time", "Outside [degC]", "Discharge [degC]", "Note"]
    sheet.append('<row r="1">' + "".join(
        f'<c r="{cell_ref(1, i)}" t="inlineStr"><is><t>{h}</t></is></c>' for i, h in enumerate(head)) + "</row>")
    for n, r in enumerate(rows, 2):
        days = (r["t"] - datetime(1899, 12, 30)) / timedelta(days=1)
        sheet.append(f'<row r="{n}"><c r="A{n}" s="1"><v>{days:.8f}</v></c><c r="B{n}"><v>{r["oat"]}</v></c>'
                     f'<c r="C{n}"><f>B{n}+1</f><v>{r["td"]}</v></c></row>')
    sheet.append("</sheetData></worksheet>")
    small = ('<worksheet><sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>About this file</t></is></c></row>'
             '</sheetData></worksheet>')
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as z:
        def add(name, text):
            z.writestr(zipfile.ZipInfo(name, (2026, 1, 14, 6, 0, 0)), text)
        add("[Content_Types].xml", "<Types/>")
        add("xl/workbook.xml", '<workbook xmlns:r="r"><sheets><sheet name="About" sheetId="1" r:id="r1"/>'
                               '<sheet name="Data" sheetId="2" r:id="r2"/></sheets></workbook>')
        add("xl/_rels/workbook.xml.rels",
            '<Relationships><Relationship Id="r1" Target="worksheets/sheet1.xml"/>'
            '<Relationship Id="r2" Target="worksheets/sheet2.xml"/></Relationships>')
        add("xl/styles.xml", '<styleSheet><cellXfs><xf numFmtId="0"/><xf numFmtId="22"/></cellXfs></styleSheet>')
        add("xl/worksheets/sheet1.xml", small)
        add("xl/worksheets/sheet2.xml", "".join(sheet))
    return buffer.getvalue()


def archive(members):
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as z:
        for name, text in members:
            z.writestr(zipfile.ZipInfo(name, (2026, 1, 14, 6, 0, 0)), text)
    return buffer.getvalue()


def hours_of_a_wall_clock(first, hours, change):
    """Hourly wall-clock stamps that go back by an hour when they reach `change`."""
    out, t, back = [], first, False
    for _ in range(hours):
        if t == change and not back:
            t, back = t - timedelta(hours=1), True
        out.append(t)
        t += timedelta(hours=1)
    return out


def comma(value):
    return str(value).replace(".", ",")


def strangers():
    """Exports as they come by mail."""
    m = machine(40)
    stamp_de = lambda t: t.strftime("%d.%m.%Y %H:%M:%S")
    put("titles_with_delimiters.txt", b"\xff\xfe" + (
        "Anlage Nord\t\t\t\r\nExport vom 15.01.2026\t\t\t\r\n\t\t\t\r\nZeit\tAußengerät\tAußengerät\tInnengerät 3\r\n"
        "\tHeißgas\tSauggas\tRaum\r\n\t°C\t°C\t°C\r\n" + "".join(
            f'{stamp_de(r["t"])}\t{comma(r["td"])}\t{comma(r["ts"])}\t{comma(r["room"])}\r\n' for r in m)).encode("utf-16-le"))
    put("side_by_side.csv", "Time,Outside (degC),Discharge (degC),,Time,Room (degC),Set point (degC)\n" + "".join(
        f'{iso(r["t"])},{r["oat"]},{r["td"]},,'
        + (f'{iso(r["t"] + timedelta(seconds=17))},{r["room"]},{r["sp"]}' if i < 30 else ",,") + "\n"
        for i, r in enumerate(m)))
    put("names_and_values.log", "".join(
        f'[{iso(r["t"])}] INFO outside={r["oat"]}C discharge={r["td"]}C high={r["pd"]}kPa mode="{"heating" if r["on"] else "standby"}"\n'
        for r in m))
    seconds = lambda t: int((t - datetime(1970, 1, 1)).total_seconds())
    put("signals_in_an_object.json", json.dumps({"series": [
        {"name": name, "unit": unit, "points": [[seconds(r["t"]) + shift, r[k]] for r in m]}
        for name, unit, k, shift in (("outdoor temperature", "degC", "oat", 0), ("suction pressure", "kPa", "ps", 5))]}))
    put("lists_in_an_object.json", json.dumps(
        {"device": "roof", "time": [iso(r["t"]) for r in m], "outside_degC": [r["oat"] for r in m],
         "discharge_degC": [r["td"] for r in m]}))
    put("times_as_numbers.csv", "Date,Time,Outside (degC)\n" + "".join(
        f'{t:%Y%m%d},{int(t.strftime("%H%M%S"))},{r["oat"]}\n'
        for t, r in ((START + timedelta(minutes=25 * i - 355), r) for i, r in enumerate(m))))
    put("hours_since_the_start.csv", "Elapsed,Outside (degC)\n" + "".join(
        f'{i * 50 // 60}:{i * 50 % 60:02d}:00,{r["oat"]}\n' for i, r in enumerate(m)))
    put("long_with_quality.csv", "Timestamp,Tag,Value,Quality\n" + "".join(
        f'{iso(r["t"])},{n},{r[k]},{"Bad" if i % 13 == 7 else "Good"}\n'
        for i, r in enumerate(m) for n, k in (("OD1/Ambient temp", "oat"), ("OD1/Disch temp", "td"), ("OD1/Suct press", "ps"))))
    put("one_signal_below_the_other.csv", "Tag;Timestamp;Value\n" + "".join(
        f'{n};{stamp_de(r["t"])};{comma(r[k])}\n'
        for n, k in (("Ambient temp", "oat"), ("Discharge temp", "td"), ("Suction press", "ps")) for r in m))
    put("symbols_in_headers.csv", table(
        m, "ts", "td", "oat", "pd", "ps", "hz",
        header="ts,T_suction_C,T_discharge_C,T_out,P_dis_kPa,P_suc_kPa,f_comp_Hz"))
    put("full_width_brackets.csv", ("データ出力\r\n日付,時刻,外気温度（℃）,吐出圧力（MPa）,圧縮機周波数（Hz）,運転モード\r\n" + "".join(
        f'{r["t"]:%Y/%m/%d},{r["t"]:%H:%M:%S},{r["oat"]},{r["pd"] / 1000:.3f},{r["hz"]},{"暖房" if r["on"] else "停止"}\r\n'
        for r in m)).encode("cp932"))
    for name, k in (("Outdoor temperature", "oat"), ("Discharge temperature", "td")):
        put(f"one_header_for_all/{name}.csv", table(m, k, header="Timestamp,Value"))
    put("same_header_twice.csv", table(m, "room", "td", "oat", header="Time,Temp (degC),Temp (degC),Temp (degC)"))
    put("warm_water.csv", table(
        [dict(r, a=round(82 + math.sin(i / 9), 1), b=round(64 + math.sin(i / 9), 1)) for i, r in enumerate(m)], "a", "b", "pd",
        header="time,Supply Temp [degC],Return Temp [degC],Duct static pressure [Pa]"))
    put("bar_called_megapascal.csv", table(
        [dict(r, a=round(r["pd"] / 100, 2), b=r["ps"]) for r in m], "a", "b",
        header="time,High pressure (MPa),Low pressure (psi)"))
    odd = machine(240, seed=3)
    for i in range(20, 23):
        odd[i]["td"] = -50.0
    for i in range(130, 137):
        odd[i]["ts"] = 150
    put("open_and_short.csv", table(odd, "td", "ts", header="time,Discharge temp (degC),Suction temp (degC)"))
    put("thousands_by_dots.csv", "Zeit;Niederdruck (kPa);Leistung (W)\n" + "".join(
        f'{stamp_de(r["t"])};{r["ps"]:,};{round(900 + r["hz"] * 55):,}\n'.replace(",", ".") for r in m))
    put("minus_and_units_in_cells.csv", "Zeit;Außen;Heißgas\n" + "".join(
        f'{stamp_de(r["t"])};−{comma(abs(r["oat"]))} °C;{comma(r["td"])} °C\n' for r in m))
    put("states_and_errors.csv", "Time,Compressor,Betriebsart,Room temp (degC),Alarm\n" + "".join(
        f'{iso(r["t"])},{"RUN" if r["on"] else "STOP"},{"Heizen" if r["on"] else "Aus"},'
        f'{"Sensor Error" if i % 11 == 5 else "#N/A" if i % 11 == 6 else r["room"]},{"E4" if i % 20 == 0 else ""}\n'
        for i, r in enumerate(m)))
    put("zone_in_a_column.csv", "time,tz,Outside (degC)\n" + "".join(f'{iso(r["t"])},America/Chicago,{r["oat"]}\n' for r in m))
    # At rest the pressure is that of R-410A at the outdoor temperature, as a gauge shows it: 698 kPa at 0 degC.
    rng, rest = random.Random(4), ["time,Outdoor temp (degC),Discharge pressure (kPa),Suction pressure (kPa),Comp freq (Hz)"]
    for i in range(288):
        outdoor = 1 + 3 * math.sin(i / 46)
        sat = 798 * math.exp(0.0313 * outdoor - 0.00011 * outdoor ** 2)
        on = 60 < i < 140 or 200 < i < 230
        high, low = (2.4 * sat, 0.7 * sat) if on else (sat, sat)
        rest.append(f"{iso(START + timedelta(minutes=5 * i))},{outdoor:.1f},{high - 101 + rng.gauss(0, 2):.0f},"
                    f"{low - 101 + rng.gauss(0, 2):.0f},{55 if on else 0}")
    put("gauge_at_rest.csv", "\n".join(rest) + "\n")


def main():
    strangers()
    clocks()
    nasty()
    office()
    m = machine(24)
    put("bom_semicolon_comma.csv", b"\xef\xbb\xbf" + ('Zeit;="Außen [°C]";Heißgas [°C]\n' + "".join(
        f'{german(r["t"])};="{r["oat"]}";{r["td"]}\n'.replace(f'{r["oat"]}"', f'{r["oat"]}"'.replace(".", ",")).replace(
            f';{r["td"]}', f';{r["td"]}'.replace(".", ",")) for r in m)).encode())
    lines = ["Date;Time;Unit;Volume"]
    for i, r in enumerate(m):
        for unit, value in (("kWh", 0.4 + 0.01 * i), ("m³", 0.05 + 0.001 * i)):
            lines.append(f'{r["t"]:%d.%m.%Y};{r["t"]:%H:%M};{unit};{value:.3f}'.replace(".", ",").replace(
                f'{r["t"]:%d,%m,%Y}', f'{r["t"]:%d.%m.%Y}'))
    put("two_units_interleaved.csv", "\n".join(lines) + "\n")
    wall = hours_of_a_wall_clock(datetime(2025, 10, 25, 12), 36, datetime(2025, 10, 26, 3))
    put("autumn_hour.csv", "time,Ambient [degC]\n" + "".join(
        f"{t:%Y-%m-%d %H:%M},{8 - 0.1 * i:.1f}\n" for i, t in enumerate(wall)))
    offsets = ["time,Ambient [degC]"]
    for change, before, after in ((datetime(2025, 3, 30, 1), 1, 2), (datetime(2025, 10, 26, 1), 2, 1)):
        for k in range(-4, 4):
            utc = change + timedelta(hours=k)
            off = before if k < 0 else after
            offsets.append(f"{utc + timedelta(hours=off):%Y-%m-%dT%H:%M:%S}+0{off}:00,{10 + k}")
    put("offsets_both_changes.csv", "\n".join(offsets) + "\n")
    wide = table(m, "oat", "td", header="Time\tOutside [°C]\tDischarge line [°C]", sep="\t", end="\r\n")
    put("utf16_little.txt", b"\xff\xfe" + wide.encode("utf-16-le"))
    put("utf16_big.txt", b"\xfe\xff" + wide.encode("utf-16-be"))
    put("utf16_no_mark.txt", wide.encode("utf-16-le"))
    changes, last = ["time,mode,T supply,T return,T out"], {}
    for i, r in enumerate(machine(60, step=120, seed=2)):
        now = {"a": r["on"], "b": round(r["td"]), "c": round(r["td"] - 6), "d": round(r["oat"])}
        changes.append(iso(r["t"]) + "," + ",".join("" if last.get(k) == v else str(v) for k, v in now.items()))
        last = now
    put("change_only.csv", "\n".join(changes) + "\n")
    rows = ['"Plot Title: roof"', '"#","Date Time, GMT-06:00","Temp, °C (probe 1)","RH, % (probe 1)","End Of File"']
    rows += [f'{i},{r["t"]:%m/%d/%y %I:%M:%S %p},{r["oat"]},{60 + i},' for i, r in enumerate(m, 1)]
    put("title_and_number_column.csv", "\n".join(rows) + "\n")
    put("zero_bytes.csv", b"\0" * 17 + table(m, "oat", header="time,Ambient [degC]").encode())
    put("no_header_seconds.lvm", "".join(
        f'{i * 16:.6f}\t{r["td"]:.6f}\t{r["oat"]:.6f}\t\n'.replace(".", ",") for i, r in enumerate(m)))
    put("clock_without_date.txt", "".join(
        f'{(START + timedelta(hours=17, minutes=50, seconds=40 * i)):%H:%M:%S}  {r["td"]:6.1f}  {r["oat"]:5.1f}\n'
        for i, r in enumerate(m)))
    put("first_header_is_a_stamp.csv", "\n".join(
        ["2026-01-14 05:59:30;T room;T out;"] + [f'{iso(r["t"])};{r["room"]};{r["oat"]};' for r in m]) + "\n")
    put("trailing_delimiter.csv", "\n".join(
        ["time,Ambient [degC],"] + [f'{iso(r["t"])},{r["oat"]},' for r in m]) + "\n")
    put("month_day_year.csv", table(m, "oat", header="Timestamp,Ambient [degF]",
                                    stamp=lambda t: f"{t.month}/{t.day}/{t.year} {t:%H:%M}"))
    put("day_or_month.csv", "date,Ambient [degC]\n" + "".join(
        f"0{1 + i}/0{1 + i}/2026 06:00,{i}\n" for i in range(4)))
    put("shift_jis.csv", table(m, "oat", "td", header="日時,外気温 [degC],吐出温度 [degC]").encode("shift_jis"))
    odd = machine(150)
    for i in (7, 30, 31, 99):
        odd[i]["td"] = 6553.5
    for i in (12, 55, 56, 57):
        odd[i]["oat"] = -999
    put("sentinels.csv", table(odd, "td", "oat", header="time,Discharge temp [degC],Ambient temp [degC]"))
    put("tenths.csv", "time,Room temp,Coil temp\n" + "".join(
        f'{iso(r["t"])},{round(r["room"] * 10)},{round(r["td"] * 10)}\n' for r in machine(60)))
    put("degf_called_degc.csv", "time,Room temp [degC],Outdoor air [degC]\n" + "".join(
        f'{iso(r["t"])},{r["room"] * 1.8 + 32:.1f},{r["oat"] * 1.8 + 92:.1f}\n' for r in machine(60)))
    put("bar_called_pascal.csv", "time,Discharge pressure [Pa],Suction pressure [Pa]\n" + "".join(
        f'{iso(r["t"])},{r["pd"] / 100 - 1:.2f},{r["ps"] / 100 - 1:.2f}\n' for r in machine(60)))
    put("gauge_unstated.csv", "time,Discharge pressure [kPa],Suction pressure [kPa]\n" + "".join(
        f'{iso(r["t"])},{r["pd"]},{max(-15, r["ps"] - 690)}\n' for r in machine(60)))
    stuck = machine(400)
    for i in range(200, 290):
        stuck[i]["td"] = 61.3
    put("stuck_sensor.csv", table(stuck, "td", "oat", header="time,Discharge temp [degC],Ambient temp [degC]"))
    put("flag_with_a_seven.csv", "time,outdoor.1.defrost,site.outdoor_temperature [degC]\n" + "".join(
        f'{iso(r["t"])},{7 if i == 9 else r["defrost"]},{r["oat"]}\n' for i, r in enumerate(m)))
    put("one_signal_a_file/outside.csv", table(m, "oat", header="time,site.outdoor_temperature [degC]"))
    put("one_signal_a_file/discharge.csv", table(m, "td", header="time,outdoor.1.discharge_temperature [degC]"))
    put("one_signal_a_file/notes.txt", "Put in by the second shift.\nNothing else to say.\n")
    quarter = [f"{k // 4:02d}:{k % 4 * 15:02d}" for k in range(96)]
    put("day_by_interval.csv", "Date," + ",".join(quarter) + "\n" + "".join(
        f"{START + timedelta(days=d):%Y-%m-%d}," + ",".join(f"{-6 + 4 * math.sin(k / 15):.1f}" for k in range(96)) + "\n"
        for d in range(3)))
    put("long_shape.csv", "time,Point,Value\n" + "".join(
        f'{iso(r["t"])},{p},{v}\n' for r in m for p, v in (("AHU out", r["oat"]), ("Room", r["room"]))))
    put("ragged_rows.csv", "time,a,b,c\n" + "".join(
        iso(r["t"]) + "," + ",".join(str(v) for v in (r["oat"], r["td"], r["room"])[:1 if i % 7 == 3 else 3]) + "\n"
        for i, r in enumerate(m)))
    body = table(m, "oat", header="time,Ambient [degC]").splitlines()
    put("repeated_headers_and_comments.csv", "\n".join(
        ["# logger on the roof"] + body[:9] + ["# battery changed", body[0]] + body[9:]
        + ["2026-01-14 06:24:00", "2026-01-14 06:25:00,1,2,3", "not a time,4"]) + "\n")
    put("sep_line.csv", "sep=;\r\n" + table(m, "oat", header="time;Ambient [degC]", sep=";", end="\r\n"))
    put("twelve_hour_clock.csv", table(
        [dict(r, t=r["t"] + timedelta(minutes=29 * i)) for i, r in enumerate(m)], "oat",
        header="When,Ambient [degC]", stamp=lambda t: f'"{t:%b} {t.day}, {t.year} {t:%I:%M %p}"'))
    put("spreadsheet_days.csv", table(m, "oat", header="Time,Ambient [degC]",
                                      stamp=lambda t: f"{(t - datetime(1899, 12, 30)) / timedelta(days=1):.9f}"))
    epoch = lambda t: int((t - datetime(1970, 1, 1)).total_seconds())
    put("epoch_seconds.csv", table(m, "oat", header="timestamp,Ambient [degC]", stamp=lambda t: str(epoch(t))))
    put("epoch_milliseconds.csv", table(m, "oat", header="timestamp,Ambient [degC]",
                                        stamp=lambda t: str(epoch(t) * 1000 + 250)))
    put("fixed_width_blank_cells.txt", "Logger 7, roof\n\n Date       Time     Pd[kPa]  Td[degC]     Hz\n" + "".join(
        f' {r["t"]:%d.%m.%Y %H:%M}   {r["pd"] if i % 5 else "":>7}  {r["td"] if i % 3 else "":>8}  {r["hz"] if i % 4 else "":>5}\n'
        for i, r in enumerate(m)))
    put("header_in_three_rows.csv", "Test bench,A,B\nTime,Outside,Coil\n,degC,degF\n" + "".join(
        f'{iso(r["t"])},{r["oat"]},{r["ts"] * 1.8 + 32:.1f}\n' for r in m))
    put("year_month_day_hour.csv", "Year,Month,Day,Hour,Dry bulb (C)\n" + "".join(
        f"2026,1,{14 + h // 24},{h % 24 + 1},{-6 + h % 7}\n" for h in range(48)))
    put("newest_first.csv", table(list(reversed(m)), "oat", header="time,Ambient [degC]"))
    put("workbook.xlsx", workbook(m))
    put("grid.zinc", 'ver:"3.0" projName:"roof"\nts dis:"time",v0 dis:"Outside" unit:"°C",v1 dis:"Fan"\n' + "".join(
        f'{r["t"]:%Y-%m-%dT%H:%M:%S}-06:00 Chicago,{r["oat"]}°C,{"T" if r["on"] else "F"}\n' for r in m))
    put("grid.json", '{"meta":{"ver":"3.0"},"cols":[{"name":"ts"},{"name":"v0","dis":"Outside"}],"rows":[\n' + ",\n".join(
        f'{{"ts":"t:{r["t"]:%Y-%m-%dT%H:%M:%S}-06:00 Chicago","v0":"n:{r["oat"]} degC"}}' for r in m) + "]}\n")
    put("lines.jsonl", "".join(
        f'{{"time":"{iso(r["t"])}","outside":{{"degC":{r["oat"]}}},"mode":"heating"}}\n' for r in m))
    plain = table(m, "oat", header="time,site.outdoor_temperature [degC]")
    packed = io.BytesIO()
    with gzip.GzipFile("", "wb", 9, packed, 0) as z:
        z.write(plain.encode())
    put("packed.csv.gz", packed.getvalue())
    put("two_in_an_archive.zip", archive([
        ("a/outside.csv", plain), ("b/discharge.csv", table(m, "td", header="time,outdoor.1.discharge_temperature [degC]"))]))
    foreign = machine(14, step=1800, seed=11)
    stamp_de = lambda t: t.strftime("%d.%m.%Y %H:%M Uhr")
    put("german_units_below.csv", ("Anlage Nord;;\nZeitpunkt;Außentemperatur;Hochdruck\n;°C;kPa\n" + "".join(
        f'{stamp_de(r["t"])};{str(r["oat"]).replace(".", ",")};{r["pd"]}\n' for r in foreign)).encode("cp1252"))
    put("french_thousands.csv", "Date;Heure;Puissance (W);Dégivrage\n" + "".join(
        f'{r["t"]:%d/%m/%Y};{r["t"]:%H:%M:%S};{r["pd"] // 1000}\u202f{r["pd"] % 1000:03},5;{"oui" if r["defrost"] else "non"}\n'
        for r in foreign))
    half = lambda t, am, pm: am if t.hour < 12 else pm
    put("spanish_half_days.csv", "Fecha;Temperatura (°C)\n" + "".join(
        f'{r["t"]:%d/%m/%Y} {(r["t"].hour - 1) % 12 + 1}:{r["t"]:%M:%S} {half(r["t"], "a. m.", "p. m.")};'
        f'{str(r["oat"]).replace(".", ",")}\n' for r in foreign))
    put("japanese_half_days.csv", "日時,吐出温度(℃)\n" + "".join(
        f'{r["t"]:%Y/%m/%d} {half(r["t"], "午前", "午後")} {r["t"].hour % 12}:{r["t"]:%M},{r["td"]}\n' for r in foreign))
    put("week_dates.csv", "time,Ambient [degC]\n" + "".join(
        f'{r["t"]:%G-W%V-%uT%H:%M:%S},{r["oat"]}\n' for r in foreign))
    put("epoch_microseconds.csv", "ts,Ambient [degC]\n" + "".join(
        f'{1768370400000000 + i * 60000000},{r["oat"]}\n' for i, r in enumerate(foreign)))
    put("units_in_cells.csv", "Timestamp,Outside,Valve\n" + "".join(
        f'{r["t"]:%d-%b-%y %H:%M:%S},{r["oat"]} °C {{ok}},{int(r["hz"])}%\n' for r in foreign))
    put("chinese.csv", ("时间,室外温度(℃),排气温度(℃),高压压力(MPa),运行状态\n" + "".join(
        f'{r["t"]:%Y/%m/%d %H:%M:%S},{r["oat"]},{r["td"]},{r["pd"] / 1000:.2f},{"运行" if r["on"] else "停止"}\n'
        for r in foreign)).encode("gb18030"))
    put("korean.csv", ("시간,외기온도(℃),토출온도(℃),압축기 주파수(Hz)\n" + "".join(
        f'{r["t"]:%Y-%m-%d} {"오전" if r["t"].hour < 12 else "오후"} {(r["t"].hour + 11) % 12 + 1}:{r["t"]:%M:%S},'
        f'{r["oat"]},{r["td"]},{r["hz"]}\n' for r in foreign)).encode("cp949"))
    put("cyrillic.csv", ("Дата и время;Температура наружного воздуха, °С;Давление нагнетания, МПа;Компрессор\r\n" + "".join(
        f'{r["t"]:%d.%m.%Y %H:%M:%S};' + f'{r["oat"]};{r["pd"] / 1000:.2f};'.replace(".", ",") +
        ("Вкл" if r["on"] else "Выкл") + "\r\n" for r in foreign)).encode("cp1251"))
    put("times_with_full_stops.csv", ("Data;Ora;Temp. esterna (°C);Temp. mandata (°C)\r\n" + "".join(
        f'{r["t"].day}/{r["t"].month}/{r["t"].year};{r["t"]:%H.%M.%S};' + f'{r["oat"]};{r["td"]}'.replace(".", ",") +
        "\r\n" for r in foreign)).encode("cp1252"))
    put("degree_sign_twice.csv", "Time,Outdoor temp (°C),Discharge temp (°C)\n".replace("°", "Â°") + "".join(
        f'{iso(r["t"])},{r["oat"]},{r["td"]}\n' for r in foreign))
    put("german_gauge_and_speed.csv", "Zeit;Hochdruck [bar(Ü)];Verdichterdrehzahl [U/min];Außenluft ℃\n" + "".join(
        f'{r["t"]:%d.%m.%Y %H:%M:%S},{i * 37 % 1000:03d};' + f'{r["pd"] / 100:.1f};'.replace(".", ",") +
        (f'{int(r["hz"] * 60) // 1000}\u202f{int(r["hz"] * 60) % 1000:03d};' if r["hz"] >= 17 else "0;") +
        str(r["oat"]).replace(".", ",") + "\n" for i, r in enumerate(foreign)))
    put("lists_of_lists.json", '[["time","outdoor [degC]","discharge [degC]"],' + ",\n".join(
        f'["{r["t"]:%Y-%m-%dT%H:%M:%SZ}",{r["oat"]},{r["td"]}]' for r in foreign) + "]\n")
    put("report_with_a_foot.csv", '"Report: trend"\n"Site: Hall 3"\n\n"Timestamp","OAT (°F)","Comp"\n' + "".join(
        f'"{r["t"].month}/{r["t"].day}/{r["t"]:%y} {r["t"].hour % 12 or 12}:{r["t"]:%M} '
        f'{"AM" if r["t"].hour < 12 else "PM"}","{r["oat"] * 1.8 + 32:.1f}","{"Active" if r["on"] else "Inactive"}"\n'
        for r in foreign) + '\n"Total records:","%d"\n"Average","",""\n' % len(foreign))
    small = "Unit,Address,Rated kW\nA,1,28\nB,2,5.6\n\n"
    log = table(foreign, "oat", "td", "sp", header="Time,Outside (degC),Discharge (degC),Set point (degC)")
    put("small_table_above.csv", small + log)
    put("another_table_below.csv", log + "\n" + table(
        foreign, "room", "sp", "on", header="Time,Room (degC),Set point (degC),On"))
    put("only_header.csv", "Time,Outside (degC),Power (kW)\n")
    put("web_page.xls", "<html><body><table><tr><td>Time</td></tr></table></body></html>\n")
    put("binary.dat", bytes(range(256)) * 4)
    put("only_comments.csv", "# nothing\n# was logged\n")
    put("empty.csv", b"")
    nameless = machine(300, seed=5)
    put("headers_say_nothing.csv", table(
        nameless, "hz", "pd", "ps", "td", "ts", "oat", "room", "sp", "defrost",
        header="time,CH1,CH2,CH3,CH4 [degC],CH5 [degC],CH6 [degC],CH7 [degC],CH8 [degC],CH9"))
    rng = random.Random(9)
    weather = [4 * math.sin(i / 200) for i in range(1500)]
    for wave in range(20):
        period, phase = 12 + 5 * wave, rng.random() * 6
        weather = [w + 0.3 * math.sin(6.2832 * i / period + phase) for i, w in enumerate(weather)]
    put("two_clocks/a.csv", "time,T outside [degC]\n" + "".join(
        f"{iso(START + timedelta(minutes=i))},{weather[i]:.1f}\n" for i in range(1440)))
    put("two_clocks/b.csv", "time,Intake air [degC]\n" + "".join(
        f"{iso(START + timedelta(minutes=i + 7))},{weather[i] + 0.5 + rng.gauss(0, 0.05):.1f}\n" for i in range(1440)))


def clocks():
    """Clocks as old loggers, printed reports and typed lists write them."""
    m = machine(40, seed=4)
    hhmm, day = (lambda t: int(t.strftime("%H%M"))), (lambda t: int(t.strftime("%j")))
    remarks = {3: "fan, then pump", 4: "it''s on"}
    two_days = [dict(r, t=START + timedelta(hours=i)) for i, r in enumerate(m)]
    put("short_dates.csv", "Date,Time,Outside (degC),Discharge (degC)\n" + "".join(
        f'{r["t"]:%y%m%d},{hhmm(r["t"])},{r["oat"]},{r["td"]}\n' for r in two_days))
    put("short_dates_of_one_day.csv", "Date,Time,Outside (degC)\n" + "".join(
        f'{r["t"]:%y%m%d},{r["t"]:%H%M},{r["oat"]}\n' for r in m[:10]))
    put("short_stamps.csv", "YYMMDDhhmm;Outside (degC);Discharge (degC)\n" + "".join(
        f'{r["t"]:%y%m%d%H%M};{r["oat"]};{r["td"]}\n' for r in m))
    put("year_and_day.csv", "Array,Year,Day,Time,Outside (degC),Discharge (degC)\n" + "".join(
        f'101,{r["t"]:%Y},{day(r["t"])},{hhmm(r["t"])},{r["oat"]},{r["td"]}\n'
        .replace(",15,0,", ",14,2400,") for r in two_days))
    put("day_without_year.csv", "DOY,hour,Outside (degC)\n" + "".join(
        f'{day(r["t"])},{r["t"].hour},{r["oat"]}\n' for r in two_days))
    put("year_and_day_no_header.txt", "".join(
        f'{r["t"]:%Y} {day(r["t"]):3d} {hhmm(r["t"]):4d} {r["oat"]:6.1f} {r["td"]:6.1f}\n'
        for r in two_days))
    put("zone_before_the_year.csv", "When,Outside (degC)\n" + "".join(
        f'{r["t"]:%a %b %d %H:%M:%S} CET {r["t"]:%Y},{r["oat"]}\n' for r in m[:12]))
    put("zone_of_many_meanings.csv", "When,Outside (degC)\n" + "".join(
        f'{r["t"]:%a %b %d %H:%M:%S} CST {r["t"]:%Y},{r["oat"]}\n' for r in m[:12]))
    put("single_quotes.csv", "'Time','Outside (degC)','Discharge (degC)','Remark'\n" + "".join(
        f"'{iso(r['t'])}','{r['oat']}','{r['td']}','{remarks.get(i, '')}'\n"
        for i, r in enumerate(m)))
    put("times_across.csv", "Trend of hall 3\nSignal;Unit;" + ";".join(f'{r["t"]:%d.%m.%Y %H:%M}' for r in m[:15]) + "\n" + "".join(
        f"{name};{unit};" + ";".join(comma(r[k]) if i != 4 else "" for i, r in enumerate(m[:15])) + "\n"
        for name, unit, k in (("Außentemperatur", "°C", "oat"), ("Heißgas", "°C", "td"), ("Hochdruck", "kPa", "pd"))))
    page = lambda n: (f"Hall 3, outdoor module 1            Page {n} of 4\n"
                      "Printed 2026-01-15 08:00\n\n"
                      "Time              Outside  Discharge   High\n"
                      "                     degC       degC    kPa\n")
    put("pages.txt", "".join(
        (("\f" if i else "") + page(i // 10 + 1) if i % 10 == 0 else "")
        + f'{r["t"]:%Y-%m-%d %H:%M}  {r["oat"]:7.1f}  {r["td"]:9.1f}  {r["pd"]:5d}\n'
        for i, r in enumerate(m)) + "\n--- End of report ---\n")
    put("pages.csv", "".join(
        (f"Weekly report;;page {i // 8 + 1}\nZeit;Außen °C;Heißgas °C\n" if i % 8 == 0 else "")
        + f'{german(r["t"])};{comma(r["oat"])};{comma(r["td"])}\n' for i, r in enumerate(m)))
    put("spans.csv", "Interval,Outside (degC),Power (kW)\n" + "".join(
        f'{r["t"]:%H:%M}-{r["t"] + timedelta(minutes=5):%H:%M},{r["oat"]},{r["hz"] / 10:.1f}\n'
        for r in (dict(r, t=START + timedelta(minutes=5 * i)) for i, r in enumerate(m))))
    put("spans_with_dates.csv", "Zeitraum;Außen (°C)\n" + "".join(
        f'{r["t"]:%d.%m.%Y %H:%M} – {r["t"] + timedelta(minutes=15):%H:%M};{comma(r["oat"])}\n'
        for r in (dict(r, t=START + timedelta(minutes=15 * i)) for i, r in enumerate(m))))
    put("interval_in_a_title.csv", "Logger of hall 3\nStart: 2026-01-14 06:00\nInterval: 5 min\nSamples: 40\n\n"
        "Outside [degC],Discharge [degC],High pressure [kPa]\n" + "".join(
        f'{r["oat"]},{r["td"]},{r["pd"]}\n' for r in m))
    put("intervall_im_titel.csv", "Messintervall;00:00:30\nMessbeginn;14.01.2026 06:00:00\nAußen °C;Heißgas °C\n" + "".join(
        f'{comma(r["oat"])};{comma(r["td"])}\n' for r in m))
    put("sums_below_each_day.csv", "Time,Outside (degC),Power (kW)\n" + "".join(
        f'{iso(r["t"])},{r["oat"]},{r["hz"] / 10:.1f}\n'
        + (f'Average,{r["oat"]},2.5\n-----,-----,-----\n' if r["t"].hour == 23 else "") for r in two_days)
        + "Total,,96.3\n\nExported by: the office\n*** End of file ***\n")
    put("pressures_by_letters.csv", "Zeit;HD bar;ND bar;Zimmer 3 °C;Büro 2 °C;Lobby\n" + "".join(
        f'{german(r["t"])};' + f'{r["pd"] / 100:.1f};{r["ps"] / 100:.1f};{r["room"]};{r["room"] + 1:.1f};{r["room"] - 1:.1f}'
        .replace(".", ",") + "\n" for r in m))
    put("pressions_par_lettres.csv", "Date;Heure;BP (bar);HP (bar);Bureau 2 (°C);Chambre 14 (°C)\n" + "".join(
        f'{r["t"]:%d/%m/%Y};{r["t"]:%H:%M};' + f'{r["ps"] / 100:.1f};{r["pd"] / 100:.1f};{r["room"]};{r["room"] + 1:.1f}'
        .replace(".", ",") + "\n" for r in m))
    put("korean_laboratory.csv", "시간,토출압력(kPa),흡입압력(kPa),응축온도(℃),증발온도(℃),실외 건구온도(℃),실내 건구온도(℃),소비전력(kW),과열도(K),과냉도(K)\n" + "".join(
        f'{iso(r["t"])},{r["pd"]},{r["ps"]},{40 + r["hz"] / 10:.1f},{-5 - r["hz"] / 10:.1f},{r["oat"]},{r["room"]},'
        f'{r["hz"] / 12:.2f},{5 + r["hz"] / 30:.1f},{4 + r["hz"] / 40:.1f}\n' for r in m))
    spoiled = lambda i, text: "??" if i in (5, 20) else text
    put("lines_with_gaps.jsonl", "".join(("\n" if i % 7 == 3 else "") + json.dumps(
        {"ts": f'{iso(r["t"])}Z', "outdoor.1.discharge_temperature [degC]": spoiled(i, r["td"])}) + "\n"
        for i, r in enumerate(m)))
    put("grid_with_a_bad_cell.zinc", 'ver:"3.0"\nts,v0 dis:"outdoor.1.discharge_temperature" unit:"°C"\n' + "".join(
        f'{r["t"]:%Y-%m-%dT%H:%M:%SZ} UTC,' + spoiled(i, f'{r["td"]}°C') + "\n" for i, r in enumerate(m)))
    put("grid_with_a_bad_cell.json", '{"meta":{"ver":"3.0"},\n"cols":[{"name":"ts"},{"name":"v0","dis":"outdoor.1.discharge_temperature"}],\n"rows":[\n' + ",\n".join(
        f'{{"ts":"t:{r["t"]:%Y-%m-%dT%H:%M:%SZ} UTC","v0":"' + spoiled(i, f'n:{r["td"]} °C') + '"}' for i, r in enumerate(m)) + "\n]}\n")
    put("names_with_a_bad_value.log", "# pump room\n" + "".join(("\n" if i % 9 == 4 else "") +
        f'{iso(r["t"])} outdoor.1.discharge_temperature={spoiled(i, str(r["td"]) + "C")} outdoor.1.compressor_frequency={r["hz"]}Hz\n'
        for i, r in enumerate(m)))


def nasty():
    """Files of spreadsheets, plant computers and laboratories, in several languages."""
    m = machine(40, seed=6)
    put("stamps_shortened.csv", "time;Outside °C\n" + "".join(f'1,76837E+12;{comma(r["oat"])}\n' for r in m[:20]))
    put("day_in_a_line.csv", "Trend log\n" + "".join(
        f"Date: {14 + day}.01.2026\nTime;Außen (°C);Heißgas (°C)\n" + "".join(
            f'{6 + i:02d}:00;{comma(r["oat"])};{comma(r["td"])}\n' for i, r in enumerate(m[12 * day:12 * day + 12]))
        for day in range(2)))
    put("marks_behind_numbers.csv", "Timestamp,outdoor.1.discharge_temperature [degC],Room 2 (C)\n" + "".join(
        f'{iso(r["t"])},{r["td"]}{"*" if i % 7 == 3 else ""},{r["room"]}{" !" if i == 5 else ""}\n' for i, r in enumerate(m)))
    put("japanese_laboratory.csv", ("機器名,試験室データ\n番号,1,2,3\n項目,吐出圧力,吸入圧力,外気温度\n単位,MPa,MPa,℃\n" + "".join(
        f'{r["t"]:%Y/%m/%d %H:%M:%S},{r["pd"] / 1000:.2f},{r["ps"] / 1000:.2f},{r["oat"]}\n' for r in m)).encode("cp932"))
    put("virgules_entre_guillemets.csv", '"Date","Température extérieure (°C)","Pression BP (bar)","Pression HP (bar)"\n' + "".join(
        f'"14 janv. 2026 {r["t"]:%H:%M}","{comma(r["oat"])}","{comma(round(r["ps"] / 100, 1))}","{comma(round(r["pd"] / 100, 1))}"\n' for r in m))
    put("informe_con_promedio.csv", "Informe de tendencia;;;\nEdificio: Torre 2;;;\nFecha y hora;Temp. exterior (°C);Alta presión (kPa);Compresor\n" + "".join(
        f'{r["t"]:%d/%m/%Y} {r["t"].hour % 12}:{r["t"]:%M:%S} a. m.;{comma(r["oat"])};{r["pd"] // 1000}.{r["pd"] % 1000:03d};'
        f'{"Encendido" if r["on"] else "Apagado"}\n' for r in m) + "Promedio;-5,8;2.315;\nTotal;;;40\n")
    put("date_once_a_day.txt", "Datum\tUhrzeit\tAußen °C\tHD bar\tND bar\n" + "".join(
        (f"{t:%d.%m.%Y}" if i == 0 or t.hour == 0 else "") + f'\t{t:%H:%M}\t{comma(r["oat"])}\t'
        + ("####" if i == 7 else comma(round(r["pd"] / 100, 1))) + f'\t{comma(round(r["ps"] / 100, 1))}\n'
        for i, (r, t) in enumerate((r, START + timedelta(hours=i)) for i, r in enumerate(m))))
    put("chinese_report.csv", ("报表：一号机\n时间,室外温度（℃）,排气温度（℃）\n" + "".join(
        f'2026年1月14日 {r["t"]:%H:%M},{r["oat"]},{r["td"]}\n' for r in m) + "合计,,\n平均,-3.5,84.2\n").encode("gb18030"))
    put("dutch_weekdays.csv", "Datum;Tijd;Buitentemperatuur (°C);Kamer 2 (°C)\n" + "".join(
        f'wo {r["t"]:%d-%m-%Y};{r["t"]:%H.%M};{comma(r["oat"])};{comma(r["room"])}\n' for r in m))
    put("carriage_returns.csv", "Time,Outside (F),Power (kW)\r" + "".join(
        f'{r["t"]:%m/%d/%Y %I:%M %p},{r["oat"] * 1.8 + 32:.1f},{r["hz"] / 10:.1f}\r' for r in m))


def office():
    """Files as an office, a building's controller and a mail program leave them."""
    m = machine(24, seed=11)
    bar = lambda r, k: f'{r[k] / 100:.2f}'
    rows = "".join(f'{iso(r["t"])},{bar(r, "pd")},{bar(r, "ps")},{r["td"]:.2f}\n' for r in m)
    put("cut_off_in_a_number.csv", ("time,outdoor.1.discharge_pressure [barg],outdoor.1.suction_pressure [barg],"
                                    "outdoor.1.discharge_temperature [degC]\n" + rows)[:-5])
    put("commas_of_two_kinds.csv", "Time,HP bar,LP bar,Td C\n" + "".join(
        f'{iso(r["t"])},{comma(round(r["pd"] / 100, 1))},{comma(round(r["ps"] / 100, 1))},{comma(r["td"])}\n' for r in m))
    put("merged_groups.xlsx", grouped_workbook(m))
    put("units_change_in_rows.csv", "Time;Point;Value;Unit\n" + "".join(
        f'{iso(r["t"])};Discharge pressure;' + (f'{bar(r, "pd")};bar' if i < 12 else f'{r["pd"] / 6.894757:.1f};psi') +
        f'\n{iso(r["t"])};Outdoor temperature;' + (f'{r["oat"]};°C' if i < 12 else f'{r["oat"] * 1.8 + 32:.2f};°F') + "\n"
        for i, r in enumerate(m)))
    put("quality_beside_each.csv", "time,hp.value,hp.quality,lp.value,lp.quality\n" + "".join(
        f'{iso(r["t"])},{bar(r, "pd")},{"BAD" if i % 10 == 3 else "GOOD"},{bar(r, "ps")},GOOD\n' for i, r in enumerate(m)))
    remarks = {3: '"fan off\nthen on"', 9: '"said ""ok"""', 15: '"5 in. pipe'}
    put("remarks_over_lines.csv", "Time,Outside (°C),HP (bar),Note\n" + "".join(
        f'{iso(r["t"])},{r["oat"]},{bar(r, "pd")},{remarks.get(i, "")}\n' for i, r in enumerate(m)))
    put("dates_between_rows.csv", "Time,HP [bar],Td [C]\n" + "".join(
        f"{13 + day}/01/2026\n" + "".join(
            f'{6 + i:02d}:00,{bar(r, "pd")},{r["td"]}\n' for i, r in enumerate(m[8 * day:8 * day + 8])) for day in range(3)))
    put("answer_to_a_mail.txt", "Hello,\n\nthe site wrote:\n> Time;HP;Td\n> ;bar;°C\n" + "".join(
        f'> {german(r["t"])};{comma(bar(r, "pd"))};{comma(r["td"])}\n' for r in m) + "\nRegards\n")
    ends = lambda i: "\r\n" if i < 8 else "\r" if i < 16 else "\n"
    put("line_ends_of_three_kinds.csv", "Date;Time;HP bar(g);LP bar(g)\r\n" + "".join(
        f'{r["t"]:%Y-%m-%d};{r["t"]:%H:%M:%S};{bar(r, "pd")};{bar(r, "ps")}' + ends(i) for i, r in enumerate(m)))
    put("stamps_without_zeros.csv", "Time,HP (bar),Td (C)\n" + "".join(
        f'{t.year}-{t.month}-{t.day} {t.hour}:{t.minute}:{t.second},{bar(r, "pd")},{r["td"]}\n'
        for r, t in ((r, r["t"] + timedelta(seconds=5 * i)) for i, r in enumerate(m))))
    put("zeit_mit_uhr.csv", "Datum;Zeit;HD bar(ü);ND bar(ü)\n" + "".join(
        f'{r["t"].day}. Januar 2026;{r["t"]:%H.%M} Uhr;{comma(bar(r, "pd"))};{comma(bar(r, "ps"))}\n' for r in m))
    put("addresses_below_names.csv", "Tag,PT101,PT102,TT101\nDescription,Discharge pressure,Suction pressure,Discharge temperature\n"
        "Address,40001,40003,40005\nUnit,barg,barg,degC\nType,REAL,REAL,REAL\n" + rows)
    put("unit_of_the_count_below.txt", "Data file\tRun 14\nStart date\t2026/01/14\nStart time\t06:00:00\nSample interval\t5 s\n\n"
        "Elapsed\tp_discharge\tT_discharge\ns\tkPa(a)\tK\n" + "".join(
            f'{5 * i:.3f}\t{r["pd"]:.4E}\t{r["td"] + 273.15:.2f}\n' for i, r in enumerate(m)))
    put("minus_behind_and_switches.csv", "Zeit;Freigabe;Ventil;Störung;Außen °C\n" + "".join(
        f'{german(r["t"])};{"TRUE" if r["on"] else "FALSE"};{"Auf" if r["on"] else "Zu"};;'
        f'{comma(abs(round(r["oat"] + 5.9, 1)))}{"-" if round(r["oat"] + 5.9, 1) < 0 else ""}\n' for r in m))
    put("ranges_by_itself.csv", "Time,outdoor.1.suction_pressure [bar(a)],outdoor.1.discharge_pressure [bar(a)]\n" + "".join(
        f'{iso(r["t"])},' + (f'{1.3 - i * 0.03:.2f} bar' if i < 12 else f'{1300 - i * 30} mbar') + f',{bar(r, "pd")} bar\n'
        for i, r in enumerate(m)))


def grouped_workbook(rows):
    """Groups merged over their columns, the time merged downwards, a share shown in percent."""
    def text(ref, value):
        return f'<c r="{ref}" t="inlineStr"><is><t>{value}</t></is></c>'
    sheet = ["<worksheet><sheetData>", '<row r="1">' + text("A1", "Time") + text("B1", "Outdoor unit") + text("E1", "Indoor unit 1") + "</row>",
             '<row r="2">' + text("B2", "High pressure [MPa]") + text("C2", "Low pressure [MPa]") + text("D2", "Opening [%]")
             + text("E2", "Gas pipe [°C]") + text("F2", "Liquid pipe [°C]") + "</row>"]
    for n, r in enumerate(rows, 3):
        days = (r["t"] - datetime(1899, 12, 30)) / timedelta(days=1)
        sheet.append(f'<row r="{n}"><c r="A{n}" s="1"><v>{days:.8f}</v></c><c r="B{n}"><v>{r["pd"] / 1000:.3f}</v></c>'
                     f'<c r="C{n}"><v>{r["ps"] / 1000:.3f}</v></c><c r="D{n}" s="2"><v>{0.4 + n / 1000:.3f}</v></c>'
                     f'<c r="E{n}"><v>{r["room"] + 20}</v></c><c r="F{n}"><v>{r["room"] + 10}</v></c></row>')
    sheet.append('</sheetData><mergeCells><mergeCell ref="A1:A2"/><mergeCell ref="B1:D1"/><mergeCell ref="E1:F1"/></mergeCells></worksheet>')
    return archive([("[Content_Types].xml", "<Types/>"),
                    ("xl/workbook.xml", '<workbook xmlns:r="r"><sheets><sheet name="Chart" sheetId="1" r:id="r1"/>'
                                        '<sheet name="Log" sheetId="2" r:id="r2"/></sheets></workbook>'),
                    ("xl/_rels/workbook.xml.rels", '<Relationships><Relationship Id="r1" Target="chartsheets/sheet1.xml"/>'
                                                   '<Relationship Id="r2" Target="worksheets/sheet1.xml"/></Relationships>'),
                    ("xl/styles.xml", '<styleSheet><cellXfs><xf numFmtId="0"/><xf numFmtId="22"/><xf numFmtId="10"/></cellXfs></styleSheet>'),
                    ("xl/chartsheets/sheet1.xml", "<chartsheet/>"),
                    ("xl/worksheets/sheet1.xml", "".join(sheet))])


if __name__ == "__main__":
    main()
